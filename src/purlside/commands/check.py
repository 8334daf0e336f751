"""The command ``check``: plans read and simulated, their faults and advice listed."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from purlside.commands.parser import PLANS
from purlside.commands.talking import CommandError, Exit, named, say
from purlside.text.counts import counted

if TYPE_CHECKING:
    from purlside.files.planfile import PlanFile


OPTIONS = [PLANS]


def run(args: argparse.Namespace) -> Exit:
    """Check one plan, or several: all are checked, and the worst decides the exit code. Raises Refused for a single one."""
    from purlside.files import planfile

    if len(args.plans) == 1:
        return _checked(planfile.read(args.plans[0]))
    codes = []
    for path in args.plans:
        try:
            codes.append(_checked(planfile.read(path)))
        except (planfile.Refused, CommandError) as refused:
            say(str(refused))
            codes.append(Exit.UNREADABLE)
    return max(codes)


def _checked(file: PlanFile) -> Exit:
    from purlside.figures import whole as figures
    from purlside.rows.calendar import Calendar
    from purlside.rows.working import Working

    faults = [str(fault) for fault in file.faults()]
    calendar = Calendar(file.plan)
    working = Working(calendar)
    if not faults:
        faults = [f"{named(str(file.path))}: {fault}" for fault in working.simulate()]
    reached = [] if faults else figures.advice(file.plan)
    for advice in (*file.advice(), *map(file.placed, reached)):
        print(f"advice: {advice}")
    for fault in faults:
        say(str(fault))
    if faults:
        say(f"{counted(len(faults), 'fault')}: this plan cannot be knit as it is.")
        return Exit.FAULTS
    crossing = sum(tally.count for tally in calendar.kinds().values() if tally.row.crossed)
    parts = "".join(f", {s.rows:,} of the {s.part}" for s in calendar.segments[1:])
    print(
        f"{file.plan.title}: {file.plan.panel.rows:,} rows on {len(file.plan.in_work)} needles{parts}, "
        f"{crossing:,} of them crossing rows; every kind of row was knit on the simulated bed without a fault."
    )
    return Exit.FINE
