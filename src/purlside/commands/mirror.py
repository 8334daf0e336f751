"""The command ``mirror``: a plan's mirror image, as a plan of its own."""

from __future__ import annotations

import argparse
import os

from purlside.commands.parser import PLAN, flag, option
from purlside.commands.talking import CommandError, Exit, named, read_plan, say, write_plan
from purlside.text.harmless import shown

EXAMPLE = """\
example:
  purlside mirror left-front.toml -o right-front.toml
      needles, edges, crossings, parts and where the carriage begins, mirrored
      about the centre of the bed; comments stay as they are written
"""


OPTIONS = [
    PLAN,
    option("-o", dest="out", metavar="FILE.toml", required=True, help="the file of the mirrored plan"),
    flag("--force", "replace FILE.toml if there is one"),
]


def run(args: argparse.Namespace) -> Exit:
    """Mirror and write. Raises CommandError, Refused."""
    from purlside.files.planwriting import updated
    from purlside.plan.mirror import mirrored, one_sided

    if os.path.realpath(args.out) == os.path.realpath(args.plan):
        raise CommandError(f"-o: {named(args.out)} is the plan itself; name another file")
    file = read_plan(args.plan)
    plan = mirrored(file.plan)
    write_plan(args.out, updated(file.text, plan), force=args.force)
    for told in one_sided(plan):
        say(f'this text names a side, and stays as you wrote it: "{shown(told)}"')
    return Exit.FINE
