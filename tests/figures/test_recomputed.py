"""Time, yarn, size and take-in of generated plans, worked out again from the JSON of their moves and by plain loops.

Nothing of ``purlside.figures`` is used for what is expected: rates, loops and the
take-in are written down here once more, as they are documented.
"""

from __future__ import annotations

import json
import os
import random
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from purlside.figures.json import as_json as figures_json
from purlside.figures.whole import Figures, figures
from purlside.files.planfile import parse
from purlside.files.tables import checked
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.checking import faults
from purlside.rows.working import Working
from purlside.shown.passes import as_json
from tests.golden.written_plans import PATTERNS, plan_text
from tests.shaped.generated import plan_tables
from tests.shaped.wanted import mirrored, needles, rows_of

PLANS = int(os.environ.get("PURLSIDE_FIGURES", "150"))
SHAPED = 60
KNIT, KNIT_NEEDLE, BACK_UP, PUSH, PUSH_NEEDLE = 4.0, 0.03, 4.0, 2.0, 0.3
DIAL, BY_HAND, CROSS, CROSS_STITCH, WEIGHTS = 2.0, 8.0, 20.0, 2.0, 15.0
"""Seconds for each thing done: the default rates."""


def _known(seed: int) -> Plan | None:
    """A plan on record with a gauge; half of the gauges at a size of their own, a third with a take-in."""
    chance = random.Random(-seed)
    text = plan_text(seed) + "[gauge]\nstitches_per_10cm = 29\nrows_per_10cm = 41\n"
    text += f"stitch_size = {chance.choice([3, 5, 7])}\n" if chance.random() < 0.5 else ""
    text += f"cable_take_in = {chance.choice([0.6, 0.8, 1.1])}\n" if chance.random() < 0.3 else ""
    plan = parse(text, f"plan {seed}")
    return None if faults(plan) else plan


def _every() -> Iterator[tuple[Plan, Figures, list[dict[str, Any]]]]:
    seed = made = 0
    while made < PLANS:
        seed += 1
        if (plan := _known(seed)) is None:
            continue
        made += 1
        yield plan, figures(plan), json.loads("".join(as_json(Working(plan), range(1, plan.panel.rows + 1))))["rows"]


def _loop(plan: Plan, size: float) -> float:
    """A loop at a stitch size: the line through the two measured, or the gauge's own loop and a usual slope."""
    gauge = plan.gauge
    assert gauge is not None
    own = plan.panel.stitch_size if gauge.stitch_size is None else gauge.stitch_size
    if plan.yarn.loop_mm:
        at, mm, slope = 5.0, 13.7, 3.8 / 4
    else:
        at, mm = own, 10 * (21.6 / (gauge.stitches_per_10cm * gauge.rows_per_10cm / 100)) ** 0.5
        slope = 3.8 / 4 * plan.machine.pitch_mm / 4.5
    least = min(plan.machine.pitch_mm, *([13.7, 17.5] if plan.yarn.loop_mm else [1e9]))
    return max(least, mm + slope * (size - at))


def _seconds(move: dict[str, Any]) -> tuple[float, float]:
    """(seconds but for weights, seconds for weights) of one move of the JSON."""
    needles = len(move.get("needles", ()))
    match move["do"]:
        case "knit":
            return KNIT + KNIT_NEEDLE * needles, 0
        case "back-up":
            return BACK_UP, 0
        case "hold" | "return":
            return PUSH + PUSH_NEEDLE * needles, 0
        case "dial":
            return DIAL, 0
        case "by-hand":
            return BY_HAND * needles, 0
        case "cross":
            return CROSS + CROSS_STITCH * (len(move["first"]["from"]) + len(move["second"]["from"])), 0
        case "weights":
            return 0, WEIGHTS
        case "transfer":
            return 5.0 + 1.0 * len(move["from"]), 0
        case "out-of-work" | "into-work":
            return 1.0 * needles, 0
        case "fill":
            return 6.0 * needles, 0
        case "cast-off":
            return 5.0 * needles, 0
        case "cast-on":
            return 2.0 * needles, 0
        case "wrap":
            return 3.0 * needles, 0
        case "join":
            return 60.0, 0
        case "bead":
            return 15.0 * needles, 0
        case "latch-up":
            return (6.0 + 1.5 * move["rows"]) * needles, 0
        case "lever":
            return 1.0, 0
        case "tell":
            return 0, 0
    raise AssertionError(move)


