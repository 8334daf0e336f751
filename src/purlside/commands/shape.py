"""The command ``shape``: from numbers to a plan's tables of shaping."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from purlside.commands.parser import Kind, Option, above, flag, length, option, whole
from purlside.commands.talking import CommandError, Exit, lines_out, refusing
from purlside.text.units import length_mm

if TYPE_CHECKING:
    from purlside.figures.pieces import Heights, Piece
    from purlside.files.planfile import PlanFile
    from purlside.plan.checked import Checked
    from purlside.plan.machine import Gauge

EVEN = """\
example: purlside shape even --stitches 36 --rows 140 --do decrease --tool 3
  36 stitches decreased at both edges over 140 rows: every 3rd row 4 times, then every 4th row 32 times
"""
BODY = """\
example: purlside shape body front.toml --widths 0:50,36:50 --armhole set-in --depth 20 \\
           --shoulder 11 --slope 3 --neck round --neck-width 17 --neck-depth 8 -o front-shaped.toml
  a front 50 cm wide, 36 cm to the armhole, 20 cm from there to the shoulder's outer end
example: purlside shape body front.toml --widths 0:20in,14in:20in --armhole raglan --depth 9in \
           --neck round --neck-width 7in --neck-depth 3in
  a raglan front: its lines lead to the neck, so it needs a neck's width, and neither shoulder nor slope
lengths are in cm where no unit is named, or as 8in, 20cm
"""
SLEEVE = """\
example: purlside shape sleeve sleeve.toml --widths 0:22,44:36 --armhole 46.4
  22 cm at the cuff, 36 cm at the upper arm 44 cm up, the cap made to match armhole edges of 46.4 cm, back and front
