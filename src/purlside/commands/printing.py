"""The commands ``picture`` and ``sheet``: a plan's fabric drawn, and its hand-out."""

from __future__ import annotations

import argparse
import os
import sys
from typing import TYPE_CHECKING

from purlside.commands.parser import unit_of
from purlside.commands.talking import CommandError, Exit, lines_out, put, read_plan, rows_of, say

if TYPE_CHECKING:
    from purlside.fabric.stitches import Fabric

MOST_PICTURED_ROWS = 5000
MOST_PICTURED_CROSSINGS = 30_000
"""What one picture holds. Limits of ours: a drawing of more is too fine to print and slow to open."""

FORCE = "write over a file that Purlside has not written"

PICTURE = """\
examples:
  purlside picture scarf.toml --rows 1-40 -o scarf.svg
      as it will look, on paper
  purlside picture scarf.toml --chart -o scarf-chart.svg
      the published chart: standard symbols, key, the repeat framed
"""

SHEET = """\
examples:
  purlside sheet scarf.toml --detail short -o scarf.html --open
      a hand-out of two pages, opened in the browser
  purlside sheet back.toml front.toml sleeve.toml -o pullover.html
      the pieces of a garment in one hand-out
"""


def add_picture(parser: argparse.ArgumentParser) -> None:
    """The options of ``purlside picture``."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = PICTURE
    parser.add_argument("plan", metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--chart", action="store_true", help="the published chart instead, of the knit side")
    parser.add_argument("--side", choices=("knit", "purl"), help="which side is seen; knit by default")
    parser.add_argument("--rows", metavar="A-B", help="only these rows, as 8-16 or 8")
    parser.add_argument("-o", dest="out", metavar="FILE.svg", help="draw into this file instead")
    parser.add_argument("--force", action="store_true", help=FORCE)
    parser.add_argument("--ascii", action="store_true", help="draw with ASCII characters only")
    parser.add_argument("--describe", action="store_true", help="tell the fabric in sentences instead")


def add_sheet(parser: argparse.ArgumentParser) -> None:
    """The options of ``purlside sheet``."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = SHEET
    parser.add_argument(
        "plans", metavar="PLAN", nargs="+", help="a plan file (TOML), or one for each piece of a garment"
    )
    parser.add_argument("-o", dest="out", metavar="FILE", required=True, help="the file, .html, .md, .txt or .csv")
    parser.add_argument("--force", action="store_true", help=FORCE)
    parser.add_argument(
        "--detail",
        choices=("full", "working", "short"),
        default="full",
        help="short: two pages; working: six, to knit from; full: to learn from",
    )
    parser.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="the paper it is printed on")
    parser.add_argument(
        "--unit", choices=("cm", "inch"), default="cm", help="centimetres and grams, or inches and ounces"
    )
    parser.add_argument("--letters", action="store_true", help="the machine's own position letters beside the words")
    parser.add_argument("--cable", metavar="NAME", help="only the crossing rows of this cable")
    parser.add_argument("--row-list", action="store_true", help="add every row, with boxes to tick")
    parser.add_argument("--credit", metavar="TEXT", default="", help="whose design it is, and what may be done with it")
    parser.add_argument(
        "--with-plan", action="store_true", help="carry the plan in the page (.html): Purlside opens it from there"
    )
    parser.add_argument("--open", action="store_true", help="open the page (.html) in the browser")


