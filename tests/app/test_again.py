"""Back after a break, and knitting a panel again: through the app."""

from __future__ import annotations

from pathlib import Path

import pytest

from purlside.app.screens import bedside
from purlside.app.screens.bedside import Bedside
from purlside.app.screens.differs import WhatHappened
from purlside.app.screens.welcome import Welcome
from purlside.keep import shelf
from tests.app.test_differs import window_on
from tests.apps import settled
from tests.sessions import at, opened, written


async def test_back_after_a_break_the_metal_is_ticked_off_before_the_next_move(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = written(tmp_path)
    at(opened(plan), 8, 2).close()
    monkeypatch.setattr(bedside, "AWAY", 0.0)
    async with window_on(plan) as window:
        await settled(window.pilot)
        assert isinstance(window.app.screen, Welcome)
        assert "Look at the bed before you knit on" in window.text
        assert "►  row 8 of 40, pass 3 of 5 comes next" in window.text
        assert "holding" in window.text and "yarn L4" in window.text, "and the bed is drawn"
        await window.press("space")
        assert "■  row 8 of 40" in window.text and "►  Carriage inside the panel" in window.text
        await window.press(*["space"] * 6)
        assert isinstance(window.app.screen, Bedside)
        assert window.session.knitting.place.row == 8, "ticking makes no step"
        await window.press("v")
        assert isinstance(window.app.screen, Welcome)


async def test_a_finished_panel_is_knit_again_with_a_ledger_of_its_own(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    at(opened(plan), 41).close()
    async with window_on(plan) as window:
        first = window.session.ledger.path
        await window.press("k", "p")
        await settled(window.pilot)
        assert isinstance(window.app.screen, Bedside)
        assert window.session.knitting.place == (1, 0)
        assert window.session.ledger.path != first
        assert "Panel 2 of 2" in str([note.message for note in window.app._notifications])
        await window.press("space")
        assert window.session.knitting.place == (2, 0)
        assert "panel 2 of 2" in window.text, "in the count line"
    (shelved,) = (one for one in shelf.plans() if one.path.name == plan.name)
    assert shelved.progress == "panel 2 of 2, row 2 of 40"


async def test_a_crossing_recorded_as_broken_offers_what_to_do_now(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    at(opened(plan), 9).close()
    async with window_on(plan) as window:
        await window.press("j", "b")
        await window.press("escape")
        await settled(window.pilot)
        assert isinstance(window.app.screen, WhatHappened)
        assert "> x  A stitch broke as it was crossed" in window.text
        await window.press("x", *"L2", "enter")
        assert "1  Mend the stitch with a length of yarn" in window.text
        await window.press("y")
        step = window.session.knitting.step
        assert step is not None and step.mends
