"""The parser of a command's line, options that several commands have, and numbers read from it."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Sequence
from typing import Any

from purlside.text.harmless import printed
from purlside.text.units import length_mm

Option = tuple[tuple[str, ...], dict[str, Any]]
"""What argparse is told of one option: its names, and the rest."""
Options = Sequence[Option | list[Option]]
"""Options of a command; of those in a list at most one may be given."""


class Kind:
    """One of the things that a command does: what it is, its options, an example."""

    def __init__(self, said: str, *options: Option, example: str = "") -> None:
        self.said, self.options, self.example = said, options, example


def option(*names: str, **more: Any) -> Option:
    return names, more


def flag(name: str, said: str) -> Option:
    return (name,), {"action": "store_true", "help": said}


PLAN = option("plan", metavar="PLAN", help="a plan file (TOML)")
PLANS = option("plans", nargs="+", metavar="PLAN", help="a plan file (TOML), or several: the pieces of a garment")
ROWS = option("--rows", metavar="A-B", help="only these rows, as 8-16 or 8")
JSON = flag("--json", "one JSON document")
FORCE = flag("--force", "write over a file that Purlside has not written")


class Parser(argparse.ArgumentParser):
    """A parser that repeats what was typed only as text, and shows examples as they stand."""

    def __init__(self, **more: Any) -> None:
        super().__init__(allow_abbrev=False, formatter_class=argparse.RawDescriptionHelpFormatter, **more)

    def _print_message(self, message: str, file: Any = None) -> None:
        super()._print_message(printed(message), file)

    def take(self, options: Options) -> None:
        """Take these options."""
        for each in options:
            at = self.add_mutually_exclusive_group() if isinstance(each, list) else self
            for names, more in each if isinstance(each, list) else [each]:
                at.add_argument(*names, **more)


def parser_of(name: str, does: str, command: Any) -> Parser:
    """The parser of a command: of its ``OPTIONS``, or of its ``KINDS``, named by the next word; ``UNSAID`` without one."""
    parser = Parser(prog=f"purlside {name}", description=does, epilog=getattr(command, "EXAMPLE", None))
    parser.take(getattr(command, "OPTIONS", ()))
    if kinds := getattr(command, "KINDS", None):
        usual = getattr(command, "UNSAID", None)
        what = parser.add_subparsers(dest="what", metavar="WHAT", required=usual is None)
        parser.set_defaults(what=usual)
        for word, kind in kinds.items():
            said = f"{kind.said[0].upper()}{kind.said[1:]}."
            what.add_parser(word, help=kind.said, description=said, epilog=kind.example).take(kind.options)
    return parser


UNIT = option("--unit", choices=("cm", "inch"), help="inches, yards and ounces, or cm, m and g (default: as set)")


def unit_of(args: argparse.Namespace) -> str:
    """The unit asked for, or else the one set."""
    if args.unit is None:
        from purlside.keep import settings

        return settings.load().settings.look.unit
    return str(args.unit)


def length(text: str) -> float:
    """Reads a length, in cm where no unit is named: mm, above 0 and at most 20 m."""
    try:
        mm = length_mm(text)
    except ValueError:
        mm = math.nan
    if not 0 < mm <= 20_000:
        raise argparse.ArgumentTypeError(
            f"found {text}; allowed: a length above 0, at most 2000 cm, as 22, 22cm or 8.5in"
        )
    return mm


def above(most: float) -> Callable[[str], float]:
    """Reads a number above 0, at most ``most``."""

    def number(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not 0 < value <= most:
            raise argparse.ArgumentTypeError(f"found {text}; allowed: a number above 0, at most {most:g}")
        return value

    return number


def whole(least: int, most: int) -> Callable[[str], int]:
    """Reads a whole number from ``least`` to ``most``."""

    def number(text: str) -> int:
        if not (text.isascii() and text.isdigit() and len(text) <= len(str(most)) and least <= int(text) <= most):
            raise argparse.ArgumentTypeError(f"found {text}; allowed: a whole number, {least} to {most:,}")
        return int(text)

    return number
