"""A sheet as one self-contained page: no network, no script, black on white, made to be printed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape as _escape
from html import unescape
from itertools import count, groupby

from purlside.sheet import parts
from purlside.sheet.strip import STYLE

_NOT_IN_HTML = re.compile(
    "[\ufdd0-\ufdef\ufffe\uffff"
    + "".join(f"{chr(p * 0x10000 + 0xFFFE)}{chr(p * 0x10000 + 0xFFFF)}" for p in range(1, 17))
    + "]"
)
_MOST_LEVELS = 6
FEW_ROWS = 8
"""Rows of a table that are kept on one page."""
FEW_STEPS = 4
"""Steps of a list that take a page's whole width."""
SHORT_CELL = 18
"""Characters a table's cell may hold and still be kept on one line."""

PLAN_ID, CARRIED = "plan-file", "The plan file: open this page with Purlside to knit from it on screen"

MARGINS = {
    parts.Detail.SHORT: "8mm 10mm 10mm",
    parts.Detail.WORKING: "10mm 14mm 12mm",
    parts.Detail.FULL: "14mm 15mm 16mm",
}
"""Margins of a page: printers want 6 mm and more; a number stands in the lowest."""

_CSS = """
@page{size:PAPER;margin:MARGIN;@bottom-right{content:counter(page) " / " counter(pages);font:9pt sans-serif}}
*{box-sizing:border-box}
html{color:#000;background:#fff}
body{font:10pt/1.3 "Liberation Sans",Arial,"DejaVu Sans",sans-serif;max-width:186mm;margin:0 auto;padding:4mm}
h1{font-size:19pt;line-height:1.2;margin:0 0 2mm;overflow-wrap:anywhere}
h2{font-size:14pt;margin:7mm 0 2mm;border-bottom:.5mm solid #000}
h3{font-size:12pt;margin:6mm 0 1.5mm}
h4{font-size:11pt;margin:4mm 0 1mm}
h5{font-size:10pt;margin:2mm 0 .5mm}
h2,h3,h4,h5,h4+p,p:has(+:is(figure,section)),caption{break-after:avoid}
p,ul,ol,dl{margin:0 0 1.5mm}
p,li,dd,dt,.long{overflow-wrap:anywhere}
li{break-inside:avoid}
p{orphans:3;widows:3}
dl{overflow:hidden;display:grid;grid-template-columns:minmax(28mm,max-content) 1fr;gap:.5mm 4mm}
dt{font-weight:bold;max-width:55mm}
dd{margin:0}
table{border-collapse:collapse;width:100%;margin:0 0 4mm;font-size:9.5pt}
caption{text-align:left;font-weight:bold;padding:1mm 0}
thead{display:table-header-group}
tr{break-inside:avoid}
tbody tr:first-child{break-before:avoid}
th,td{border:.25mm solid #666;padding:.6mm 1.5mm;text-align:left;vertical-align:top;font-weight:normal}
thead th{font-weight:bold;border-bottom:.5mm solid #000}
tbody th,tbody td{white-space:nowrap}
tbody .long{white-space:normal}
@media screen and (max-width:600px){tbody th,tbody td{white-space:normal}}
.whole{break-inside:avoid}
.boxes{display:flex;flex-wrap:wrap;gap:.8mm;width:max-content;max-width:46mm}
.boxes i{width:3.4mm;height:3.4mm;border:.3mm solid #000}
.boxes i:nth-child(5n){margin-right:1.6mm}
svg{display:block;max-width:100%;height:auto;margin:.5mm 0 1mm}
figure{margin:0 0 4mm;break-inside:avoid}
figure svg{max-height:100mm}
figcaption{font-weight:bold}
.beside{float:right;margin:0 0 2mm 4mm}
section{clear:both}
header{overflow:hidden}
section>div:has(>h3){clear:right}
.short{font-size:8pt;line-height:1.15}
.short figcaption{font-weight:normal;font-size:7pt}
.short h1{font-size:15pt;margin-bottom:1mm}
.short h2{font-size:11pt;margin:2mm 0 .8mm}
.short :is(h3,h4,h5):has(+p+ol){float:left;margin-top:0;margin-right:3mm}
.short h3,.short h4{font-size:9pt;margin:1.5mm 0 .5mm}
.short table{font-size:7.5pt;margin-bottom:1.5mm}
.short th,.short td{padding:.1mm .7mm}
.short p,.short ul,.short ol,.short dl{margin-bottom:.8mm}
.short ol{columns:2;column-gap:6mm;padding-left:6mm;clear:left}
.short main>section:nth-last-of-type(2){float:left;width:59%}
.short main>section:last-of-type{float:right;width:38%;clear:none}
.short ul{padding-left:5mm}
.short dl{gap:.1mm 3mm;grid-template-columns:minmax(20mm,max-content) 1fr}
.short .tables,.working .tables{columns:2;column-gap:5mm}
.working .tables{margin-bottom:1mm}
.working .tables :is(tbody th,tbody td){white-space:normal}
@media screen and (max-width:760px){.short .tables,.working .tables{columns:1}}
.working{font-size:9pt;line-height:1.25}
.working h2{margin-top:4mm}
.working table{font-size:8pt;margin-bottom:2mm}
.working th,.working td{padding:.3mm 1.2mm}
.working .tables table{font-size:7.5pt}
.working .tables :is(th,td){padding:.3mm .7mm}
.working .list{columns:2;column-gap:6mm;padding-left:6mm}
.working h5{margin-top:1mm}
.working ol{margin-bottom:.5mm}
.plan pre{font-size:8pt;white-space:pre-wrap}
nav ul{columns:2;padding-left:5mm}
nav a{display:block;padding:1.5mm 0}
@media print{body{max-width:none;margin:0;padding:0}nav,.plan{display:none}a{color:#000}}
"""


