"""The command ``mirror``: a plan's mirror image, as a plan of its own."""

from __future__ import annotations

import argparse
import os

from purlside.commands.talking import CommandError, Exit, read_plan, say, write_plan

EXAMPLE = """\
example:
  purlside mirror left-front.toml -o right-front.toml
      needles, edges, crossings, parts and where the carriage begins, mirrored
      about the centre of the bed; comments stay as they are written
"""


def add_mirror(parser: argparse.ArgumentParser) -> None:
    """The options of ``purlside mirror``."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = EXAMPLE
    parser.add_argument("plan", metavar="PLAN", help="a plan file (TOML)")
    parser.add_argument("-o", dest="out", metavar="FILE.toml", required=True, help="the file of the mirrored plan")
    parser.add_argument("--force", action="store_true", help="replace FILE.toml if there is one")


def mirror_command(args: argparse.Namespace) -> Exit:
    """Mirror and write. Raises CommandError, Refused."""
    from purlside.files.planwriting import updated
    from purlside.plan.mirror import mirrored, one_sided
    from purlside.text.harmless import shown

    if os.path.realpath(args.out) == os.path.realpath(args.plan):
        raise CommandError(f"-o: {shown(args.out, 200)} is the plan itself; name another file")
    file = read_plan(args.plan)
    plan = mirrored(file.plan)
    write_plan(args.out, updated(file.text, plan), force=args.force)
    for told in one_sided(plan):
        say(f'this text names a side, and stays as you wrote it: "{shown(told)}"')
    return Exit.FINE
