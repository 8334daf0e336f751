"""The next step, worked out while the hands are on the machine: its key only has to show it."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from purlside.app.screens.bedside import READY_SOON, Bedside
from purlside.app.widgets.bedside import Asking
from purlside.app.widgets.pane import Pane
from tests.apps import knitting, press, settled, shown
from tests.plans import cable

pytestmark = pytest.mark.usefixtures("home")


async def laid_ready(pilot: Pilot[int]) -> None:
    """Until the next step is worked out."""
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, Bedside)
    while screen._readying is not None:
        await pilot.pause(READY_SOON)
    await settled(pilot)


@pytest.mark.parametrize("size", [(80, 24), (200, 50)])
async def test_after_a_pause_no_line_of_the_next_step_is_left_to_paint(
    tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    cables = [cable(ease="enlarge", enlarged_size=9.0, first_row=2, every=3)]
    async with knitting(tmp_path, size=size, cables=cables) as (app, pilot):
        screen = app.screen
        assert isinstance(screen, Bedside)
        painted = Pane._line
        late: list[str] = []

        def noted(pane: Pane, line: tuple[tuple[str, str], ...], *more: object) -> object:
            if isinstance(pane, Asking) and pane.id != "sofar" and line not in pane._strips:
                late.append("".join(text for text, _ in line))
            return painted(pane, line, *more)  # type: ignore[arg-type]

        for _ in range(12):
            await laid_ready(pilot)
            monkeypatch.setattr(Pane, "_line", noted)
            screen.do_forward()
            monkeypatch.setattr(Pane, "_line", painted)
            await settled(pilot)
        assert late == []


async def test_nothing_is_shown_or_done_before_its_key(tmp_path: Path) -> None:
    async with knitting(tmp_path, cables=[cable(ease="by hand", first_row=2, every=3)]) as (app, pilot):
        session = app.session
        assert session is not None
        for _ in range(14):
            before, kept, place = shown(app), session.ledger.path.read_text("utf-8"), session.knitting.place
            await laid_ready(pilot)
            app.screen.refresh()
            await settled(pilot)
            assert (shown(app), session.ledger.path.read_text("utf-8"), session.knitting.place) == (before, kept, place)
            await press(pilot, "space")
