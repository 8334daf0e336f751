"""The parser of a command's line."""

from __future__ import annotations

import argparse
from typing import Any

from purlside.harmless import printed


class Parser(argparse.ArgumentParser):
    """A parser that repeats what was typed only as text; it hands itself down to the parsers of what a command does."""

    def _print_message(self, message: str, file: Any = None) -> None:
        super()._print_message(printed(message), file)
