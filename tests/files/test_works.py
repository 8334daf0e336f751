"""The tables of shaping, parts and single needles: read, refused by line, key, found and allowed, written back."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings

from purlside.bed.needles import Needle, Span
from purlside.files.planfile import Refused, parse
from purlside.files.planwriting import new, rewritten
from purlside.files.tables import checked
from purlside.plan.checked import written
from purlside.plan.plan import Plan
from purlside.plan.problems import Problem, Unfit
from tests.plans import Tables, refusals, toml, work_tables

YOKE = """\
format = 1
title = "Sandpiper"
[machine]
pitch_mm = 4.5
release_hold = true
[gauge]
stitches_per_10cm = 28
rows_per_10cm = 40
stitch_size = 6
cable_take_in = 0.8
[yarn]
reach_limit = 0.96
[wanted]
width_cm = 52
length_cm = 64.5
[panel]
needles = "L60-R60"
rows = 150
stitch_size = 6
[[shape]]   # the armholes
edge = "both"
do = "decrease"
stitches = 1
tool = 3
first_row = 61
every = 4
times = 12
[[shape]]
edge = "left"
do = "return"
stitches = "all"   # the neck's side
first_row = 188
part = "right shoulder"
wrap = false
[[part]]
name = "right shoulder"
needles = "R6-R60"
rows = 40
carriage = "right"
[[part]]
name = "left shoulder"   # as the other
mirrors = "right shoulder"
[[stitch]]
needles = "L9, R9-R10"
do = "enlarge"
size = 9
first_row = 10
every = 10
times = 6
part = "right shoulder"
[[cable]]
name = "rope"
cross = "R51-R53 over R48-R50"
first_row = 8
every = 8
part = "right shoulder"
follows = "right"
take_in = 0.75
motif = "rope"
"""


def only(text: str) -> str:
    (refusal,) = refusals(text)
    return str(refusal)


def test_a_yoke_is_read_as_it_is_written() -> None:
    plan = parse(YOKE, "yoke.toml")
    decrease, back = plan.shape
    assert (decrease.do, decrease.stitches, decrease.tool, decrease.sides) == ("decrease", 1, 3, ("left", "right"))
    assert (back.stitches, back.wrap, back.part, back.every) == ("all", False, "right shoulder", None)
    assert plan.part[0].needles == Span.parse("R6-R60")
    assert (plan.part[1].mirrors, plan.part[1].rows) == ("right shoulder", None)
    assert plan.stitch[0].needles == tuple(map(Needle.parse, ("L9", "R9", "R10")))
    assert (plan.cable[0].follows, plan.cable[0].take_in, plan.cable[0].motif) == ("right", 0.75, "rope")
    assert plan.machine.release_hold and plan.gauge is not None and plan.wanted is not None
    assert (plan.gauge.stitch_size, plan.gauge.cable_take_in, plan.yarn.reach_limit) == (6.0, 0.8, 0.96)
    assert (plan.wanted.width_cm, plan.wanted.length_cm) == (52.0, 64.5)


def test_a_file_without_these_tables_means_what_it_meant() -> None:
    plain = parse(
        'format = 1\ntitle = "Eider"\nmachine = { pitch_mm = 9 }\n[panel]\nneedles = "L6-R6"\nrows = 9\nstitch_size = 5',
        "x",
    )
    assert (plain.shape, plain.part, plain.stitch, plain.wanted) == ((), (), (), None)
    assert not plain.machine.release_hold


@pytest.mark.parametrize(
    ("old", "wrong", "told"),
    [
        ('edge = "both"', 'edge = "top"', 'shape 1, edge: found "top"; allowed: "left", "right" or "both"'),
        ('edge = "both"', "edge = 1", "shape 1, edge: found 1; allowed: "),
        ('do = "decrease"', 'do = "decreases"', 'shape 1, do: found "decreases"; allowed: "decrease", "increase", "cast off"'),
        ("stitches = 1", "stitches = 0", 'shape 1, stitches: found 0; allowed: a whole number, 1 to 500'),
        ("stitches = 1", 'stitches = "some"', 'shape 1, stitches: found "some"; allowed: a whole number'),
        ("stitches = 1", 'stitches = "all"', 'only "return" takes "all": say how many stitches you decrease'),
        ("stitches = 1", "stitches = 4", "shape 1, tool: found 3; allowed: edge stitches the transfer tool moves together"),
        ("tool = 3", "tool = 21", "shape 1, tool: found 21; allowed: edge stitches the transfer tool moves together, 1 to 20"),
        ("tool = 3", "tool = 1.5", "shape 1, tool: found 1.5; allowed: "),
        ("first_row = 61", "first_row = 0", "shape 1, first_row: found 0; allowed: a whole number, 1 to 20,000"),
        ("every = 4", "every = -4", "shape 1, every: found -4; allowed: "),
        ("times = 12", 'times = "often"', 'shape 1, times: found "often"; allowed: '),
        ("times = 12", 'part = "sleeve"', 'shape 1, part: found "sleeve"; allowed: the name of a part, 1 to 40 characters (the plan has "right shoulder", "left shoulder")'),
        ("wrap = false", "wrap = 0", "shape 2, wrap: found 0; allowed: true or false"),
        ("tool = 3", "tol = 3", "shape 1, tol: found an unknown key; allowed: do, edge, every, first_row, part, stitches, times, tool, wrap (did you mean tool?)"),
        ('needles = "R6-R60"', 'needles = "R60-R6"', 'part 1, needles: found "R60-R6"; allowed: a span of needles'),
        ('needles = "R6-R60"', "needles = 6", "part 1, needles: found 6; allowed: a span of needles"),
        ("rows = 40", "rows = 0", "part 1, rows: found 0; allowed: a whole number, 1 to 20,000"),
        ("rows = 40", "rows = 10000", "part 2, mirrors"),
        ("rows = 40", "rows = 19900", "part 1, rows: found 19900; allowed: a whole number, 1 to 20,000 (the panel and its parts have at most 20,000 rows together)"),
        ('carriage = "right"', 'carriage = "centre"', 'part 1, carriage: found "centre"; allowed: "left" or "right"'),
        ('mirrors = "right shoulder"', 'mirrors = "rigth shoulder"', '(parts to be mirrored: "right shoulder")'),
        ('mirrors = "right shoulder"', 'mirrors = "left shoulder"', '(parts to be mirrored: "right shoulder")'),
        ('mirrors = "right shoulder"', 'mirrors = "right shoulder"\nrows = 40', "part 2, rows: found 40; allowed: a whole number, 1 to 20,000 (a part that mirrors another has its rows from there)"),
        ('name = "left shoulder"', 'name = "right shoulder"', 'two parts are named "right shoulder"; give each its own name'),
        ('name = "left shoulder"', "name = 5", "part 2, name: found 5; allowed: a short text, 1 to 40 characters"),
        ('needles = "L9, R9-R10"', 'needles = "L9, R10-R9"', 'stitch 1, needles: found "L9, R10-R9"; allowed: needles, as "L9" or "L9, R9-R10"'),
        ('needles = "L9, R9-R10"', 'needles = "L9, L9"', 'stitch 1, needles: found "L9, L9"; allowed: needles, as "L9" or "L9, R9-R10" (each needle once)'),
        ('needles = "L9, R9-R10"', 'needles = "L250-R250, L9"', 'found "L250-R250, L9"; allowed: needles, as "L9" or "L9, R9-R10" (1 to 500 needles)'),
        ('needles = "L9, R9-R10"', 'needles = ""', 'stitch 1, needles: found ""; allowed: needles'),
        ('needles = "L9, R9-R10"', 'needles = ["L9"]', 'stitch 1, needles: found ["L9"]; allowed: needles'),
        ('do = "enlarge"', 'do = "beads"', 'stitch 1, do: found "beads"; allowed: "enlarge", "by hand", "bead" or "purl"'),
        ('do = "enlarge"', 'do = "bead"', 'stitch 1, size: found 9.0; allowed: a size on the dial (size goes with "enlarge", not with "bead")'),
        ("size = 9", 'size = "9"', 'stitch 1, size: found "9"; allowed: a size on the dial'),
        ("first_row = 10", "first_row = 1e3", "stitch 1, first_row: found 1000.0; allowed: a whole number"),
        ('follows = "right"', 'follows = "both"', 'cable 1, follows: found "both"; allowed: "left" or "right"'),
        ("take_in = 0.75", "take_in = 0.4", "cable 1, take_in: found 0.4; allowed: the width of a cable over its stitches knit plain, 0.5 to 1.2"),
        ('motif = "rope"', 'motif = ""', 'cable 1, motif: found ""; allowed: the name of a motif, 1 to 40 characters'),
        ("release_hold = true", "release_hold = 1", "machine, release_hold: found 1; allowed: true or false"),
        ("stitch_size = 6\ncable", "stitch_size = -1\ncable", "gauge, stitch_size: found -1; allowed: the size on the dial"),
        ("cable_take_in = 0.8", "cable_take_in = 1.3", "gauge, cable_take_in: found 1.3; allowed: "),
        ("reach_limit = 0.96", "reach_limit = 0", "yarn, reach_limit: found 0; allowed: "),
        ("width_cm = 52", "width_cm = 0", "wanted, width_cm: found 0; allowed: the finished width in cm, above 0 and at most 2,000"),
        ("length_cm = 64.5", "length_cm = true", "wanted, length_cm: found true; allowed: the finished length in cm"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_named_with_line_key_found_and_allowed(old: str, wrong: str, told: str) -> None:
    text = YOKE.replace(old, wrong, 1)
    line = YOKE[: YOKE.index(old)].count("\n") + 1
    found = only(text)
    assert told in found
    assert abs(int(found.split(":")[1]) - line) <= (8 if "part 2, mirrors" in told else 1), found


@pytest.mark.parametrize(
    ("gone", "told"),
    [
        ('edge = "both"', "shape 1, edge: found nothing; allowed: "),
        ('do = "decrease"', "shape 1, do: found nothing; allowed: "),
        ("first_row = 61", "shape 1, first_row: found nothing; allowed: "),
        ("every = 4", "shape 1, every: found nothing; allowed: a whole number, 1 to 20,000 (times needs every"),
        ('needles = "R6-R60"', "part 1, needles: found nothing; allowed: a span of needles"),
        ("rows = 40", "part 1, rows: found nothing; allowed: a whole number, 1 to 20,000 (a part has needles and rows"),
        ('name = "left shoulder"   # as the other', "part 2, name: found nothing; allowed: "),
        ('needles = "L9, R9-R10"', "stitch 1, needles: found nothing; allowed: "),
        ('do = "enlarge"', "stitch 1, do: found nothing; allowed: "),
        ("size = 9", 'stitch 1, size: found nothing; allowed: a size on the dial ("enlarge" needs size'),
        ("first_row = 10", "stitch 1, first_row: found nothing; allowed: "),
    ],
)
def test_what_is_missing_is_named_at_its_table(gone: str, told: str) -> None:
    found = only(YOKE.replace(gone + "\n", "\n", 1))
    table = told.split(",")[0].split()
    headers = [i for i, line in enumerate(YOKE.splitlines(), 1) if line.startswith(f"[[{table[0]}]]")]
    assert found.startswith(f"plan.toml:{headers[int(table[1]) - 1]}: ")
    assert told in found


SHAPE = {"edge": "left", "do": "hold", "first_row": 9}


@pytest.mark.parametrize(
    ("shape", "told"),
    [
        ({"do": "increase", "stitches": 2}, "you increase by one stitch at a time; more are cast on"),
        ({"do": "decrease", "stitches": 2}, "to decrease 2 stitches the tool moves at least as many"),
        ({"do": "cast off", "tool": 2}, 'tool goes with "decrease" and "increase", not with "cast off"'),
        ({"do": "cast on", "wrap": False}, 'wrap goes with "hold" and "return", not with "cast on"'),
        ({"do": "hold", "stitches": "all"}, 'only "return" takes "all": say how many stitches you hold'),
        *(
            ({"edge": "both", "do": do, "every": 1}, f"at both edges you {do} over two rows, one edge in each")
            for do in ("cast off", "cast on", "hold", "return")
        ),
        ({"times": 2}, "times needs every"),
    ],
)
def test_shapes_that_no_hand_could_make_are_refused(shape: Tables, told: str) -> None:
    text = YOKE + "[[shape]]\n" + toml({**SHAPE, **shape})
    assert told in only(text)


@pytest.mark.parametrize(
    "shape",
    [{"edge": "both", "do": "cast off", "every": 2}, {"edge": "both"}, {"edge": "both", "do": "decrease", "every": 1}],
)
def test_both_edges_are_shaped_where_there_is_a_row_for_each(shape: Tables) -> None:
    parse(YOKE + "[[shape]]\n" + toml({**SHAPE, **shape}), "x")


def test_all_that_is_wrong_is_told_at_once() -> None:
    text = YOKE.replace('edge = "both"', 'edge = "top"').replace("tool = 3", "tol = 3").replace("size = 9", "size = -9")
    assert [refusal.problem.key for refusal in refusals(text)] == [
        ("shape", 0, "edge"), ("shape", 0, "tol"), ("stitch", 0, "size"),
    ]  # fmt: skip


# --- written back --------------------------------------------------------------------


@given(work_tables())
def test_every_table_is_read_and_written_as_it_was(data: Tables) -> None:
    plan = parse(toml(data), "x")
    assert parse(new(plan), "x") == plan
    assert hash(parse(new(plan), "x")) == hash(plan)
    assert checked(Plan, written(plan)) == plan


@settings(max_examples=40, deadline=None)
@given(work_tables(), work_tables())
def test_a_file_becomes_another_plan_and_keeps_its_first_comment(one: Tables, other: Tables) -> None:
    text = "# mine\n" + new(parse(toml(one), "x"))
    plan = parse(toml(other), "x")
    after = rewritten(text, plan)
    assert parse(after, "x") == plan
    assert after.startswith("# mine\n")


def test_comments_beside_shapes_and_parts_stay_when_others_change() -> None:
    plan = parse(YOKE, "x")
    bare = checked(Plan, {**written(plan), "shape": written(plan)["shape"][:1], "title": "Turnstone"})
    after = rewritten(YOKE, bare)
    assert after == YOKE.replace("Sandpiper", "Turnstone").replace(
        YOKE[YOKE.index('[[shape]]\nedge = "left"') : YOKE.index("[[part]]")], ""
    )
    assert rewritten(after, plan).count("#") == 2


# --- made by hand -----------------------------------------------------------------------


def _places(data: Any, key: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    if isinstance(data, dict):
        return [found for name, value in data.items() for found in [(*key, name), *_places(value, (*key, name))]]
    if isinstance(data, list):
        return [found for i, value in enumerate(data) for found in _places(value, (*key, i))]
    return []


@pytest.mark.parametrize("wrong", [True, -1, 1e9, "no such thing", "", [], {}, [[1]], float("nan")])
def test_a_value_made_by_hand_is_refused_for_what_a_file_is_refused_for_and_in_its_words(wrong: Any) -> None:
    """Each key of each table in turn: what the file refuses at a place, the table made by hand refuses in the same words."""
    from dataclasses import replace

    plan = parse(YOKE, "x")
    whole = written(plan)
    for key in _places(whole):
        data: Any = written(plan)
        holder = data
        for part in key[:-1]:
            holder = holder[part]
        holder[key[-1]] = wrong
        by_file: tuple[Problem, ...] = ()
        try:
            checked(Plan, data)
        except Unfit as unfit:
            by_file = tuple(p for p in unfit.problems if p.key[: len(key)] == key)
        if isinstance(wrong, dict | list):
            continue  # a table in a file, a table made by hand: not the same thing
        table: Any = plan
        for part in key[:-1]:
            table = table[part] if isinstance(part, int) else getattr(table, part, table)
        if not hasattr(table, str(key[-1])):
            continue
        by_hand: tuple[Problem, ...] = ()
        try:
            replace(table, **{key[-1]: wrong})
        except Unfit as unfit:
            by_hand = tuple(p.under(*key[:-1]) for p in unfit.problems if p.key[:1] == key[-1:])
        if by_hand or not any(p.why for p in by_file):
            assert by_hand == by_file, key


def test_the_problems_of_a_value_made_by_hand_come_all_at_once() -> None:
    from purlside.plan.plan import Cable

    with pytest.raises(Unfit) as caught:
        Cable(name="", cross="R1-R3 over R2-R4", first_row=0, ease="quick", take_in=2)  # type: ignore[arg-type]
    assert [problem.key for problem in caught.value.problems] == [
        ("name",), ("cross",), ("first_row",), ("ease",), ("take_in",),
    ]  # fmt: skip
    assert "the two halves share needles" in str(caught.value)
    assert isinstance(caught.value, ValueError)


def test_lists_become_tuples_and_texts_the_needles_they_name() -> None:
    from purlside.plan.machine import Tools, Yarn
    from purlside.plan.plan import StitchWork

    assert Tools(prongs=[1, 2]).prongs == (1, 2)  # type: ignore[arg-type]
    work = StitchWork(needles="R10, L9", do="bead", first_row=3)  # type: ignore[arg-type]
    assert work.needles == (Needle.parse("L9"), Needle.parse("R10"))
    loops = Yarn(loop_mm={"5": 12}).loop_mm
    assert loops == {"5": 12.0} and loops == {"5": 12.0}
    assert hash(Yarn(loop_mm={"5": 12})) == hash(Yarn(loop_mm={"5": 12.0}))
    with pytest.raises(TypeError):
        loops["6"] = 13.0  # type: ignore[index]


def test_a_plan_with_parts_that_are_not_there_is_refused() -> None:
    with pytest.raises(
        Refused, match=r"cable 1, part: found \"yoke\"; allowed: the name of a part.* \(the plan has no part\)"
    ):
        parse(
            'format = 1\ntitle = "Eider"\nmachine = { pitch_mm = 9 }\n[panel]\nneedles = "L6-R6"\nrows = 9\nstitch_size = 5\n[[cable]]\nname = "rope"\ncross = "R1 over L1"\nfirst_row = 2\npart = "yoke"',
            "x",
        )
