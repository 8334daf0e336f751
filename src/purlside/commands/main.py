"""The command line, thin: reads the arguments, asks the engine, prints.

Each command imports what it needs when it runs; only opening the app imports Textual.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.commands import streams
from purlside.commands.apart import apart
from purlside.commands.talking import CommandError, Exit, put, read_plan, say

if TYPE_CHECKING:
    from purlside.files.planfile import PlanFile
    from purlside.keep.settings import SettingsFound


COMMANDS = {
    "check": "Read and simulate the whole plan, or several; list faults and advice.",
    "passes": "Write out the moves of each row.",
    "figures": "Size, yarn, time, tools, and the reach of each crossing.",
    "picture": "The fabric as it will look, or the published chart: characters here, or an SVG file with -o.",
    "sheet": "The printable hand-out: .html, .md, .txt, or all rows as .csv.",
    "mirror": "A plan in the mirror, written as a plan of its own.",
    "read": "Read a written pattern as a plan; or write a plan's rows out as a pattern.",
    "refit": "The same design for another machine, yarn, gauge or tools.",
    "shape": "Work out shaping from measures or numbers, as a plan's tables.",
    "ledger": "What was done, when, and how long it took.",
    "yarn": "My yarns: keep yarns, swatches, how crossings went.",
}
"""What each command does; it is the module of its name in this package: ``OPTIONS`` or ``KINDS``, ``EXAMPLE``, ``run``."""

USAGE = """\
usage: purlside                      open the shelf of plans
       purlside PLAN                 open a plan where it was left
       purlside COMMAND PLAN [...]   print something about a plan

{commands}

purlside COMMAND --help tells more; purlside --version prints the version.
Exit codes: 0 fine, 1 the plan has faults, 2 it could not be read or the command line is wrong.
"""


def open_app(plan: str | None) -> int:
    """Open the app, on the shelf or on a plan where it was left. Gives its exit code, 128 + n after signal n."""
    if not (sys.stdin and sys.stdin.isatty() and sys.stdout.isatty()):
        raise CommandError("the screen needs a terminal; without one, use: purlside check PLAN, purlside passes PLAN")
    if os.environ.get("TERM", "") in ("", "dumb"):
        raise CommandError(
            "this terminal (TERM is empty or dumb) cannot draw the screen; use: purlside passes PLAN, "
            "or set TERM to your terminal's own name"
        )
    # Opening makes much and throws away little: where what can be freed is looked for meanwhile, the first step comes after
    # 1.43 times what an empty app takes, not 1.37; 1.4 is wanted.
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


def run_command(argv: Sequence[str]) -> int:
    """Run one command line. Raises CommandError, Refused or BedFault."""
    first = argv[0] if argv else None
    if first in ("-h", "--help"):
        listed = "\n".join(f"  {name:<9} {does}" for name, does in COMMANDS.items())
        put(USAGE.format(commands=listed))
        return Exit.FINE
    if first == "--version":
        from purlside import __version__

        print(f"purlside {__version__}")
        return Exit.FINE
    if first in COMMANDS:
        from purlside.commands.parser import parser_of

        command = import_module(f"purlside.commands.{first}")
        parser = parser_of(first, COMMANDS[first], command)
        code: int = command.run(parser.parse_args(argv[1:]))
        return code
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
