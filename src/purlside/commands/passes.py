"""The command ``passes``: the moves of each row, as text or as the outside contract's JSON."""

from __future__ import annotations

import argparse

from purlside.commands.parser import PLAN, ROWS, flag
from purlside.commands.talking import Exit, lines_out, put, read_plan, rows_of

OPTIONS = [
    PLAN,
    ROWS,
    flag("--json", "one JSON document instead of text, for other programs"),
    flag("--bed", "add the bed after each move"),
]


def run(args: argparse.Namespace) -> Exit:
    """Write the passes out. Raises CommandError, Refused."""
    from purlside.rows.calendar import Calendar
    from purlside.rows.working import Working
    from purlside.shown import passes as written

    calendar = Calendar(read_plan(args.plan).plan)
    numbers, working = calendar.numbers(*rows_of(args.rows, calendar.end)), Working(calendar)
    if args.json:
        put(written.as_json(working, numbers, bed=args.bed))
    else:
        lines_out(written.as_text(working, numbers, bed=args.bed))
    return Exit.FINE
