"""The command ``figures``: its options, and the lines it prints."""

from __future__ import annotations

import argparse
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.commands.parser import JSON, PLANS, UNIT, above, length, option, unit_of
from purlside.commands.talking import Exit, json_text, lines_out, read_plan, refusing, say

if TYPE_CHECKING:
    from purlside.figures.whole import Figures, FiguresAsked
    from purlside.plan.plan import Plan


def _percent(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not 0 <= value <= 1000:
        raise argparse.ArgumentTypeError(f"found {text}; allowed: a percentage, 0 to 1000")
    return value


OPTIONS = [
    PLANS,
    JSON,
    option("--width-cm", type=length, metavar="CM", help="needles for this finished width; also 8.5in"),
    option("--length-cm", type=length, metavar="CM", help="rows for this finished length; also 60in"),
    UNIT,
    option(
        "--take-in", type=above(1), metavar="PART", help="cable's width over its width knit plain, from your swatch"
    ),
    option("--margin", type=_percent, metavar="%", help="yarn added, in percent (default 10)"),
    option(
        "--row-seconds",
        type=above(86_400),
        metavar="S",
        help="your time for a plain row (default: from the plan's ledger)",
    ),
    option("--crossing-seconds", type=above(86_400), metavar="S", help="your time for a crossing row"),
    option("--yarn", metavar="NAME", help="knit it with this one of your yarns"),
]


def run(args: argparse.Namespace) -> Exit:
    """Read the plans and print their figures."""
    lines_out(lines([read_plan(path).plan for path in args.plans], args))
    return Exit.FINE


def lines(pieces: Sequence[Plan], args: argparse.Namespace) -> Iterator[str]:
    """What ``purlside figures`` prints for plans without faults. Raises CommandError, OSError."""
    from purlside.figures import json as figures_json
    from purlside.figures import text as figures_text
    from purlside.figures.whole import together
    from purlside.text.units import Unit

    worked = [_worked_out(plan, path, args) for plan, path in zip(pieces, args.plans, strict=True)]
    summed = together([found for found, _ in worked]) if len(worked) > 1 else None
    if args.json:
        listed = [{**figures_json.as_json(found), "said": list(said)} for found, said in worked]
        told = listed[0] if summed is None else {"plans": listed, "together": figures_json.summed(summed)}
        yield json_text(told)
        return
    unit = Unit(unit_of(args))
    # A piece knit twice is told once, and counts twice.
    for (found, said), often in Counter(worked).items():
        yield from figures_text.wrapped(said)
        yield from figures_text.lines(found, unit, often)
        if summed is not None:
            yield ""
    if summed is not None:
        yield from figures_text.wrapped(figures_text.summed(summed, unit))


def _worked_out(plan: Plan, path: str, args: argparse.Namespace) -> tuple[Figures, tuple[str, ...]]:
    """The figures of one plan, and what is to be said about its yarn."""
    from purlside.figures.whole import figures
    from purlside.keep import drawer

    if mended := drawer.mend():
        say(mended)
    with refusing():
        if args.yarn is None:
            said = drawer.known(plan)
        else:
            plan, said = drawer.in_plan(plan, drawer.read().find(args.yarn))
        return figures(plan, _asked(path, args)), said


def _asked(path: str, args: argparse.Namespace) -> FiguresAsked:
    from purlside.figures.sizing import MARGIN
    from purlside.figures.whole import FiguresAsked
    from purlside.keep.resuming import own_timings

    own = own_timings(Path(path))
    return FiguresAsked(
        timings=replace(own, row=args.row_seconds or own.row, crossing_row=args.crossing_seconds or own.crossing_row),
        take_in=args.take_in,
        margin=MARGIN if args.margin is None else args.margin / 100,
        width_mm=args.width_cm,
        length_mm=args.length_cm,
    )
