"""The command ``shape``: from numbers to a plan's tables of shaping."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from purlside.commands.parser import above, whole
from purlside.commands.talking import CommandError, Exit, lines_out

if TYPE_CHECKING:
    from purlside.figures.pieces import Heights, Piece
    from purlside.files.planfile import PlanFile
    from purlside.plan.checked import Checked

EVEN = """\
example: purlside shape even --stitches 36 --rows 140 --do decrease --tool 3
  36 stitches decreased at both edges over 140 rows: every 3rd row 4 times, then every 4th row 32 times
"""
BODY = """\
example: purlside shape body front.toml --widths 0:50,36:50 --armhole set-in --depth 20 \\
           --shoulder 11 --slope 3 --neck round --neck-width 17 --neck-depth 8 -o front-shaped.toml
  a front 50 cm wide, 36 cm to the armhole, 20 cm from there to the shoulder's outer end
"""
SLEEVE = """\
example: purlside shape sleeve sleeve.toml --widths 0:22,44:36 --armhole 46.4
  22 cm at the cuff, 36 cm at the upper arm 44 cm up, the cap made to match armhole edges of 46.4 cm, back and front
"""


_WHOLE = whole(0, 20_000)


def _cm(text: str) -> float:
    """A length that may be none."""
    return 0.0 if text in ("0", "0.0") else above(2000)(text)


def _heights(text: str) -> Heights:
    """``"0:50,36:50"``."""
    from purlside.figures.pieces import heights

    try:
        return heights(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def add(parser: argparse.ArgumentParser) -> None:
    """The options of ``purlside shape``."""
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    kinds = {
        "even": (_add_even, "so many stitches evenly over so many rows", EVEN),
        "body": (_add_body, "a back or a front, from its measures", BODY),
        "sleeve": (_add_sleeve, "a sleeve, its cap matched to the armhole", SLEEVE),
    }
    for name, (add_kind, help_text, example) in kinds.items():
        one = what.add_parser(
            name, help=help_text, description=f"{help_text[0].upper()}{help_text[1:]}.", epilog=example,
            formatter_class=argparse.RawDescriptionHelpFormatter, allow_abbrev=False,
        )  # fmt: skip
        add_kind(one)
        one.add_argument("-o", dest="out", metavar="FILE", help="write into this new file instead of printing")


def _add_even(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--stitches", type=_WHOLE, required=True, metavar="N", help="stitches to change at each edge")
    parser.add_argument("--rows", type=_WHOLE, required=True, metavar="N", help="rows to change them over")
    parser.add_argument("--after", type=_WHOLE, default=0, metavar="ROW", help="the row before these rows (default 0)")
    parser.add_argument("--edge", choices=("left", "right", "both"), default="both", help="which edge; both by default")
    parser.add_argument(
        "--do", choices=("decrease", "increase", "cast off", "cast on", "hold"), default="decrease", help="what is done"
    )
    parser.add_argument("--tool", type=_WHOLE, metavar="N", help="edge stitches moved together (fully fashioned)")
    parser.add_argument("--part", metavar="NAME", help="only in this part")
    parser.add_argument("--every-other-row", action="store_true", help="only every other row will do")
    parser.add_argument("--longer-first", action="store_true", help="the longer distances first")


def _add_body(parser: argparse.ArgumentParser) -> None:
    _add_piece(parser, "to the armhole, or to the shoulder where there is none")
    parser.add_argument("--armhole", choices=("none", "set-in", "raglan"), default="none", help="its kind")
    parser.add_argument(
        "--depth", type=_cm, default=0.0, metavar="CM", help="from there up to the shoulder's outer end"
    )
    parser.add_argument("--base", type=_cm, default=2.0, metavar="CM", help="cast off at a raglan's foot (default 2)")
    parser.add_argument(
        "--shoulder", type=_cm, default=0.0, metavar="CM", help="width of one shoulder, beside the neck"
    )
    parser.add_argument(
        "--slope", type=_cm, default=0.0, metavar="CM", help="the shoulder's outer end lies so much lower"
    )
    parser.add_argument(
        "--slope-by", choices=("short rows", "cast off"), default="short rows", help="how it is sloped; by short rows"
    )
    parser.add_argument("--neck", choices=("straight", "round", "V"), default="straight", help="its kind")
    parser.add_argument(
        "--neck-by",
        choices=("cast off", "rest"),
        default="cast off",
        help="what becomes of the middle of a round one: cast off, or left to rest, for waste yarn",
    )
    parser.add_argument("--neck-width", type=_cm, default=0.0, metavar="CM", help="between the shoulders")
    parser.add_argument("--neck-depth", type=_cm, default=0.0, metavar="CM", help="from the shoulders' inner ends down")


def _add_sleeve(parser: argparse.ArgumentParser) -> None:
    _add_piece(parser, "from the cuff to the upper arm")
    parser.add_argument("--cap", choices=("set-in", "raglan"), default="set-in", help="its kind; set-in by default")
    parser.add_argument(
        "--armhole", type=above(2000), required=True, metavar="CM",
        help="the armhole's edge: back and front together, of a raglan one edge",
    )  # fmt: skip
    parser.add_argument("--base", type=_cm, default=2.0, metavar="CM", help="cast off at each side (default 2)")
    parser.add_argument("--top", type=_cm, default=8.0, metavar="CM", help="width left at the top (default 8)")
    parser.add_argument("--depth", type=_cm, default=0.0, metavar="CM", help="height of a raglan")
    parser.add_argument(
        "--allowance", type=above(50), default=1.0, metavar="CM", help="how much the edges may differ (default 1)"
    )


def _add_piece(parser: argparse.ArgumentParser, upto: str) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan file with the gauge, and all else that is not shape")
    parser.add_argument(
        "--widths",
        type=_heights,
        required=True,
        metavar="H:CM,…",
        help=f"widths at heights in cm, {upto}, as 0:50,36:50",
    )
    parser.add_argument("--tool", type=_WHOLE, default=3, metavar="N", help="edge stitches moved together (default 3)")


def run(args: argparse.Namespace) -> Exit:
    """Work out shaping from measures or numbers, as a plan's tables."""
    try:
        if args.what == "even":
            _even(args)
        else:
            _piece(args)
    except ValueError as error:
        raise CommandError(str(error)) from None
    return Exit.FINE


