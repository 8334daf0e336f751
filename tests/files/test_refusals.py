"""Why data from a file are refused: anything wrong, anywhere, in any layout, is found at its place."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from purlside.files.planfile import Refused, parse
from purlside.text.harmless import unprintable
from tests.plans import Tables, cable, plan_tables, refusals, toml
from tests.toml_layouts import Key, layouts


def leaves(value: Any, key: Key = ()) -> list[Key]:
    if isinstance(value, dict):
        return [found for part, v in value.items() for found in leaves(v, (*key, part))]
    if isinstance(value, list):
        return [found for i, v in enumerate(value) for found in leaves(v, (*key, i))]
    return [key]


def inside(data: Any, key: Key) -> Any:
    for part in key:
        data = data[part]
    return data


@given(plan_tables(), st.data())
def test_a_value_of_the_wrong_type_is_found_at_its_place_in_any_layout(tables: Tables, data: st.DataObject) -> None:
    wrong = copy.deepcopy(tables)
    key = data.draw(st.sampled_from(leaves(tables)))
    inside(wrong, key[:-1])[key[-1]] = True
    layout = data.draw(layouts(st.just(wrong)))
    (refusal,) = refusals(layout.text)
    assert (refusal.problem.key, refusal.problem.found) == (key, "true")
    assert refusal.line == layout.lines[key]


@given(plan_tables(), st.data())
def test_an_unknown_key_is_found_at_its_place_in_any_layout(tables: Tables, data: st.DataObject) -> None:
    wrong = copy.deepcopy(tables)
    places = [(), ("machine",), ("panel",), *[("cable", i) for i in range(len(wrong.get("cable", [])))]]
    place: Key = data.draw(st.sampled_from(places))
    inside(wrong, place)["b-1"] = 1
    layout = data.draw(layouts(st.just(wrong)))
    (refusal,) = refusals(layout.text)
    assert (refusal.problem.key, refusal.problem.found) == ((*place, "b-1"), "an unknown key")
    assert refusal.line == layout.lines[*place, "b-1"]


@given(plan_tables(), st.data())
@settings(max_examples=200)
def test_a_damaged_file_is_read_or_refused_and_nothing_else(tables: Tables, data: st.DataObject) -> None:
    text = toml(tables) if data.draw(st.booleans()) else toml({**tables, "cable": [cable(ease="auto"), cable()]})
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text)))
        cut = data.draw(st.integers(0, 8))
        put = data.draw(
            st.text(max_size=4) | st.sampled_from(['"""', "[[cable]]\n", "=", "'", "\x1b", "0x", "e9", "{"])
        )
        text = text[:at] + put + text[at + cut :]
    try:
        plan = parse(text, "plan.toml")
    except Refused as refused:
        for refusal in refused.refusals:
            assert not any(map(unprintable, str(refusal)))
            assert 0 <= refusal.line <= text.count("\n") + 1
        return
    assert tomllib.loads(text)["title"] == plan.title
