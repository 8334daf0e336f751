"""The page in a real browser: printed on the paper asked for, read out as it is seen, dark enough, never cut."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections import Counter
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from purlside.files.planfile import read
from purlside.plan.plan import Plan
from purlside.sheet.parts import Detail
from purlside.sheet.whole import Wish, sheet_command, written
from tests.sheet.test_whole import blanket, cushion, rope

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
pytestmark = pytest.mark.skipif(
    CHROMIUM is None, reason="NO CHROMIUM ON THIS COMPUTER: pages are neither opened nor counted"
)

PATTERNS = sorted((Path(__file__).parents[2] / "patterns").glob("*.toml"))

LEAST_CONTRAST = 4.5
"""Web Content Accessibility Guidelines 2.2, 1.4.3, text of usual size."""

ASK = """<script>
const found = {parts: [], text: [], wide: document.documentElement.scrollWidth - document.documentElement.clientWidth};
for (const e of document.querySelectorAll("h1,h2,h3,h4,h5,h6,svg,table,header,nav,main,section"))
  found.parts.push([e.localName, e.computedRole ?? null, e.computedName ?? null]);
const backdrop = e => {
  for (; e; e = e.parentElement) {
    const colour = getComputedStyle(e).backgroundColor;
    if (!/, 0\\)$/.test(colour)) return colour;
  }
  return "rgb(255, 255, 255)";
};
for (const e of document.querySelectorAll("body *:not(script)"))
  if ([...e.childNodes].some(n => n.nodeType === 3 && n.data.trim())) {
    const style = getComputedStyle(e);
    found.text.push([e.namespaceURI.endsWith("svg") ? style.fill : style.color, backdrop(e), e.textContent]);
  }