def _place(needle: str) -> int:
    """Needles numbered along the bed without a gap."""
    return -int(needle[1:]) if needle[0] == "L" else int(needle[1:]) - 1


def _size_mm(plan: Plan, rows: list[dict[str, Any]]) -> tuple[float, float, float]:
    """(average width, narrowest, length), needle by needle and row by row."""
    gauge = plan.gauge
    assert gauge is not None
    own = plan.panel.stitch_size if gauge.stitch_size is None else gauge.stitch_size
    low, high = int(plan.panel.needles.left), int(plan.panel.needles.right)
    taken = [[0.0] * (high - low + 1) for _ in rows]
    for row in rows:
        for move in row["moves"]:
            if move["do"] != "cross":
                continue
            places = [_place(n) for half in ("first", "second") for n in move[half]["from"]]
            [cable] = [cable for cable in plan.cable if cable.name == move["cable"]]
            depth, reach = 0.25, len(places)
            if gauge.cable_take_in is not None:
                apart = len(places)
                if cable.every is not None and cable.times != 1:
                    turns = cable.crossings
                    mine = (min(places), max(places))
                    same = [t for t in turns if (int(min(t.needles)), int(max(t.needles))) == mine]
                    apart = cable.every * len(turns) // len(same)
                while reach % apart:
                    reach += 1
                depth = (1 - gauge.cable_take_in) * apart / reach
            for at in range(len(rows)):
                part = depth * max(0.0, 1 - abs(at + 1 - row["row"]) / reach)
                for place in range(min(places), max(places) + 1):
                    taken[at][place - low] += part
    most = 0.33 if gauge.cable_take_in is None else 1 - gauge.cable_take_in
    widths, heights = [], []
    for at in range(len(rows)):
        size = plan.panel.stitch_size
        for band in plan.band:
            if band.stitch_size is not None and band.rows.first <= at + 1 <= band.rows.last:
                size = band.stitch_size
        longer = _loop(plan, size) / _loop(plan, own)
        parts = [min(most, part) if most >= 0 else max(most, part) for part in taken[at]]
        widths.append(sum(1 - part for part in parts) * 100 / gauge.stitches_per_10cm * longer)
        heights.append(100 / gauge.rows_per_10cm * longer)
    area = sum(width * height for width, height in zip(widths, heights, strict=True))
    return area / sum(heights), min(widths), sum(heights)


def _spent(plan: Plan, rows: list[dict[str, Any]]) -> tuple[float, float, int, float]:
    """(seconds but for weights, seconds for weights, loops, mm of yarn), the dial followed as the knitter sets it."""
    seconds = weights = yarn = 0.0
    loops, dial = 0, plan.panel.stitch_size
    for row in rows:
        for move in row["moves"]:
            spent, hung = _seconds(move)
            seconds, weights = seconds + spent, weights + hung
            if move["do"] == "dial":
                dial = move["size"]
            elif move["do"] in ("knit", "by-hand", "cast-on", "wrap"):
                own = 2 * _loop(plan, 10) if move["do"] == "by-hand" else _loop(plan, dial)
                loops += len(move["needles"])
                yarn += own * len(move["needles"])
    return seconds, weights, loops, yarn


def _agrees(plan: Plan, found: Figures, rows: list[dict[str, Any]]) -> None:
    seconds, weights, loops, yarn = _spent(plan, rows)
    time = found.time
    assert time.plain_s + time.worked_s + time.crossing_s == pytest.approx(seconds), plan.title
    assert found.time.weights_s == pytest.approx(weights), plan.title
    assert found.time.crossing_rows == sum(row["crossing"] for row in rows)
    assert time.plain_rows + time.worked_rows == sum(not row["crossing"] for row in rows)
    assert sum(need.loops for need in found.needs) == loops
    assert sum(need.metres for need in found.needs) == pytest.approx(yarn / 1000 * 1.1), plan.title


