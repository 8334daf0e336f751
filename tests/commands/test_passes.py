"""The passes as JSON: a program that knows only the outside contract knits from them, on a bed of its own."""

from __future__ import annotations

import json
import re
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from hypothesis import given

from purlside.files.tables import checked
from purlside.plan.plan import Plan
from purlside.rows.working import Working
from purlside.shown.passes import as_json, as_text
from tests.commands.shell import PLAN, ROOT, run
from tests.naive_bed import NaiveBed, names, span
from tests.plans import cable as rope
from tests.plans import plan as of
from tests.plans import plan_tables

PATTERNS = sorted(p for p in (ROOT / "patterns").glob("*.toml") if b"[[shape]]" not in p.read_bytes())
"""Those that keep their width: the shaped ones are replayed in tests/shaped."""
Json = dict[str, Any]

SHAPES: dict[str, set[str]] = {
    "dial": {"do", "size"},
    "hold": {"do", "needles"},
    "return": {"do", "needles"},
    "knit": {"do", "toward", "beyond", "needles"},
    "back-up": {"do", "toward", "beyond"},
    "by-hand": {"do", "needles"},
    "cross": {"do", "cable", "front", "first", "second"},
    "weights": {"do", "needles"},
    "bead": {"do", "needles"},
    "latch-up": {"do", "needles", "rows"},
    "tell": {"do", "text"},
}


def passes(path: Path, *more: str) -> Json:
    done = run("passes", path, "--json", *more)
    assert (done.returncode, done.stderr) == (0, "")
    document: Json = json.loads(done.stdout)
    return document


class Asked(NamedTuple):
    """What the plan wants of a row, from the file alone: rows, size and by hand of each needle, and the crossings."""

    rows: dict[str, int]
    sizes: dict[str, float]
    by_hand: set[str]
    crossings: list[tuple[str, str, str]]

    def movements(self) -> int:
        """The least there can be: 1 + Σ |a − b|/2 where the size stays, (a + b)/2 + 1 where it changes or by hand lies
        between; one row of the same size beyond either edge."""
        knit = [n for n in self.rows if n not in self.by_hand]
        order = list(self.rows)
        edges = (self.rows[knit[0]] - 1) // 2 + (self.rows[knit[-1]] - 1) // 2
        total = 1 + edges
        for one, other in pairwise(knit):
            a, b = self.rows[one], self.rows[other]
            apart = self.sizes[one] != self.sizes[other] or order.index(other) - order.index(one) > 1
            total += (a + b) // 2 + 1 if apart else abs(a - b) // 2
        return total


def asked(tables: Json, row: int) -> Asked | None:
    """What the plan wants of a row; None where it leaves the ease open."""
    panel = tables["panel"]
    left, _, right = panel["needles"].partition("-")
    work = [n for n in names(left, right or left) if n not in panel.get("out_of_work", [])]
    size = panel["stitch_size"]
    for band in tables.get("band", []):
        first, _, last = band["rows"].partition("-")
        if int(first) <= row <= int(last or first):
            size = band.get("stitch_size", size)
    found = Asked(dict.fromkeys(work, 1), dict.fromkeys(work, size), set(), [])
    for stitch in tables.get("stitch", []):
        k, rest = divmod(row - stitch["first_row"], stitch.get("every", panel["rows"]))
        if stitch["do"] in ("bead", "by hand") and not rest and 0 <= k < stitch.get("times", panel["rows"]):
            found.by_hand.update(needle for each in stitch["needles"].split(", ") for needle in span(each))
    for cable in tables.get("cable", []):
        k, rest = divmod(row - cable["first_row"], cable.get("every", panel["rows"]))
        if rest or not 0 <= k < cable.get("times", panel["rows"] if "every" in cable else 1):
            continue
        ease = cable.get("ease", "plain")
        if ease == "auto":
            return None
        turns = [cable["cross"]] if isinstance(cable["cross"], str) else cable["cross"]
        front, back = turns[k % len(turns)].split(" over ")
        found.crossings.append((cable["name"], front, back))
        if "enlarge" in ease:
            found.sizes.update(dict.fromkeys(span(back), cable["enlarged_size"]))
        for needle in span(front):
            found.rows[needle] += cable["extra_rows"] if "extra rows" in ease else 0
        if ease == "by hand":
            found.by_hand.update(span(front))
    return found


