"""What a plan file asks of each row, read from the outside contract alone; it shares no code with what is tested.

A plan is tables as TOML gives them. A needle is a number: R1 is 0, R2 is 1, L1 is -1. ``rows_of`` follows the plan row
by row and raises :class:`NotKnittable` where the contract or a real bed says no. It asks for more than they do in one
thing: at an edge at most one shaping falls in a row.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

Tables = dict[str, Any]

MOST_LOOPS = 2
MOST_WRAPPED = 4


class NotKnittable(Exception):
    """Why a plan is no plan."""


def number(name: str) -> int:
    return int(name[1:]) - 1 if name[0] == "R" else -int(name[1:])


def name(needle: int) -> str:
    return f"R{needle + 1}" if needle >= 0 else f"L{-needle}"


def needles(span: str) -> list[int]:
    """``"L2-R1, R4"`` as numbers."""
    found: list[int] = []
    for part in span.split(","):
        ends = [number(end.strip()) for end in part.split("-")]
        found += range(ends[0], ends[-1] + 1)
    return found


def other(side: str) -> str:
    return {"left": "right", "right": "left"}[side]


def due(table: Tables, row: int) -> int:
    """Which time of the table's repeats falls in a row, from 1; 0 if none does."""
    first, every, times = table["first_row"], table.get("every"), table.get("times")
    if every is None:
        return int(row == first)
    k, rest = divmod(row - first, every)
    return 0 if row < first or rest or (times is not None and k >= times) else k + 1


@dataclass
class Crossed:
    """A crossing: the half placed first, the half placed second, each left to right."""

    cable: str
    front: list[int]
    back: list[int]


@dataclass
class RowWanted:
    """One row: how often, at which size and by what each needle is knit; what rests; what is crossed after it."""

    part: str | None
    row: int
    side: str
    work: list[int]
    resting: list[int]
    rows: dict[int, int]
    sizes: dict[int, float]
    by_hand: set[int]
    beads: set[int]
    latched: set[int]
    crossed: list[Crossed]
    wrapped: int | None

    @property
    def knit(self) -> list[int]:
        return [n for n in self.work if n not in self.resting]

    @property
    def fewest(self) -> int:
        """The least number of carriage movements: the closed form of the rules."""
        carried = [n for n in self.knit if n not in self.by_hand]
        total = 1 + (self.rows[carried[0]] - 1) // 2 + (self.rows[carried[-1]] - 1) // 2
        for a, b in pairwise(carried):
            between = [n for n in self.by_hand if a < n < b]
            many, more = self.rows[a], self.rows[b]
            same = self.sizes[a] == self.sizes[b] and not between
            total += abs(many - more) // 2 if same else (many + more) // 2 + 1
        return total


@dataclass
class Edges:
    """The needles in work as the shaping leaves them."""

    work: list[int]
    bed: range
    loops: dict[int, int] = field(default_factory=dict)
    wraps: dict[int, bool] = field(default_factory=dict)
    """Resting needles, and whether the turn beside them is wrapped."""
    moved: set[int] = field(default_factory=set)
    """Needles whose stitch has ever been moved or cast off."""
    later: list[tuple[int, str]] = field(default_factory=list)
    """(index of a shape, edge) still to be done at the other edge."""

    def outermost(self, side: str, count: int, among: list[int]) -> list[int]:
        """So many needles from an edge inwards."""
        return among[:count] if side == "left" else among[::-1][:count]


def wrong(why: str, when: bool) -> None:
    if when:
        raise NotKnittable(why)