def test_plans_take_the_time_the_yarn_and_the_room_their_moves_say() -> None:
    crossing_and_due = several_colours = 0
    for plan, found, rows in _every():
        _agrees(plan, found, rows)
        for row in rows:
            due = [move for move in row["moves"] if move["do"] == "weights"]
            crossing_and_due += bool(row["crossing"] and len(due[0]["needles"]) > 6) if due else 0
        several_colours += len(found.needs) > 1
        assert found.finished is not None
        width, narrowest, length = _size_mm(plan, rows)
        assert found.finished.width_mm.value == pytest.approx(width), plan.title
        assert found.finished.narrowest_mm == pytest.approx(narrowest), plan.title
        assert found.finished.length_mm == pytest.approx(length), plan.title
        assert found.finished.width_mm.least - 1e-9 <= width <= found.finished.width_mm.most + 1e-9
    assert crossing_and_due > PLANS // 10 and several_colours > PLANS // 40, "the plans have what is looked for"


def test_shaped_plans_take_the_time_and_the_yarn_of_their_moves_and_the_room_of_their_outline() -> None:
    """Decreases, increases, casting on and off, short rows, parts: against the rows as the rules alone lay them."""
    done: set[str] = set()
    enlarged = 0
    for seed in range(SHAPED):
        tables = plan_tables(seed)
        for cable in tables.get("cable", []):
            cable["take_in"] = 1.0
        plan = checked(Plan, {**tables, "gauge": {"stitches_per_10cm": 29, "rows_per_10cm": 41}})
        calendar = Calendar(plan)
        rows = json.loads("".join(as_json(Working(plan), range(1, calendar.rows + 1))))["rows"]
        done |= {move["do"] for row in rows for move in row["moves"]}
        found = figures(plan)
        _agrees(plan, found, rows)
        widths: dict[int, float] = {}
        columns: dict[int, float] = {}
        unresting: dict[str | None, float] = {}
        for wanted in rows_of(tables):
            own = [
                n for part in mirrored(tables)["part"] if part["name"] == wanted.part for n in needles(part["needles"])
            ]
            grown = [n for n in wanted.work if wanted.part is None or n in own or n in wanted.knit]
            size = next(
                (
                    band["stitch_size"]
                    for band in reversed(tables.get("band", []))
                    if "stitch_size" in band and _within(band["rows"], wanted.row)
                ),
                plan.panel.stitch_size,
            )
            # What eases a crossing is spent on the way; single stitches lie at the size they are knit at.
            eased = {needle for crossed in wanted.crossed for needle in crossed.back}
            lies_at = [size if needle in eased else wanted.sizes[needle] for needle in wanted.knit]
            enlarged += sum(at != size for at in lies_at)
            loops = [_loop(plan, at) for at in lies_at]
            longer = sum(loops) / len(loops) / _loop(plan, plan.panel.stitch_size)
            here = (grown[-1] - grown[0] + 1) * 100 / 29 * longer
            widths[wanted.row] = widths.get(wanted.row, 0.0) + here
            for needle in wanted.knit:
                columns[needle] = columns.get(needle, 0.0) + 100 / 41 * longer
            if not set(grown) & set(wanted.resting):
                unresting[wanted.part] = unresting.get(wanted.part, 0.0) + 100 / 41 * longer
        assert found.finished is not None
        assert list(found.finished.widths_mm) == pytest.approx([widths[row] for row in sorted(widths)]), plan.title
        through = unresting.pop(None, 0.0) + max(unresting.values(), default=0.0)
        assert found.finished.length_mm == pytest.approx(max(through, *columns.values())), plan.title
    assert enlarged > SHAPED
    assert {"transfer", "cast-on", "cast-off", "wrap", "fill", "join", "latch-up", "bead", "lever"} <= done


def _within(rows: str, row: int) -> bool:
    first, _, last = rows.partition("-")
    return int(first) <= row <= int(last or first)


