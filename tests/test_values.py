"""Values that never change behave as the standard library's frozen dataclasses do."""

import pickle
from dataclasses import FrozenInstanceError, asdict, fields, replace
from dataclasses import dataclass as standard
from typing import Any, ClassVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.values import dataclass


@dataclass(frozen=True, slots=True)
class Pass:
    side: str
    rows: int = 1
    needles: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class BackUp(Pass):
    to: str = "left"


@dataclass(frozen=True)
class One:
    only: int


@standard(frozen=True)
class Standard:
    side: str
    rows: int = 1
    needles: tuple[int, ...] = ()


PARTS: st.SearchStrategy[dict[str, Any]] = st.fixed_dictionaries(
    {"side": st.sampled_from("lr"), "rows": st.integers(0, 2), "needles": st.lists(st.integers(0, 2)).map(tuple)}
)


@given(PARTS, PARTS)
def test_values_are_equal_where_the_standard_library_says_so(one: dict[str, Any], two: dict[str, Any]) -> None:
    assert (Pass(**one) == Pass(**two)) is (Standard(**one) == Standard(**two))
    assert hash(Pass(**one)) == hash(Pass(**one))
    assert repr(Pass(**one)) == repr(Standard(**one)).replace("Standard", "Pass")
    assert asdict(Pass(**one)) == asdict(Standard(**one))
    assert replace(Pass(**one), **two) == Pass(**two)
    assert pickle.loads(pickle.dumps(Pass(**one))) == Pass(**one)


@dataclass(frozen=True, kw_only=True)
class Told(One):
    config: ClassVar[dict[str, bool]] = {"strict": True}


def test_what_belongs_to_the_class_is_no_part_of_a_value() -> None:
    assert repr(Told(only=1)) == "Told(only=1)"
    assert hash(Told(only=1)) == hash(Told(only=1))


def test_values_of_two_kinds_are_never_equal() -> None:
    assert Pass("l") != BackUp("l") != Pass("l")
    assert One(1) == One(1)
    fields_alone: Any = (1,)
    assert One(1) != fields_alone
    assert len({One(1), One(1), One(2)}) == 2
    assert [field.name for field in fields(BackUp)] == ["side", "rows", "needles", "to"]


def test_a_value_cannot_be_changed() -> None:
    value = Pass("l")
    for name in ("side", "rows", "other"):
        with pytest.raises(FrozenInstanceError):
            setattr(value, name, "r")
    with pytest.raises(FrozenInstanceError):
        del value.side
    assert value == Pass("l")
