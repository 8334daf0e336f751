"""A design laid again for another machine, yarn, gauge or tools."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Needle
from purlside.draft import reshaping
from purlside.draft.drafting import Draft
from purlside.draft.refit import CannotRefit, RefitFor, refit
from purlside.fabric.stitches import Face
from purlside.files.planfile import read
from purlside.plan.machine import Gauge, Machine, Tools, Yarn
from purlside.plan.plan import Plan
from purlside.rows import checking
from purlside.rows.calendar import Calendar
from purlside.rows.shaped import uncarried
from purlside.rows.working import Working
from tests.plans import cable, plan

PATTERNS = Path(__file__).parents[2] / "patterns"

CHUNKY = RefitFor(
    machine=Machine(pitch_mm=9.0, needles=110),
    yarn=Yarn(fibre="wool", tex=1000),
    gauge=Gauge(stitches_per_10cm=14, rows_per_10cm=20),
    tools=Tools(prongs=(2, 3)),
    stitch_size=4,
)


def scarf(*cables: dict[str, Any], **more: Any) -> Plan:
    gauge = {"stitches_per_10cm": 28, "rows_per_10cm": 40}
    return plan(*cables, **{"needles": "L30-R30", "rows": 240, "gauge": gauge, **more})


def test_a_finer_design_for_a_chunky_machine_keeps_its_size_and_its_ropes() -> None:
    old = scarf(cable("L17-L15 over L20-L18", name="a"), cable("R15-R17 over R18-R20", name="b"))
    made = refit(old, CHUNKY)
    assert (str(made.plan.panel.needles), made.plan.panel.rows) == ("L15-R15", 120)
    spans = [reshaping.span((c,)) for c in made.plan.cable]
    assert [len(s) for s in spans] == [6, 6]
    # A mirror image stays one, and the edges keep their share.
    assert int(spans[0].left) + int(spans[1].right) == -1
    assert not checking.quick_faults(made.plan)
    changes = {change.what: (change.before, change.after) for change in made.changes}
    assert changes["needles"] == ("60, L30-R30", "30, L15-R15")
    assert changes["needles apart"] == ("4.5 mm", "9 mm")
    assert changes["a"][0].startswith("3/3 LC") or changes["a"][0].startswith("3/3 RC")


def test_rows_between_crossings_keep_their_proportion_to_the_width() -> None:
    old = scarf(cable(first_row=8, every=8))
    denser = refit(old, RefitFor(gauge=Gauge(stitches_per_10cm=28, rows_per_10cm=60)))
    assert (denser.plan.cable[0].every, denser.plan.panel.rows) == (12, 360)
    chunky = refit(old, CHUNKY)
    assert chunky.plan.cable[0].every == 8, "twice as wide in cm, so twice as long"


def test_a_rope_in_the_middle_stays_in_the_middle() -> None:
    for stitches in range(10, 40):
        made = refit(scarf(cable()), RefitFor(gauge=Gauge(stitches_per_10cm=stitches, rows_per_10cm=40)))
        span = reshaping.span(made.plan.cable)
        panel = made.plan.panel.needles
        assert int(span.left) - int(panel.left) == int(panel.right) - int(span.right), stitches


def test_what_would_be_thrown_off_the_panel_is_narrowed_and_said_or_refused() -> None:
    old = scarf(
        *(cable(f"L{10 * n - 7}-L{10 * n - 9} over L{10 * n - 4}-L{10 * n - 6}", name=f"c{n}") for n in range(1, 4))
    )
    made = refit(old, RefitFor(gauge=Gauge(stitches_per_10cm=7, rows_per_10cm=20)))
    assert any("a stitch narrower" in said for said in made.said)
    assert all(n in made.plan.panel.needles for c in made.plan.cable for x in c.crossings for n in x.needles)
    with pytest.raises(CannotRefit, match="leave one out of c3, c2, c1"):
        refit(old, RefitFor(gauge=Gauge(stitches_per_10cm=1, rows_per_10cm=20)))
    with pytest.raises(CannotRefit, match="the bed has 110"):
        refit(
            old, RefitFor(machine=Machine(pitch_mm=9, needles=110), gauge=Gauge(stitches_per_10cm=90, rows_per_10cm=20))
        )


def test_without_a_new_gauge_the_old_one_is_left_out_and_that_is_said() -> None:
    made = refit(scarf(cable()), RefitFor(yarn=Yarn(fibre="silk", tex=200)))
    assert made.plan.gauge is None and len(made.plan.panel.needles) == 60
    assert any("knit a swatch" in said for said in made.said)


def test_eases_are_chosen_anew_and_a_stitch_knit_by_hand_stays() -> None:
    old = scarf(cable(ease="enlarge", enlarged_size=9.0), cable("L20 over L19-L17", name="bead", ease="by hand"))
    made = refit(old, RefitFor(yarn=Yarn(fibre="linen", tex=280)))
    assert made.plan.cable[0].ease != "plain"
    assert made.plan.cable[1].ease == "by hand"
    plain = refit(scarf(cable("R1 over L1", ease="enlarge", enlarged_size=9.0)), CHUNKY)
    assert plain.plan.cable[0].ease == "plain"


def test_missing_tools_are_said() -> None:
    made = refit(scarf(cable("R1-R4 over L4-L1")), RefitFor(tools=Tools(prongs=(3,))))
    assert any(said.startswith("rope: ") for said in made.said)


def test_a_motif_is_laid_again_as_one_and_ends_whole() -> None:
    draft = Draft(scarf(), face=Face.PURL)
    draft.go(Needle.parse("L6"), 8)
    draft.lay("honeycomb", width=2, cells=3, every=6)
    made = refit(draft.plan, CHUNKY).plan
    again = Draft(made)
    assert len(again.in_hand) == 3
    count = reshaping.crossing_rows(made.cable, made.panel.rows)
    assert count % 2 == 0
    first = min(c.first_row for c in made.cable)
    assert first + 6 * (count - 1) <= made.panel.rows


@given(st.integers(8, 60), st.integers(10, 90), st.integers(0, 2**31))
def test_nothing_ever_leaves_the_panel_silently(stitches: int, rows: int, seed: int) -> None:
    import random

    rng = random.Random(seed)
    draft = Draft(scarf(), face=Face.PURL)
    for name, at in (("rope", "L28"), ("plait", "L18"), ("wave", "R8")):
        draft.go(Needle.parse(at), rng.randint(2, 20))
        draft.lay(name, every=rng.randint(4, 9))
    try:
        made = refit(draft.plan, RefitFor(gauge=Gauge(stitches_per_10cm=stitches, rows_per_10cm=rows)))
    except CannotRefit:
        return
    assert len(made.plan.cable) == len(draft.plan.cable)
    panel = made.plan.panel.needles
    assert all(n in panel for c in made.plan.cable for x in c.crossings for n in x.needles)
    spans = sorted((int(s.left), int(s.right)) for s in (reshaping.span((c,)) for c in made.plan.cable))
    assert all(a[1] < b[0] for a, b in pairwise(spans))
    assert all(c.first_row <= made.plan.panel.rows for c in made.plan.cable)


# --- panels with a shape ------------------------------------------------------

JERSEY = [read(path).plan for path in sorted(PATTERNS.glob("slipway-jersey-*.toml"))]


def outline(of: Plan) -> dict[tuple[str | None, int], tuple[float, float]]:
    """How far the edges are from the middle, in mm, at each mm of height; of the panel and each part."""
    assert of.gauge is not None
    across, up = 100 / of.gauge.stitches_per_10cm, 100 / of.gauge.rows_per_10cm
    found = {}
    for segment in Calendar(of).segments:
        for number in range(segment.first, segment.last + 1):
            edges = segment.edges_in(number)
            height = round((segment.fabric_row(number) - 0.5) * up)
            found[segment.part, height] = (int(edges.left) * across, (int(edges.right) + 1) * across)
    return found


@pytest.mark.parametrize("old", JERSEY, ids=lambda plan: plan.title)
@pytest.mark.parametrize(("stitches", "rows"), [(14, 20), (20, 30), (24, 31), (31, 40), (33, 50)])
def test_a_shaped_piece_is_as_wide_at_every_height_as_it_was(old: Plan, stitches: int, rows: int) -> None:
    made = refit(old, RefitFor(gauge=Gauge(stitches_per_10cm=stitches, rows_per_10cm=rows), tools=Tools(prongs=None)))
    new = made.plan
    assert (checking.faults(new), Working(new).simulate(), list(uncarried(new))) == ([], [], [])
    assert [part.name for part in new.part] == [part.name for part in old.part]
    was, now = outline(old), outline(new)
    stitch, row = 100 / stitches, 100 / rows
    for (part, height), edges in now.items():
        # Some rows up or down and a stitch or two for the rounding of each.
        near = [e for (other, at), e in was.items() if other == part and abs(at - height) <= 3 * row + 10]
        for side in (0, 1):
            assert min(e[side] for e in near) - 2.5 * stitch <= edges[side] <= max(e[side] for e in near) + 2.5 * stitch
    top, high = (max(height for _, height in of) for of in (was, now))
    assert high == pytest.approx(top, abs=5 * row)


@pytest.mark.parametrize("old", JERSEY, ids=lambda plan: plan.title)
def test_at_its_own_gauge_a_shaped_piece_stays_as_it_is(old: Plan) -> None:
    made = refit(old, RefitFor(gauge=old.gauge))
    assert (made.plan.panel, made.plan.part) == (old.panel, old.part)
    assert edges_by_row(made.plan) == edges_by_row(old)
    assert not made.said


def edges_by_row(of: Plan) -> list[Any]:
    calendar = Calendar(of)
    rows = map(calendar.row, range(1, calendar.rows + 1))
    return [(row.part, row.fabric, row.side, row.needles, row.resting) for row in rows]


def test_what_a_refit_does_to_the_shape_is_told_side_by_side() -> None:
    (front,) = (plan for plan in JERSEY if plan.part)
    told = {change.what: (change.before, change.after) for change in refit(front, CHUNKY).changes}
    assert told["right shoulder"] == ("R1-R76, 36 rows", "R1-R38, 20 rows")
    assert told["cast off at both edges"] == ("6 in row 161", "3 in row 81")
    assert told["right shoulder: return at the right edge"][0] == "all in row 260"
    assert told["left strand"][0].endswith("row 166 and every 6 rows, 14 times; plain"), "the shoulders' crossings too"
    assert told["reminder: Tie a marker at both edges: the armhole begins here"] == ("row 161", "row 81")
    assert (
        told["reminder: Tie a marker at the middle, between L1 and R1: the neck is parted after this row"][1]
        == "row 112"
    )


@pytest.mark.parametrize(("rows", "first", "every"), [(180, 8, 6), (180, 8, 4), (240, 10, 8), (100, 5, 5)])
def test_what_ended_before_the_panel_did_still_does(rows: int, first: int, every: int) -> None:
    """Nothing is crossed that no row is knit over, and a plait that ended with whole repeats does so again."""
    rope = {**cable("R12-R14 over R9-R11", first_row=first, every=every), "name": "rope"}
    turns = ["L1-R1 over L3-L2", "L1-R1 over R2-R3"]
    count = (rows - 1 - first) // every // 2 * 2
    plait = {**cable(turns[0], first_row=first, every=every), "name": "plait", "cross": turns, "times": count}
    made = refit(scarf(rope, plait, rows=rows), CHUNKY).plan
    for found in Calendar(made).repeats:
        assert found.last < made.panel.rows
    assert Calendar(made).repeats[1].of % 2 == 0