"""


_WHOLE = whole(0, 20_000)


def _cm(text: str) -> float:
    """A length that may be none, in cm."""
    try:
        if length_mm(text) == 0:
            return 0.0
    except ValueError:
        pass  # refused with what is allowed
    return length(text) / 10


def _some_cm(text: str) -> float:
    return length(text) / 10


def _heights(text: str) -> Heights:
    """``"0:50,36:50"``."""
    from purlside.figures.pieces import heights

    try:
        return heights(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def _measure(name: str, said: str, usual: float = 0.0) -> Option:
    return option(name, type=_cm, default=usual, metavar="CM", help=said)


def _one_of(name: str, allowed: tuple[str, ...], said: str) -> Option:
    """One of these, the first where nothing is said."""
    return option(name, choices=allowed, default=allowed[0], help=said)


def _widths(upto: str) -> Option:
    said = f"widths at heights in cm, {upto}, as 0:50,36:50"
    return option("--widths", type=_heights, required=True, metavar="H:CM,…", dest="heights", help=said)


_PLAN = option("plan", metavar="PLAN", help="a plan file with the gauge, and all else that is not shape")
_TOOL = option("--tool", type=_WHOLE, default=3, metavar="N", help="edge stitches moved together (default 3)")
_OUT = option("-o", dest="out", metavar="FILE", help="write into this new file instead of printing")
_NECK_BY = "what becomes of the middle of a round one: cast off, or left to rest, for waste yarn"
_EDGE = "the armhole's edge: back and front together, of a raglan one edge"

KINDS = {
    "even": Kind(
        "so many stitches evenly over so many rows",
        option("--stitches", type=_WHOLE, required=True, metavar="N", help="stitches to change at each edge"),
        option("--rows", type=_WHOLE, required=True, metavar="N", help="rows to change them over"),
        option("--after", type=_WHOLE, default=0, metavar="ROW", help="the row before these rows (default 0)"),
        option("--edge", choices=("left", "right", "both"), default="both", help="which edge; both by default"),
        _one_of("--do", ("decrease", "increase", "cast off", "cast on", "hold"), "what is done"),
        option("--tool", type=_WHOLE, metavar="N", help="edge stitches moved together (fully fashioned)"),
        option("--part", metavar="NAME", help="only in this part"),
        flag("--every-other-row", "only every other row will do"),
        flag("--longer-first", "the longer distances first"),
        _OUT,
        example=EVEN,
    ),
    "body": Kind(
        "a back or a front, from its measures",
        _PLAN,
        _widths("to the armhole, or to the shoulder where there is none"),
        _TOOL,
        _one_of("--armhole", ("none", "set-in", "raglan"), "its kind"),
        _measure("--depth", "from there up to the shoulder's outer end; of a raglan, up to the neck"),
        _measure("--base", "cast off at a raglan's foot (default 2)", 2.0),
        _measure("--shoulder", "width of one shoulder, beside the neck; a raglan needs none"),
        _measure("--slope", "the shoulder's outer end lies so much lower; a raglan has none"),
        _one_of("--slope-by", ("short rows", "cast off"), "how it is sloped; by short rows"),
        _one_of("--neck", ("straight", "round", "V"), "its kind"),
        _one_of("--neck-by", ("cast off", "rest"), _NECK_BY),
        _measure("--neck-width", "between the shoulders; of a raglan, between its lines at the top"),
        _measure("--neck-depth", "from the shoulders' inner ends down"),
        _OUT,
        example=BODY,
    ),
    "sleeve": Kind(
        "a sleeve, its cap matched to the armhole",
        _PLAN,
        _widths("from the cuff to the upper arm"),
        _TOOL,
        _one_of("--cap", ("set-in", "raglan"), "its kind; set-in by default"),
        option("--armhole", type=_some_cm, required=True, metavar="CM", dest="edge", help=_EDGE),
        _measure("--base", "cast off at each side (default 2)", 2.0),
        _measure("--top", "width left at the top (default 8)", 8.0),
        _measure("--depth", "height of a raglan"),
        option(
            "--allowance",
            type=above(50),
            default=1.0,
            metavar="CM",
            help="how much the edges may differ (default 1)",
        ),
        _OUT,
        example=SLEEVE,
    ),
}


def run(args: argparse.Namespace) -> Exit:
    """Work out and print the tables, or write them."""
    with refusing():
        (_even if args.what == "even" else _piece)(args)
    return Exit.FINE


def _even(args: argparse.Namespace) -> None:
    from purlside.figures.shaping import evenly, placed, shapes, words

    step = 2 if args.every_other_row else 1
    changes = evenly(args.stitches, args.rows, step=step, longer_first=args.longer_first)
    keys: dict[str, Any] = {"edge": args.edge, "do": args.do}
    keys |= {"tool": args.tool or 1} if args.do in ("decrease", "increase") else {}
    keys |= {"part": args.part} if args.part else {}
    tables = _tables("shape", shapes(placed(changes, args.after), **keys))
    lines = [f"# {args.do} {words(changes) or 'nothing'}", "", *tables]
    if args.out:
        _new(args.out, "\n".join(lines))
    else:
        lines_out(lines)


def _piece(args: argparse.Namespace) -> None:
    from purlside.figures.pieces import Scale
    from purlside.files import planfile, planwriting

    file = planfile.read(args.plan)
    if file.plan.gauge is None:
        raise CommandError(f"{args.plan}: the plan has no [gauge]; knit a swatch and write it there")
    widest = max(Scale.of(file.plan.gauge).stitches(width, step=2) for _, width in args.heights)
    if widest > file.plan.machine.needles:
        raise CommandError(f"{widest} stitches are more than the {file.plan.machine.needles} needles of the bed")
    piece = _worked_out(args, file, file.plan.gauge)
    panel = replace(file.plan.panel, needles=piece.needles, rows=piece.rows)
    reminder = piece.reminders(file.plan.reminder)
    plan = replace(file.plan, panel=panel, shape=piece.shape, part=piece.part, reminder=reminder)
    told = [*_told(piece)]
    if args.out:
        with refusing(planwriting.NotSaved):
            planwriting.save(args.out, planwriting.updated(file.text, plan), None)
        lines_out(told)
        return
    lines_out(f"# {line}" for line in told)
    lines_out(["", "[panel]                 # these two keys; the rest of the table stays"])
    lines_out([f'needles = "{piece.needles}"', f"rows = {piece.rows}", ""])
    lines_out([*_tables("part", piece.part), *_tables("shape", piece.shape), *_tables("reminder", piece.markers)])


def _worked_out(args: argparse.Namespace, file: PlanFile, gauge: Gauge) -> Piece:
    from purlside.figures.body import Body, body
    from purlside.figures.sleeve import Sleeve, sleeve

    kind = Sleeve if args.what == "sleeve" else Body
    asked: Any = kind(**{field.name: getattr(args, field.name) for field in fields(kind)})
    return sleeve(asked, gauge) if args.what == "sleeve" else body(asked, gauge, file.plan.machine.side)


def _told(piece: Piece) -> Iterator[str]:
    """The shaping in words, what each measure comes to, the edge to be sewn."""
    yield f"Cast on {len(piece.needles)} stitches, {piece.needles}; {piece.rows} rows."
    for part in piece.part:
        does = f"mirrors the {part.mirrors}" if part.mirrors else f"{part.needles}, {part.rows} rows"
        yield f"Then the {part.name}: {does}."
    for line in piece.words:
        yield from textwrap.wrap(f"{line}.", 78)
    for marker in piece.markers:
        yield from textwrap.wrap(f"Before row {marker.row}: {marker.text[:1].lower()}{marker.text[1:]}.", 78)
    yield "What the measures come to in whole stitches and rows:"
    for measure in piece.measures:
        yield f"  {measure}"
    yield f"The edge sewn to another piece is {piece.edge / 10:.1f} cm long on each side."


def _tables(name: str, values: tuple[Checked, ...]) -> Iterator[str]:
    from purlside.files.edits import pairs_text
    from purlside.plan.checked import written

    for value in values:
        yield f"[[{name}]]"
        yield pairs_text(written(value))


def _new(out: str, text: str) -> None:
    """Tables in a new file, to be taken over into a plan. Raises CommandError."""
    from purlside.files.whole import write_whole

    try:
        write_whole(Path(out), text.encode(), new=True)
    except FileExistsError:
        raise CommandError(f"{out} is there already; choose another name") from None
    except OSError as error:
        raise CommandError(f"{out} cannot be written: {error.strerror or error}") from None