def _distances(cross: str, work: list[int]) -> tuple[int, int]:
    """(pitches both halves travel, pitches of the widest gap) of a crossing: each stitch laid where it goes."""
    front, back = (sorted(_place(n) for n in half.split("-")) for half in cross.split(" over "))
    halves = [[n for n in work if half[0] <= n <= half[-1]] for half in (front, back)]
    taken = sorted(halves[0] + halves[1])
    goes = {n: n for n in work}
    for half in halves:
        to = taken[-len(half) :] if half[0] == taken[0] else taken[: len(half)]
        goes |= dict(zip(half, to, strict=True))
    moved = [max(abs(goes[n] - n) for n in half) for half in halves]
    gaps = [abs(goes[b] - goes[a]) for a, b in pairwise(work) if a in taken or b in taken]
    return sum(moved), max(gaps)


@pytest.mark.parametrize("path", sorted(PATTERNS.glob("*.toml")), ids=lambda path: path.stem)
def test_the_json_of_every_pattern_is_the_sum_of_its_moves_and_the_ways_between_its_needles(path: Path) -> None:
    plan = parse(path.read_text("utf-8"), path.name)
    working = Working(plan)
    rows = json.loads("".join(as_json(working, range(1, working.calendar.rows + 1))))["rows"]
    told = figures_json(figures(plan))

    def spent(crossing: bool) -> float:
        return sum(_seconds(move)[0] for row in rows if row["crossing"] is crossing for move in row["moves"])

    done = [move for row in rows if row["crossing"] for move in row["moves"]]
    pushes = [move for move in done if move["do"] in ("hold", "return")]
    time = dict(told["time"])
    assert "rough estimate" in time.pop("from")
    assert time.pop("seconds") == pytest.approx(sum(sum(_seconds(m)) for row in rows for m in row["moves"]), abs=0.51)
    assert time.pop("weights_seconds") == sum(_seconds(move)[1] for row in rows for move in row["moves"])
    assert time.pop("plain_seconds") == pytest.approx(spent(False), abs=0.51)
    assert time.pop("crossing_seconds") == pytest.approx(spent(True), abs=0.51)
    every = [move for row in rows for move in row["moves"]]
    latched = [move for move in every if move["do"] == "latch-up"]
    assert time.pop("latching_seconds") == pytest.approx(sum(_seconds(move)[0] for move in latched), abs=0.51)
    bare = {"dial", "knit", "weights", "tell"}
    worked = [row for row in rows if not row["crossing"] and {move["do"] for move in row["moves"]} - bare]
    rows_worked, seconds_worked = time.pop("worked_rows"), time.pop("worked_seconds")
    if not plan.shape:
        assert rows_worked == len(worked)
        in_them = sum(_seconds(move)[0] for row in worked for move in row["moves"])
        assert seconds_worked == pytest.approx(in_them, abs=0.51)
    assert time == {
        "columns_dropped": sum(len(move["needles"]) for move in latched),
        "stitches_latched": sum(len(move["needles"]) * move["rows"] for move in latched),
        "beads": sum(len(move["needles"]) for move in every if move["do"] == "bead"),
        "plain_rows": sum(not row["crossing"] for row in rows),
        "crossing_rows": sum(row["crossing"] for row in rows),
        "crossing_movements": sum(move["do"] in ("knit", "back-up") for move in done),
        "crossing_pushes": len(pushes),
        "crossing_needles_pushed": sum(len(move["needles"]) for move in pushes),
    }
    out = {int(n) for n in plan.panel.out_of_work}
    work = [n for n in range(int(plan.panel.needles.left), int(plan.panel.needles.right) + 1) if n not in out]
    pitch = plan.machine.pitch_mm
    for crossing in told["crossings"]:
        travel, gap = _distances(crossing["cross"], work)
        assert (crossing["travel_pitches"], crossing["widest_gap_pitches"]) == (travel, gap), crossing["cross"]
        assert (crossing["travel_mm"], crossing["widest_gap_mm"]) == pytest.approx((travel * pitch, gap * pitch))
        assert crossing["planned"]["reach"] == pytest.approx(travel * pitch / crossing["planned"]["yarn_mm"], rel=1e-3)
    crossed = sum(crossing["times"] for crossing in told["crossings"])
    assert crossed == sum(move["do"] == "cross" for move in done)
