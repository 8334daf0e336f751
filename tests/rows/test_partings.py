"""Parts that would knit each other's needles, short rows left resting at the end, beads dropped with a column: all told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from purlside.bed.needles import Span
from purlside.files.planfile import PlanFile, parse
from purlside.rows.checking import advice, faults
from tests.plans import cable, plan, tables, toml


def shape(do: str, edge: str, first_row: int, **more: Any) -> dict[str, Any]:
    return {"do": do, "edge": edge, "first_row": first_row, **more}


RIGHT = {"name": "right", "needles": "R1-R12", "rows": 12, "carriage": "right"}
MIRROR = {"name": "left", "mirrors": "right"}
HOLD = shape("hold", "right", 22, stitches=2, every=2, times=3, part="right")
BACK = shape("return", "right", 28, stitches="all", part="right")


def neck(*shapes: dict[str, Any], needles: str = "R1-R12", **more: Any) -> dict[str, Any]:
    """A panel of 20 rows on L12-R12, parted for 12."""
    return tables(needles="L12-R12", rows=20, part=[{**RIGHT, "needles": needles, **more}, MIRROR], shape=list(shapes))


def told(data: dict[str, Any], *, advised: bool = False) -> list[tuple[str, str, str, str]]:
    """What is told of a plan file: the text of the line, the key, what was found, what is allowed with its reason."""
    lists = {name: data[name] for name in data if isinstance(data[name], list)}
    text = toml({name: data[name] for name in data if name not in lists})
    text += "".join(f"[[{name}]]\n{toml(each)}" for name, listed in lists.items() for each in listed)
    file = PlanFile(Path("neck.toml"), text, parse(text, "neck.toml"))
    return [
        (
            text.splitlines()[each.line - 1].strip(),
            each.problem.where,
            each.problem.found,
            f"{each.problem.allowed} ({each.problem.why})",
        )
        for each in (file.advice() if advised else file.faults())
    ]


# --- short rows left resting --------------------------------------------------


def test_short_rows_that_are_returned_before_the_end_are_no_fault() -> None:
    assert told(neck(HOLD, BACK)) == []


@pytest.mark.parametrize(
    ("back", "also"),
    [
        ({**BACK, "first_row": 33}, [("33", "a row of right, 21 to 32 (it is never done)")]),
        ({key: BACK[key] for key in BACK if key != "part"}, [("28", "a row of the panel, 1 to 20 (it is never done)")]),
        (None, []),
    ],
)
def test_needles_left_resting_at_the_end_of_a_part_are_told_with_the_row_that_returns_them(
    back: dict[str, Any] | None, also: list[tuple[str, str]]
) -> None:
    data = neck(HOLD, *([back] if back else []))
    assert told(data) == [], "they may be meant: to be knit off in waste yarn"
    every = told(data, advised=True)
    assert [each for each in every if "resting" in each[2]] == [
        (
            "first_row = 22",
            "shape 1, first_row",
            "R7–R12 (6 needles) still resting after row 32 of right, the last",
            "short rows whose needles are returned before the end (their stitches would be left behind; "
            'return "all" at the right edge in row 32)',
        )
    ]
    assert [(found, allowed) for *_, found, allowed in every if "resting" not in found] == also
    mended = neck(HOLD, shape("return", "right", 32, stitches="all", part="right"))
    assert told(mended, advised=True) == [], "the mend that is told is one"


def test_where_no_row_is_left_to_return_them_in_more_rows_are_asked_for() -> None:
    [(*_, found, why)] = told(neck(HOLD, rows=6), advised=True)
    assert found == "R7–R12 (6 needles) still resting after row 26 of right, the last"
    assert "give it more rows, and return them there" in why
    [(*_, why)] = told(neck(HOLD, rows=7), advised=True)
    assert "more rows" in why, "before row 27 the carriage stands at that edge"
    [(*_, why)] = told(neck(HOLD, rows=8), advised=True)
    assert 'return "all" at the right edge in row 28' in why


def test_a_panel_without_parts_is_asked_too_both_edges_together() -> None:
    found = advice(plan(needles="L12-R12", rows=20, shape=[shape("hold", "both", 11, stitches=3)]))
    assert [(p.key, p.found, p.why) for p in found] == [
        (
            ("shape", 0, "first_row"),
            "L12–L10, R10–R12 (6 needles) still resting after row 20, the last",
            'their stitches would be left behind; return "all" at both edges in row 19',
        )
    ]


def test_needles_a_later_part_knits_are_not_left_behind() -> None:
    of = neck()
    of["shape"] = [shape("hold", "right", 18, stitches=2)]
    assert told(of) == told(of, advised=True) == []


# --- parts that overlap ---------------------------------------------------------


@pytest.mark.parametrize(
    ("needles", "shared", "would"),
    [
        ("L2-R12", "L2–R2 (4 needles)", "R1-R12"),
        ("L3-R20", "L3–R3 (6 needles)", "R1-R20"),
        ("L12-R1", "L1–R1 (2 needles)", "L12-L1"),
    ],
)
def test_a_part_that_shares_needles_with_its_mirror_is_told_with_both_and_the_needles_that_would_do(
    needles: str, shared: str, would: str
) -> None:
    assert told(neck(HOLD, BACK, needles=needles), advised=True) == [
        (
            f'needles = "{needles}"',
            "part 1, needles",
            f'"{needles}"',
            f"needles that no other part knits (right and left both knit {shared}: what one shapes the other finds "
            f'changed; needles = "{would}" would do)',
        )
    ]
    assert told(neck(needles=would), advised=True) == []


@pytest.mark.parametrize(
    ("second", "would"), [("L12-R2", "L12-L1"), ("R10-R12", None), ("L12-R12", "L12-L1"), ("L12-L1", "none")]
)
def test_two_parts_of_their_own_needles_share_none(second: str, would: str | None) -> None:
    parts = [RIGHT, {"name": "left", "needles": second, "rows": 8}]
    found = advice(plan(needles="L12-R12", rows=20, part=parts))
    if would == "none":
        assert found == []
        return
    [problem] = found
    assert problem.key == ("part", 1, "needles") and problem.found == f'"{second}"'
    assert "right and left both knit" in problem.why
    if would is None:
        assert problem.why.endswith("let each needle be one part's")
    else:
        assert problem.why.endswith(f'needles = "{would}" would do')
        assert Span.parse(would).right == -1


def test_needles_out_of_work_are_shared_by_no_part() -> None:
    assert told(neck(needles="R1-R40"), advised=True) == []
    parts = [{**RIGHT, "needles": "L1-R12"}, MIRROR]
    assert advice(plan(needles="L12-R12", rows=20, part=parts, out=["L1", "R1"])) == []


# --- columns dropped over other work ----------------------------------------------


PURL = {"needles": "L5, R5", "do": "purl", "first_row": 20, "every": 20}


@pytest.mark.parametrize(
    ("work", "lost"),
    [
        ({"do": "bead"}, "and the bead with it: bead another needle, or purl another"),
        (
            {"do": "enlarge", "size": 9},
            "and latched up as any other: enlarge another needle, or purl another",
        ),
        ({"do": "by hand"}, "and latched up as any other: knit another needle by hand, or purl another"),
    ],
)
def test_what_is_dropped_with_a_purl_column_is_advised_against(work: dict[str, Any], lost: str) -> None:
    data = tables(stitch=[PURL, {"needles": "L5-L4", "first_row": 12, **work}])
    assert told(data) == []
    assert told(data, advised=True) == [
        (
            'needles = "L5-L4"',
            "stitch 2, needles",
            f"{work['do']} on L5 in row 12",
            f"a needle whose stitch is not dropped again (its purl column is dropped 20 rows after row 20, {lost})",
        )
    ]


@pytest.mark.parametrize(
    ("first_row", "column", "row"),
    [
        (12, {"first_row": 20, "every": 8}, None),
        (13, {"first_row": 20, "every": 8}, 13),
        (20, {"first_row": 20, "every": 8}, 20),
        (37, {"first_row": 20, "every": 8}, None),
        (3, {"first_row": 20}, 3),
        (21, {"first_row": 20}, None),
    ],
)
def test_only_rows_the_column_is_dropped_over_are_meant(
    first_row: int, column: dict[str, Any], row: int | None
) -> None:
    stitch = [{"needles": "L5", "do": "purl", **column}, {"needles": "L5", "do": "bead", "first_row": first_row}]
    found = [p.found for p in advice(plan(stitch=stitch))]
    assert found == ([] if row is None else [f"bead on L5 in row {row}"])


def test_the_mirrored_side_of_a_neck_is_looked_at_too() -> None:
    bead = {"needles": "R5", "do": "bead", "first_row": 25, "part": "right"}
    data = neck()
    data["stitch"] = [bead, {"needles": "L5", "do": "purl", "first_row": 30, "every": 10}]
    del data["shape"]
    assert [(where, found) for _, where, found, _ in told(data, advised=True)] == [
        ("stitch 1, needles", "bead on L5 in row 25")
    ]


# --- mends that are told are true --------------------------------------------------


def test_a_cable_is_told_to_follow_the_edge_only_where_it_is_then_carried_along() -> None:
    def why(**decrease: Any) -> str:
        edge = {**shape("decrease", "left", 10), "every": 2, "times": 3, **decrease}
        [problem] = faults(plan(cable("L5 over L6"), shape=[edge], rows=40))
        assert problem.key == ("cable", 0, "cross") and problem.found == "L6–L5 in row 16"
        return problem.why

    assert why(tool=2).endswith("end it with times = 1, or let it follow the left edge")
    assert why(tool=1).endswith("end it with times = 1")


def test_a_cable_on_needles_that_rest_is_not_told_to_follow() -> None:
    rest = [shape("hold", "left", 7, stitches=3), shape("return", "left", 11, stitches="all")]
    [problem] = faults(plan(cable("L5 over L6", every=2), shape=rest, rows=20))
    assert problem.why == "they are out of work or resting; let it begin where they are knit"


def test_the_needles_told_are_those_of_the_part_that_has_the_cable() -> None:
    of = neck(HOLD, BACK)
    of["cable"] = [
        cable("L9 over L10", name="left rope", first_row=3, every=2),
        cable("R9 over R10", name="right rope", first_row=3, every=2),
    ]
    assert [(where, found, allowed.split(" (")[0]) for _, where, found, allowed in told(of)] == [
        ("cable 1, cross", "L10–L9 in row 25 of left", "needles knit in that row, L8–L1"),
        ("cable 2, cross", "R9–R10 in row 25 of right", "needles knit in that row, R1–R8"),
    ]


def test_needles_of_one_table_are_told_how_often_each_could_come_in_its_own() -> None:
    of = neck(HOLD, BACK)
    of["stitch"] = [{"needles": "L3, R3", "do": "bead", "first_row": 5, "every": 5, "times": 6}]
    [(line, where, found, allowed)] = told(of)
    assert (line, where) == ('needles = "L3, R3"', "stitch 1, needles")
    assert found in ("L3 in row 25 of right", "R3 in row 25 of left")
    assert allowed.endswith("end it with times = 4; each in a table of its own would come more often: L3, R3 6 times)")
    of["stitch"] = [{**of["stitch"][0], "needles": needle} for needle in ("L3", "R3")]
    assert told(of) == told(of, advised=True) == []


@pytest.mark.parametrize(
    ("cross", "tool", "why"),
    [
        ("L8 over L9", 5, "would run over other stitches; tool = 5 carries it"),
        ("L18-L4 over L33-L19", 20, "would run over other stitches; no tool takes 30: end it before"),
    ],
)
def test_a_tool_that_is_told_to_carry_a_cable_is_one_the_plan_takes(cross: str, tool: int, why: str) -> None:
    left = "L33" if "33" in cross else "L12"
    edge = [shape("decrease", "left", 30, every=4, times=2)]
    rope = cable(cross, follows="left", first_row=8, every=40, times=2)
    [found] = [p for p in advice(plan(rope, needles=f"{left}-R33", rows=60, shape=edge)) if p.key[0] == "shape"]
    assert found.key == ("shape", 0, "tool") and found.found == "1"
    assert found.why.endswith(why)
    carried = plan(rope, needles=f"{left}-R33", rows=60, shape=[{**edge[0], "tool": tool}])
    assert bool([p for p in advice(carried) if p.key[0] == "shape"]) == ("no tool" in why)


def test_a_tool_that_would_leave_no_needle_is_not_told() -> None:
    rope = cable("L5 over L6", follows="left", first_row=8, every=40, times=2)
    many = [shape("decrease", "both", 20, every=2, times=6), shape("decrease", "left", 40)]
    [both] = [p for p in advice(plan(rope, needles="L7-R2", rows=60, shape=many)) if p.key == ("shape", 0, "tool")]
    assert "they leave none for tool" in both.why


def test_times_there_are_no_rows_for_are_told_of_single_needles_too() -> None:
    data = tables(stitch=[{"needles": "L5", "do": "bead", "first_row": 12, "every": 12, "times": 5}])
    assert told(data, advised=True) == [
        ("times = 5", "stitch 1, times", "5", "1 to 3 (the next would come in row 48, and there is none)")
    ]
