"""Rows said as a repeat: fewer words, and every row still said once."""

from hypothesis import given
from hypothesis import strategies as st

from purlside.fabric.repeats import Repeated, Stretch, fold, gathered, main_repeat
from purlside.rows.calendar import Calendar
from tests.fabric.test_stitches import RIGHT_IN_FRONT, panel


def unfolded(parts: list[Repeated[str]]) -> list[tuple[int, str]]:
    """Row by row, as someone reads it who has only what is said."""
    found = []
    for part in parts:
        for time in range(part.times):
            for stretch in part.stretches:
                for row in range(stretch.first, stretch.last + 1):
                    found.append((row + time * part.every, stretch.what))
    return found


@given(st.lists(st.sampled_from("pAB"), min_size=1, max_size=60))
def test_every_row_is_said_once_and_as_it_is(rows: list[str]) -> None:
    numbered = list(enumerate(rows, 1))
    assert unfolded(fold(gathered(numbered))) == numbered


@given(st.lists(st.sampled_from("pAB"), min_size=2, max_size=8), st.integers(2, 9), st.integers(0, 5))
def test_what_comes_again_is_said_at_most_once(block: list[str], times: int, before: int) -> None:
    rows = ["x"] * before + block * times
    said = sum(len(part.stretches) for part in fold(gathered(enumerate(rows, 1))))
    assert said <= bool(before) + 2 * len(gathered(enumerate(block))) + 1


def test_a_rope_is_said_from_its_first_crossing_row_on() -> None:
    rows = [(n, "A" if n >= 8 and (n - 8) % 7 == 0 else "plain") for n in range(1, 61)]
    assert fold(gathered(rows)) == [
        Repeated((Stretch(1, 7, "plain"),), 1),
        Repeated((Stretch(8, 8, "A"), Stretch(9, 14, "plain")), 7),
        Repeated((Stretch(57, 57, "A"), Stretch(58, 60, "plain")), 1),
    ]


def test_first_last_and_every_are_rows_of_the_panel() -> None:
    [_, part, _] = fold(gathered((n, "A" if n >= 8 and (n - 8) % 7 == 0 else "plain") for n in range(1, 61)))
    assert (part.first, part.every, part.times, part.last) == (8, 7, 7, 56)


def test_the_longest_repeat_of_crossings_is_found_whatever_else_falls_on_its_rows() -> None:
    plan = panel(RIGHT_IN_FRONT, rows=100, extra='[[reminder]]\nrow = 21\ntext = "measure"')
    found = main_repeat(Calendar(plan))
    assert found is not None
    assert (found.every, found.times) == (8, 12)
    assert main_repeat(Calendar(panel())) is None


def test_a_repeat_holds_the_beads_between_its_crossings_and_no_column_latched_up_over_many_rows() -> None:
    def stitch(do: str, needles: str, first: int, every: int) -> str:
        return f'[[stitch]]\nneedles = "{needles}"\ndo = "{do}"\nfirst_row = {first}\nevery = {every}\n'

    plan = panel(RIGHT_IN_FRONT, rows=100, extra=stitch("bead", "L6", 12, 16) + stitch("purl", "L5", 10, 10))
    found = main_repeat(Calendar(plan))
    assert found is not None
    assert (found.first, found.every, found.times) == (1, 16, 6)
