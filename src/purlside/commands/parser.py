"""The parser of a command's line, and numbers read from it."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable
from typing import Any

from purlside.text.harmless import printed


class Parser(argparse.ArgumentParser):
    """A parser that repeats what was typed only as text; it hands itself down to the parsers of what a command does."""

    def _print_message(self, message: str, file: Any = None) -> None:
        super()._print_message(printed(message), file)


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