def replay(document: Json, tables: Json, *, first: int = 1) -> None:
    """Knit a document on the second bed, as a program that knows only the contract would."""
    machine, panel = tables["machine"], tables["panel"]
    assert document.keys() == {"format", "title", "rows"}
    assert (document["format"], document["title"]) == (1, tables["title"])
    left, _, right = panel["needles"].partition("-")
    side = machine.get("carriage", "right")
    if first % 2 == 0:
        side = {"left": "right", "right": "left"}[side]
    bed = NaiveBed(
        names(left, right or left),
        panel.get("out_of_work", []),
        side,
        panel["stitch_size"],
        tuple(machine.get("dial", (0, 10))),
    )
    for number, row in enumerate(document["rows"], first):
        assert row.keys() == {"row", "from", "to", "crossing", "moves"}
        assert row["row"] == number
        assert (row["from"], {row["from"], row["to"]}) == (bed.side(), {"left", "right"})
        crossed = [move for move in row["moves"] if move["do"] == "cross"]
        assert row["crossing"] == bool(crossed)
        worked: list[tuple[str, float | str]] = []
        for move in row["moves"]:
            seen = move.pop("bed", None)
            assert move.keys() == SHAPES[move["do"]]
            if move["do"] in ("hold", "return", "by-hand", "weights"):
                assert move["needles"] == sorted(move["needles"], key=bed.panel.index)
            if move["do"] == "cross":
                assert (
                    move["front"] == f"{move['first']['from'][0]}-{move['first']['from'][-1]}"
                    or len(move["first"]["from"]) == 1
                )
            assert bed.refusals(move) == set(), (number, move)
            bed.do(move)
            if move["do"] in ("knit", "by-hand"):
                worked += [(n, "by hand" if move["do"] == "by-hand" else bed.dial) for n in move["needles"]]
            if seen is not None:
                assert seen == bed.seen(), (number, move)
        wanted = asked(tables, number)
        if wanted is not None:
            assert bed.row_refusals(wanted.rows, row["from"]) == set(), number
            for needle, size in worked:
                assert size == ("by hand" if needle in wanted.by_hand else wanted.sizes[needle]), (number, needle)
            assert sum(move["do"] in ("knit", "back-up") for move in row["moves"]) == wanted.movements(), number
            made = [(move["cable"], move["first"]["from"], move["second"]["from"]) for move in crossed]
            from_there = [(name, span(front), span(back)) for name, front, back in wanted.crossings]
            from_there.sort(key=lambda c: bed.panel.index(c[1][0]), reverse=row["to"] == "right")
            assert made == from_there, "along the bed from where the carriage stands"
        assert not bed.held()
        bed.next_row()


@pytest.mark.parametrize("path", PATTERNS, ids=lambda path: path.stem)
def test_a_program_that_knows_only_the_contract_can_knit_each_pattern_from_the_json(path: Path) -> None:
    document = passes(path)
    tables = tomllib.loads(path.read_text("utf-8"))
    assert len(document["rows"]) == tables["panel"]["rows"]
    replay(document, tables)


def test_bed_says_after_each_move_what_a_second_bed_finds(plan: Path) -> None:
    tables = tomllib.loads(PLAN)
    with_bed = passes(plan, "--bed")
    assert all("bed" in move for row in with_bed["rows"] for move in row["moves"])
    replay(with_bed, tables)
    assert with_bed == passes(plan)
    later = passes(plan, "--bed", "--rows", "7-12")
    replay(later, tables, first=7)


def test_an_excerpt_is_the_same_rows_and_can_be_knit_by_itself(plan: Path) -> None:
    whole = passes(plan)["rows"]
    for first, last in ((1, 1), (3, 3), (4, 4), (7, 12), (10, 10), (12, 20), (20, 20)):
        document = passes(plan, "--rows", f"{first}-{last}" if first < last else str(first))
        rows = json.loads(json.dumps(document["rows"]))
        assert rows[1:] == whole[first:last]
        moves = rows[0]["moves"]
        if first > 1:
            assert moves[0]["do"] in ("dial", "tell")
        assert rows[0] | {"moves": 0} == whole[first - 1] | {"moves": 0}
        assert moves[len(moves) - len(whole[first - 1]["moves"]) :] == whole[first - 1]["moves"]
        replay(document, tomllib.loads(PLAN), first=first)


@given(plan_tables())
def test_any_plan_is_knit_from_its_json_in_the_fewest_movements_as_the_file_asks(tables: Json) -> None:
    plan = checked(Plan, tables)
    document = json.loads("".join(as_json(Working(plan), range(1, plan.panel.rows + 1), bed=True)))
    assert len(document["rows"]) == plan.panel.rows
    replay(document, tables)


def test_the_words_count_the_crossings_from_the_first_to_the_last() -> None:
    told = "\n".join(as_text(Working(of(rope())), range(1, 41)))
    assert re.findall(r"rope (\d+) of (\d+), R1–R3 over L3–L1", told) == [(str(k), "5") for k in range(1, 6)]


def test_a_purl_column_is_dropped_under_its_own_heading_not_under_a_cable_s() -> None:
    column = {"needles": "L8, R8", "do": "purl", "first_row": 8, "every": 8}
    for cable in (rope(), rope(ease="enlarge", enlarged_size=9.0)):
        told = "\n".join(as_text(Working(of(cable, needles="L12-R12", rows=8, stitch=[column])), range(8, 9)))
        headings: dict[str, list[str]] = {}
        for line in told.splitlines():
            if line.startswith("  ") and line[2] not in " -":
                headings[line.strip()] = under = []
            elif line.startswith("    - "):
                under.append(line.strip())
        assert any("Drop L8, R8" in line for line in headings["Purl columns L8, R8"])
        cross = next(lines for heading, lines in headings.items() if heading.startswith("Cross "))
        assert cross[0].startswith("- Lift")
        assert told.count("Drop L8, R8") == told.count("FIRST") == 1
