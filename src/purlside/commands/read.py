"""The command ``read``: a published pattern's text, as a plan for the bed; or a plan, as published rows."""

from __future__ import annotations

import argparse

from purlside.commands.parser import flag, option, whole
from purlside.commands.talking import (
    CommandError,
    Exit,
    lines_out,
    named,
    read_plan,
    refusing,
    rows_of,
    say,
    suffix_of,
    write_plan,
)

MOST_PAGE_BYTES = 20_000_000
"""The largest sheet a plan is taken out of."""

EXAMPLE = """\
example:
  purlside read aran.txt -o aran.toml
      reads "Row 5 (RS): *p2, 3/3 RC, p2, k4; rep from * to end", draws it beside its
      text, says what one bed cannot do, and writes the cables as a plan
  purlside read aran.toml --rows 1-16
      writes a plan's rows out as a hand-knitting pattern gives them
  purlside read hand-out.html -o aran.toml
      takes out the plan that a sheet carries (purlside sheet --with-plan)
exit codes: 0 all of it is written; 1 something is left out, and said (of a plan its
shaping, its parts, work on single stitches), the rest is written; 2 it cannot be
followed
"""


OPTIONS = [
    option("pattern", metavar="PATTERN", help="a written pattern (.txt), or a plan (.toml) to write out"),
    option("-o", dest="out", metavar="PLAN.toml", help="write the plan into this file"),
    option("--stitches", type=whole(1, 500), metavar="N", help="stitches cast on, where the text does not say"),
    option(
        "--repeats", type=whole(1, 1000), metavar="N", default=4, help="times the rows are repeated; 4 if not given"
    ),
    flag("--words", "only the rows as they are understood, in words"),
    option("--rows", metavar="A-B", help="of a plan, only these rows"),
]


def run(args: argparse.Namespace) -> Exit:
    """Read, draw, and write what was asked for. Raises CommandError, Refused, OSError."""
    from purlside.draft.frompattern import as_pattern, plan_of, told
    from purlside.fabric.pattern import RemarkKind, words
    from purlside.fabric.reading import read
    from purlside.files.planwriting import new

    if suffix_of(args.pattern) == ".toml":
        if args.out is not None:
            raise CommandError(f"-o: {named(args.pattern)} is a plan already; its rows are printed, > FILE keeps them")
        plan = read_plan(args.pattern).plan
        rows = as_pattern(plan, *rows_of(args.rows, plan.panel.rows)) if args.rows else as_pattern(plan)
        lines_out(words(rows))
        for remark in rows.remarks:
            say(f"left out: {remark}")
        return Exit.FAULTS if rows.remarks else Exit.FINE
    if suffix_of(args.pattern) == ".html":
        return _taken_out(args.pattern, args.out)
    pattern = read(_text(args.pattern), args.stitches)
    if args.words:
        lines_out(words(pattern))
    if pattern.wrong:
        for remark in pattern.remarks:
            say(str(remark))
        raise CommandError("this pattern cannot be followed as it stands: no plan is made of it")
    with refusing():
        plan, laid = plan_of(pattern, args.repeats)
    if not args.words:
        lines_out(told(pattern, laid))
    if args.out is not None:
        write_plan(args.out, new(plan))
    remarks = [*pattern.remarks, *laid.remarks]
    return Exit.FAULTS if any(remark.kind is RemarkKind.LEFT_OUT for remark in remarks) else Exit.FINE


def _taken_out(page: str, out: str | None) -> Exit:
    """The plan that a sheet carries, put in a file of its own, or printed. Raises CommandError, Refused."""
    from purlside.files import planfile
    from purlside.sheet.html import carried

    text = carried(_text(page, MOST_PAGE_BYTES))
    if text is None:
        raise CommandError(f"{named(page)} carries no plan; a sheet made with purlside sheet --with-plan does")
    planfile.parse(text, page)
    if out is None:
        lines_out(text.splitlines())
    else:
        write_plan(out, text)
    return Exit.FINE


def _text(path: str, most: int | None = None) -> str:
    from purlside.keep.folders import MOST_TEXT, text_of

    try:
        return text_of(path, most or MOST_TEXT)
    except UnicodeDecodeError:
        raise CommandError(f"{named(path)}: not text in UTF-8") from None
    except (OSError, ValueError) as error:
        raise CommandError(f"{named(path)}: {getattr(error, 'strerror', None) or error}") from None
