"""Plans that are valid, and as hard to work out as the plan file's limits allow."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count

from tests.plans import Tables, cable, tables

WIDE = "L200-R200"
MOST = 20_000
BED: Tables = {"needles": 400}


def _primes(many: int, above: int = 1) -> list[int]:
    found: list[int] = []
    for n in count(max(2, above + 1)):
        if all(n % p for p in range(2, int(n**0.5) + 1)):
            found.append(n)
            if len(found) == many:
                return found
    raise AssertionError


def _pair(i: int) -> str:
    """The ``i``-th crossing of two needles next to each other, from the left of WIDE."""
    left = i * 2 - 200
    names = [f"L{-n}" if n < 0 else f"R{n + 1}" for n in (left, left + 1)]
    return f"{names[0]} over {names[1]}"


def prime_repeats() -> Tables:
    """200 cables side by side, each with a prime repeat of its own: no two rows in thousands need be alike."""
    return tables(
        *(
            cable(_pair(i), name=f"c{i}", first_row=1 + i, every=every)
            for i, every in enumerate(_primes(200))
        ),
        needles=WIDE,
        rows=MOST,
        machine=BED,
    )  # fmt: skip


def large_prime_repeats() -> Tables:
    """200 cables whose repeats are primes above 1,000, begun so that every row of one falls on others now and then."""
    return tables(
        *(
            cable(_pair(i), name=f"c{i}", first_row=1 + i, every=every)
            for i, every in enumerate(_primes(200, 1000))
        ),
        needles=WIDE,
        rows=MOST,
        machine=BED,
    )  # fmt: skip


def many_kinds() -> Tables:
    """Nine cables with repeats 7 to 37 on 22 needles: nearly as many kinds of rows as a plan may have."""
    return tables(
        *(
            cable(f"R{2 * i + 1} over R{2 * i + 2}", name=f"c{i}", first_row=1, every=every)
            for i, every in enumerate(_primes(9, 6))
        ),
        needles="L2-R20",
        rows=MOST,
        machine={"counter_trip": "centre"},
        yarn={"fibre": "wool", "tex": 280.0, "loop_mm": {"5": 12.0, "9": 15.8}},
    )


def few_prime_repeats() -> Tables:
    """Ten cables with repeats 7 to 41: each row's set of crossings is its own for tens of thousands of rows."""
    return tables(
        *(cable(_pair(90 + i), name=f"c{i}", first_row=1, every=every) for i, every in enumerate(_primes(10, 6))),
        needles=WIDE,
        rows=MOST,
        machine=BED,
    )


def five_hundred_cables() -> Tables:
    """500 cables of prime repeats, three or so to a place, that may meet in a row."""
    return tables(
        *(
            cable(_pair(i % 200), name=f"c{i}", first_row=1 + i, every=every)
            for i, every in enumerate(_primes(500))
        ),
        needles=WIDE,
        rows=MOST,
        machine=BED,
    )  # fmt: skip


def overlapping() -> Tables:
    """1,000 crossings of 200 stitches over 200, all on the same needles in the same rows."""
    crosses = ["L200-L1 over R1-R200", "R1-R200 over L200-L1"] * 50
    return tables(
        *(cable(crosses, name=f"c{i}", first_row=1, every=1) for i in range(10)),
        needles=WIDE,
        rows=MOST,
        machine=BED,
    )


def overlapping_one_each() -> Tables:
    """500 cables on the same needles, each in every row."""
    return tables(
        *(cable("L200-L1 over R1-R200", name=f"c{i}", first_row=1, every=1) for i in range(500)),
        needles=WIDE,
        rows=MOST,
        machine=BED,
    )


def in_turn_every_row() -> Tables:
    """A list of 100 crossings taken in turn, one in every row."""
    crosses = [_pair(i) for i in range(100)]
    return tables(
        cable(crosses, name="walking", first_row=1, every=1), needles=WIDE, rows=MOST, machine=BED
    )  # fmt: skip


