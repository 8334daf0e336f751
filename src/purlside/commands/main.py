"""The command line, thin: reads the arguments, asks the engine, prints.

Each command imports what it needs when it runs; only opening the app imports Textual.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.commands import streams
from purlside.commands.apart import apart
from purlside.commands.talking import CommandError, Exit, lines_out, put, read_plan, rows_of, say

if TYPE_CHECKING:
    import argparse

    from purlside.files.planfile import PlanFile
    from purlside.keep.settings import SettingsFound


def check(args: argparse.Namespace) -> Exit:
    """Read and simulate the whole plan, or several; list faults and advice."""
    from purlside.commands.check import check_command

    return check_command(args.plans)


def passes(args: argparse.Namespace) -> Exit:
    """Write out the moves of each row."""
    from purlside.rows.calendar import Calendar
    from purlside.rows.working import Working
    from purlside.shown import passes as written

    file = read_plan(args.plan)
    calendar = Calendar(file.plan)
    numbers = calendar.numbers(*rows_of(args.rows, calendar.end))
    working = Working(calendar)
    if args.json:
        put(written.as_json(working, numbers, bed=args.bed))
    else:
        lines_out(written.as_text(working, numbers, bed=args.bed))
    return Exit.FINE


def figures(args: argparse.Namespace) -> Exit:
    """Size, yarn, time, tools, and the reach of each crossing."""
    from purlside.commands.figures import figures_lines

    lines_out(figures_lines([read_plan(path).plan for path in args.plans], args))
    return Exit.FINE


def yarn(args: argparse.Namespace) -> Exit:
    """The yarn drawer: keep yarns, swatches, how crossings went."""
    from purlside.commands.yarn import yarn_lines

    lines_out(yarn_lines(args))
    return Exit.FINE


def ledger(args: argparse.Namespace) -> Exit:
    """What was done, when, and how long it took."""
    from purlside.commands.ledger import ledger_lines

    lines_out(ledger_lines(args))
    return Exit.FINE


def read(args: argparse.Namespace) -> Exit:
    """Read a written pattern as a plan; or write a plan's rows out as a pattern."""
    from purlside.commands.read import read_command

    return read_command(args)


def mirror(args: argparse.Namespace) -> Exit:
    """A plan in the mirror, written as a plan of its own."""
    from purlside.commands.mirror import mirror_command

    return mirror_command(args)