def shape(edges: Edges, table: Tables, side: str, carriage: str, own: list[int]) -> None:
    """Do one shaping at one edge of the needles that are knit."""
    do, count, tool = table["do"], table.get("stitches", 1), table.get("tool", 1)
    knit = [n for n in own if n in edges.work and n not in edges.wraps]
    resting = [n for n in edges.work if n in edges.wraps and n in own]
    beyond = [n for n in resting if (n < knit[0] if side == "left" else n > knit[-1])]
    outward = -1 if side == "left" else 1
    if do not in ("hold", "return"):
        wrong("shaping over resting needles", bool(beyond))
    if do == "decrease":
        come = edges.outermost(side, tool, knit)
        reached = edges.outermost(side, tool + count, knit)
        wrong("narrower than the tool", len(knit) < tool + count + 1)
        wrong("a ladder at the edge", max(reached) - min(reached) >= len(reached))
        lifted = {n: edges.loops[n] for n in come}
        wrong("nothing to move", 0 in lifted.values())
        for n in come:
            edges.loops[n] = 0
        for n, loops in lifted.items():
            edges.loops[n - outward * count] += loops
        gone = edges.outermost(side, count, knit)
        edges.work = [n for n in edges.work if n not in gone]
        wrong("too many loops", any(edges.loops[n] > MOST_LOOPS for n in reached))
        edges.moved |= set(reached)
    elif do == "increase":
        come = edges.outermost(side, tool, knit)
        new = come[0] + outward
        wrong("off the bed or taken", new not in edges.bed or new in edges.work or len(knit) < tool + 1)
        wrong("a ladder at the edge", max(come) - min(come) >= len(come))
        wrong("more than one loop is moved", tool > 1 and any(edges.loops[n] != 1 for n in come))
        edges.work = sorted([*edges.work, new])
        edges.loops[new] = 1
        edges.moved |= {new, *(come if tool > 1 else [])}
    elif do == "cast off":
        wrong("cast off away from the yarn", side != carriage)
        gone = edges.outermost(side, count, knit)
        wrong("nothing left", len(knit) < count + 2)
        onto = edges.outermost(side, count + 1, knit)[-1]
        edges.work = [n for n in edges.work if n not in gone]
        edges.loops[onto] += 1
        wrong("too many loops", edges.loops[onto] > MOST_LOOPS)
        edges.moved |= {*gone, onto}
    elif do == "cast on":
        wrong("cast on away from the yarn", side != carriage)
        new_ones = [edges.outermost(side, 1, knit)[0] + outward * (i + 1) for i in range(count)]
        wrong("off the bed or taken", any(n not in edges.bed or n in edges.work for n in new_ones))
        edges.work = sorted([*edges.work, *new_ones])
        edges.loops |= dict.fromkeys(new_ones, 1)
        edges.moved |= set(new_ones)
    elif do == "hold":
        wrong("rested on the carriage's side", side == carriage)
        wrong("nothing left to knit", len(knit) < count + 2)
        edges.wraps |= dict.fromkeys(edges.outermost(side, count, knit), bool(table.get("wrap", True)))
    else:
        wrong("returned on the carriage's side", side == carriage)
        wrong("fewer rest than are returned", not beyond or (count != "all" and count > len(beyond)))
        inwards = beyond[::-1] if side == "left" else beyond
        for n in inwards if count == "all" else inwards[:count]:
            del edges.wraps[n]


def mirrored(plan: Tables) -> Tables:
    """The plan with the parts that mirror others written out."""

    def over(span: str) -> str:
        ends = [name(-1 - number(end)) for end in span.split("-")]
        return "-".join(reversed(ends))

    def crossing(cross: str) -> str:
        return " over ".join(over(half.strip()) for half in cross.split(" over "))

    def edge(side: str) -> str:
        return side if side == "both" else other(side)

    plan = {**plan, **{key: list(plan.get(key, [])) for key in ("part", "shape", "cable")}}
    for i, part in enumerate(plan["part"]):
        if "mirrors" not in part:
            continue
        first = next(p for p in plan["part"] if p["name"] == part["mirrors"])
        plan["part"][i] = {**first, "name": part["name"], "needles": over(first["needles"])}
        plan["part"][i]["carriage"] = other(first["carriage"])
        for table in [t for t in plan["shape"] if t.get("part") == first["name"]]:
            plan["shape"].append({**table, "part": part["name"], "edge": edge(table["edge"])})
        for table in [t for t in plan["cable"] if t.get("part") == first["name"]]:
            crosses = table["cross"]
            over_there = [crossing(c) for c in crosses] if isinstance(crosses, list) else crossing(crosses)
            follows = {"follows": other(table["follows"])} if "follows" in table else {}
            plan["cable"].append({**table, **follows, "part": part["name"], "cross": over_there})
    return plan


