"""What stands beside cables and shaping in a design laid again: beads, ladders, and what is told before a row."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from purlside.bed.needles import Needle, Span
from purlside.draft.refit import RefitFor, Refitted, refit
from purlside.draft.refitplaces import CLOSE_TO, Places
from purlside.draft.refittold import side_by_side
from purlside.files.planfile import read
from purlside.plan.machine import Gauge, Tools
from purlside.plan.plan import Plan, Reminder
from purlside.plan.repeats import Repeat
from purlside.rows.calendar import Calendar
from tests.plans import cable, plan

PATTERNS = Path(__file__).parents[2] / "patterns"
GAUGE = {"stitches_per_10cm": 28, "rows_per_10cm": 40}


def at(of: Plan, stitches: float, rows: float) -> Refitted:
    gauge = Gauge(stitches_per_10cm=stitches, rows_per_10cm=rows)
    return refit(of, RefitFor(gauge=gauge, tools=Tools(prongs=None)))


def shoulders(*texts: tuple[str, int]) -> Plan:
    """A jersey's front with only these reminders."""
    front = read(PATTERNS / "slipway-jersey-front.toml").plan
    return replace(front, reminder=tuple(Reminder(text=text, row=row) for text, row in texts))


def done(of: Plan, do: str, part: str | None) -> list[int]:
    """The rows in which the first edge asked does that."""
    ends = {segment.part: segment.fabric_row(segment.last) for segment in Calendar(of).segments}
    found = []
    for shape in of.shape:
        if (shape.do, shape.part) == (do, part):
            repeat = Repeat.within(ends[part], shape.first_row, shape.every, shape.times)
            found += [repeat.first + repeat.every * k for k in range(repeat.of)]
    return sorted(found)


@pytest.mark.parametrize(("stitches", "rows"), [(24, 34), (14, 20), (33, 50), (28, 37), (21, 29)])
def test_a_marker_stays_with_the_shaping_the_part_and_the_last_row_it_belongs_to(stitches: int, rows: int) -> None:
    front = shoulders()
    decreased = done(front, "decrease", None)
    old = shoulders(
        ("cast off", done(front, "cast off", None)[0]),
        ("first decrease", decreased[0]),
        ("last decrease", decreased[-1]),
        ("the neck is parted after this row", front.panel.rows),
        ("the shoulders begin", front.panel.rows + 1),
        ("first short row", done(front, "hold", "right shoulder")[0]),
        ("resting stitches return", Calendar(front).end),
    )
    new = at(old, stitches, rows).plan
    told = {note.text: note.row for note in new.reminder}
    assert told == {
        "cast off": done(new, "cast off", None)[0],
        "first decrease": done(new, "decrease", None)[0],
        "last decrease": done(new, "decrease", None)[-1],
        "the neck is parted after this row": new.panel.rows,
        "the shoulders begin": new.panel.rows + 1,
        "first short row": done(new, "hold", "right shoulder")[0],
        "resting stitches return": done(new, "return", "right shoulder")[0],
    }


def test_a_marker_between_stays_between_and_in_order() -> None:
    front = shoulders()
    old = shoulders(*((str(row), row) for row in range(1, Calendar(front).end + 1)))
    new = at(old, 24, 34).plan
    rows = [note.row or 0 for note in new.reminder]
    assert rows == sorted(rows) and rows[-1] == Calendar(new).end
    # A row that nothing is done in is at its height in cm, but for what shaping was moved by.
    for note, row in zip(old.reminder, rows, strict=True):
        assert abs(row / 34 - (note.row or 0) / 40) * 10 < 1.0, "within a centimetre"


def test_what_is_told_again_and_again_begins_with_the_shaping_it_began_with() -> None:
    front = shoulders()
    first = done(front, "cast off", None)[0]
    old = replace(front, reminder=(Reminder(text="measure", first_row=first, every=20, times=3),))
    new = at(old, 24, 34).plan
    (note,) = new.reminder
    assert (note.first_row, note.every, note.times) == (done(new, "cast off", None)[0], 17, 3)