def picture_command(args: argparse.Namespace) -> Exit:
    """The fabric as it will look, or the published chart: characters here, or an SVG file with -o."""
    from purlside.fabric.stitches import Fabric, Face
    from purlside.rows.working import Working

    if args.out is not None and args.describe:
        raise CommandError(
            "--describe tells sentences and -o draws: give one of them; a drawing holds them as its text"
        )
    if args.chart and (args.side is not None or args.describe):
        raise CommandError("--chart shows the knit side in symbols: give it without --side and --describe")
    if args.out is not None and _suffix(args.out) != ".svg":
        raise CommandError(f"-o: found {_shown(args.out)}; allowed: a file name that ends in .svg")
    fabric = Fabric(Working(read_plan(args.plan).plan))
    rows = rows_of(args.rows, fabric.rows)
    face, plain = Face(args.side or "knit"), args.ascii or not _draws_lines()
    if args.chart:
        from purlside.fabric.published import chart_svg, chart_text, published

        chart = published(fabric, rows if args.rows else None)
        if args.out is not None:
            return _write(args.out, [args.plan], chart_svg(chart), force=args.force)
        put((chart_text(chart, ascii_only=plain, width=_columns()), "\n"))
        return Exit.FINE
    _drawable(fabric, rows)
    if args.out is not None:
        from purlside.fabric.svg import picture_svg

        return _write(args.out, [args.plan], picture_svg(fabric, face, rows), force=args.force)
    if args.describe:
        from purlside.fabric.described import describe

        lines_out(describe(fabric, face, rows))
    else:
        from purlside.fabric.picture import picture_text

        put((picture_text(fabric, face, rows, ascii_only=plain, width=_columns()), "\n"))
    return Exit.FINE


def _drawable(fabric: Fabric, rows: tuple[int, int]) -> None:
    """Refuse a picture nobody could look at, and few machines draw."""
    from purlside.rows.calendar import Calendar

    first, last = rows
    crossings = sum(repeat.before(last + 1) - repeat.before(first) for repeat in Calendar(fabric.plan).repeats)
    if last - first + 1 > MOST_PICTURED_ROWS or crossings > MOST_PICTURED_CROSSINGS:
        raise CommandError(
            f"--rows: found {first}-{last}, {crossings:,} crossings; allowed: at most {MOST_PICTURED_ROWS:,} rows and "
            f"{MOST_PICTURED_CROSSINGS:,} crossings in one picture, as --rows 1-100"
        )


def sheet_command(args: argparse.Namespace) -> Exit:
    """The printable hand-out: .html, .md, .txt, or all rows as .csv."""
    from purlside.sheet.parts import Detail, Paper
    from purlside.sheet.whole import SUFFIXES, Wish, written
    from purlside.text.units import Unit

    suffix = _suffix(args.out)
    if suffix not in SUFFIXES:
        raise CommandError(f"-o: found {_shown(args.out)}; allowed: a file name that ends in {', '.join(SUFFIXES)}")
    if (args.open or args.with_plan) and suffix != ".html":
        raise CommandError("--open and --with-plan go with a page: let -o end in .html")
    if args.with_plan and len(args.plans) > 1:
        raise CommandError("--with-plan carries one plan; give one PLAN")
    files = [read_plan(path) for path in args.plans]
    wish = Wish(
        detail=Detail(args.detail),
        paper=Paper(args.paper),
        letters=args.letters,
        unit=Unit(unit_of(args)),
        cable=args.cable,
        row_list=args.row_list,
        credit=args.credit,
        plan=files[0].text if args.with_plan else "",
    )
    try:
        text = written([file.plan for file in files], suffix, wish)
    except ValueError as error:
        raise CommandError(str(error)) from None
    done = _write(args.out, args.plans, text, force=args.force)
    if args.open:
        from purlside.keep.browser import in_browser

        if not in_browser(args.out):
            say(f"no browser could be opened; open {_shown(args.out)} yourself")
    return done


def _suffix(path: str) -> str:
    return os.path.splitext(path)[1].lower()


def _shown(text: str) -> str:
    from purlside.text.harmless import shown

    return shown(text, 200)


def _columns() -> int:
    import shutil

    return max(40, shutil.get_terminal_size((80, 24)).columns)


def _draws_lines() -> bool:
    """Whether stdout can take more than ASCII."""
    return "utf" in (sys.stdout.encoding or "").lower()


def _write(out: str, plans: list[str], text: str, *, force: bool) -> Exit:
    from purlside.keep import results

    if any(os.path.realpath(out) == os.path.realpath(plan) for plan in plans[1:]):
        raise CommandError(f"-o: {_shown(out)} is one of the plans itself; name another file")
    try:
        results.write(out, plans[0], text, force=force)
    except results.NotOurs as error:
        raise CommandError(f"-o: {error}, or write over it with --force") from None
    except results.NotWritten as error:
        raise CommandError(f"-o: {error}") from None
    say(f"{_shown(out)} written")
    return Exit.FINE
