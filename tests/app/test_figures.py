"""Figures, the yarn drawer and how crossings went, as they are seen and asked on screen."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from purlside.app.app import PurlsideApp
from purlside.ease.calibration import Outcome, Record
from purlside.figures.text import sections, widest_lines, wrapped
from purlside.figures.whole import figures
from purlside.files.planfile import parse, read
from purlside.keep import drawer, folders
from purlside.keep.settings import Settings
from purlside.rows.working import Working
from tests.apps import press, settled
from tests.plans import cable, tables, toml

YARN = {"fibre": "linen", "tex": 250, "loop_mm": {"5": 13.2, "9": 17.0}}
GAUGE = {"stitches_per_10cm": 27, "rows_per_10cm": 39}

Opened = Callable[..., AbstractAsyncContextManager[Pilot[Any]]]


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A knitter's folders of this test's own, an empty shelf, and no sound."""
    monkeypatch.setenv(folders.HOME, str(tmp_path / "home"))
    monkeypatch.setenv("PURLSIDE_SOUND", "off")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def opened(home: Path) -> Opened:
    """Opens the app on a plan with a rope and a twist, 80 by 24 unless told otherwise."""

    @asynccontextmanager
    async def run(size: tuple[int, int] = (80, 24), **parts: Any) -> AsyncIterator[Pilot[Any]]:
        path = home / "plan.toml"
        rope, twist = cable(ease="auto"), cable("R6-R7 over R4-R5", name="twist")
        asked = {"needles": "L20-R20", "yarn": YARN, "gauge": GAUGE, **parts}
        path.write_text(toml(tables(rope, twist, **{key: part for key, part in asked.items() if part is not None})))
        async with PurlsideApp(read(path), Settings(guard_ms=0)).run_test(size=size) as pilot:
            yield pilot

    return run


def seen(pilot: Pilot[Any]) -> str:
    """What stands on the screen."""
    strips = pilot.app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)


def flat(pilot: Pilot[Any]) -> str:
    return " ".join(seen(pilot).split())


async def fill(pilot: Pilot[Any], *answers: str) -> None:
    """Answer the questions and be done with them."""
    for field, answer in zip(pilot.app.screen.query(Input), answers, strict=True):
        field.value = answer
    pilot.app.screen.query(Input).last().focus()
    await press(pilot, "enter")


async def to_made_crossing(pilot: Pilot[Any]) -> None:
    """Past row 8, in which rope and twist are crossed."""
    for _ in range(8):
        pilot.app.simulate_key("r")
    await settled(pilot)


async def test_the_screen_says_everything_the_command_says(opened: Opened) -> None:
    async with opened() as pilot:
        await press(pilot, "f")
        told: list[str] = []
        while True:
            lines = [line.strip() for line in seen(pilot).splitlines()[3:-1]]
            told += lines
            at = seen(pilot).splitlines()[1]
            if "more below" not in at:
                break
            await press(pilot, "pagedown")
        screen = pilot.app.screen
        made_of = figures(screen.plan, screen.asked)  # type: ignore[attr-defined]
        chart = set(widest_lines(made_of.widest))
        wanted = [str(line) for section in sections(made_of) for part in section.parts for line in part]
        missing = [
            line for said in wanted if said not in chart for line in wrapped([said], 78) if line.strip() not in told
        ]
        assert not missing
        assert not any("…" in line for line in told), "lines are wrapped, not cut"
        assert all(any(str(one.technique) in line for line in told) for one in made_of.widest)
        assert "All of these are estimates; your swatch and your crossings correct them." in told


async def test_a_wide_screen_is_used(opened: Opened) -> None:
    async with opened((200, 50)) as pilot:
        await press(pilot, "f")
        lines = seen(pilot).splitlines()
        assert any("Size" in line[:20] for line in lines)
        assert any(len(line) > 110 and line[100:110].strip() for line in lines)
        assert "more below" not in lines[1]


