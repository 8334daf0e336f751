"""What is known of a yarn written into a plan's file, and only when the knitter has said so."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from purlside.files import planwriting
from purlside.files.planfile import Refused, read

if TYPE_CHECKING:
    from purlside.plan.plan import Plan


def today() -> str:
    """The date, as a swatch's is kept: ``2026-03-01``."""
    return date.today().isoformat()


class NotWrittenIn(Exception):
    """A plan's file that was left as it was, and why."""


def write_into(path: Path, change: Callable[[Plan], Plan]) -> None:
    """Change a plan's file, its comments kept. Raises NotWrittenIn; the file then stays as it was."""
    try:
        file = read(path)
        text = planwriting.rewritten(file.text, change(file.plan))
        planwriting.save(path, text, planwriting.digest(file.text))
    except Refused as refused:
        raise NotWrittenIn(str(refused.refusals[0].problem)) from None
    except (planwriting.NotEdited, planwriting.NotSaved, OSError) as error:
        raise NotWrittenIn(str(error)) from None
