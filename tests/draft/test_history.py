"""Any operations on a draft, undone and done again: the original, and the end."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from purlside.bed.needles import Side
from purlside.draft.drafting import CannotDraft, Draft
from purlside.fabric.motifs import MOTIFS
from purlside.figures.whole import figures
from purlside.plan.plan import Plan
from purlside.rows.checking import faults
from tests.plans import plans

OPERATIONS: dict[str, Any] = {
    "place": lambda d, n: d.place(["3/3 RC", "2/1 LC", "C4B", "nonsense", "1 over 3 left"][n % 5]),
    "lay": lambda d, n: d.lay([*MOTIFS][n % len(MOTIFS)], lean=[Side.LEFT, Side.RIGHT][n % 2], every=n % 9 + 1),
    "move": lambda d, n: d.move(n % 7 - 3, n % 5 - 2),
    "widen": lambda d, n: d.widen([1, -1][n % 2]),
    "half": lambda d, n: d.widen_half(n % 3 == 0, [1, -1][n % 2]),
    "turn": lambda d, n: d.cross_other_way(),
    "mirror": lambda d, n: d.mirror(),
    "copy": lambda d, n: d.copy(),
    "delete": lambda d, n: d.delete(),
    "ease": lambda d, n: d.next_ease(),
    "every": lambda d, n: d.every_by(n % 5 - 2),
    "times": lambda d, n: d.times_by(n % 5 - 2),
    "first": lambda d, n: d.first_row_here(),
    "ladder": lambda d, n: d.ladder_here(),
    "band": lambda d, n: d.add_band(colour="slate" if n % 2 else None),
    "reminder": lambda d, n: d.add_reminder(f"look {n}"),
    "remove": lambda d, n: d.remove((["band", "reminder"][n % 2], 0)),
    "next": lambda d, n: d.select_next(n % 2 * 2 - 1),
    "go": lambda d, n: d.go(n % 30 - 15, n),
    "over": lambda d, n: d.turn_over(),
    "type": lambda d, n: d.type(*TYPED[n % len(TYPED)]),
    "undo": lambda d, n: d.undo(),
    "redo": lambda d, n: d.redo(),
}
TYPED: list[tuple[tuple[str | int, ...], str]] = [
    (("panel", "rows"), "12"),
    (("panel", "rows"), "many"),
    (("panel", "needles"), "L3-R8"),
    (("panel", "out_of_work"), "L1, R2"),
    (("panel", "stitch_size"), "11"),
    (("machine", "dial"), "9 to 2"),
    (("gauge", "rows_per_10cm"), "40"),
    (("gauge", "stitches_per_10cm"), "28"),
    (("yarn", "loop_mm"), "5: 12, 9: 15"),
    (("yarn", "count"), "2/8 Nm"),
    (("yarn", "count"), "?"),
    (("cable", 0, "cross"), "R1-R2 over L2-L1, L2-L1 over R1-R2"),
    (("cable", 0, "ease"), "enlarge"),
    (("cable", 0, "enlarged_size"), "9"),
    (("cable", 0, "name"), "rope"),
    (("band", 0, "stitch_size"), ""),
    (("title",), ""),
]
sequences = st.lists(st.tuples(st.sampled_from(sorted(OPERATIONS)), st.integers(0, 60)), max_size=25)


def do(made: Draft, name: str, number: int) -> None:
    try:
        OPERATIONS[name](made, number)
    except CannotDraft as refused:
        assert str(refused)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(most_rows=30, most_needles=14), sequences)
def test_all_undone_is_the_original_and_all_done_again_is_the_end(original: Plan, steps: list[tuple[str, int]]) -> None:
    made = Draft(original)
    made.type(("gauge", "rows_per_10cm"), "40")
    made.type(("gauge", "stitches_per_10cm"), "28")
    for name, number in steps:
        do(made, name, number)
        judged = made.judgement
        assert judged.faults == tuple(faults(made.plan))
        if judged.size is not None and not judged.faults:
            assert judged.size == figures(made.plan).finished
        assert Draft(made.plan).judgement == judged
    end = made.state
    while True:
        try:
            made.undo()
        except CannotDraft:
            break
    assert made.plan == original and not made.state.typed and not made.changed
    while True:
        try:
            made.redo()
        except CannotDraft:
            break
    if not any(name in ("undo", "redo") for name, _ in steps):
        assert (made.plan, made.state.typed) == (end.plan, end.typed)