@pytest.mark.parametrize(("drawing", "marks"), [("lines", "■□·"), ("ascii", "=-.")])
async def test_the_chart_agrees_with_the_table_beside_it(opened: Opened, drawing: str, marks: str) -> None:
    async with opened((120, 90)) as pilot:
        pilot.app.change_look(drawing=drawing)  # type: ignore[attr-defined]
        await press(pilot, "f")
        made_of = pilot.app.screen.figures  # type: ignore[attr-defined]
        lines = seen(pilot).splitlines()
        for one in made_of.widest:
            line = next(line for line in lines if line.startswith(f"   {one.technique} ") and " over " in line[36:])
            bar = line.split()[-1]
            assert bar.count(marks[0]) == min(one.easy, len(bar) + 1) - 1
            assert bar.count(marks[0]) + bar.count(marks[1]) == min(one.firm, len(bar) + 1) - 1
        ours = next(line for line in lines if "the widest of this plan: 3 over 3" in line)
        assert ours.index("^") == next(line for line in lines if "easily" in line and "firmly" in line).index(" 6 ") + 1


async def test_a_wanted_size_is_typed_and_answered_and_nonsense_is_refused(opened: Opened) -> None:
    async with opened((100, 40)) as pilot:
        await press(pilot, "f", "1")
        await fill(pilot, "wide")
        assert "Found wide; allowed: 22 cm, 8.5 in and so on, to 20 m" in flat(pilot)
        await fill(pilot, "60")
        assert "for a width of 60.0 cm: 163 needles; the bed is wide enough" in flat(pilot)
        await press(pilot, "2")
        await fill(pilot, "100")
        assert "for a length of 100.0 cm: 390 rows" in flat(pilot)
        await press(pilot, "1")
        await fill(pilot, "36 in")
        assert "the bed has only 200" in flat(pilot)
        await press(pilot, "1")
        await fill(pilot, "0")
        assert "for a width" not in flat(pilot)
        assert "for a length of 100.0 cm" in flat(pilot)


async def test_a_plan_without_yarn_gauge_or_tools_says_what_it_lacks(opened: Opened) -> None:
    async with opened((100, 90), yarn=None, gauge=None) as pilot:
        await press(pilot, "f")
        said = flat(pilot)
        for lacking in (
            "not known without gauge or a measured loop",
            "yarn.loop_mm: loops are a guess; measure a swatch",
            "no fibre given: judged as linen",
            "yarn.tex or yarn.count: no grams",
            "tools.prongs: tools are not checked",
        ):
            assert lacking in said
        await press(pilot, "1")
        await fill(pilot, "60")
        assert "No size without gauge or a measured loop" in flat(pilot)


async def test_how_a_crossing_went_is_kept_and_the_plan_knits_on_as_it_says(opened: Opened) -> None:
    named = {**YARN, "name": "Quay"}
    async with opened(yarn=named) as pilot:
        await press(pilot, "j")
        assert "No crossing made yet" in flat(pilot) and "in the last" not in flat(pilot), "row 1 has no rows before it"
        await to_made_crossing(pilot)
        session = pilot.app.session  # type: ignore[attr-defined]
        moves = session.knitting.working.moves(16)
        await press(pilot, "j")
        said = flat(pilot)
        assert "Row 8: how did it go over?" in said
        assert "> rope, R1-R3 over L3-L1: 3 over 3, enlarge to SS 10, reach 0.87, expected firm" in said
        await press(pilot, "e")
        assert "rope, row 8: easy. Quay: your crossings suggest reach 0.91; the plan stays" in flat(pilot)
        await press(pilot, "j")
        assert "> twist" in flat(pilot), "the one not recorded yet comes first"
        await press(pilot, "2")
    kept = drawer.read().find("quay")
    assert [(one.ratio, one.outcome) for one in kept.crossing] == [(0.8668, "easy"), (0.6818, "firm")]
    assert kept.loop_mm == YARN["loop_mm"]
    async with opened(yarn=named) as pilot:
        assert "suggest" not in flat(pilot), "it would change no crossing"
        assert pilot.app.session.knitting.working.moves(16) == moves  # type: ignore[attr-defined]


