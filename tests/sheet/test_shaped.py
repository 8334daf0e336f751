"""The sheet of a panel with a shape: its rules, its outline, its parts."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest

from purlside.bed.needles import Crossing, Needle, Span
from purlside.fabric.paper import TEXT_MM
from purlside.figures.pieces import Scale
from purlside.figures.schematic import Outline, Schematic, WidthAt
from purlside.figures.whole import figures
from purlside.files import planfile
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working
from purlside.sheet.kinds import sheet_rows
from purlside.sheet.parts import Detail, Para, Table
from purlside.sheet.picture import outlined
from purlside.sheet.schematic import BOX_MM, SMALL_BOX_MM, measures, schematic_svg
from purlside.sheet.whole import Wish, render, sheet, written
from purlside.shown.passes import as_json
from purlside.text.units import Unit
from tests import plans
from tests.plans import toml
from tests.shaped.generated import plan_tables

JERSEY = sorted((Path(__file__).parents[2] / "patterns").glob("slipway-jersey-*.toml"))


def piece(name: str) -> Plan:
    return planfile.read(next(path for path in JERSEY if name in path.stem)).plan


def tables(plan: Plan, wish: Wish) -> dict[str, Table]:
    found = [b for top in sheet(plan, wish).sections for s in top.walk() for b in s.blocks if isinstance(b, Table)]
    return {table.caption: table for table in found}


@pytest.mark.parametrize("detail", list(Detail))
@pytest.mark.parametrize("path", JERSEY, ids=lambda path: path.stem)
def test_every_piece_has_a_sheet_with_its_shaping(path: Path, detail: Detail) -> None:
    plan = planfile.read(path).plan
    shaping = tables(plan, Wish(detail=detail))["Shaping, before the row is knit"]
    assert len(shaping.rows) == len(plan.shape)
    for shape, (what, first, *_, last) in zip(plan.shape, shaping.rows, strict=True):
        edge = f"the {shape.edge}"
        if shape.edge == "both":
            # Where the carriage has to stand at the edge, or at the other, one edge is done in each of two rows.
            edge = "both edges" if shape.do in ("decrease", "increase") else "one edge, then the other"
        tool = f", {shape.tool} on the tool" if shape.tool > 1 else ""
        part = f"{shape.part}: " if shape.part else ""
        assert what == f"{part}{shape.do} {shape.stitches} at {edge}{tool}"
        assert first == f"{shape.first_row:,}"
        after = edge == "one edge, then the other"
        assert last == f"{shape.first_row + (shape.every or 0) * ((shape.times or 1) - 1) + after:,}"


def rows_told(plan: Plan) -> Iterator[tuple[str | None, int, str, str]]:
    """(part, the fabric's row, where the carriage stands, a letter or "plain") of every row, as a short sheet tells it."""
    told: dict[str | None, list[tuple[int, str, str]]] = {}
    for caption, table in tables(plan, Wish(detail=Detail.SHORT)).items():
        match = re.match(
            r"(?:(.+): r|R)ows? [\d,]+(?:–[\d,]+)?(?:, once|, and every (\d+) rows: (\d+) times|$)", caption
        )
        for time in range(int(match[3] or 1) if match else 0):
            for row, side, _, knit, then, *_ in table.rows:
                assert match
                first, _, last = str(row).partition("–")
                shift = time * int(match[2] or 0)
                plain = int(str(then).split()[0]) if then else 0
                for number in range(int(first), int(last or first) + 1 + plain):
                    letter = str(knit).partition(",")[0] if number <= int(last or first) else "plain"
                    sides = str(side).split(", ")[0]
                    turned = (number - int(first) + (time if "turn" in str(side) else 0)) % 2
                    at = {"COR": "COL", "COL": "COR"}[sides] if turned else sides
                    told.setdefault(match[1], []).append((number + shift, at, letter))
    for part, rows in told.items():
        yield from ((part, *row) for row in rows)
    found = [b for top in sheet(plan, Wish(detail=Detail.SHORT)).sections for s in top.walk() for b in s.blocks]
    for block in (block for block in found if isinstance(block, Para)):
        match = re.match(
            r"(.+): rows (\d+)–(\d+) as the (.+), in the mirror: (CO[LR]) for (CO[LR]), left for right", block.text
        )
        if match:
            others = sorted(told[match[4]])
            assert (others[0][0], others[-1][0]) == (int(match[2]), int(match[3]))
            assert {match[5], match[6]} == {"COR", "COL"} and others[0][1] == match[6]
            for number, at, letter in others:
                marked = letter if letter == "plain" else f"{letter} mirrored"
                yield match[1], number, {"COR": "COL", "COL": "COR"}[at], marked


@pytest.mark.parametrize("path", JERSEY, ids=lambda path: path.stem)
def test_the_rows_said_are_those_of_the_panel_and_of_each_part(path: Path) -> None:
    plan = planfile.read(path).plan
    calendar = Working(plan).calendar
    wanted = [
        (row.part, row.fabric, row.side.carriage, bool(row.crossed))
        for row in map(calendar.row, range(1, calendar.rows + 1))
    ]
    said = [(part, row, side, letter != "plain") for part, row, side, letter in rows_told(plan)]
    assert sorted(said, key=str) == sorted(wanted, key=str)


def test_rows_of_a_part_are_said_by_its_name_and_as_the_fabric_counts_them() -> None:
    """The shoulders are rows 21 to 30 of the fabric, knit one after the other as the 21st to 30th and the 31st to 40th."""
    parts = [
        {"name": "right shoulder", "needles": "R1-R10", "rows": 10},
        {"name": "left shoulder", "needles": "L10-L1", "rows": 10},
    ]
    rows = sheet_rows(Calendar(plans.plan(needles="L10-R10", rows=20, part=parts)))
    assert rows.said([8, 16, 23, 25, 31]) == "8 and 16; right shoulder 23 and 25; left shoulder 21"


def test_tables_of_shaping_take_the_room_of_passes_two_lines_that_of_one() -> None:
    """A working sheet writes 64 passes out. Each of these crossings takes six steps: ten fit, and with twenty lines of
    shaping and two of parts eight."""
    ropes = [
        {
            "name": f"c{n}",
            "cross": f"R{n} over R{n + 1}",
            "first_row": 3 + n,
            "ease": "enlarge",
            "enlarged_size": 9,
        }
        for n in range(2, 30, 2)
    ]
    shape = [{"edge": "left", "do": "decrease", "first_row": row} for row in range(50, 70)]
    part = [
        {"name": "right shoulder", "needles": "R1-R40", "rows": 10},
        {"name": "left shoulder", "needles": "L40-L1", "rows": 10},
    ]
    for more, fit in (({}, 10), ({"shape": shape, "part": part}, 8)):
        plan = plans.plan(*ropes, needles="L40-R40", rows=80, **more)
        [section] = [one for one in sheet(plan, Wish(detail=Detail.WORKING)).sections if one.heading == "Crossing rows"]
        assert [way.heading for way in section.sections] == [f"{chr(65 + n)} from COR" for n in range(fit)]


def test_the_outline_has_the_width_and_the_height_of_the_figures() -> None:
    plan = piece("front")
    worked = figures(plan)
    drawn = outlined(plan, worked)
    assert worked.finished is not None and drawn is not None and drawn.scale is not None
    body, *sides = drawn.outlines
    assert [side.part for side in sides] == ["right shoulder", "left shoulder"]
    assert body.corners[0][1] == 0 and drawn.widths[0].stitches == 152
    top = max(up for side in sides for _, up in side.corners)
    assert top * drawn.scale.row == pytest.approx(worked.finished.length_mm)


def test_the_schematic_draws_its_measures_where_they_are() -> None:
    drawn = Schematic(
        "x",
        (Outline(None, ((-28, 0), (-14, 120), (14, 120), (28, 0))),),
        (WidthAt(None, 0, -28, 56, 200.0), WidthAt(None, 120, -14, 28, 100.0)),
        (),
        Scale(200 / 56, 300 / 120),
    )
    svg = schematic_svg(drawn, Unit.INCH, "s")
    outline = re.search(r'class="outline" d="M([^"]*)Z"', svg)
    assert outline
    corners = [tuple(map(float, corner.split())) for corner in outline[1].split("L")]
    (a, b, c, d) = corners
    assert a[0] > d[0], "the left of the bed is on the right, seen from the knit side"
    assert (a[0] - d[0]) == pytest.approx(2 * (b[0] - c[0]), rel=0.01), "twice as wide at the foot"
    assert a[1] - b[1] == pytest.approx((a[0] - d[0]) * 1.5, rel=0.01), "to scale"
    assert "7.9 in, 56 st" in svg and "11.8 in, 120 rows" in svg and "3.9 in, 28 st" in svg


@pytest.mark.parametrize("unit", list(Unit))
@pytest.mark.parametrize("box", [BOX_MM, SMALL_BOX_MM, (25.0, 25.0)])
@pytest.mark.parametrize("name", ["back", "front", "sleeve"])
def test_no_word_of_a_schematic_lies_over_a_line_or_another_word(
    name: str, box: tuple[float, float], unit: Unit
) -> None:
    plan = piece(name)
    drawn = outlined(plan, figures(plan))
    assert drawn is not None
    svg = schematic_svg(drawn, unit, "s", box)
    outlines = [
        [tuple(map(float, corner.split())) for corner in path.split("L")]
        for path in re.findall(r'class="outline" d="M([^"]*)Z"', svg)
    ]
    # Points along every line, a tenth of a millimetre apart.
    points = [
        (a[0] + (b[0] - a[0]) * i / 1000, a[1] + (b[1] - a[1]) * i / 1000)
        for line in outlines
        for a, b in pairwise([*line, line[0]])
        for i in range(1001)
    ]
    boxes = []
    for x, y, more, said in re.findall(r'<text x="([-\d.]+)" y="([-\d.]+)"([^>]*)>([^<]*)<', svg):
        # The widest figures of a sans serif are 0.56 of their height, as Arial's (its published metrics).
        wide = len(said) * TEXT_MM * 0.56
        left = float(x) - (wide / 2 if "middle" in more else wide if "end" in more else 0)
        boxes.append((left, float(y) - TEXT_MM * 0.75, left + wide, float(y)))
    assert len(boxes) >= 4
    for one in boxes:
        assert not [p for p in points if one[0] < p[0] < one[2] and one[1] < p[1] < one[3]]
    for one, other in combinations(boxes, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
    moved = re.search(r"translate\(([\d.]+) 0\)", svg)
    size = re.search(r'viewBox="0 0 ([\d.]+) ', svg)
    assert moved and size
    assert min(one[0] for one in boxes) + float(moved[1]) >= 0
    assert max(one[2] for one in boxes) + float(moved[1]) <= float(size[1])


def test_the_neck_is_measured_between_the_two_sides() -> None:
    plan = piece("front")
    drawn = outlined(plan, figures(plan))
    assert drawn is not None and drawn.scale is not None
    wide = 50 * drawn.scale.stitch / 10
    assert f"between the parts at their tops: {wide:.1f} cm, 50 st" in measures(drawn, Unit.CM)


def test_a_garment_is_one_hand_out() -> None:
    made = sheet([planfile.read(path).plan for path in JERSEY], Wish(detail=Detail.SHORT))
    printed = render(made, ".txt")
    assert printed.count("Schematic") == 0 and printed.count("cast-on edge:") == len(JERSEY)
    assert printed.count("Abbreviations\n") == printed.count("Credit\n") == 1


def test_a_piece_knit_twice_is_told_once_with_how_often() -> None:
    front, sleeve = piece("front"), piece("sleeve")
    made = sheet([front, sleeve, sleeve], Wish(detail=Detail.SHORT))
    assert made.title == "Slipway jersey, front and Slipway jersey, sleeve"
    assert [section.heading for section in made.sections][:3] == [
        "All together",
        front.title,
        f"{sleeve.title}: knit 2",
    ]
    assert render(made, ".txt").count("cast-on edge:") == 2
    assert sheet([sleeve, sleeve], Wish(detail=Detail.SHORT)).title == f"{sleeve.title}: knit 2"


@pytest.mark.parametrize("detail", list(Detail))
def test_the_parts_say_whom_they_mirror_and_where_the_yarn_is_joined(detail: Detail) -> None:
    (table,) = (t for caption, t in tables(piece("front"), Wish(detail=detail)).items() if caption.startswith("Parts"))
    assert table.rows == (
        ("right shoulder", "225–260", "COR", "goes on", "R1–R59 (59)"),
        ("left shoulder, mirrors right shoulder", "225–260", "COL", "joined at the left", "L59–L1 (59)"),
    )


# --- followed by hand -----------------------------------------------------------

SIDES = {"COR": "right", "COL": "left"}
OTHER = {"left": "right", "right": "left"}


class Shaper:
    """A knitter who has only the sheet's tables of shaping and of parts."""

    def __init__(self, plan: Plan) -> None:
        printed = tables(plan, Wish(detail=Detail.SHORT))
        self.lines = [
            self._read([str(cell) for cell in row]) for row in printed["Shaping, before the row is knit"].rows
        ]
        self.work = list(plan.panel.needles)
        self.rest: dict[Needle, str] = {}
        panel = (None, (1, plan.panel.rows), plan.machine.side.carriage, list(plan.panel.needles))
        self.stretches: list[tuple[str | None, tuple[int, int], str, list[Needle]]] = [panel]
        for part, rows, carriage, _, needles in next((t.rows for c, t in printed.items() if c.startswith("Parts")), ()):
            name, _, of = str(part).partition(", mirrors ")
            first, last = map(int, str(rows).split("–"))
            span = Span.parse(str(needles).partition(" (")[0].replace("–", "-"))
            self.stretches.append((name, (first, last), str(carriage), list(span)))
            if of:
                self.lines += [
                    {**line, "part": name, "edge": OTHER.get(line["edge"], line["edge"])}
                    for line in self.lines
                    if line["part"] == of
                ]

    @staticmethod
    def _read(cells: list[str]) -> dict[str, Any]:
        what, first, every, times, _ = cells
        match = re.fullmatch(
            r"(?:(.+): )?(decrease|increase|cast off|cast on|hold|return) (\d+|all) at "
            r"(both edges|one edge, then the other|the left|the right)(?:, (\d+) on the tool)?",
            what,
        )
        assert match, what
        part, do, stitches, edge, tool = match.groups()
        return {
            "part": part, "do": do, "stitches": stitches, "edge": edge.removeprefix("the "), "tool": int(tool or 1),
            "first": int(first), "every": int(every.split()[0]) if every and every != "row" else 1, "times": int(times),
        }  # fmt: skip

    def rows(self) -> Iterator[tuple[str | None, int, list[Needle], list[dict[str, Any]]]]:
        """(part, the fabric's row, needles knit, shaping moves) of every row."""
        for part, (first, last), carriage, own in self.stretches:
            stands = SIDES[carriage]
            others = [n for n in self.work if n not in own]
            for row in range(first, last + 1):
                moves: list[dict[str, Any]] = []
                for line in (line for line in self.lines if line["part"] == part):
                    for edge in self._edges(line, row, stands):
                        moves += self._done(line, edge, others)
                yield part, row, [n for n in self.work if n not in others and n not in self.rest], moves
                stands = OTHER[stands]

    @staticmethod
    def _edges(line: dict[str, Any], row: int, stands: str) -> list[str]:
        due = [line["first"] + line["every"] * i for i in range(line["times"])]
        if line["edge"] == "one edge, then the other":
            there = stands if line["do"] in ("cast off", "cast on") else OTHER[stands]
            return [there] if row in due or row - 1 in due else []
        return [] if row not in due else ["left", "right"] if line["edge"] == "both edges" else [line["edge"]]

    def _done(self, line: dict[str, Any], edge: str, others: list[Needle]) -> list[dict[str, Any]]:
        own = [n for n in self.work if n not in others]
        inward = own if edge == "left" else own[::-1]
        knit = [n for n in inward if n not in self.rest]
        resting = [n for n in inward if n in self.rest]
        tool, out = line["tool"], 1 if edge == "right" else -1

        def named(needles: Sequence[int]) -> list[str]:
            return [str(Needle(n)) for n in sorted(needles)]

        if line["do"] == "return":
            count = len(resting) if line["stitches"] == "all" else int(line["stitches"])
            for needle in [n for n in resting if self.rest[n] == edge][-count:]:
                del self.rest[needle]
            return []
        count = int(line["stitches"])
        if line["do"] == "hold":
            self.rest |= dict.fromkeys(knit[:count], edge)
            return []
        if line["do"] == "decrease":
            self.work = [n for n in self.work if n not in inward[:count]]
            moved = {"do": "transfer", "from": named(inward[:tool]), "to": named(inward[count : tool + count])}
            return [moved, {"do": "out-of-work", "needles": named(inward[:count])}]
        if line["do"] == "cast off":
            self.work = [n for n in self.work if n not in inward[:count]]
            gone = named(inward[:count])
            return [
                {"do": "cast-off", "needles": gone, "onto": str(inward[count])},
                {"do": "out-of-work", "needles": gone},
            ]
        new = [Needle(inward[0] + out * i) for i in range(1, count + 1)]
        self.work = sorted([*self.work, *new])
        came: list[dict[str, Any]] = [{"do": "into-work", "needles": named(new)}]
        if line["do"] == "cast on":
            return [*came, {"do": "cast-on", "needles": named(new)}]
        if tool > 1:
            onto = [new[0], *inward[: tool - 1]]
            came += [
                {"do": "transfer", "from": named(inward[:tool]), "to": named(onto)},
                {"do": "fill", "needles": [str(inward[tool - 1])]},
            ]
        return came


RAGLAN = plans.plan(
    needles="L20-R20",
    rows=40,
    shape=[
        {"edge": "both", "do": "cast on", "stitches": 3, "first_row": 3, "every": 2, "times": 2},
        {"edge": "left", "do": "increase", "tool": 1, "first_row": 9, "every": 3, "times": 2},
        {"edge": "right", "do": "increase", "tool": 4, "first_row": 9, "every": 3, "times": 2},
        {"edge": "right", "do": "cast off", "stitches": 5, "first_row": 17},
        {"edge": "right", "do": "decrease", "stitches": 2, "tool": 5, "first_row": 18, "every": 2, "times": 3},
        {"edge": "left", "do": "hold", "stitches": 4, "first_row": 27, "every": 2, "times": 2},
        {"edge": "left", "do": "return", "stitches": 3, "first_row": 31},
        {"edge": "left", "do": "return", "stitches": "all", "first_row": 33},
    ],
)


SIDES_APART = plans.plan(
    needles="L20-R20",
    rows=40,
    shape=[
        {"edge": "left", "do": "decrease", "tool": 3, "first_row": 9, "every": 2, "times": 4},
        {"edge": "right", "do": "cast off", "stitches": 2, "first_row": 21},
        {"edge": "right", "do": "decrease", "tool": 3, "first_row": 9, "every": 2, "times": 4},
        {"edge": "left", "do": "cast off", "stitches": 2, "first_row": 22},
    ],
)


def test_what_is_done_alike_at_either_edge_is_told_once() -> None:
    lines = [row[0] for row in tables(SIDES_APART, Wish(detail=Detail.SHORT))["Shaping, before the row is knit"].rows]
    assert lines == ["decrease 1 at both edges, 3 on the tool", "cast off 2 at the right", "cast off 2 at the left"]


@pytest.mark.parametrize(
    "plan", [*(piece(path.stem) for path in JERSEY), RAGLAN, SIDES_APART], ids=lambda plan: plan.title
)
def test_who_has_only_the_tables_shapes_and_knits_the_same_needles(plan: Plan) -> None:
    working = Working(plan)
    document = json.loads("".join(as_json(working, range(1, working.calendar.rows + 1))))
    shaping = ("transfer", "out-of-work", "into-work", "fill", "cast-off", "cast-on")
    followed = list(Shaper(plan).rows())
    assert len(followed) == len(document["rows"])
    for (part, number, needles, moves), row in zip(followed, document["rows"], strict=True):
        assert row.get("part") == part
        knit = {n for move in row["moves"] if move["do"] in ("knit", "by-hand") for n in move["needles"]}
        assert knit == {str(n) for n in needles}, f"{part} {number}"
        made = [move for move in row["moves"] if move["do"] in shaping]
        assert sorted(map(str, made)) == sorted(map(str, moves)), f"{part} {number}"


def crossings_told(plan: Plan) -> dict[tuple[str, str], list[tuple[str, str | None, tuple[int, ...]]]]:
    """What the short sheet says is crossed after each kind of row: (stitches, edge counted from, first half, where)."""
    printed = tables(plan, Wish(detail=Detail.SHORT))
    lines: dict[str, tuple[str, str, str]] = {
        str(r[0]): (str(r[1]), str(r[2]), str(r[3])) for r in printed["The crossings"].rows
    }
    kinds = next(t.rows for c, t in printed.items() if c.startswith("The kinds of crossing rows"))
    found: dict[tuple[str, str], list[tuple[str, str | None, tuple[int, ...]]]] = {}
    for letter, side, _, then in kinds:
        for label in str(then).split("; "):
            if label not in lines:
                continue
            words, first, _ = lines[label]
            match = re.fullmatch(
                r"from the (left|right) edge((?: of the .+)?), (\d+)(?:–(\d+))? on (\d+)(?:–(\d+))?", first
            )
            if match:
                places = tuple(int(match[i] or match[i - 1]) for i in (3, 4, 5, 6))
                found.setdefault((str(letter), str(side)), []).append(
                    (words, match[1] + (f" edge{match[2]}" if match[2] else ""), places)
                )
            else:
                needles = [Span.parse(half.replace("–", "-")) for half in first.split(" on ")]
                ends = tuple(int(n) for half in needles for n in (half.left, half.right))
                found.setdefault((str(letter), str(side)), []).append((words, None, ends))
    return found


@pytest.mark.parametrize("plan", [piece(path.stem) for path in JERSEY], ids=lambda plan: plan.title)
def test_who_has_only_the_tables_crosses_the_same_needles(plan: Plan) -> None:
    assert crossed_by_the_tables(plan) > 40


@pytest.mark.parametrize("tens", range(0, 60, 10))
def test_so_does_who_has_those_of_any_shaped_plan(tens: int) -> None:
    crossed = 0
    for seed in range(tens, tens + 10):
        plan = planfile.parse(toml(plan_tables(seed)), "plan.toml")
        told = tables(plan, Wish(detail=Detail.SHORT))
        # Rows that no repeat folds are listed by kind, a letter at a time: another test reads those.
        if "The crossings" in told and not any(caption.startswith("Crossing rows;") for caption in told):
            crossed += crossed_by_the_tables(plan)
    assert crossed > 5


def crossed_by_the_tables(plan: Plan) -> int:
    """Every row's crossings as the tables tell them; how many."""
    calendar = Working(plan).calendar
    told = crossings_told(plan)
    letters = {(part, row): (side, letter) for part, row, side, letter in rows_told(plan)}
    crossed = 0
    for number in range(1, calendar.rows + 1):
        row = calendar.row(number)
        part, fabric = row.part, row.fabric
        side, letter = letters[part, fabric]
        made = set()
        # The edges that a knitter sees: the outermost stitches there are, knit or resting.
        there = {*row.needles, *row.resting}
        own = there.difference(row.waiting)
        edges = {"left": min(there), "right": max(there)}
        edges |= {f"left edge of the {part}": min(own), f"right edge of the {part}": max(own)}
        for words, edge, (a, b, c, d) in told.get((letter, side), ()):
            if edge is not None:
                inward = 1 if edge.startswith("left") else -1
                a, b, c, d = (edges[edge] + (n - 1) * inward for n in (a, b, c, d))
            front = Span(Needle(min(a, b)), Needle(max(a, b)))
            wide, behind = map(int, words.split(" over "))
            assert len(front) == wide
            at = min(c, d)
            back = (
                Span(Needle(front.left - behind), Needle(front.left - 1))
                if at < front.left
                else Span(Needle(front.right + 1), Needle(front.right + behind))
            )
            made.add(Crossing(front, back))
        assert made == {one.crossing for one in row.crossed}, f"{part} {fabric}"
        crossed += len(made)
    return crossed


@pytest.mark.parametrize("detail", list(Detail))
def test_the_tools_for_the_edges_are_told_with_those_of_the_crossings(detail: Detail) -> None:
    printed = " ".join(render(sheet(piece("front"), Wish(detail=detail)), ".txt").split())
    assert "2 and 2 prongs at once; 6 for the edges; 3 for the edges; yours have 1, 2, 3, 3, 3, 3" in printed
    few = plans.plan(
        needles="L20-R20",
        tools={"prongs": [2, 2]},
        shape=[{"edge": "both", "do": "decrease", "tool": 5, "first_row": 9}],
    )
    printed = " ".join(render(sheet(few, Wish(detail=detail)), ".txt").split())
    assert "5 for the edges; yours have 2, 2; you need a 3-prong tool, to hold beside the 2" in printed
    assert "At the same time shape the edges" in printed


def test_a_cable_that_moves_with_its_edge_is_one_kind_on_a_short_sheet_and_written_out_each_time_on_a_full_one() -> (
    None
):
    """Crossed in rows 8, 16 and 24, a needle further in each time: the knitter counts from the edge."""
    moving = plans.plan(
        {**plans.cable("L14-L13 over L16-L15", ease="enlarge", enlarged_size=9, times=3), "follows": "left"},
        needles="L20-R20",
        shape=[{"edge": "left", "do": "decrease", "tool": 2, "first_row": 4, "every": 8, "times": 4}],
    )
    kinds = {
        detail: set(re.findall(r"\n([A-Z]) from COL\n-", render(sheet(moving, Wish(detail=detail)), ".txt")))
        for detail in Detail
    }
    assert kinds == {Detail.SHORT: {"A"}, Detail.WORKING: {"A"}, Detail.FULL: {"A", "B", "C"}}


def test_a_single_stitch_at_the_edge_wants_any_tool_and_is_told_only_where_nothing_else_is_lifted() -> None:
    one = [{"edge": "both", "do": "decrease", "first_row": 9}]
    alone, crossed = (
        " ".join(render(sheet(plans.plan(*cables, needles="L20-R20", shape=one), Wish()), ".txt").split())
        for cables in ((), (plans.cable(),))
    )
    assert "Transfer tools: one of 1 prong; the plan does not list yours" in alone
    assert "Transfer tools: 3 and 3 prongs at once; the plan does not list yours" in crossed


def test_a_shaped_piece_is_blocked_to_the_widths_of_its_schematic_not_to_an_average() -> None:
    for name in ("back", "front", "sleeve"):
        plan = piece(name)
        worked = figures(plan)
        drawn = outlined(plan, worked)
        assert drawn
        assert worked.finished
        widths = [Unit.CM.size(one.mm) for one in drawn.widths if one.mm]
        widest = Unit.CM.size(max(one.mm or 0 for one in drawn.widths))
        told = " ".join(render(sheet(plan), ".txt").split())
        more = "" if widths[0] == widest else f", {widest} where it is widest"
        length = Unit.CM.size(worked.finished.length_mm)
        assert f"block it, to about {widths[0]} across the cast-on edge{more} and {length} long." in told
        average = Unit.CM.size(worked.finished.width_mm.value)
        assert average not in widths[:1]
        assert f"Width: {average} on average" in told


def test_a_straight_piece_is_blocked_to_its_width_and_length() -> None:
    plan = plans.plan(plans.cable(), gauge={"stitches_per_10cm": 28, "rows_per_10cm": 40})
    worked = figures(plan).finished
    assert worked
    size = f"{Unit.CM.size(worked.width_mm.value)} by {Unit.CM.size(worked.length_mm)}"
    assert f"block it, to about {size}." in " ".join(render(sheet(plan), ".txt").split())


def test_the_yarn_and_the_time_of_all_pieces_are_told_together() -> None:
    back, sleeve = piece("back"), piece("sleeve")
    metres = sum(figures(plan).needs[0].metres for plan in (back, sleeve, sleeve))
    told = " ".join(render(sheet([back, sleeve, sleeve], Wish(detail=Detail.SHORT)), ".txt").split())
    assert f"Pieces: {back.title}; {sleeve.title}, knit 2 Yarn to have: about {Unit.CM.yarn(metres)}" in told
    assert told.count("All together") == 1
    assert told.count("Time at the bed") == 3
    twice = " ".join(render(sheet([sleeve, sleeve], Wish(detail=Detail.SHORT)), ".txt").split())
    assert f"about {Unit.CM.yarn(2 * figures(sleeve).needs[0].metres)}" in twice
    assert twice.count("Casting on and off, finishing") == 1
    assert "All together" not in render(sheet(sleeve), ".txt")


def test_a_piece_knit_twice_is_a_table_of_rows_once() -> None:
    back, sleeve = piece("back"), piece("sleeve")
    once = written([back, sleeve], ".csv", Wish(detail=Detail.SHORT)).splitlines()
    twice = written([back, sleeve, sleeve], ".csv", Wish(detail=Detail.SHORT)).splitlines()
    assert twice == [line.replace(sleeve.title, f"{sleeve.title}: knit 2") for line in once]
    assert any("sleeve: knit 2" in line for line in twice)
