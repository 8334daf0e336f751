"""The command ``refit``: the same design for another machine, yarn, gauge or tools."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from purlside.commands.talking import CommandError, Exit, lines_out, read_plan, say, write_plan

if TYPE_CHECKING:
    from purlside.draft.refit import RefitFor
    from purlside.plan.plan import Plan, Tools

T = TypeVar("T")

EXAMPLE = """\
example:
  purlside refit scarf.toml --pitch "9 mm, 110 needles" --yarn "wool 1000 tex, SS 4"
      --gauge "14 st and 20 rows in 10 cm" --tools "2, 3, 3" -o chunky.toml
      lays the design again for a chunky machine, and shows all that changed side by side
"""


def add_refit(parser: argparse.ArgumentParser) -> None:
    """The options of ``purlside refit``."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = EXAMPLE
    parser.add_argument("plan", metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("--pitch", metavar="MM", help="needle pitch, and the needles of the bed if they are others")
    parser.add_argument("--yarn", metavar="YARN", help='as on the band, with the stitch size: "wool 2/8 Nm, SS 5"')
    parser.add_argument("--gauge", metavar="GAUGE", help='from a swatch: "14 st and 20 rows in 10 cm"')
    parser.add_argument("--tools", metavar="PRONGS", help='prongs of each transfer tool: "2, 3, 3"')
    parser.add_argument("-o", dest="out", metavar="FILE", help="write the new plan into this file")


def refit_command(args: argparse.Namespace) -> Exit:
    """Lay the plan again, show what changed, write it. Raises CommandError, Refused."""
    from purlside.draft.refit import CannotRefit, refit, side_by_side
    from purlside.files.planwriting import new

    plan = read_plan(args.plan).plan
    try:
        made = refit(plan, asked_of(plan, args.pitch, args.yarn, args.gauge, args.tools))
    except CannotRefit as error:
        raise CommandError(str(error), Exit.FAULTS) from None
    except ValueError as error:
        raise CommandError(str(error)) from None
    lines_out(side_by_side(made.changes))
    for words in made.said:
        say(words)
    if args.out is not None:
        write_plan(args.out, new(made.plan))
    return Exit.FINE


def asked_of(plan: Plan, pitch: str | None, yarn: str | None, gauge: str | None, tools: str | None) -> RefitFor:
    """What was typed, read. Raises ValueError, in words, for what cannot be, and where nothing is asked."""
    from dataclasses import replace

    from purlside.draft.beginning import machine_of
    from purlside.draft.hearing import gauge_of, yarn_of
    from purlside.draft.refit import RefitFor

    if not any((pitch, yarn, gauge, tools)):
        raise ValueError("say what is to be another: --pitch, --yarn, --gauge or --tools")
    machine, heard = None, None
    if pitch:
        other = _named("--pitch", machine_of, pitch)
        machine = replace(plan.machine, pitch_mm=other.pitch_mm, needles=other.needles, counter_trip=None)
    if yarn:
        heard = _named("--yarn", yarn_of, yarn)
    return RefitFor(
        machine=machine,
        yarn=heard.yarn if heard else None,
        stitch_size=heard.size if heard else None,
        gauge=_named("--gauge", gauge_of, gauge) if gauge else None,
        tools=_named("--tools", _tools, tools) if tools else None,
    )


def _tools(text: str) -> Tools:
    from purlside.plan.plan import Tools

    prongs = re.findall(r"\d+", text)
    if not prongs or re.sub(r"[\d\s,]|prongs?", "", text):
        raise ValueError('the prongs of each tool, as "2, 3, 3"')
    return Tools(prongs=tuple(map(int, prongs)))


def _named(option: str, read: Callable[[str], T], text: str) -> T:
    try:
        return read(text)
    except ValueError as error:
        raise ValueError(f"{option}: {error}") from None
