"""The command ``yarn``: its options, and what it does with the yarn drawer."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.commands.parser import JSON, PLAN, Kind, above, flag, length, option, whole
from purlside.commands.talking import CommandError, Exit, json_text, lines_out, read_plan, refusing, say

if TYPE_CHECKING:
    from purlside.ease.calibration import Record
    from purlside.keep.drawer import Drawer, KeptYarn


_COUNT = whole(1, 1_000_000)


def _both(text: str) -> tuple[float, float]:
    """``13.8x14.6``, two lengths; cm unless a unit is named. In cm."""
    wide, _, long = text.lower().replace("×", "x").partition("x")
    return length(wide) / 10, length(long) / 10


NAME = option("name", metavar="NAME", help="the yarn's name")
UNSAID = "list"
KINDS = {
    "list": Kind("all your yarns (also without a word)", JSON),
    "show": Kind("one yarn", NAME),
    "keep": Kind(
        "put a yarn in, or change it",
        NAME,
        option("--fibre", metavar="FIBRE", help="wool, cotton, silk, linen, …"),
        option("--extension", type=above(200), metavar="%", help="extension at break, in percent"),
        option("--count", metavar="COUNT", help='yarn count, as "2/8 Nm", "Ne 20/2", "280 tex"'),
        option("--pitch-mm", type=above(30), metavar="MM", help="pitch of the bed its loops are measured on"),
    ),
    "swatch": Kind(
        "a swatch measured, unravelled or both",
        NAME,
        option("--size", type=float, required=True, metavar="SS", help="the stitch size it was knit at"),
        option("--stitches", type=_COUNT, required=True, metavar="N", help="stitches in a row"),
        option("--rows", type=_COUNT, default=1, metavar="N", help="rows (default 1)"),
        option("--pitch-mm", type=above(30), metavar="MM", help="pitch of the bed it was knit on"),
        option("--measures", type=_both, metavar="WxL", help="width and length before washing, as 13.8x14.6"),
        option("--washed", type=_both, metavar="WxL", help="width and length washed and dried, as 13.4x14.2"),
        option("--length-cm", type=above(1e6), metavar="CM", help="yarn that stitches and rows gave, unravelled"),
        option("--take-in", type=above(2), metavar="PART", help="a cable's width over its width knit plain"),
        option("--date", metavar="DATE", help="when it was measured (default: today)"),
        option("--note", metavar="TEXT", help="a line to remember it by"),
    ),
    "crossing": Kind(
        "how a crossing went: the yarn's reach limit learns from it",
        NAME,
        option("--went", required=True, choices=["easy", "firm", "tight", "broke"], help="how it went"),
        option("--plan", metavar="PLAN", help="the plan it was knit from"),
        option("--cable", metavar="NAME", help="the plan's cable"),
        option("--reach", type=above(20), metavar="R", help="its reach, instead of a plan and cable"),
        option("--note", metavar="TEXT", default="", help="a line to remember it by"),
    ),
    "use": Kind(
        "what a swatch and the crossings of this yarn would change in a plan",
        NAME,
        PLAN,
        option("--swatch", type=_COUNT, metavar="N", help="the swatch whose numbers are taken"),
        flag("--write", "write it into the plan (default: only show it)"),
    ),
    "remove": Kind(
        "take a yarn out", NAME, option("--swatch", type=_COUNT, metavar="N", help="only this swatch of it")
    ),
}


def run(args: argparse.Namespace) -> Exit:
    """Do it, and print what came of it."""
    lines_out(lines(args))
    return Exit.FINE


def lines(args: argparse.Namespace) -> Iterator[str]:
    """What ``purlside yarn`` does and prints. Raises CommandError, OSError, and Refused for a plan that cannot be read."""
    from purlside.figures.text import wrapped
    from purlside.keep import drawer, drawer_text
    from purlside.plan.problems import Unfit

    if mended := drawer.mend():
        say(mended)
    with refusing(Unfit):
        if args.what == "list":
            kept = drawer.read()
            if getattr(args, "json", False):
                yield json_text(drawer_text.as_json(kept))
            else:
                yield from drawer_text.listed(kept)
        elif args.what == "remove" and args.swatch is not None:
            drawer.change(lambda kept: kept.without_swatch(args.name, args.swatch))
            yield f"swatch {args.swatch} of {args.name} is taken out"
        elif args.what == "remove":
            drawer.change(lambda kept: kept.without(args.name))
            yield f"{args.name} is taken out"
        elif args.what == "use":
            yield from _use(args)
        else:
            if args.what != "show":
                drawer.change({"keep": _keep, "swatch": _swatch, "crossing": _crossing}[args.what](args))
            yield from wrapped(drawer_text.yarn_lines(drawer.read().find(args.name)))


def _use(args: argparse.Namespace) -> Iterator[str]:
    from purlside.keep import drawer, intoplan

    kept = drawer.read()
    yarn = kept.find(args.name)
    plan = read_plan(args.plan).plan
    if args.swatch is not None and args.swatch > len(yarn.swatch):
        raise CommandError(f"--swatch: found {args.swatch}; allowed: a swatch of {yarn.name}, 1 to {len(yarn.swatch)}")
    limit = drawer.offered(replace(plan, yarn=replace(plan.yarn, name=yarn.name)), kept)
    with refusing():
        found = intoplan.into_plan(plan, yarn, None if args.swatch is None else yarn.swatch[args.swatch - 1], limit)
    if found is None:
        yield "nothing to write: the plan says so already"
        return
    yield from found.told
    if not args.write:
        yield "not written; add --write to take it over"
        return
    with refusing(intoplan.NotWrittenIn):
        intoplan.write_into(Path(args.plan), found.change)
    yield f"written into {args.plan}"


def _keep(args: argparse.Namespace) -> Callable[[Drawer], Drawer]:
    from purlside.keep.drawer import changed, new_yarn

    given = {
        "fibre": args.fibre,
        "extension_at_break": None if args.extension is None else args.extension / 100,
        "count": args.count,
        "pitch_mm": args.pitch_mm,
    }
    values = {key: value for key, value in given.items() if value is not None}
    if "count" in values:
        values["tex"] = None

    def how(kept: Drawer) -> Drawer:
        known = [yarn for yarn in kept.yarn if yarn.name.casefold() == args.name.casefold()]
        return kept.with_yarn(changed(known[0], **values) if known else new_yarn(name=args.name, **values))

    return how


def _swatch(args: argparse.Namespace) -> Callable[[Drawer], Drawer]:
    from purlside.ease.loops import loop_from_unravelled
    from purlside.keep.swatches import today

    if not 0 <= args.size <= 100:
        raise CommandError(f"--size: found {args.size:g}; allowed: a size on the dial, 0 to 100")
    if args.length_cm is None and args.measures is None and args.washed is None and args.take_in is None:
        raise CommandError("give what was measured: --measures, --washed, --length-cm or --take-in")
    unravelled = args.length_cm
    values = {
        "stitch_size": args.size,
        "pitch_mm": args.pitch_mm,
        "stitches": args.stitches,
        "rows": args.rows,
        "width_cm": args.measures and args.measures[0],
        "length_cm": args.measures and args.measures[1],
        "washed_width_cm": args.washed and args.washed[0],
        "washed_length_cm": args.washed and args.washed[1],
        "loop_mm": unravelled and round(loop_from_unravelled(unravelled * 10, args.stitches, args.rows), 3),
        "cable_take_in": args.take_in,
        "date": args.date or today(),
        "note": args.note,
    }
    given = {key: value for key, value in values.items() if value is not None}
    return lambda kept: kept.swatched(args.name, **given)


def _crossing(args: argparse.Namespace) -> Callable[[Drawer], Drawer]:
    if (args.reach is None) == (args.plan is None):
        raise CommandError("give either --plan with --cable, or --reach")
    return lambda kept: kept.crossed(args.name, _record(args, kept.find(args.name)))


def _record(args: argparse.Namespace, yarn: KeptYarn) -> Record:
    from purlside.ease.calibration import Outcome, Record

    if args.reach is not None:
        return Record(args.reach, Outcome(args.went), args.note)
    from purlside.ease.reach import choose, made_with
    from purlside.keep import drawer

    plan = read_plan(args.plan).plan
    alone = args.cable is None and len(plan.cable) == 1
    named = [cable for cable in plan.cable if alone or cable.name == args.cable]
    if not named:
        known = ", ".join(cable.name for cable in plan.cable) or "none, the plan has no cable"
        raise CommandError(f"--cable: found {args.cable or 'nothing'}; allowed: {known}")
    crossing = named[0].crossings[0]
    size = plan.panel.stitch_size
    # Eased as the plan has it, which is how it was knit; measured by the loops known of the yarn.
    made = made_with(drawer.in_plan(plan, yarn)[0], crossing, size, choose(plan, named[0], crossing, size))
    return Record(round(made.ratio, 4), Outcome(args.went), args.note or f"{crossing.words}, {made.technique}")