def page(sheet: parts.Sheet) -> str:
    """The whole page. Text of the plan is escaped wherever it stands."""
    return "".join(_Page(sheet).pieces())


def escape(text: str) -> str:
    """Text as HTML, in content and in attributes; what HTML cannot hold is shown as missing."""
    return _escape(_NOT_IN_HTML.sub("\ufffd", text))


def carried(text: str) -> str | None:
    """The plan file that a page carries along, as it was; None where there is none."""
    found = re.search(rf'<pre id="{PLAN_ID}">\n(.*?)</pre>', text, re.DOTALL)
    return unescape(found[1]) if found else None


class _Page:
    def __init__(self, sheet: parts.Sheet) -> None:
        self.sheet = sheet
        self._ids = count(1)

    def pieces(self) -> Iterator[str]:
        sheet = self.sheet
        paper = "A4" if sheet.paper is parts.Paper.A4 else "letter"
        css = _CSS.replace("PAPER", paper).replace("MARGIN", MARGINS[sheet.detail])
        title = escape(sheet.title)
        yield (
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
            '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            f'<title>{title}: sheet</title>\n<style>{css}{STYLE}</style>\n</head>\n<body class="{sheet.detail}">\n'
        )
        # What stands beside the title comes before it: what floats stands no higher than what it follows.
        beside: list[parts.Block] = [b for b in sheet.lead if isinstance(b, parts.Drawing) and b.beside]
        yield "<header>\n"
        for block in beside:
            yield from self._block(block)
        yield f"<h1>{title}</h1>\n"
        for block in sheet.lead:
            yield from () if block in beside else self._block(block)
        yield "</header>\n"
        names = [(f"s{next(self._ids)}", section) for section in sheet.sections]
        yield '<nav aria-label="Contents">\n<ul>\n'
        yield from (f'<li><a href="#{name}">{escape(section.heading)}</a></li>\n' for name, section in names)
        yield "</ul>\n</nav>\n<main>\n"
        for name, section in names:
            yield from self._section(section, 2, name)
        yield "</main>\n"
        if sheet.plan:
            yield f'<details class="plan">\n<summary>{CARRIED}</summary>\n<pre id="{PLAN_ID}">\n{escape(sheet.plan)}</pre>\n</details>\n'
        yield "</body>\n</html>\n"

    def _section(self, section: parts.SheetSection, level: int, name: str = "") -> Iterator[str]:
        name = name or f"s{next(self._ids)}"
        whole = ' class="whole"' if section.whole else ""
        h = f"h{min(level, _MOST_LEVELS)}"
        # Only the main sections are regions of their own: more of them would drown a screen reader's list.
        tag = "section" if level == 2 else "div"
        label = f' aria-labelledby="{name}"' if level == 2 else ""
        yield f'<{tag}{whole}{label}>\n<{h} id="{name}">{escape(section.heading)}</{h}>\n'
        # Tables that follow each other share a page's width where a short sheet wants room.
        for tables, blocks in groupby(section.blocks, key=lambda block: isinstance(block, parts.Table)):
            yield '<div class="tables">\n' if tables else ""
            for block in blocks:
                yield from self._block(block)
            yield "</div>\n" if tables else ""
        for below in section.sections:
            yield from self._section(below, level + 1)
        yield f"</{tag}>\n"

    def _block(self, block: parts.Block) -> Iterator[str]:
        match block:
            case parts.Para(line):
                yield f"<p>{escape(line)}</p>\n"
            case parts.Items(lines):
                yield from self._list("ul", lines)
            case parts.Steps(lines):
                yield from self._list("ol", lines)
            case parts.Facts(pairs):
                yield from self._facts(pairs)
            case parts.Table():
                yield from self._table(block)
            case parts.Legend(intro, on_paper, _):
                yield f"<p>{escape(intro)}</p>\n"
                yield from self._facts(on_paper)
            case parts.Drawing():
                name = f"s{next(self._ids)}"
                if not block.caption and not block.told:
                    yield f'<div class="{"beside" if block.beside else "drawing"}">{block.svg(name)}</div>\n'
                    return
                css = ' class="beside"' if block.beside else ""
                yield f"<figure{css}>\n{block.svg(name)}<figcaption>{escape(block.caption)}</figcaption>\n"
                if block.told:
                    yield from self._list("ul", block.told)
                yield "</figure>\n"

    def _list(self, tag: str, lines: tuple[str, ...]) -> Iterator[str]:
        css = ' class="list"' if tag == "ol" and len(lines) > FEW_STEPS else ""
        yield f"<{tag}{css}>\n"
        yield from (f"<li>{escape(line)}</li>\n" for line in lines)
        yield f"</{tag}>\n"

    def _facts(self, pairs: tuple[tuple[str, str], ...]) -> Iterator[str]:
        yield "<dl>\n"
        yield from (f"<dt>{escape(name)}</dt><dd>{escape(what)}</dd>\n" for name, what in pairs)
        yield "</dl>\n"

    def _table(self, table: parts.Table) -> Iterator[str]:
        css = ' class="whole"' if len(table.rows) <= FEW_ROWS else ""
        yield f"<table{css}>\n<caption>{escape(table.caption)}</caption>\n<thead>\n<tr>"
        yield from (f'<th scope="col">{escape(name)}</th>' for name in table.head)
        yield "</tr>\n</thead>\n<tbody>\n"
        for row in table.rows:
            yield "<tr>"
            for i, cell in enumerate(row):
                tag, scope = ("th", ' scope="row"') if i == 0 else ("td", "")
                # Short cells, as rows and sizes, stay on one line.
                css = ' class="long"' if isinstance(cell, str) and len(cell) > SHORT_CELL else ""
                yield f"<{tag}{scope}{css}>{self._cell(cell)}</{tag}>"
            yield "</tr>\n"
        yield "</tbody>\n</table>\n"

    def _cell(self, cell: parts.Cell) -> str:
        if not isinstance(cell, parts.Boxes):
            return escape(cell)
        words = f"{cell.count} box{'es' if cell.count > 1 else ''} to tick"
        return f'<span class="boxes" role="img" aria-label="{words}">{"<i></i>" * cell.count}</span>'
