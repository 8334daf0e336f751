"""Plan files as strangers might send them: whole, damaged by the byte, wrong by the value, all from one seed."""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.plans import Tables, tables, toml
from tests.shaped.generated import plan_tables as shaped_tables

PATTERNS = Path(__file__).parents[2] / "patterns"

NASTY: list[Any] = [
    0, -1, 1, 2, 3, 5, 10**12, 2**63, -(2**63), 10**400, 0.5, 1e308, -0.0, float("inf"), float("nan"), True, False, "",
    "L99999-R99999", "R0", "L1-R1", "R1-L1", "R3 over R3", "R1-R3 over L3-L1", "1-20", "8-2", "auto", "by hand",
    "x" * 300, "\x1b[31mred", "\x9b31m", "a\u202eb", "a\u2028b", "[b]markup[/b]", "<script>alert(1)</script>",
    "\x1b]8;;http://example.org\x07link", "Z" + "\u0301" * 30, "漢字", [], [[]], {}, {"a": 1}, ["enlarge", "extra rows"],
    ["R1 over L1", "L1 over R1"],
]  # fmt: skip

BITS = [
    b"\x00", b"\x1b", b"\xff\xfe", b"\xed\xa0\x80", b"\xc2\x9b", b"\xe2\x80\xae", b"\xe2\x80\xa8", b'"', b"'", b'"""', b"[[",
    b"]]", b"{", b"}", b"=", b".", b"#", b"\n", b"\r", b"\\u0000", b"\\U0010ffff", b"1e999", b"9" * 30, b"nan", b"[cable]",
]  # fmt: skip


def any_plan(rng: random.Random) -> Tables:
    """A plan that is nearly always one that can be read, with any of the plan file's keys."""
    if rng.random() < 0.3:
        return _shaped(rng)
    width = rng.randint(1, 12)
    half = rng.randint(1, 4)
    cables = []
    for i in range(rng.randint(0, 4)):
        left = rng.randint(-width, width)
        a, b = _span(left, rng.randint(1, half)), None
        b = _span(left + int(a[1]), rng.randint(1, half))
        pair = [a[0], b[0]]
        rng.shuffle(pair)
        one: Tables = {"name": f"cable {i}", "cross": " over ".join(pair), "first_row": rng.randint(1, 30)}
        if rng.random() < 0.7:
            one["every"] = rng.choice([1, 2, 3, 5, 7, 8, 12, 997])
        if rng.random() < 0.2:
            one["cross"] = [one["cross"]] * rng.randint(1, 5)
        ease = rng.choice(["plain", "enlarge", "extra rows", "by hand", "auto", ["enlarge", "extra rows"]])
        one["ease"] = ease
        if "enlarge" in ease:
            one["enlarged_size"] = rng.choice([6.0, 9.0, 10.0])
        if "extra rows" in ease:
            one["extra_rows"] = rng.choice([2, 4, 40])
        cables.append(one)
    data = tables(
        *cables,
        needles=f"L{width}-R{width}",
        rows=rng.choice([1, 8, 40, 400, 20_000]),
        size=rng.choice([0, 4.33, 5, 10]),
        carriage=rng.choice(["left", "right"]),
        notes=rng.choice(["", "two\nlines", "n" * 400]),
        out=[f"L{rng.randint(1, width)}"] if rng.random() < 0.2 else (),
    )
    if rng.random() < 0.5:
        data["yarn"] = {
            "fibre": rng.choice(["wool", "cotton", "bog myrtle"]),
            "count": rng.choice(["2/8 Nm", "280 tex"]),
        }
    if rng.random() < 0.5:
        data["gauge"] = {"stitches_per_10cm": 29.0, "rows_per_10cm": 41.0}
    if rng.random() < 0.4:
        data["tools"] = {"prongs": [rng.randint(1, 5) for _ in range(rng.randint(0, 6))]}
    if rng.random() < 0.4:
        data["band"] = [{"rows": "2-9", "stitch_size": 4.0, "colour": "slate"}, {"rows": "5", "colour": "peat"}]
    if rng.random() < 0.4:
        data["reminder"] = [{"text": "look", "row": 3}, {"text": "measure", "first_row": 2, "every": 3, "times": 4}]
    if rng.random() < 0.3:
        data["panel"]["weights_every"] = rng.randint(1, 30)
        data["machine"]["counter_trip"] = rng.choice(["centre", "left end", "R3"])
    return data


