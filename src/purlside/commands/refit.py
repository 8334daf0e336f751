"""The command ``refit``: the same design for another machine, yarn, gauge or tools."""

from __future__ import annotations

import argparse

from purlside.commands.parser import PLAN, option
from purlside.commands.talking import Exit, lines_out, read_plan, refusing, write_plan

EXAMPLE = """\
example:
  purlside refit scarf.toml --pitch "9 mm, 110 needles" --yarn "wool 1000 tex, SS 4"
      --gauge "14 st and 20 rows in 10 cm" --tools "2, 3, 3" -o chunky.toml
      lays the design again for a chunky machine, and shows all that changed side by side
"""


OPTIONS = [
    PLAN,
    option("--pitch", metavar="MM", help="needle pitch, and the needles of the bed if they are others"),
    option("--yarn", metavar="YARN", help='as on the band, with the stitch size: "wool 2/8 Nm, SS 5"'),
    option("--gauge", metavar="GAUGE", help='from a swatch: "14 st and 20 rows in 10 cm"'),
    option("--tools", metavar="PRONGS", help='prongs of each transfer tool: "2, 3, 3"'),
    option("-o", dest="out", metavar="FILE", help="write the new plan into this file"),
]


def run(args: argparse.Namespace) -> Exit:
    """Lay the plan again, show what changed, write it. Raises CommandError, Refused."""
    from purlside.draft.refit import CannotRefit, refit, refit_for
    from purlside.draft.refittold import side_by_side
    from purlside.files.planwriting import new

    plan = read_plan(args.plan).plan
    with refusing(), refusing(CannotRefit, code=Exit.FAULTS):
        made = refit(plan, refit_for(plan, args.pitch, args.yarn, args.gauge, args.tools))
    lines_out(side_by_side(made.changes, made.said))
    if args.out is not None:
        write_plan(args.out, new(made.plan))
    return Exit.FINE