def in_turn_many() -> Tables:
    """Ten cables that take 91 to 100 crossings in turn, each on its own needles: no period a panel could hold."""
    cables = []
    for i in range(10):
        turns = 91 + i
        a, b = _pair(2 * i), _pair(2 * i + 1)
        cables.append(cable([a if (j * j + i) % 3 else b for j in range(turns)], name=f"c{i}", first_row=1, every=1))
    return tables(*cables, needles=WIDE, rows=MOST, machine=BED)


def alternate_ladders() -> Tables:
    """Every other needle out of work, and crossings of single needles over the ladders."""
    out = [f"{side}{n}" for side in "LR" for n in range(2, 201, 2)]
    return tables(
        *(cable(f"R{n} over R{n + 2}", name=f"c{n}", first_row=3, every=5) for n in range(1, 196, 4)),
        needles=WIDE,
        rows=MOST,
        out=out,
        machine=BED,
    )


def widest_rows() -> Tables:
    """Every needle of a bed of 400 in a crossing of every row, every ease in turn, 40 extra rows."""
    eases: list[Tables] = [
        {"ease": "extra rows", "extra_rows": 40},
        {"ease": ["enlarge", "extra rows"], "enlarged_size": 9.0, "extra_rows": 40},
        {"ease": "enlarge", "enlarged_size": 9.0},
        {"ease": "by hand"},
        {"ease": "auto"},
    ]
    return tables(
        *(cable(_pair(i), name=f"c{i}", first_row=1, every=1, **eases[i % 5]) for i in range(200)),
        needles=WIDE,
        rows=MOST,
        machine={**BED, "counter_trip": "centre"},
        yarn={"fibre": "wool", "tex": 280.0, "loop_mm": {"5": 12.0, "9": 15.8}},
        tools={"prongs": [1, 2, 3, 3, 4]},
    )


def wide_rows() -> Tables:
    """As widest_rows, with no more extra rows than a row may have."""
    plan = widest_rows()
    plan["cable"] = [{**one, "extra_rows": 2} if "extra_rows" in one else one for one in plan["cable"]]
    return plan


def one_long_row() -> Tables:
    """As many extra rows as a row may have, on ten wide crossings."""
    crosses = [f"R{n + 1}-R{n + 10} over R{n + 11}-R{n + 20}" for n in range(0, 200, 20)]
    return tables(
        *(
            cable(c, name=f"c{i}", first_row=1, every=1, ease="extra rows", extra_rows=40)
            for i, c in enumerate(crosses)
        ),
        needles=WIDE,
        rows=MOST,
        machine=BED,
    )  # fmt: skip


def bands() -> Tables:
    """500 bands of different sizes and colours that overlap, 500 reminders, told nearly 100,000 times, weights in every row."""
    return tables(
        cable(first_row=1, every=2),
        rows=MOST,
        panel={"weights_every": 1},
        band=[
            {"rows": f"{1 + i * 15}-{19_900 - i * 15}", "stitch_size": i % 90 / 10, "colour": f"colour {i}"}
            for i in range(500)
        ],
        reminder=[{"text": f"look at marker {i}", "first_row": 1 + i, "every": 4 + i} for i in range(500)],
    )


def sizes_and_cables() -> Tables:
    """200 cables side by side in every row, and as many sizes as a panel's kinds allow."""
    plan = widest_rows()
    plan["cable"] = [{**one, "ease": "auto"} for one in plan["cable"]]
    for one in plan["cable"]:
        one.pop("extra_rows", None)
        one.pop("enlarged_size", None)
    return {**plan, "band": [{"rows": f"{2 + 3 * i}-{3 + 3 * i}", "stitch_size": 1 + i / 90} for i in range(240)]}


def bands_and_cables() -> Tables:
    """200 cables with prime repeats, and 500 bands of sizes and colours."""
    return {**large_prime_repeats(), "band": bands()["band"]}


def ended_repeats() -> Tables:
    """500 cables that begin and end in rows of their own: no two stretches are alike, and no row is like one in another."""
    return _ended(500, 97)


def few_ended_repeats() -> Tables:
    """40 cables that begin and end so: nearly as many kinds of rows as there may be, few rows of each."""
    return _ended(40, 497)


