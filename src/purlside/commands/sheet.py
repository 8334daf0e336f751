"""The command ``sheet``: a plan's hand-out."""

from __future__ import annotations

import argparse

from purlside.commands.parser import FORCE, flag, option
from purlside.commands.talking import CommandError, Exit, named, read_plan, refusing, say, suffix_of, write_result

EXAMPLE = """\
examples:
  purlside sheet scarf.toml --detail short -o scarf.html --open
      a hand-out of two pages, opened in the browser
  purlside sheet back.toml front.toml sleeve.toml -o pullover.html
      the pieces of a garment in one hand-out
"""


DETAILS = "short: two pages; working: six, to knit from; full: to learn from"
OPTIONS = [
    option("plans", metavar="PLAN", nargs="+", help="a plan file (TOML), or one for each piece of a garment"),
    option("-o", dest="out", metavar="FILE", required=True, help="the file, .html, .md, .txt or .csv"),
    FORCE,
    option("--detail", choices=("full", "working", "short"), default="full", help=DETAILS),
    option("--paper", choices=("A4", "Letter"), default="A4", help="the paper it is printed on"),
    option("--unit", choices=("cm", "inch"), default="cm", help="centimetres and grams, or inches and ounces"),
    flag("--letters", "the machine's own position letters beside the words"),
    option("--cable", metavar="NAME", help="only the crossing rows of this cable"),
    flag("--row-list", "add every row, with boxes to tick"),
    option("--credit", metavar="TEXT", default="", help="whose design it is, and what may be done with it"),
    flag("--with-plan", "carry the plan in the page (.html): Purlside opens it from there"),
    flag("--open", "open the page (.html) in the browser"),
]


def run(args: argparse.Namespace) -> Exit:
    """The printable hand-out: .html, .md, .txt, or all rows as .csv."""
    from purlside.sheet.parts import Detail, Paper
    from purlside.sheet.whole import SUFFIXES, Wish, written
    from purlside.text.units import Unit

    suffix = suffix_of(args.out)
    if suffix not in SUFFIXES:
        raise CommandError(f"-o: found {named(args.out)}; allowed: a file name that ends in {', '.join(SUFFIXES)}")
    if (args.open or args.with_plan) and suffix != ".html":
        raise CommandError("--open and --with-plan go with a page: let -o end in .html")
    if args.with_plan and len(args.plans) > 1:
        raise CommandError("--with-plan carries one plan; give one PLAN")
    files = [read_plan(path) for path in args.plans]
    wish = Wish(
        detail=Detail(args.detail),
        paper=Paper(args.paper),
        letters=args.letters,
        unit=Unit(args.unit),
        cable=args.cable,
        row_list=args.row_list,
        credit=args.credit,
        plan=files[0].text if args.with_plan else "",
    )
    with refusing():
        text = written([file.plan for file in files], suffix, wish)
    done = write_result(args.out, args.plans, text, force=args.force)
    if args.open:
        from purlside.keep.results import in_browser

        if not in_browser(args.out):
            say(f"no browser could be opened; open {named(args.out)} yourself")
    return done
