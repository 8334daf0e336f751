"""Plans of every kind of shaping, from a seed: tables are drawn at random and kept if the plan can still be knit."""

from __future__ import annotations

import random
from typing import Any

from tests.shaped.wanted import NotKnittable, Tables, due, name, rows_of


def _span(low: int, high: int) -> str:
    return name(low) if low == high else f"{name(low)}-{name(high)}"


class _Drawing:
    """One plan being drawn."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        chance = self.chance
        self.symmetric = chance.random() < 0.6
        half = chance.randint(10, 26)
        self.low = -half if self.symmetric else -chance.randint(4, 20)
        self.high = half - 1 if self.symmetric else self.low + 2 * half
        self.rows = chance.randint(6, 40)
        self.plan: Tables = {
            "format": 1,
            "title": f"Shaped {seed}",
            "machine": {
                "pitch_mm": 4.5,
                "needles": chance.choice([2 * max(-self.low, self.high + 1), 120, 200]),
                "carriage": self.side(),
            },
            "panel": {
                "needles": _span(self.low, self.high),
                "rows": self.rows,
                "stitch_size": chance.choice([4, 5, 6]),
            },
            "part": [],
            "shape": [],
            "cable": [],
            "stitch": [],
            "band": [],
        }
        if chance.random() < 0.3:
            self.plan["machine"]["release_hold"] = True
        if chance.random() < 0.15:
            self.plan["panel"]["out_of_work"] = [name(chance.randint(self.low + 9, self.high - 9))]
        if chance.random() < 0.4:
            self.plan["panel"]["weights_every"] = chance.randint(3, 20)

    def side(self) -> str:
        return self.chance.choice(["left", "right"])

    def keep(self, key: str, *tables: Tables) -> bool:
        """Add tables if the plan can be knit with them."""
        listed: list[Tables] = self.plan[key]
        before = len(listed)
        listed.extend(tables)
        try:
            for _ in rows_of(self.plan):
                pass
        except NotKnittable:
            del listed[before:]
            return False
        return True

    def repeats(self, first: int, last: int, least: int = 1) -> Tables:
        """When: once, or several times."""
        chance = self.chance
        at = chance.randint(first, last)
        if chance.random() < 0.2 or at + least > last:
            return {"first_row": at}
        every = chance.randint(least, max(least, min(8, last - at)))
        found: Tables = {"first_row": at, "every": every}
        if chance.random() < 0.85:
            found["times"] = chance.randint(1, max(1, (last - at) // every + 1))
        return found

    def shape(self, first: int, last: int, part: str | None) -> None:
        """One table of shaping, or a short-row wedge of several."""
        chance = self.chance
        do = chance.choice(["decrease", "decrease", "increase", "cast off", "cast on", "short rows", "short rows"])
        edge = chance.choice(["left", "right", "both"])
        mine: Tables = {} if part is None else {"part": part}
        if do == "short rows":
            self.wedge(first, last, edge, mine)
            return
        table: Tables = {"edge": edge, "do": do, **mine}
        twice = edge == "both" and do in ("cast off", "cast on")
        if do == "decrease":
            table["stitches"] = chance.choice([1, 1, 1, 2])
            table["tool"] = table["stitches"] + chance.choice([0, 0, 1, 2])
        elif do == "increase":
            table["tool"] = chance.choice([1, 1, 2, 3])
        else:
            table["stitches"] = chance.randint(1, 4)
        when = self.repeats(first, last, 2 if twice or do in ("cast off", "cast on") else 1)
        if do in ("cast off", "cast on") and edge != "both" and "every" in when:
            when["every"] += when["every"] % 2
        self.keep("shape", {**table, **when})

    def wedge(self, first: int, last: int, edge: str, mine: Tables) -> None:
        """Stitches rested a few at a time, and returned all at once or a few at a time."""
        chance = self.chance
        start, times, count = chance.randint(first, last), chance.randint(1, 4), chance.randint(1, 4)
        wrap: Tables = {"wrap": False} if chance.random() < 0.3 else {}
        hold: Tables = {"edge": edge, "do": "hold", "stitches": count, "first_row": start, **wrap, **mine}
        if times > 1:
            hold |= {"every": 2, "times": times}
        back = start + 2 * times + 2 * chance.randint(0, 1)
        give: Tables = {"edge": edge, "do": "return", "first_row": back, **mine}
        if chance.random() < 0.5:
            give["stitches"] = "all"
        else:
            give["stitches"] = count
            if times > 1:
                give |= {"every": 2, "times": times}
        self.keep("shape", hold, give)

    def parts(self) -> None:
        chance = self.chance
        rows = chance.randint(2, 18)
        middle = chance.randint(-2, 2) if self.symmetric else (self.low + self.high) // 2
        gap = chance.choice([0, 0, 1, 3])
        right = {"name": "right shoulder", "needles": _span(max(middle, 0) + gap, self.high), "rows": rows}
        right["carriage"] = self.side()
        if self.symmetric and chance.random() < 0.6:
            self.keep("part", right, {"name": "left shoulder", "mirrors": "right shoulder"})
        else:
            if chance.random() < 0.3:
                del right["carriage"]
            left: Tables = {"name": "left shoulder", "needles": _span(self.low, min(middle, 0) - 1 - gap)}
            left["rows"] = chance.randint(2, 18)
            if chance.random() < 0.6:
                left["carriage"] = self.side()
            both = [right, left]
            chance.shuffle(both)
            self.keep("part", *both)
        for part in self.plan["part"]:
            if "mirrors" not in part:
                for _ in range(chance.randint(0, 3)):
                    self.shape(self.rows + 1, self.rows + part["rows"], part["name"])

    def cable(self, number: int) -> None:
        chance = self.chance
        low = chance.randint(self.low, self.high - 2)
        wide = chance.randint(1, 4), chance.randint(1, 4)
        left, right = _span(low, low + wide[0] - 1), _span(low + wide[0], low + sum(wide) - 1)
        crosses = [f"{left} over {right}", f"{right} over {left}"]
        chance.shuffle(crosses)
        ease: Any = chance.choice(["plain", "enlarge", "extra rows", "by hand", ["enlarge", "extra rows"]])
        table: Tables = {
            "name": f"cable {number}",
            "cross": crosses if chance.random() < 0.3 else crosses[0],
            "ease": ease,
        }
        if "enlarge" in ease:
            table["enlarged_size"] = chance.choice([8, 9])
        if "extra rows" in ease:
            table["extra_rows"] = chance.choice([2, 4])
        parts = [part for part in self.plan["part"] if "mirrors" not in part]
        if parts and chance.random() < 0.4:
            part = chance.choice(parts)
            table["part"] = part["name"]
            first, last = self.rows + 1, self.rows + part["rows"]
        else:
            first = 1
            last = self.rows + min((part["rows"] for part in parts), default=0) * (chance.random() < 0.4)
        if chance.random() < 0.45:
            table["follows"] = self.side()
        when = self.repeats(first, last, 2)
        if parts and "every" in when:
            when.setdefault("times", 1 + (last - when["first_row"]) // when["every"])
        self.keep("cable", {**table, **when})

    def stitch(self) -> None:
        chance = self.chance
        do = chance.choice(["enlarge", "by hand", "bead", "purl"])
        listed = sorted(chance.sample(range(self.low, self.high + 1), chance.randint(1, 3)))
        table: Tables = {"needles": ", ".join(map(name, listed)), "do": do, **self.repeats(1, self.rows, 2)}
        if do == "enlarge":
            table["size"] = chance.choice([7, 9])
        if self.plan["part"] and "every" in table:
            table.setdefault("times", 1 + (self.rows - table["first_row"]) // table["every"])
        if do != "purl" or not set(listed) & self.lifted():
            self.keep("stitch", table)

    def lifted(self) -> set[int]:
        """Needles whose stitches a crossing ever takes."""
        return {n for row in rows_of(self.plan) for c in row.crossed for n in (*c.front, *c.back)}

    def drawn(self) -> Tables:
        chance = self.chance
        for _ in range(chance.randint(1, 6)):
            self.shape(1, self.rows, None)
        if chance.random() < 0.5:
            self.parts()
        for _ in range(chance.randint(0, 1)):
            first = chance.randint(1, self.rows)
            self.keep(
                "band",
                {"rows": f"{first}-{chance.randint(first, self.rows)}", "stitch_size": chance.choice([4.5, 6.5])},
            )
        for number in range(chance.randint(0, 8)):
            self.cable(number)
        for _ in range(chance.randint(0, 4)):
            self.stitch()
        return {key: value for key, value in self.plan.items() if value not in ([], {})}


def plan_tables(seed: int) -> Tables:
    """A shaped plan that can be knit."""
    return _Drawing(seed).drawn()


def kinds(plan: Tables) -> set[str]:
    """What a plan has in it, for counting that every kind is met."""
    rows = list(rows_of(plan))
    found = {f"{t['do']} {t['edge']}" for t in plan.get("shape", []) if any(due(t, row.row) for row in rows)}
    found |= {t["do"] for t in plan.get("stitch", [])}
    found |= {"part"} if any(row.part for row in rows) else set()
    found |= {"mirrors" for part in plan.get("part", []) if "mirrors" in part}
    found |= {"wrap" for row in rows if row.wrapped is not None}
    found |= {"follows" for t in plan.get("cable", []) if "follows" in t}
    found |= {"crossed in a short row" for row in rows if row.crossed and row.resting and not row.part}
    found |= {"crossed in a part" for row in rows if row.crossed and row.part}
    found |= (
        {"crossed in a shaped row" for row in rows if row.crossed and any(due(t, row.row) for t in plan["shape"])}
        if "shape" in plan
        else set()
    )
    return found