const told = document.createElement("pre");
told.id = "found";
told.textContent = JSON.stringify(found);
document.body.append(told);
</script>"""
"""What is asked of the browser about a page; written at its end, where ``--dump-dom`` shows it."""


def browse(folder: Path, page: str, *words: str) -> str:
    """Opens the page; what the browser prints."""
    source = folder / "sheet.html"
    source.write_text(page, encoding="utf-8")
    # No sandbox: it cannot be had by root, and the page is our own.
    alone = [
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--no-first-run",
        f"--user-data-dir={folder / 'profile'}",
    ]
    done = subprocess.run(
        [str(CHROMIUM), *alone, *words, source.as_uri()], check=True, capture_output=True, text=True, timeout=60
    )
    return done.stdout


ASK_WIDTH = """<script>
const root = document.documentElement, told = document.createElement("pre");
told.id = "found";
told.textContent = JSON.stringify({wide: root.scrollWidth - root.clientWidth});
document.body.append(told);
</script>"""
"""Of a long page only how much is too wide."""


ASK_LAPPED = """<script>
// A table may go on in the next column: each of its pieces is a box.
const boxes = [...document.querySelectorAll("table")].flatMap(table => [...table.getClientRects()]), told = document.createElement("pre");
const lap = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1;
told.id = "found";
told.textContent = JSON.stringify(boxes.flatMap((a, i) => boxes.slice(i + 1).filter(b => lap(a, b)).map(b => [a.top, b.top])));
document.body.append(told);
</script>"""
"""Which tables lie over one another."""


@pytest.mark.parametrize("detail", list(Detail))
def test_no_table_lies_over_another_in_the_sheet_of_a_garment(tmp_path: Path, detail: Detail) -> None:
    pieces = [read(path).plan for path in PATTERNS if "jersey" in path.stem]
    page = written(pieces, ".html", Wish(detail=detail)).replace("</body>", ASK_LAPPED + "</body>")
    for width in (700, 900, 1400):
        told = re.search(
            r'<pre id="found">(.*?)</pre>',
            browse(tmp_path, page, f"--window-size={width},1000", "--dump-dom"),
            re.DOTALL,
        )
        assert told and json.loads(told[1]) == [], width


def asked(folder: Path, plan: Plan, width: int, ask: str = ASK) -> dict[str, Any]:
    """What the browser makes of the page: its parts as a screen reader is told them, its text, how much is too wide."""
    page = sheet_command(plan, ".html").replace("</body>", ask + "</body>")
    window = [f"--window-size={width},1000", "--enable-blink-features=ComputedAccessibilityInfo"]
    told = re.search(r'<pre id="found">(.*?)</pre>', browse(folder, page, *window, "--dump-dom"), re.DOTALL)
    assert told
    found: dict[str, Any] = json.loads(unescape(told[1]))
    return found


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    return asked(tmp_path_factory.mktemp("browser"), rope(), 800)


def luminance(colour: str) -> float:
    """Relative luminance as the guidelines define it."""
    channels = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize(("paper", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_it_is_printed_on_the_paper_asked_for_and_can_be_read_out_from_the_print(
    tmp_path: Path, paper: str, points: tuple[int, int]
) -> None:
    printed = tmp_path / "sheet.pdf"
    page = sheet_command(rope(), ".html", paper=paper)
    browse(tmp_path, page, "--no-pdf-header-footer", f"--print-to-pdf={printed}")
    pdf = printed.read_bytes()
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert 3 <= len(boxes) <= 12
    for wide, high in boxes:
        assert (float(wide), float(high)) == pytest.approx(points, abs=1.5)
    assert b"/Lang (en)" in pdf
    tags = Counter(re.findall(rb"/S /(\w+)", pdf))
    assert tags[b"H1"] == 1
    assert tags[b"H2"] == page.count("<h2")
    assert tags[b"Table"] == page.count("<table")
    assert tags[b"TH"] >= page.count("<th ")
    assert pdf.count(b"/Alt ") == page.count("<svg"), "every drawing is told in words in the print too"


def pages(folder: Path, page: str) -> int:
    """How many pages it prints on."""
    printed = folder / "sheet.pdf"
    browse(folder, page, "--no-pdf-header-footer", f"--print-to-pdf={printed}")
    count = len(re.findall(rb"/MediaBox ", printed.read_bytes()))
    assert count
    return count


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(("detail", "most"), [("short", 2), ("working", 6)])
@pytest.mark.parametrize("plan", [blanket(), cushion()], ids=["a blanket of 640 rows", "a cushion with a lattice"])
def test_a_hand_out_is_as_short_as_it_says(tmp_path: Path, plan: Plan, detail: str, most: int, paper: str) -> None:
    assert pages(tmp_path, sheet_command(plan, ".html", detail, paper)) <= most


JERSEY = {path.stem: path for path in PATTERNS if path.stem.startswith("slipway-jersey-")}


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(("detail", "most"), [("short", 2), ("working", 6)])
@pytest.mark.parametrize("path", PATTERNS, ids=lambda path: path.stem)
def test_so_is_that_of_every_pattern(tmp_path: Path, path: Path, detail: str, most: int, paper: str) -> None:
    assert pages(tmp_path, sheet_command(read(path).plan, ".html", detail, paper)) <= most


def test_a_short_hand_out_of_a_garment_has_at_most_two_pages_a_piece(tmp_path: Path) -> None:
    pieces = [read(path).plan for path in JERSEY.values()]
    assert pages(tmp_path, written(pieces, ".html", Wish(detail=Detail.SHORT))) <= 2 * len(pieces)


def test_a_screen_reader_is_told_every_part_and_its_name(seen: dict[str, Any]) -> None:
    parts = seen["parts"]
    if all(role is None for _, role, _ in parts):
        pytest.skip("this Chromium does not tell how it reads a page out")
    roles = {
        "svg": "image",
        "table": "table",
        "header": "banner",
        "nav": "navigation",
        "main": "main",
        "section": "region",
    }
    for tag, role, name in parts:
        assert role == roles.get(tag, "heading"), tag
        assert name or tag in ("header", "main"), f"{tag} without a name"
    regions = [name for tag, _, name in parts if tag == "section"]
    assert len(regions) == len(set(regions)) == sum(tag == "h2" for tag, _, _ in parts)


def test_all_text_is_dark_enough_and_nothing_is_wider_than_the_window(seen: dict[str, Any]) -> None:
    assert len(seen["text"]) > 100
    for colour, backdrop, text in seen["text"]:
        dark, light = sorted((luminance(colour), luminance(backdrop)))
        assert (light + 0.05) / (dark + 0.05) >= LEAST_CONTRAST, text
    assert seen["wide"] <= 0


@pytest.mark.parametrize("path", PATTERNS, ids=lambda path: path.stem)
def test_on_a_window_as_wide_as_a_telephone_held_across_nothing_is_cut(tmp_path: Path, path: Path) -> None:
    assert asked(tmp_path, read(path).plan, 500, ASK_WIDTH)["wide"] <= 0