def _even(args: argparse.Namespace) -> None:
    from purlside.figures.shaping import evenly, placed, shapes, words

    step = 2 if args.every_other_row else 1
    changes = evenly(args.stitches, args.rows, step=step, longer_first=args.longer_first)
    keys: dict[str, Any] = {"edge": args.edge, "do": args.do}
    keys |= {"tool": args.tool or 1} if args.do in ("decrease", "increase") else {}
    keys |= {"part": args.part} if args.part else {}
    lines = [
        f"# {args.do} {words(changes) or 'nothing'}",
        "",
        *_tables("shape", shapes(placed(changes, args.after), **keys)),
    ]
    if args.out:
        _new(args.out, "\n".join(lines))
    else:
        lines_out(lines)


def _piece(args: argparse.Namespace) -> None:
    from purlside.figures.pieces import Scale
    from purlside.files import planfile
    from purlside.files.planwriting import updated

    file = planfile.read(args.plan)
    if file.plan.gauge is None:
        raise CommandError(f"{args.plan}: the plan has no [gauge]; knit a swatch and write it there")
    widest = max(Scale.of(file.plan.gauge).stitches(width, step=2) for _, width in args.widths)
    if widest > file.plan.machine.needles:
        raise CommandError(f"{widest} stitches are more than the {file.plan.machine.needles} needles of the bed")
    piece = _worked_out(args, file)
    panel = replace(file.plan.panel, needles=piece.needles, rows=piece.rows)
    plan = replace(file.plan, panel=panel, shape=piece.shape, part=piece.part)
    told = [*_told(piece)]
    if args.out:
        _save(args.out, updated(file.text, plan))
        lines_out(told)
        return
    lines_out(
        [
            *(f"# {line}" for line in told),
            "",
            "[panel]                 # these two keys; the rest of the table stays",
            f'needles = "{piece.needles}"',
            f"rows = {piece.rows}",
            "",
            *_tables("part", piece.part),
            *_tables("shape", piece.shape),
        ]
    )


def _worked_out(args: argparse.Namespace, file: PlanFile) -> Piece:
    gauge = file.plan.gauge
    assert gauge is not None
    if args.what == "sleeve":
        from purlside.figures.sleeve import Sleeve, sleeve

        return sleeve(
            Sleeve(
                heights=args.widths, cap=args.cap, edge=args.armhole, base=args.base, top=args.top,
                depth=args.depth, allowance=args.allowance, tool=args.tool,
            ),
            gauge,
        )  # fmt: skip
    from purlside.figures.body import Body, body

    return body(
        Body(
            heights=args.widths, armhole=args.armhole, depth=args.depth, base=args.base, shoulder=args.shoulder,
            slope=args.slope, slope_by=args.slope_by, neck=args.neck, neck_width=args.neck_width,
            neck_depth=args.neck_depth, neck_by=args.neck_by, tool=args.tool,
        ),
        gauge,
        file.plan.machine.side,
    )  # fmt: skip


def _told(piece: Piece) -> Iterator[str]:
    """The shaping in words, what each measure comes to, the edge to be sewn."""
    yield f"Cast on {len(piece.needles)} stitches, {piece.needles}; {piece.rows} rows."
    for part in piece.part:
        does = f"mirrors the {part.mirrors}" if part.mirrors else f"{part.needles}, {part.rows} rows"
        yield f"Then the {part.name}: {does}."
    for line in piece.words:
        yield from textwrap.wrap(f"{line}.", 78)
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


def _save(out: str, text: str) -> None:
    from purlside.files import planwriting

    try:
        planwriting.save(Path(out), text, None)
    except planwriting.NotSaved as error:
        raise CommandError(str(error)) from None