async def test_what_crossings_taught_is_offered_old_and_new_and_knit_once_it_is_written_into_the_plan(
    opened: Opened,
) -> None:
    named = {**YARN, "name": "Quay"}
    easy = Record(1.02, Outcome.EASY)
    drawer.write(drawer.Drawer(yarn=(drawer.new_yarn(**named),)).crossed("Quay", easy).crossed("Quay", easy))
    async with opened(yarn=named) as pilot:
        assert "Your crossings suggest reach 0.96 in Quay, the plan has 0.88" in flat(pilot)
        session = pilot.app.session  # type: ignore[attr-defined]
        moves, path = session.knitting.working.moves(16), session.file.path
        await press(pilot, "f", "y", "f4")
        said = flat(pilot)
        assert "enlarge to SS 10 now," in said and "enlarge to SS 8 then" in said
        await press(pilot, "escape")
        assert "reach_limit" not in path.read_text("utf-8")
        await press(pilot, "f4")
        await fill(pilot, "y")
        assert "Written into" in flat(pilot)
        text = path.read_text("utf-8")
        await press(pilot, "f4")
        assert "The plan says it already" in flat(pilot)
    assert session.knitting.working.moves(16) == moves, "no row in hand changes under the knitter"
    taught = Working(parse(text, "plan")).moves(16)
    assert taught != moves


async def test_recorded_again_the_later_word_counts(opened: Opened) -> None:
    async with opened(yarn={**YARN, "name": "Quay"}) as pilot:
        await to_made_crossing(pilot)
        await press(pilot, "j", "b", "escape", "j", "up", "f")
    assert [one.outcome for one in drawer.read().find("Quay").crossing] == ["firm"]


async def test_a_step_goes_on_knitting_instead_of_answering(opened: Opened) -> None:
    async with opened(yarn={**YARN, "name": "Quay"}) as pilot:
        await to_made_crossing(pilot)
        await press(pilot, "j", "pagedown")
        assert pilot.app.session.knitting.place.row == 10  # type: ignore[attr-defined]
        assert "how did it go over" not in seen(pilot)
        await press(pilot, "j", "escape")
        assert pilot.app.session.knitting.place.row == 10  # type: ignore[attr-defined]
    assert not drawer.read().yarn


async def test_enter_neither_steps_nor_answers_while_it_is_asked_how_it_went(opened: Opened) -> None:
    async with opened(yarn={**YARN, "name": "Quay"}) as pilot:
        await to_made_crossing(pilot)
        place = pilot.app.session.knitting.place  # type: ignore[attr-defined]
        await pilot.press("j", "enter")
        await pilot.pause()
        assert pilot.app.session.knitting.place == place  # type: ignore[attr-defined]
        await pilot.press("f")
        await pilot.pause()
    assert [one.outcome for one in drawer.read().find("Quay").crossing] == ["firm"]


@pytest.mark.parametrize("name", ["Quay", ""])
async def test_a_plan_that_names_no_yarn_may_keep_it_under_a_name_or_in_the_ledger_only(
    opened: Opened, name: str
) -> None:
    async with opened() as pilot:
        await to_made_crossing(pilot)
        await press(pilot, "j", "t")
        assert "The plan names no yarn." in flat(pilot)
        await fill(pilot, name)
        said = flat(pilot)
        if name:
            assert "rope, row 8: tight. Quay: your crossings suggest reach 0.86; the plan stays" in said
        else:
            assert "rope, row 8: tight. Kept in the ledger only" in said
        await press(pilot, "j", "f")
        assert "The plan names no yarn." not in flat(pilot), "it is asked once"
        ledger = pilot.app.session.ledger.path.read_text().splitlines()  # type: ignore[attr-defined]
    assert len(drawer.read().yarn) == bool(name)
    went = [entry for entry in map(json.loads, ledger) if entry["did"] == "crossing"]
    assert [(e["row"], e["cable"], e["went"], e.get("yarn")) for e in went] == [
        (8, "rope", "tight", name or None),
        (8, "twist", "firm", name or None),
    ]


