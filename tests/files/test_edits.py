"""Edits of a text: what is meant changes, and nothing else does."""

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from purlside.files.edits import Add, Edit, NotEdited, Remove, Set, edited, value_text
from purlside.files.places import Key, spots_of
from tests.toml_layouts import Layout, layouts

TEXT = """\
# A panel of ours
format = 1   # the only one
title = 'Marram' # grass

[machine]  # the big one
pitch_mm = 4.5
dial = [0.0,   10.0]   # as printed on it

# out and back
[[cable]]
name = "rope"
first_row = 8 # not earlier
cross = [ # in turn
  "R1 over L1", # first
  "L1 over R1",
]
# end of the rope

# On its own.

[[cable]]
name = "wave"
# its every
every = 6

[yarn]
loop_mm = { "5" = 12.0, "9" = 15.8 } # measured
"""


def difference(after: str) -> tuple[list[str], list[str]]:
    """Lines gone and lines come."""
    before = TEXT.splitlines()
    lines = after.splitlines()
    return [line for line in before if line not in lines], [line for line in lines if line not in before]


def test_a_value_is_changed_in_its_place_and_the_comment_beside_it_stays() -> None:
    assert difference(edited(TEXT, [Set(("cable", 0, "first_row"), 10)])) == (
        ["first_row = 8 # not earlier"],
        ["first_row = 10 # not earlier"],
    )
    assert difference(edited(TEXT, [Set(("yarn", "loop_mm", "5"), 12.5)]))[1] == [
        'loop_mm = { "5" = 12.5, "9" = 15.8 } # measured'
    ]
    assert difference(edited(TEXT, [Set(("cable", 0, "cross", 1), "L2 over L1")]))[1] == ['  "L2 over L1",']


def test_a_new_key_joins_its_table_where_its_order_puts_it() -> None:
    order: dict[Key, list[str]] = {
        ("cable", 0): ["name", "cross", "first_row", "every"],
        ("cable", 1): ["name", "first_row", "every"],
    }
    found = edited(TEXT, [Set(("cable", 0, "every"), 6), Set(("cable", 1, "first_row"), 3)], lambda k: order.get(k, []))
    assert "]\nevery = 6\n# end of the rope\n" in found
    assert 'name = "wave"\nfirst_row = 3\n# its every\nevery = 6\n' in found


def test_a_removed_entry_takes_its_own_comments_and_leaves_those_that_stand_alone() -> None:
    found = edited(TEXT, [Remove(("cable", 0))])
    assert "out and back" not in found
    assert "end of the rope" not in found
    assert found == TEXT[: TEXT.index("# out")] + TEXT[TEXT.index("# On its own.") :]


def test_removing_the_last_table_leaves_the_end_of_the_file_tidy() -> None:
    found = edited(TEXT, [Remove(("yarn",))])
    assert found.endswith("every = 6\n")


def test_an_entry_is_added_before_within_or_after_the_others() -> None:
    for at, names in ((0, ["new", "rope", "wave"]), (1, ["rope", "new", "wave"]), (None, ["rope", "wave", "new"])):
        found = edited(TEXT, [Add("cable", {"name": "new", "first_row": 3}, at)])
        assert [c["name"] for c in tomllib.loads(found)["cable"]] == names
        assert difference(found) == ([], ['name = "new"', "first_row = 3"])
        assert '\n\n[[cable]]\nname = "new"\nfirst_row = 3\n\n' in found


def test_a_whole_table_is_made_where_there_is_none() -> None:
    found = edited(TEXT, [Set(("gauge", "rows"), 40), Set(("panel", "letters", "wp"), "B")])
    assert tomllib.loads(found)["gauge"] == {"rows": 40}
    assert tomllib.loads(found)["panel"] == {"letters": {"wp": "B"}}


@pytest.mark.parametrize(
    "text",
    [
        "machine.pitch_mm = 4.5 # so\nmachine.letters.wp = 'B'\n",
        "machine = { pitch_mm = 4.5, letters = { wp = 'B' } } # so\n",
        "[machine.letters]\nwp = 'B' # so\n[machine]\npitch_mm = 4.5\n",
        "[machine]\npitch_mm = 4.5 # so\nletters.wp = 'B'",
    ],
)
def test_however_a_table_is_written_it_can_be_changed(text: str) -> None:
    edits: list[Edit] = [
        Set(("machine", "pitch_mm"), 9),
        Set(("machine", "needles"), 200),
        Set(("machine", "letters", "hp"), "D"),
        Remove(("machine", "letters", "wp")),
    ]
    found = edited(text, edits)
    assert tomllib.loads(found) == {"machine": {"pitch_mm": 9, "needles": 200, "letters": {"hp": "D"}}}
    assert "# so" in found or "wp = 'B' # so" in text


