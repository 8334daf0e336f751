"""Motifs: laid down, they are ordinary cables that fit together."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.needles import Needle, Side
from purlside.draft.reshaping import span
from purlside.fabric.motifs import MOTIFS, Laying, lay
from purlside.fabric.stitches import Fabric
from purlside.files.planfile import parse
from purlside.plan.plan import Cable
from purlside.rows import checking
from tests.fabric.test_stitches import panel

names = st.sampled_from(list(MOTIFS))


def laid(cables: list[Cable], rows: int = 60) -> Fabric:
    return Fabric(replace(panel(needles="L40-R100", rows=rows), cable=tuple(cables)))


def crossings(cables: list[Cable], rows: int = 60) -> dict[int, list[str]]:
    fabric = laid(cables, rows)
    return {row: [str(m.crossing) for m in fabric.row(row).crossings] for row in fabric.crossing_rows()}


AT = Laying("rope", Needle.parse("L3"), first_row=8, every=10)


def test_a_rope_crosses_the_same_way_each_time() -> None:
    assert crossings(lay("rope", AT, width=3), 30) == {
        8: ["R1-R3 over L3-L1"],
        18: ["R1-R3 over L3-L1"],
        28: ["R1-R3 over L3-L1"],
    }


def test_a_wave_goes_back_over_the_way_it_came() -> None:
    assert crossings(lay("wave", AT, width=3), 30) == {
        8: ["R1-R3 over L3-L1"],
        18: ["L3-L1 over R1-R3"],
        28: ["R1-R3 over L3-L1"],
    }


def test_a_plait_of_three_is_one_cable_that_takes_its_two_places_in_turn() -> None:
    cables = lay("plait", AT, width=2, strands=3)
    assert [cable.name for cable in cables] == ["rope"]
    assert crossings(cables, 30) == {8: ["L1-R1 over L3-L2"], 18: ["L1-R1 over R2-R3"], 28: ["L1-R1 over L3-L2"]}


def test_a_plait_of_four_crosses_two_pairs_and_then_the_middle() -> None:
    assert crossings(lay("plait", AT, width=1, strands=4), 20) == {8: ["R1 over L1", "L2 over L3"], 18: ["L2 over L1"]}


def test_a_honeycomb_crosses_every_cell_in_every_crossing_row_each_unlike_its_neighbour() -> None:
    for made in (laid(lay("honeycomb", AT, width=2, cells=4)).row(row).crossings for row in (8, 18)):
        leans = [m.lean() for m in made]
        assert len(leans) == 4
        assert all(a is not b for a, b in pairwise(leans))


def test_a_lattice_sets_its_crossings_off_by_one_strand_each_time() -> None:
    found = crossings(lay("lattice", AT, width=2, strands=6), 20)
    assert [len(made) for made in found.values()] == [3, 2]
    fabric = laid(lay("lattice", AT, width=2, strands=6))
    assert {m.lean() for row in (8, 18) for m in fabric.row(row).crossings} == {Side.RIGHT}


def test_one_stitch_goes_over_many_and_comes_back() -> None:
    cables = lay("one over many", Laying("dot", Needle.parse("R2"), 8, 6, ease="by hand"), many=3)
    assert crossings(cables, 20) == {8: ["R5 over R2-R4"], 14: ["R2 over R3-R5"], 20: ["R5 over R2-R4"]}
    assert cables[0].eases == {"by hand"}


@pytest.mark.parametrize("lean", list(Side))
def test_a_travelling_cable_goes_the_way_it_leans_and_each_step_takes_up_where_the_last_ended(lean: Side) -> None:
    laying = Laying("way", Needle.parse("L5"), 2, 2, lean)
    cables = lay("travelling cable", laying, width=2, over=1, steps=4)
    fabric = laid(cables, 18)
    strand = [came for came, _ in fabric.row(2).crossings[0].front]
    at = set(map(int, strand))
    for row in range(2, 18, 2):
        [made] = fabric.row(row).crossings
        assert {int(came) for came, _ in made.front} == at
        assert made.lean() is (lean if row <= 8 else lean.other)
        at = {int(went) for _, went in made.front}
    assert at == set(map(int, strand))


def test_a_travelling_cable_may_go_one_way_only() -> None:
    found = crossings(lay("travelling cable", AT, back=False, width=2, over=1, steps=3))
    assert list(found) == [8, 18, 28]
    assert crossings(lay("travelling cable", AT, back=False, width=2, over=2, steps=1)) == {8: ["L1-R1 over L3-L2"]}


@given(names, st.sampled_from(list(Side)), st.integers(-40, 0), st.integers(1, 4), st.booleans(), st.data())
def test_every_motif_begins_at_its_left_needle_and_has_no_fault(
    name: str, lean: Side, left: int, every: int, back: bool, data: st.DataObject
) -> None:
    numbers = {
        k: data.draw(st.integers(low, min(most, low + 5)), k) for k, (low, _, most) in MOTIFS[name].numbers.items()
    }
    cables = lay(name, Laying("m", Needle(left), 3, every, lean, 7), back=back, **numbers)
    fabric = laid(cables)
    assert checking.faults(fabric.plan) == []
    assert span(cables).left == left
    rows = list(fabric.crossing_rows())
    assert rows == [3 + i * every for i in range(len(rows))]
    assert len(rows) == 7 or (name == "travelling cable" and not back and len(rows) == numbers["steps"])


@given(names)
def test_with_the_other_lean_every_crossing_row_has_as_many_crossings_and_each_leans_the_other_way(name: str) -> None:
    right, left = (laid(lay(name, Laying("m", Needle(-20), 1, 2, side))) for side in (Side.RIGHT, Side.LEFT))
    assert list(right.crossing_rows()) == list(left.crossing_rows())
    for row in right.crossing_rows():
        leans, others = ([m.lean() for m in fabric.row(row).crossings] for fabric in (right, left))
        assert [lean.other for lean in leans] == others


@given(names, st.integers(1, 9))
def test_as_many_crossing_rows_as_asked_for(name: str, times: int) -> None:
    assert len(crossings(lay(name, Laying("m", Needle(-20), 1, 2, times=times)))) == times


@pytest.mark.parametrize("name", list(MOTIFS))
def test_what_is_laid_down_by_default_is_a_plan_that_is_written_and_read(name: str) -> None:
    cables = lay(name, AT)
    tables = "".join(
        f'[[cable]]\nname = "{c.name}"\ncross = [{", ".join(f"{chr(34)}{x}{chr(34)}" for x in c.crossings)}]\n'
        f"first_row = {c.first_row}\n" + (f"every = {c.every}\n" if c.every else "")
        for c in cables
    )
    text = f'format = 1\ntitle = "Kelp"\n[machine]\npitch_mm = 4.5\n[panel]\nneedles = "L40-R60"\nrows = 90\nstitch_size = 5\n{tables}'
    read = parse(text, "kelp.toml")
    assert [c.crossings for c in read.cable] == [c.crossings for c in cables]


@pytest.mark.parametrize(
    ("name", "numbers", "said"),
    [
        ("rope", {"width": 0}, "width is 0; allowed: 1 to 12"),
        ("plait", {"strands": 2}, "3 to 20"),
        ("braid", {}, "there are rope"),
        ("rope", {"cells": 2}, "takes width"),
    ],
)
def test_numbers_that_make_no_motif_are_refused(name: str, numbers: dict[str, int], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        lay(name, AT, back=None, **numbers)