ROPES = (
    cable("L42-L41 over L40-L39", name="left rope", first_row=8, every=6, times=15),
    cable("R1-R3 over L3-L1", name="middle", first_row=8, every=8, times=15),
    cable("R41-R42 over R39-R40", name="right rope", first_row=8, every=6, times=15),
)


def beaded(needles: str) -> Plan:
    stitch = {"needles": needles, "do": "bead", "first_row": 12, "every": 12, "times": 8}
    return plan(*ROPES, needles="L48-R48", rows=140, gauge=GAUGE, stitch=[stitch])


@pytest.mark.parametrize("stitches", [28, 24, 14, 12, 56])
def test_beads_between_ropes_stay_between_them(stitches: int) -> None:
    """L20 is the 17th of the 36 steps from the middle rope's L3 to the left rope's L39, and stays near that."""
    made = at(beaded("L20, R20"), stitches, 40)
    (stitch,) = made.plan.stitch
    left, middle = (one.crossings[0].span for one in made.plan.cable if one.name in ("left rope", "middle"))
    bead = int(stitch.needles[0])
    assert bead - int(left.right) == pytest.approx((36 - 17) / 36 * (int(middle.left) - int(left.right)), abs=0.6)
    assert int(stitch.needles[1]) == -1 - bead, "in the mirror as before"
    taken = {n for one in made.plan.cable for crossing in one.crossings for n in crossing.needles}
    assert not taken & set(stitch.needles)
    assert stitch.times == 8 and not made.said


def test_beads_close_to_a_rope_keep_their_distance_and_those_on_it_their_stitch() -> None:
    made = at(beaded("L5, R5"), 14, 40).plan
    assert [str(n) for n in made.stitch[0].needles] == ["L5", "R5"]
    on = at(beaded("L41, R41"), 20, 40).plan
    (rope,) = (one for one in on.cable if one.name == "left rope")
    assert on.stitch[0].needles[0] in rope.crossings[0].needles


def test_a_bead_that_has_come_to_lie_on_a_cable_is_said() -> None:
    ropes = (
        cable("L8-L5 over L4-L1", name="left rope", first_row=9, every=8, times=4),
        cable("R2-R5 over R6-R9", name="right rope", first_row=9, every=8, times=4),
    )
    stitch = {"needles": "R1", "do": "bead", "first_row": 12, "every": 12, "times": 3}
    old = plan(*ropes, needles="L12-R12", rows=60, gauge=GAUGE, stitch=[stitch])
    # As many stitches as the ropes take are left: there is no needle between them any more.
    made = at(old, 19, 40)
    lines = "\n".join(side_by_side(made.changes, made.said))
    needles = {n for one in made.plan.cable for crossing in one.crossings for n in crossing.needles}
    landed = [n for s in made.plan.stitch for n in s.needles if n in needles]
    assert landed
    assert f"single needles 1: {landed[0]} lies on " in lines and "lay this work aside" in lines


def test_needles_that_fall_on_one_are_said() -> None:
    made = at(beaded("L20, L19, L18, L17"), 10, 40)
    (stitch,) = made.plan.stitch
    gone = 4 - len(stitch.needles)
    assert gone > 0
    assert any(f"single needles 1: {gone} of its needles fell on another" in said for said in made.said)


def test_a_mirror_image_stays_one_wherever_a_bead_stands() -> None:
    old = [Span(Needle(-30), Needle(-25)), Span(Needle(-3), Needle(2)), Span(Needle(24), Needle(29))]
    for half in range(20, 60):
        by = half / 40
        new = [Span(Needle(-round(30 * by)), Needle(-round(30 * by) + 5)), Span(Needle(-3), Needle(2))]
        new.append(Span(Needle(-1 - int(new[0].right)), Needle(-1 - int(new[0].left))))
        if new[0].right >= new[1].left:
            continue
        places = Places(old, new, Span(Needle(-40), Needle(39)), Span(Needle(-half), Needle(half - 1)))
        found = [int(places(n)) for n in range(-40, 40)]
        assert found == [-1 - n for n in reversed(found)]
        assert found == sorted(found)
        room = int(new[1].left) - int(new[0].right) - 1
        if room >= 2 * CLOSE_TO:
            assert found[40 - 3 - CLOSE_TO] == -3 - CLOSE_TO, "close to the middle it keeps its distance"