def rows_of(plan: Tables) -> Iterator[RowWanted]:
    """Every row in knitting order. Raises :class:`NotKnittable`."""
    plan = mirrored(plan)
    machine, panel = plan["machine"], plan["panel"]
    half = machine.get("needles", 200) // 2
    out = {n for span in panel.get("out_of_work", []) for n in needles(span)}
    work = [n for n in needles(panel["needles"]) if n not in out]
    edges = Edges(work, range(-half, half), dict.fromkeys(range(-half, half), 1))
    first_edges: dict[tuple[str | None, str], int] = {}
    carriage = machine.get("carriage", "right")
    last_rows = {part["name"]: panel["rows"] + part["rows"] for part in plan["part"]}
    stretches: list[tuple[str | None, list[int], range, str | None]] = [
        (None, list(edges.bed), range(1, panel["rows"] + 1), None)
    ]
    for part in plan["part"]:
        rows = range(panel["rows"] + 1, last_rows[part["name"]] + 1)
        stretches.append((part["name"], needles(part["needles"]), rows, part.get("carriage")))
    made: dict[tuple[str, str, int], int] = {}
    met: dict[tuple[str, str, int], int] = {}
    finished: set[int] = set()
    for part_name, own, rows, starts in stretches:
        wrong("needles rest where a part begins", bool(edges.wraps))
        carriage = starts or carriage
        edges.later = []
        others = [n for n in edges.work if n not in own]
        there = [n for n in edges.work if n in own]
        first_edges |= {(part_name, "left"): there[0], (part_name, "right"): there[-1]} if there else {}
        wrong("a part with fewer than four needles", len(edges.work) - len(others) < 4)
        wrong("needles of two parts", bool(part_name and set(own) & finished))
        if part_name:
            finished |= set(own)
        for row in rows:
            before = set(edges.work)
            todo = sorted(edges.later)
            edges.later = []
            for index, table in enumerate(plan["shape"]):
                if table.get("part") == part_name and due(table, row):
                    sides = ["left", "right"] if table["edge"] == "both" else [table["edge"]]
                    if len(sides) == 2 and table["do"] not in ("decrease", "increase"):
                        now = carriage if table["do"] in ("cast off", "cast on") else other(carriage)
                        edges.later.append((index, other(now)))
                        sides = [now]
                    todo += [(index, side) for side in sides]
            wrong("two shapings at one edge in one row", len({side for _, side in todo}) < len(todo))
            for index, side in sorted(todo):
                knit_edges = [n for n in edges.work if n not in others]
                shape(
                    edges,
                    plan["shape"][index],
                    side,
                    carriage,
                    [*range(-half, half)] if not part_name else _own(knit_edges, others, edges.bed),
                )
            wrong("on needles of another part", bool(set(edges.work) - before & set(others)))
            wanted = _row(plan, part_name, row, carriage, edges, others, first_edges, made, met)
            yield wanted
            for n in wanted.knit:
                edges.loops[n] = 1
            carriage = other(carriage)
            end = wanted.knit[0] if carriage == "left" else wanted.knit[-1]
            place = edges.work.index(end) + (-1 if carriage == "left" else 1)
            if 0 <= place < len(edges.work) and edges.wraps.get(edges.work[place]):
                edges.loops[edges.work[place]] += 1
                wanted.wrapped = edges.work[place]
                wrong("wrapped too often", edges.loops[edges.work[place]] > MOST_WRAPPED)
        wrong("half a shaping is left over", bool(edges.later))
        wrong("needles rest at the end", bool(edges.wraps))
    for key, times in met.items():
        wrong("a crossing or stitch no part knits", bool(times) and key not in made)


