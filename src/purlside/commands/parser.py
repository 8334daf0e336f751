"""The parser of a command's line, and numbers read from it."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable
from typing import Any

from purlside.text.harmless import printed
from purlside.text.units import length_mm


class Parser(argparse.ArgumentParser):
    """A parser that repeats what was typed only as text; it hands itself down to the parsers of what a command does."""

    def _print_message(self, message: str, file: Any = None) -> None:
        super()._print_message(printed(message), file)


def add_plan(parser: argparse.ArgumentParser, example: str = "") -> None:
    """The plan a command is about; ``example`` stands below the help."""
    parser.add_argument("plan", metavar="PLAN", help="a plan file (TOML)")
    add_example(parser, example)


def add_example(parser: argparse.ArgumentParser, example: str) -> None:
    """Lines below the help, as they stand."""
    parser.formatter_class, parser.epilog = argparse.RawDescriptionHelpFormatter, example


def add_unit(parser: argparse.ArgumentParser) -> None:
    """The option ``--unit``."""
    said = "inches, yards and ounces, or cm, m and g (default: as set)"
    parser.add_argument("--unit", choices=("cm", "inch"), help=said)


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


def add_plans(parser: argparse.ArgumentParser) -> None:
    """One plan, or the pieces of a garment; a piece knit twice is named twice."""
    parser.add_argument(
        "plans", nargs="+", metavar="PLAN", help="a plan file (TOML), or several: the pieces of a garment"
    )


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