async def test_a_drawer_that_cannot_be_read_is_said_and_left_as_it_is(opened: Opened) -> None:
    drawer.place().parent.mkdir(parents=True)
    drawer.place().write_text("yarn = 5 # [red]not a list[/red]")
    async with opened(yarn={**YARN, "name": "Quay"}) as pilot:
        assert "Your yarns cannot be read" in flat(pilot)
        await to_made_crossing(pilot)
        await press(pilot, "j", "f")
        assert "Kept in the ledger only" in flat(pilot)
        await press(pilot, "f", "y")
        assert "Your yarns cannot be read; the file is left as it is." in flat(pilot)
        await press(pilot, "n", "f3", "delete", "enter")
        assert "[red]" in drawer.place().read_text()


async def test_a_yarn_is_kept_measured_changed_and_taken_out(opened: Opened) -> None:
    async with opened() as pilot:
        await press(pilot, "f", "y")
        assert "No yarn kept yet." in flat(pilot)
        await press(pilot, "n", *["enter"] * 5)
        assert "name: found" in flat(pilot), "Enter goes from line to line, and a yarn wants a name"
        await fill(pilot, "Quay [b]", "linen", "", "2/4 what", "4.5")
        assert 'count: found "2/4 what"' in flat(pilot)
        await fill(pilot, "Quay [b]", "linen", "", "2/8 Nm", "4.5")
        said = flat(pilot)
        assert "> Quay [b] linen, 2/8 Nm, reach limit 0.88" in said
        assert "250 tex: Nm 4, Ne 2.36" in said
        await press(pilot, "f3")
        await fill(pilot, "5", "100", "0", "", "", "1370", "", "")
        assert "Rows: found 0; allowed: a whole number above 0" in flat(pilot)
        await fill(pilot, "5", "100", "10", "wide", "", "1370", "", "")
        assert "found wide; allowed: width x" in flat(pilot), seen(pilot)
        await fill(pilot, "5", "100", "10", "", "37 x 2.63", "1370 cm", "75", "first")
        assert "One loop at SS 5: 13.70 mm" in flat(pilot)
        assert "swatch 1: SS 5 at 4.5 mm pitch, 100 stitches, 10 rows; washed 37.0 cm x 2.6 cm" in flat(pilot)
        assert "a cable takes in to 75%" in flat(pilot)
        await press(pilot, "f3")
        await fill(pilot, "9", "100", "10", "37 x 2.63", "", "1010", "", "")
        said = flat(pilot)
        assert "Doubtful: measured loops give 10.1 mm at SS 9" in said
        assert "larger sizes measured no more yarn than smaller ones; measure again" in said
        await press(pilot, "f3")
        await fill(pilot, "9", "100", "10", "", "", "1750", "", "")
        assert "+0.95 mm a dial number over 2 sizes" in flat(pilot), "the wrong loop at SS 9 is replaced"
        await press(pilot, "enter")
        await fill(pilot, "Quay", "cotton", "", "2/8 Nm", "4.5")
        assert "> Quay cotton, 2/8 Nm, reach limit 0.89" in flat(pilot)
        assert drawer.read().find("Quay").loop_mm["5"] == 13.7
        await press(pilot, "delete")
        await fill(pilot, "no")
        assert drawer.read().yarn
        await fill(pilot, "y")
        assert not drawer.read().yarn


async def test_figures_and_the_drawer_open_from_the_shelf(home: Path) -> None:
    (home / "patterns").mkdir()
    (home / "patterns" / "a.toml").write_text(toml(tables(cable(), yarn={"name": "Quay"}, title="Ropes")))
    (home / "patterns" / "b.toml").write_text("format = 7")
    async with PurlsideApp().run_test(size=(100, 30)) as pilot:
        await press(pilot, "f")
        said = flat(pilot)
        assert "Figures Ropes" in said
        assert "Quay is not among your yarns" in said
        await press(pilot, "q", "y")
        assert "My yarns" in flat(pilot)
        await press(pilot, "q", "down", "f")
        assert "No figures: this plan cannot be knit yet" in flat(pilot)