def _add_mirror(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.mirror import add_mirror

    add_mirror(parser)


def refit(args: argparse.Namespace) -> Exit:
    """The same design for another machine, yarn, gauge or tools."""
    from purlside.commands.refit import refit_command

    return refit_command(args)


def _add_refit(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.refit import add_refit

    add_refit(parser)


def _add_read(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.read import add_read

    add_read(parser)


def shape(args: argparse.Namespace) -> Exit:
    """Work out shaping from measures or numbers, as a plan's tables."""
    from purlside.commands.shape import shape_command

    return shape_command(args)


def _add_shape(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.shape import add_shape

    add_shape(parser)


def _add_ledger(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.ledger import add_ledger

    add_ledger(parser)


def _add_figures(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.figures import add_figures

    add_figures(parser)


def _add_yarn(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.yarn import add_yarn

    add_yarn(parser)


def picture(args: argparse.Namespace) -> Exit:
    """The fabric as it will look, or the published chart: characters here, or an SVG file with -o."""
    from purlside.commands.printing import picture_command

    return picture_command(args)


def sheet(args: argparse.Namespace) -> Exit:
    """The printable hand-out: .html, .md, .txt, or all rows as .csv."""
    from purlside.commands.printing import sheet_command

    return sheet_command(args)


def _add_picture(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.printing import add_picture

    add_picture(parser)


def _add_sheet(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.printing import add_sheet

    add_sheet(parser)


def open_app(plan: str | None) -> int:
    """Open the app, on the shelf or on a plan where it was left. Gives its exit code, 128 + n after signal n."""
    if not (sys.stdin and sys.stdin.isatty() and sys.stdout.isatty()):
        raise CommandError("the screen needs a terminal; without one, use: purlside check PLAN, purlside passes PLAN")
    if os.environ.get("TERM", "") in ("", "dumb"):
        raise CommandError(
            "this terminal (TERM is empty or dumb) cannot draw the screen; use: purlside passes PLAN, "
            "or set TERM to your terminal's own name"
        )
    # Opening makes much and throws away little: looking for what can be freed would only hold up the first picture.
    gc.disable()
    # pydantic and its reading take as long as a third of Textual, and a process that has read needs neither again.
    read = apart(lambda: _opening(plan))
    streams.draw_on_the_terminal()
    from purlside.app.app import run

    return run(*read())


def _opening(plan: str | None) -> tuple[PlanFile | None, SettingsFound]:
    """What the app is opened with. Raises Refused, CommandError."""
    from purlside.files.planfile import Refused
    from purlside.keep import settings
    from purlside.keep.knitfrom import as_knit, opened_as_knit

    if plan is not None and plan.lower().endswith(".html"):
        raise CommandError(f"{plan} is a page; if it carries a plan, take it out: purlside read {plan} -o PLAN.toml")
    found = settings.load()
    if plan is None:
        return None, found
    try:
        return read_plan(plan), found
    except Refused as refused:
        error: Exception = refused
        why = str(refused.refusals[0].problem)
    except CommandError as faults:
        error, why = faults, str(faults).splitlines()[0].partition(": ")[2]
    if (knit := as_knit(Path(plan))) is None:
        raise error
    said = opened_as_knit(knit.path, why)
    return knit, replace(found, said=f"{said}. {found.said}" if found.said else said)


def _plan(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("plan", metavar="PLAN", help="a plan file (TOML)")


def _plans(parser: argparse.ArgumentParser) -> None:
    from purlside.commands.parser import plans

    plans(parser)


def _passes(parser: argparse.ArgumentParser) -> None:
    _plan(parser)
    parser.add_argument("--rows", metavar="A-B", help="only these rows, as 8-16 or 8")
    parser.add_argument("--json", action="store_true", help="one JSON document instead of text, for other programs")
    parser.add_argument("--bed", action="store_true", help="add the bed after each move")


COMMANDS: dict[str, tuple[Callable[[argparse.Namespace], Exit], Callable[[argparse.ArgumentParser], None]]] = {
    "check": (check, _plans),
    "passes": (passes, _passes),
    "figures": (figures, _add_figures),
    "picture": (picture, _add_picture),
    "sheet": (sheet, _add_sheet),
    "mirror": (mirror, _add_mirror),
    "read": (read, _add_read),
    "refit": (refit, _add_refit),
    "shape": (shape, _add_shape),
    "ledger": (ledger, _add_ledger),
    "yarn": (yarn, _add_yarn),
}

USAGE = """\
usage: purlside                      open the shelf of plans
       purlside PLAN                 open a plan where it was left
       purlside COMMAND PLAN [...]   print something about a plan

{commands}

purlside COMMAND --help tells more; purlside --version prints the version.
Exit codes: 0 fine, 1 the plan has faults, 2 it could not be read or the command line is wrong.
"""


def usage() -> str:
    """The help text, its list of commands from the commands themselves."""
    listed = "\n".join(f"  {name:<9} {(run.__doc__ or '').splitlines()[0]}" for name, (run, _) in COMMANDS.items())
    return USAGE.format(commands=listed)


def run_command(argv: Sequence[str]) -> int:
    """Run one command line. Raises CommandError, Refused or BedFault."""
    first = argv[0] if argv else None
    if first in ("-h", "--help"):
        put(usage())
        return Exit.FINE
    if first == "--version":
        from purlside import __version__

        print(f"purlside {__version__}")
        return Exit.FINE
    if first in COMMANDS:
        from purlside.commands.parser import Parser

        run, add = COMMANDS[first]
        parser = Parser(prog=f"purlside {first}", description=run.__doc__, allow_abbrev=False)
        add(parser)
        return run(parser.parse_args(argv[1:]))
    if first is not None and first.startswith("-") and first != "--":
        raise CommandError(f"{first}: no such option; purlside --help lists what there is")
    rest = [a for a in argv if a != "--"] if "--" in argv[:1] else list(argv)
    if len(rest) > 1:
        raise CommandError(f"{rest[0]}: not a command; commands are {', '.join(COMMANDS)}; a plan is opened by itself")
    return open_app(rest[0] if rest else None)


def main(argv: Sequence[str] | None = None) -> int:
    """The entry point: every failure is a message and an exit code, never a traceback."""
    from purlside.bed.faults import BedFault

    # No plugin of pydantic's has a say in how plans are read, and looking for one reads every package's list of them.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    argv = sys.argv[1:] if argv is None else argv
    if not streams.ready():
        say("There is nowhere to write to: stdout is closed")
        return Exit.UNREADABLE
    try:
        code = run_command(argv)
        sys.stdout.flush()
        return code
    except CommandError as error:
        say(str(error))
        return error.code
    except BedFault as fault:
        say(str(fault))
        return Exit.FAULTS
    except BrokenPipeError:
        # The reader has gone; point stdout elsewhere so that closing it says nothing.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.FINE
    except KeyboardInterrupt:
        return 130
    except OSError as error:
        say(f"{error.strerror or error}")
        return Exit.UNREADABLE
    except Exception as error:
        from purlside.files.planfile import Refused

        if isinstance(error, Refused):
            say(str(error))
            return Exit.UNREADABLE
        from purlside.keep import mishap

        say(mishap.told(error))
        return Exit.UNREADABLE
