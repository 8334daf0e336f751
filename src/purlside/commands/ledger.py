"""The command ``ledger``: its options, and the lines it prints."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from purlside.commands.parser import PLAN, option
from purlside.commands.talking import CommandError, Exit, lines_out, named

FORMS = {"text": "plain text (as it is without this)", "markdown": "Markdown tables", "csv": "one line a step"}


OPTIONS = [
    PLAN,
    [
        option(f"--{name}", action="store_const", dest="form", const=name, default="text", help=said)
        for name, said in FORMS.items()
    ],
]


def run(args: argparse.Namespace) -> Exit:
    """Print the ledger."""
    lines_out(_lines(args))
    return Exit.FINE


def _lines(args: argparse.Namespace) -> Iterator[str]:
    """What the command prints, of a plan since removed too. Raises OSError, and CommandError where nothing was knit."""
    from purlside.keep import ledger_text, panels
    from purlside.keep.events import Opened
    from purlside.keep.ledger import entries
    from purlside.keep.ledger_text import lines, times

    plan = Path(args.plan)
    path = panels.of(plan).ledger
    if not path.exists():
        found = f"{named(args.plan)}: found no ledger"
        if not plan.is_file():
            raise CommandError(f"{found} and no plan; allowed: a plan that is or was knit from this place")
        raise CommandError(f"{found}; allowed: a plan that was opened; open it with: purlside {named(args.plan)}")
    if args.form == "csv":
        yield from ledger_text.as_csv(lines(entries(path)))
        return
    title = next((e.event.title for e in entries(path) if isinstance(e.event, Opened) and e.event.title), plan.name)
    write = ledger_text.as_markdown if args.form == "markdown" else ledger_text.as_text
    yield from write(title, times(lines(entries(path))), lines(entries(path)))
