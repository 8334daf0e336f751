"""A motif is one thing at the drafting table, and a mirrored pair is tied."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest

from purlside.bed.needles import Needle, Side
from purlside.draft import beside, reshaping, together
from purlside.draft.drafting import CannotDraft, Draft
from purlside.fabric.motifs import MOTIFS, Laying, lay
from purlside.fabric.stitches import Face
from purlside.files import planfile, planwriting
from purlside.plan.plan import Cable, Plan
from tests.plans import cable, plan


def table(*cables: dict[str, Any], needles: str = "L30-R30", rows: int = 120, **more: Any) -> Draft:
    return Draft(plan(*cables, needles=needles, rows=rows, **more), face=Face.PURL)


def laid(name: str = "honeycomb", at: str = "L12", row: int = 6, every: int = 6, **numbers: Any) -> Draft:
    made = table()
    made.go(Needle.parse(at), row)
    made.lay(name, every=every, **numbers)
    return made


def crossed(cables: tuple[Cable, ...] | list[Cable]) -> list[Any]:
    """What is crossed when, whatever it is called."""
    return [(c.crossings, c.first_row, c.every, c.times) for c in cables]


def anew(
    made: Draft, name: str, at: str, row: int, every: int, times: int, lean: Side = Side.RIGHT, **n: Any
) -> list[Any]:
    return crossed(lay(name, Laying("again", Needle.parse(at), row, every, lean, times), **n))


def test_a_honeycomb_is_moved_as_one() -> None:
    made = laid(width=2, cells=3)
    assert len(made.plan.cable) == 3 and len(made.in_hand) == 3
    assert made.move(across=2, up=3) == "honeycomb A moved"
    assert crossed(made.plan.cable) == anew(made, "honeycomb", "L10", 9, 6, 18, width=2, cells=3)


def test_its_strands_are_widened_together_and_its_cells_stay_side_by_side() -> None:
    made = laid(width=2, cells=3)
    made.widen()
    left = str(reshaping.span(made.plan.cable).left)
    assert crossed(made.plan.cable) == anew(made, "honeycomb", left, 6, 6, 18, width=3, cells=3)
    made.widen(-1)
    assert crossed(made.plan.cable) == anew(made, "honeycomb", "L12", 6, 6, 18, width=2, cells=3)


@pytest.mark.parametrize(
    ("name", "numbers"), [("plait", {"strands": 4}), ("lattice", {"strands": 7}), ("honeycomb", {"cells": 4})]
)
def test_it_is_retimed_turned_and_ended_as_one(name: str, numbers: dict[str, Any]) -> None:
    made = laid(name, at="L20", every=6, **numbers)
    made.every_by(2)
    made.go(Needle.parse("L20"), 10)
    made.first_row_here()
    made.end_whole()
    times = reshaping.crossing_rows(made.plan.cable, 120)
    assert times % 2 == 0 and 10 + 8 * (times - 1) < 120 <= 10 + 8 * (times + 1)
    assert crossed(made.plan.cable) == anew(made, name, "L20", 10, 8, times, width=2, **numbers)
    made.cross_other_way()
    assert all(
        c.front_side is not d.front_side
        for a, b in zip(made.plan.cable, laid(name, at="L20", **numbers).plan.cable, strict=True)
        for c, d in zip(a.crossings, b.crossings, strict=True)
    )


def test_a_travelling_cable_gets_wider_itself_and_keeps_its_steps() -> None:
    made = laid("travelling cable", at="L20", width=2, over=1, steps=4)
    made.widen()
    assert crossed(made.plan.cable) == anew(made, "travelling cable", "L20", 6, 6, 16, width=3, over=1, steps=4)


def test_a_motif_ends_with_a_whole_repeat_before_the_panel_does() -> None:
    for name in MOTIFS:
        made = laid(name, every=5)
        count = reshaping.crossing_rows(made.plan.cable, 120)
        last = 6 + 5 * (count - 1)
        assert last < 120
        assert count % reshaping.turns(made.plan.cable) == 0
        assert not list(together.loose_ends(made.plan)), name


def test_a_motif_cut_short_by_the_panel_is_advised_on_and_can_be_ended_whole() -> None:
    made = laid("wave", every=6)
    made.type(("panel", "rows"), "65")
    assert [words for _, words in together.loose_ends(made.plan)] == []
    made.type(("panel", "rows"), "60")
    assert [words for _, words in together.loose_ends(made.plan)] == [
        "crosses after the last row, 60: nothing is knit over it any more"
    ]
    made.type(("panel", "rows"), "55")
    (advice,) = [words for _, words in together.loose_ends(made.plan)]
    assert advice == "stops in mid-repeat after row 54: 8 crossing rows are whole repeats"
    assert any(advice in line for part in beside.parts(made) for line in part.lines)
    made.end_whole()
    assert not list(together.loose_ends(made.plan))


def test_it_is_deleted_copied_and_taken_apart_as_one() -> None:
    made = laid(cells=4)
    made.copy()
    assert {c.motif for c in made.plan.cable} == {"honeycomb A", "honeycomb B"}
    assert len(made.in_hand) == 4 and made.cable is not None and made.cable.motif == "honeycomb B"
    made.delete()
    assert {c.motif for c in made.plan.cable} == {"honeycomb A"}
    made.dissolve()
    assert {c.motif for c in made.plan.cable} == {None}
    assert len(made.in_hand) == 1
    made.undo()
    assert len(made.in_hand) == 4


def test_going_through_the_cables_takes_each_motif_once() -> None:
    made = laid(cells=4)
    made.go(Needle.parse("L29"), 4)
    made.place("3/3 RC")
    seen = []
    for _ in range(4):
        made.select_next()
        seen.append(made.cable.motif or made.cable.name if made.cable else "")
    assert seen == ["honeycomb A", "cable 1", "honeycomb A", "cable 1"]


def test_what_is_typed_for_one_cable_of_a_motif_holds_for_all() -> None:
    made = laid("plait", at="L20", every=6, strands=4)
    first = made.in_hand[0]
    made.type(("cable", first, "every"), "9")
    made.type(("cable", first, "first_row"), "12")
    made.type(("cable", first, "times"), "10")
    made.type(("cable", first, "ease"), "plain")
    assert crossed(made.plan.cable) == anew(made, "plait", "L20", 12, 9, 10, width=2, strands=4)
    assert {c.ease for c in made.plan.cable} == {"plain"}
    with pytest.raises(CannotDraft, match="take the motif apart first"):
        made.type(("cable", first, "cross"), "R1-R3 over L3-L1")


def test_a_motif_is_kept_in_the_file_by_its_name() -> None:
    made = laid(cells=3)
    text = planwriting.new(made.plan)
    assert text.count('motif = "honeycomb A"') == 3
    again = Draft(planfile.parse(text, "again.toml"))
    again.select(1)
    assert len(again.in_hand) == 3


# --- symmetry -----------------------------------------------------------------


def is_mirrored(made: Plan) -> bool:
    """Whether what is crossed when is its own mirror image."""
    image = reshaping.mirrored(made.cable, made.panel.needles)
    return {(c.crossings, c.first_row, c.every, c.times) for c in image} == {
        (c.crossings, c.first_row, c.every, c.times) for c in made.cable
    }


def test_a_mirrored_pair_is_one_key_and_what_is_done_to_one_is_done_to_its_twin() -> None:
    made = table(cable("L9-L7 over L12-L10"))
    assert made.pair() == "rope has a mirrored twin, tied to it"
    assert [str(c.cross) for c in made.plan.cable] == ["L9-L7 over L12-L10", "R7-R9 over R10-R12"]
    assert made.move(across=-2) == "rope moved and its twin with it"
    made.widen()
    made.every_by(3)
    assert str(made.plan.cable[1].cross) == str(
        reshaping.mirrored(made.plan.cable[:1], made.plan.panel.needles)[0].cross
    )
    assert is_mirrored(made.plan)
    made.select(1)
    made.move(across=1)
    assert is_mirrored(made.plan)
    made.pair()
    made.move(across=1)
    assert not is_mirrored(made.plan)


def any_change(made: Draft, rng: random.Random) -> None:
    """One of the things a key does to what is in hand."""
    changes: list[Callable[[], str]] = [
        lambda: made.move(rng.randint(-3, 3), rng.randint(-2, 3)),
        lambda: made.widen(rng.choice([1, -1])),
        lambda: made.every_by(rng.choice([1, -1])),
        lambda: made.times_by(-1),
        made.cross_other_way,
        made.end_whole,
        made.next_ease,
        made.first_row_here,
    ]
    rng.choice(changes)()


@pytest.mark.parametrize("name", list(MOTIFS))
def test_a_tied_pair_stays_a_mirror_image_whatever_is_done_to_it(name: str) -> None:
    for seed in range(20):
        rng = random.Random(seed)
        made = table(needles="L60-R60")
        made.go(Needle.parse("L50"), 6)
        made.lay(name, every=6, lean=rng.choice(list(Side)))
        made.pair()
        for _ in range(8):
            if rng.random() < 0.3:
                made.select(rng.randrange(len(made.plan.cable)))
            try:
                any_change(made, rng)
            except CannotDraft:
                continue
            assert is_mirrored(made.plan), (seed, name)
        made.delete()
        assert not made.plan.cable


def test_a_pair_that_would_lie_on_itself_is_refused() -> None:
    made = table(cable("R1-R3 over L3-L1"))
    with pytest.raises(CannotDraft, match="across the panel's middle"):
        made.pair()


def test_what_is_in_hand_is_centred() -> None:
    made = table(cable("R11-R13 over R8-R10"))
    made.centre()
    assert str(made.plan.cable[0].cross) == "R1-R3 over L3-L1"
    with pytest.raises(CannotDraft, match="in the middle already"):
        made.centre()


def test_cables_are_spaced_evenly_and_keep_their_order() -> None:
    made = table(
        cable("L27-L25 over L30-L28"),
        cable("L18-L17 over L20-L19", name="b"),
        cable("R1-R3 over L3-L1", name="c"),
        needles="L30-R30",
    )
    made.space_evenly()
    spans = [reshaping.span((c,)) for c in made.plan.cable]
    edges = [-31, *[int(e) for s in spans for e in (s.left, s.right)], 30]
    gaps = [b - a - 1 for a, b in zip(edges[::2], edges[1::2], strict=True)]
    assert max(gaps) - min(gaps) <= 1
    assert sum(gaps) == 60 - 16
    with pytest.raises(CannotDraft, match="evenly already"):
        made.space_evenly()


def test_a_symmetrical_plan_stays_so_when_it_is_spaced_evenly() -> None:
    made = table(cable("L9-L7 over L12-L10"), needles="L30-R30")
    made.pair()
    made.go(Needle.parse("L5"), 8)
    made.place("3/3 LC")
    made.centre()
    made.space_evenly()
    spans = sorted((int(s.left), int(s.right)) for s in (reshaping.span((c,)) for c in made.plan.cable))
    assert [(-1 - b, -1 - a) for a, b in reversed(spans)] == spans