@pytest.mark.parametrize(
    "text", ["cable = [ { n = 1 }, { n = 2 } ]\n", "cable = [\n  { n = 1 }, # a\n  { n = 2 },\n]\n"]
)
def test_a_list_of_tables_written_inline_can_be_changed(text: str) -> None:
    def numbers(*edits: Any) -> list[int]:
        return [c["n"] for c in tomllib.loads(edited(text, edits))["cable"]]

    assert numbers(Add("cable", {"n": 3})) == [1, 2, 3]
    assert numbers(Add("cable", {"n": 3}, 1)) == [1, 3, 2]
    assert numbers(Remove(("cable", 0))) == [2]
    assert numbers(Remove(("cable", 1))) == [1]
    assert numbers(Remove(("cable", 1)), Remove(("cable", 0)), Add("cable", {"n": 4})) == [4]


def test_line_ends_of_another_system_are_kept() -> None:
    text = TEXT.replace("\n", "\r\n")
    found = edited(text, [Add("cable", {"name": "a\nb"}), Set(("gauge", "rows"), 40), Remove(("cable", 1))])
    assert found.count("\n") == found.count("\r\n")
    assert tomllib.loads(found)["cable"][1] == {"name": "a\nb"}


def test_a_comment_like_line_inside_a_text_is_not_taken_for_a_comment() -> None:
    text = "notes = '''\n# mine'''\n[panel]\nrows = 3\n"
    assert edited(text, [Remove(("panel",))]) == "notes = '''\n# mine'''\n"


@pytest.mark.parametrize(
    "edit", [Remove(("gauge",)), Remove(("cable", 7)), Set(("cable", 7, "every"), 1), Set(("title", "x"), 1)]
)
def test_an_edit_that_finds_no_place_is_refused(edit: Any) -> None:
    with pytest.raises(NotEdited):
        edited(TEXT, [edit])


@given(st.text() | st.text("\"\\\n'\r\t \x00\x7f", max_size=12))
def test_every_text_is_written_so_that_it_reads_back(value: str) -> None:
    for nl in ("\n", "\r\n"):
        assert tomllib.loads(f"a = {value_text(value, nl)}")["a"] == value


@given(layouts())
def test_each_place_holds_just_its_key_and_value(layout: Layout) -> None:
    data = tomllib.loads(layout.text)
    for key, spot in spots_of(layout.text).items():
        written = layout.text[spot.value : spot.end]
        if not written:
            continue
        value: Any = data
        for part in key:
            value = value[part]
        assert tomllib.loads(f"a = {written}")["a"] == value


@given(layouts(), st.data())
def test_any_value_of_any_layout_can_be_set_and_the_rest_is_untouched(layout: Layout, data: st.DataObject) -> None:
    spots = {k: s for k, s in spots_of(layout.text).items() if layout.text[s.value : s.end]}
    if not spots:
        return
    key = data.draw(st.sampled_from(sorted(spots, key=str)))
    spot = spots[key]
    found = edited(layout.text, [Set(key, "new")])
    assert found == layout.text[: spot.value] + '"new"' + layout.text[spot.end :]


@given(layouts(), st.data())
def test_any_key_of_any_layout_can_be_removed_or_is_refused_and_the_comments_elsewhere_stay(
    layout: Layout, data: st.DataObject
) -> None:
    keys = [k for k in layout.lines if isinstance(k[-1], str)]
    if not keys:
        return
    key = data.draw(st.sampled_from(sorted(keys, key=str)))
    try:
        found = edited(layout.text, [Remove(key)])
    except NotEdited:
        return
    wanted: Any = tomllib.loads(layout.text)
    parent = wanted
    for part in key[:-1]:
        parent = parent[part]
    del parent[key[-1]]
    assert _bare(tomllib.loads(found)) == _bare(wanted)


def _bare(data: Any) -> Any:
    if isinstance(data, dict):
        return {k: v for k, v in ((k, _bare(v)) for k, v in data.items()) if v not in ({}, [])}
    return [_bare(v) for v in data] if isinstance(data, list) else data