def _shaped(rng: random.Random) -> Tables:
    """A plan of the tables that change a panel's width, as it can be knit or with an entry more that may not fit."""
    data = shaped_tables(rng.randrange(10_000))
    data["wanted"] = {"width_cm": 48.0, "length_cm": rng.choice([5.0, 62.5])}
    data["gauge"] = {"stitches_per_10cm": 29.0, "rows_per_10cm": 41.0, "stitch_size": 5.0, "cable_take_in": 0.8}
    for one in data.get("cable", []):
        one |= {"motif": rng.choice(["rope", "bog myrtle"]), "take_in": 0.75}
    if rng.random() < 0.5:
        do = rng.choice(["decrease", "increase", "cast off", "cast on", "hold", "return"])
        shape: Tables = {"edge": rng.choice(["left", "right", "both"]), "do": do, "first_row": rng.randint(1, 40)}
        if rng.random() < 0.5:
            shape |= {"every": rng.randint(2, 9), "times": rng.randint(1, 400)}
        data.setdefault("shape", []).append(shape)
    if rng.random() < 0.3:
        stitch: Tables = {
            "needles": "L2, R1-R3",
            "do": rng.choice(["by hand", "bead", "purl"]),
            "first_row": 3,
            "every": 2,
        }
        data.setdefault("stitch", []).append(stitch)
    if rng.random() < 0.3:
        parts = data.setdefault("part", [])
        parts.append({"name": "a part more", "needles": "R1-R3", "rows": rng.choice([1, 9, 20_000])})
        parts.append({"name": "its mirror", "mirrors": rng.choice(["a part more", "no part"])})
    return data


def _span(left: int, width: int) -> tuple[str, int]:
    names = [f"L{-n}" if n < 0 else f"R{n + 1}" for n in (left, left + width - 1)]
    return (names[0] if width == 1 else "-".join(names), width)


def _holders(data: Any) -> Iterator[Any]:
    """Every table and list inside, itself too."""
    if isinstance(data, dict | list):
        yield data
        for value in data.values() if isinstance(data, dict) else data:
            yield from _holders(value)


def wrong_value(rng: random.Random) -> bytes:
    """A plan with a value or two of another kind, a key too many or too few."""
    data = any_plan(rng)
    for _ in range(rng.randint(1, 2)):
        holder = rng.choice([h for h in _holders(data) if h])
        key = rng.choice(list(holder)) if isinstance(holder, dict) else rng.randrange(len(holder))
        match rng.randrange(4):
            case 0 if isinstance(holder, dict):
                holder[rng.choice(["rwos", "naem", "\x1b[1m", "a.b", "é", "k" * 200])] = copy.deepcopy(
                    rng.choice(NASTY)
                )
            case 1 if isinstance(holder, dict):
                del holder[key]
            case _:
                holder[key] = copy.deepcopy(rng.choice(NASTY))
    return toml(data).encode("utf-8", "surrogatepass")


def damaged(rng: random.Random, whole: bytes) -> bytes:
    """A file with a few bytes changed, doubled, moved or lost."""
    raw = bytearray(whole)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(raw) + 1)
        to = min(len(raw), at + rng.choice([1, 1, 2, 8, 64]))
        match rng.randrange(6):
            case 0:
                raw[at:to] = b""
            case 1:
                raw[at:at] = rng.choice(BITS)
            case 2:
                raw[at:to] = rng.randbytes(to - at)
            case 3:
                raw[at:at] = raw[at:to] * rng.choice([1, 2, 50])
            case 4:
                lines = bytes(raw).split(b"\n")
                rng.shuffle(lines)
                raw = bytearray(b"\n".join(lines)) if rng.random() < 0.2 else raw[: max(1, at)]
            case _:
                digits = [i for i, c in enumerate(raw) if chr(c).isdigit()]
                if digits:
                    raw[(i := rng.choice(digits)) : i + 1] = rng.choice(
                        [b"0", b"7", b"99", b"-1", b"1e9", b"250", b"1000000"]
                    )
    return bytes(raw)


def files(seed: int, which: range) -> Iterator[tuple[str, bytes]]:
    """Files of a seed, each with a name to find it by; always the same ones."""
    patterns = [p.read_bytes() for p in sorted(PATTERNS.glob("*.toml"))]
    for i in which:
        rng = random.Random(f"{seed}/{i}")
        match i % 4:
            case 0:
                made = toml(any_plan(rng)).encode()
            case 1:
                made = wrong_value(rng)
            case 2:
                made = damaged(rng, rng.choice(patterns))
            case _:
                made = damaged(rng, toml(any_plan(rng)).encode())
        yield f"{seed}/{i}", made


def small_plans(many: int) -> list[bytes]:
    """Whole plans for a fuzzer to begin with."""
    return [toml(any_plan(random.Random(i))).encode() for i in range(many)]
