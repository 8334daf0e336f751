"""What is said of people and machines, against guidance in print; the usual cautions are common practice, no source."""

from __future__ import annotations

import pytest

from purlside.app.screens.help import CAUTIONS
from purlside.figures.text import sections
from purlside.figures.whole import figures
from purlside.sheet.whole import sheet_command
from tests.plans import cable, plan

BREAKS = "5 to 10 minutes' break after 50 to 60 minutes' work"
"""UK Health and Safety Executive, guidance on screen work: short breaks often are better than long ones rarely."""


def flat(text: str) -> str:
    return " ".join(text.split())


def test_breaks_are_told_as_in_the_guidance_beside_the_time_and_on_top_of_it() -> None:
    made = plan(cable())
    told = flat("\n".join(str(line) for section in sections(figures(made)) for part in section.parts for line in part))
    assert f"{BREAKS} come on top" in told


@pytest.mark.parametrize("detail", ["full", "working"])
def test_the_sheet_tells_of_breaks_and_whose_guidance_it_is(detail: str) -> None:
    printed = flat(sheet_command(plan(cable()), ".txt", detail))
    assert BREAKS in printed
    assert "UK Health and Safety Executive" in printed


@pytest.mark.parametrize("word", ["finger", "latches", "clamp", "weights", "manual"])
def test_the_usual_cautions_stand_on_the_sheet_and_on_the_help_screen(word: str) -> None:
    """Common practice, no source: fingers and carriage, hooks and latches, falling weights, an unclamped bed."""
    assert word in sheet_command(plan(cable()), ".txt").lower()
    assert word in CAUTIONS.lower()


def test_the_cautions_defer_to_the_machines_own_manual() -> None:
    assert "machine's own manual comes before anything said here" in flat(CAUTIONS)
    assert "manual" in flat(sheet_command(plan(cable()), ".txt"))
