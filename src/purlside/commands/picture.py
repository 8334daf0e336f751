"""The command ``picture``: a plan's fabric drawn."""

from __future__ import annotations

import argparse
import shutil
import sys
from typing import TYPE_CHECKING

from purlside.commands.parser import FORCE, PLAN, ROWS, flag, option
from purlside.commands.talking import (
    CommandError,
    Exit,
    lines_out,
    named,
    put,
    read_plan,
    rows_of,
    suffix_of,
    write_result,
)

if TYPE_CHECKING:
    from purlside.fabric.stitches import Fabric

MOST_PICTURED_ROWS = 5000
MOST_PICTURED_CROSSINGS = 30_000
"""What one picture holds. Limits of ours: a drawing of more is too fine to print and slow to open."""

EXAMPLE = """\
examples:
  purlside picture scarf.toml --rows 1-40 -o scarf.svg
      as it will look, on paper
  purlside picture scarf.toml --chart -o scarf-chart.svg
      the published chart: standard symbols, key, the repeat framed
"""


OPTIONS = [
    PLAN,
    flag("--chart", "the published chart instead, of the knit side"),
    option("--side", choices=("knit", "purl"), help="which side is seen; knit by default"),
    ROWS,
    option("-o", dest="out", metavar="FILE.svg", help="draw into this file instead"),
    FORCE,
    flag("--ascii", "draw with ASCII characters only"),
    flag("--describe", "tell the fabric in sentences instead"),
]


def run(args: argparse.Namespace) -> Exit:
    """The fabric as it will look, or the published chart: characters here, or an SVG file with -o."""
    from purlside.fabric.stitches import Fabric, Face
    from purlside.rows.working import Working

    if args.out is not None and args.describe:
        raise CommandError(
            "--describe tells sentences and -o draws: give one of them; a drawing holds them as its text"
        )
    if args.chart and (args.side is not None or args.describe):
        raise CommandError("--chart shows the knit side in symbols: give it without --side and --describe")
    if args.out is not None and suffix_of(args.out) != ".svg":
        raise CommandError(f"-o: found {named(args.out)}; allowed: a file name that ends in .svg")
    fabric = Fabric(Working(read_plan(args.plan).plan))
    rows = rows_of(args.rows, fabric.rows)
    face, plain = Face(args.side or "knit"), args.ascii or not _draws_lines()
    if args.chart:
        from purlside.fabric.published import chart_svg, chart_text, published

        chart = published(fabric, rows if args.rows else None)
        if args.out is not None:
            return write_result(args.out, [args.plan], chart_svg(chart), force=args.force)
        put((chart_text(chart, ascii_only=plain, width=_columns()), "\n"))
        return Exit.FINE
    _drawable(fabric, rows)
    if args.out is not None:
        from purlside.fabric.svg import picture_svg

        return write_result(args.out, [args.plan], picture_svg(fabric, face, rows), force=args.force)
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


def _columns() -> int:
    return max(40, shutil.get_terminal_size((80, 24)).columns)


def _draws_lines() -> bool:
    """Whether stdout can take more than ASCII."""
    return "utf" in (sys.stdout.encoding or "").lower()