def _ended(many: int, apart: int) -> Tables:
    return tables(
        *(
            cable(_pair(i % 200), name=f"c{i}", first_row=1 + i // 200 + apart * (i % 200), every=6, times=300 + i)
            for i in range(many)
        ),
        needles=WIDE,
        rows=MOST,
        machine=BED,
    )


def much_text() -> Tables:
    """As many notes as a plan takes, one word; long titles and names."""
    return tables(
        cable(name="n" * 40),
        rows=MOST,
        notes="w" * 10_000,
        band=[{"rows": f"{i + 1}", "colour": "c" * 40} for i in range(500)],
        reminder=[{"text": "r" * 200, "first_row": 1, "every": 100} for _ in range(500)],
        title="t" * 200,
    )


def short_rows() -> Tables:
    """Short rows from both edges all the way up the widest panel, wrapped, and cables that cross in them."""
    return tables(
        cable("R1-R3 over L3-L1", first_row=3, every=7),
        needles=WIDE,
        rows=6000,
        machine={**BED, "release_hold": True, "counter_trip": "centre"},
        shape=[
            {"edge": "both", "do": "hold", "stitches": 20, "first_row": 2, "every": 20, "times": 999},
            {"edge": "both", "do": "hold", "stitches": 30, "first_row": 6, "every": 20, "times": 999},
            {"edge": "both", "do": "return", "stitches": "all", "first_row": 12, "every": 20, "times": 999},
        ],
    )


def narrowed() -> Tables:
    """A bed of 400 narrowed by a stitch at both edges every other row, cables that follow the edges: each row its own kind."""
    return tables(
        cable("L196 over L195", name="left", first_row=4, every=2, times=180, follows="left"),
        cable("R195 over R196", name="right", first_row=4, every=2, times=180, follows="right"),
        needles=WIDE,
        rows=400,
        machine=BED,
        shape=[{"edge": "both", "do": "decrease", "tool": 3, "first_row": 3, "every": 2, "times": 190}],
        yarn={"fibre": "wool", "tex": 280.0, "loop_mm": {"5": 12.0, "9": 15.8}},
    )


def many_shapes() -> Tables:
    """500 shapes that fall on the same rows and undo each other, most of which cannot be done."""
    dos = ["cast off", "cast on", "hold", "return", "decrease", "increase"]
    return tables(
        needles="L100-R100",
        rows=MOST,
        machine=BED,
        shape=[
            {"edge": ["left", "right"][i % 2], "do": dos[i % 6], "first_row": 1 + i % 7, "every": 2 + i % 5}
            for i in range(500)
        ],
    )


def many_parts() -> Tables:
    """As many parts as a plan may have one after the other, and as many rows together, half of them mirrored."""
    parts: list[Tables] = []
    for i in range(10):
        parts.append({"name": f"right {i}", "needles": f"R{1 + i % 50}-R{51 + i % 50}", "rows": 990})
        parts.append({"name": f"left {i}", "mirrors": f"right {i}"})
    return tables(cable(first_row=3, every=2), needles="L110-R110", rows=40, machine=BED, part=parts)


def many_stitches() -> Tables:
    """500 works on single needles with repeats of their own."""
    dos: list[Tables] = [{"do": "enlarge", "size": 9.0}, {"do": "by hand"}, {"do": "bead"}, {"do": "purl"}]
    return tables(
        needles=WIDE,
        rows=MOST,
        machine=BED,
        stitch=[
            {"needles": _pair(i % 200).split()[0], **dos[i % 4], "first_row": 10 + i, "every": every}
            for i, every in enumerate(_primes(500, 6))
        ],
    )


PLANS: dict[str, Callable[[], Tables]] = {
    f.__name__: f
    for f in (
        prime_repeats,
        large_prime_repeats,
        few_prime_repeats,
        many_kinds,
        five_hundred_cables,
        overlapping,
        overlapping_one_each,
        in_turn_every_row,
        in_turn_many,
        alternate_ladders,
        widest_rows,
        wide_rows,
        one_long_row,
        bands,
        sizes_and_cables,
        bands_and_cables,
        ended_repeats,
        few_ended_repeats,
        much_text,
        short_rows,
        narrowed,
        many_shapes,
        many_parts,
        many_stitches,
    )
}
