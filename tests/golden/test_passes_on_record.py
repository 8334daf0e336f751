"""The moves of a rectangular plan are byte for byte those they have always been."""

from tests.golden.written_plans import RECORD, record


def test_a_plan_is_knit_by_the_same_moves_as_ever() -> None:
    on_record = RECORD.read_text("utf-8").splitlines()
    now = record()
    assert len(now) == len(on_record)
    assert [(a, b) for a, b in zip(now, on_record, strict=True) if a != b] == []