def _own(knit: list[int], others: list[int], bed: range) -> list[int]:
    """The needles a part may use: its own, and those outwards of them as far as its neighbours."""
    low = max((n + 1 for n in others if n < knit[0]), default=bed.start)
    high = min((n for n in others if n > knit[-1]), default=bed.stop)
    return list(range(low, high))


def _row(
    plan: Tables,
    part: str | None,
    row: int,
    carriage: str,
    edges: Edges,
    others: list[int],
    first: dict[tuple[str | None, str], int],
    made: dict[tuple[str, str, int], int],
    met: dict[tuple[str, str, int], int],
) -> RowWanted:
    resting = sorted({*edges.wraps, *others})
    knit = [n for n in edges.work if n not in resting]
    size = float(plan["panel"]["stitch_size"])
    for band in plan.get("band", []):
        low, _, high = band["rows"].partition("-")
        if "stitch_size" in band and int(low) <= row <= int(high or low):
            size = float(band["stitch_size"])
    found = RowWanted(
        part,
        row,
        carriage,
        list(edges.work),
        resting,
        dict.fromkeys(knit, 1),
        dict.fromkeys(knit, size),
        set(),
        set(),
        set(),
        [],
        None,
    )
    taken: set[int] = set()
    ladders = {n for span in plan["panel"].get("out_of_work", []) for n in needles(span)}

    def works(key: str, table: Tables, which: str, asked: list[int]) -> bool:
        """Whether this row does it: a thing without a part is done in whatever knits all its needles."""
        if table.get("part") is not None and table["part"] != part:
            return False
        met[key, which, row] = 1
        if not set(asked) <= set(knit):
            wrong("on needles that are not knit", table.get("part") is not None or part is None)
            return False
        made[key, which, row] = 1
        wrong("two things on one needle", bool(set(asked) & taken))
        taken.update(asked)
        return True

    for table in plan["cable"]:
        if not (k := due(table, row)):
            continue
        crosses = table["cross"] if isinstance(table["cross"], list) else [table["cross"]]
        front, back = (needles(half.strip()) for half in crosses[(k - 1) % len(crosses)].split(" over "))
        if side := table.get("follows"):
            wrong("a cable that follows an edge begins on a ladder", bool(ladders & {*front, *back}))
            of = table.get("part")
            along = edges.work if of is None else [n for n in edges.work if n not in others]
            by = (along[0] if side == "left" else along[-1]) - first.get((of, side), 0)
            front, back = [n + by for n in front], [n + by for n in back]
        if works("cable", table, table["name"], [*front, *back]):
            found.crossed.append(Crossed(table["name"], front, back))
            eases = table.get("ease", "plain")
            eases = [eases] if isinstance(eases, str) else eases
            for n in back:
                found.sizes[n] = float(table["enlarged_size"]) if "enlarge" in eases else found.sizes[n]
            for n in front:
                found.rows[n] += table["extra_rows"] if "extra rows" in eases else 0
                if "by hand" in eases:
                    found.by_hand.add(n)
    for index, table in enumerate(plan.get("stitch", [])):
        if not due(table, row) or not works("stitch", table, str(index), asked := needles(table["needles"])):
            continue
        match table["do"]:
            case "enlarge":
                found.sizes |= dict.fromkeys(asked, float(table["size"]))
            case "purl":
                found.latched |= set(asked)
                wrong("a purl column is moved", bool(set(asked) & edges.moved))
            case do:
                found.by_hand |= set(asked)
                found.beads |= set(asked) if do == "bead" else set()
    wrong("nothing for the carriage to knit", found.by_hand >= set(knit))
    return found
