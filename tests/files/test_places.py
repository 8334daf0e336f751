"""On which line a key stands, whatever way a knitter lays out the file."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.files.places import lines_of
from tests.toml_layouts import Layout, layouts

Key = tuple[str | int, ...]


def keys_of(value: Any, key: Key = ()) -> set[Key]:
    """Every key, table and list element inside a value."""
    inside: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        inside = list(value.items())
    elif isinstance(value, list):
        inside = list(enumerate(value))
    return {key} - {()} | {found for part, v in inside for found in keys_of(v, (*key, part))}


@given(layouts())
def test_each_key_is_found_on_the_line_it_was_written_on(layout: Layout) -> None:
    data = tomllib.loads(layout.text)
    assert set(layout.lines) == keys_of(data)
    assert lines_of(layout.text) == layout.lines


@given(layouts())
def test_line_ends_of_another_system_change_no_line(layout: Layout) -> None:
    text = layout.text.replace("\n", "\r\n")
    tomllib.loads(text)
    assert lines_of(text) == layout.lines


def found(text: str) -> dict[str, int]:
    tomllib.loads(text)
    return {".".join(map(str, key)): line for key, line in lines_of(text).items()}


def test_tables_in_a_list_are_counted_and_tables_inside_belong_to_the_last() -> None:
    text = """
[[cable]]
name = "rope"

[[cable]]
name = "plait"
[cable.more]
every = 8
"""
    assert found(text) == {
        "cable": 2,
        "cable.0": 2,
        "cable.0.name": 3,
        "cable.1": 5,
        "cable.1.name": 6,
        "cable.1.more": 7,
        "cable.1.more.every": 8,
    }


def test_a_text_over_several_lines_hides_what_looks_like_keys() -> None:
    text = '''notes = """
title = "not this"
[panel]
\\""" nor this """
title = 'x'
also = \'\'\'
[[cable]]''\'\'\'
last = """""a"""""
end = ["", \'\', """]""", "]"]
'''
    assert found(text) == {
        "notes": 1,
        "title": 5,
        "also": 6,
        "last": 8,
        "end": 9,
        "end.0": 9,
        "end.1": 9,
        "end.2": 9,
        "end.3": 9,
    }


def test_list_elements_stand_where_they_are_written_between_comments() -> None:
    text = """cross = [ # taken in turn
  "R1 over L1", # first
  # [a comment, "with" marks
  "L1 over R1",
]
loop_mm = { "5" = 12.0, "9" = 15.8 }
"""
    assert found(text) == {"cross": 1, "cross.0": 2, "cross.1": 4, "loop_mm": 6, "loop_mm.5": 6, "loop_mm.9": 6}


def test_quoted_and_dotted_keys_are_known_by_what_they_mean() -> None:
    text = """
machine . pitch_mm = 4.5
"pan\\u0065l".'rows' = 3
[ "a.b" . c ]
'"' = 1
"""
    assert found(text) == {
        "machine": 2,
        "machine.pitch_mm": 2,
        "panel": 3,
        "panel.rows": 3,
        "a.b": 4,
        "a.b.c": 4,
        'a.b.c."': 5,
    }


def test_a_table_only_named_through_what_is_inside_it_stands_there() -> None:
    assert found("\n[machine.letters.more]\nx = 1\n[machine]\n") == {
        "machine": 4,
        "machine.letters": 2,
        "machine.letters.more": 2,
        "machine.letters.more.x": 3,
    }


@pytest.mark.parametrize("path", sorted(Path(__file__).parents[2].joinpath("patterns").glob("*.toml")), ids=str)
def test_every_key_of_the_patterns_is_found(path: Path) -> None:
    text = path.read_text("utf-8")
    lines = lines_of(text)
    assert set(lines) == keys_of(tomllib.loads(text))
    for key, line in lines.items():
        name = next(part for part in reversed(key) if isinstance(part, str))
        assert name in text.splitlines()[line - 1] or isinstance(key[-1], int)


@given(st.text(max_size=80) | st.lists(st.sampled_from("a=[]{}\"'\\\n.,#1 "), max_size=40).map("".join))
def test_a_text_that_is_no_toml_is_walked_without_harm(text: str) -> None:
    lines_of(text)
