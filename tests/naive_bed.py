"""A second bed, slow and plain, that shares no code with the first.

Written from the rules alone: the bed in trade words and the outside contract's
JSON. Needles are names, everything is a dictionary, a move is a dictionary as
``purlside passes --json`` prints it, and nothing is remembered in a clever way.

Places are odd numbers, ``L1`` -1 and ``R1`` 1, so the carriage stands on even
ones: 0 is between L1 and R1.
"""

from __future__ import annotations

import copy
import itertools
from collections.abc import Iterable, Mapping
from typing import Any

Json = dict[str, Any]

MOST_LOOPS = 2
MOST_WRAPPED = 4


def place(name: str) -> int:
    number = 2 * int(name[1:]) - 1
    return -number if name[0] == "L" else number


def name_at(at: int) -> str:
    return f"L{(1 - at) // 2}" if at < 0 else f"R{(at + 1) // 2}"


def names(left: str, right: str) -> list[str]:
    """The needles from one to another, both counted, left to right."""
    return [name_at(at) for at in range(place(left), place(right) + 1, 2)]


def span(text: str) -> list[str]:
    """``"R1-R3"`` as names."""
    ends = text.split("-")
    return names(ends[0], ends[-1])


class NaiveBed:
    """The needles of a panel, what hangs on them, the carriage, the dial, the yarn.

    ``refusals`` names the faults of a move, ``do`` makes it whatever it is,
    ``row_refusals`` and ``next_row`` close a row.
    """

    def __init__(
        self,
        panel: list[str],
        out: Iterable[str],
        side: str,
        size: float,
        dial_range: tuple[float, float] = (0, 10),
        loops: Mapping[str, int] | None = None,
    ) -> None:
        self.panel = panel
        idle = set(out)
        self.work = [n for n in panel if n not in idle]
        self.at = {n: "wp" if n in self.work else "nwp" for n in panel}
        self.loops = {n: 1 if n in self.work else 0 for n in panel} | dict(loops or {})
        self.rows = dict.fromkeys(panel, 0)
        self.stitch = {n: n for n in panel}
        self.loop_size: dict[str, float | str] = dict.fromkeys(panel, size)
        self.carriage = place(panel[0]) - 1 if side == "left" else place(panel[-1]) + 1
        self.beyond = (panel[0] if side == "left" else panel[-1], side)
        self.dial = size
        self.dial_range = dial_range
        self.yarn = self.work[0] if side == "left" else self.work[-1]
        self.crossed: set[str] = set()
        self.entered: set[str] = set()
        self.lever = "hold"

    # --- asking

    def side(self, needles: list[str] | None = None) -> str | None:
        among = needles or self.work
        if self.carriage < place(among[0]):
            return "left"
        return "right" if self.carriage > place(among[-1]) else None

    def free(self) -> list[str]:
        """The needles in work that are not held, or all where all are."""
        return [n for n in self.work if self.at[n] != "hp"] or self.work

    def held(self) -> list[str]:
        return [n for n in self.panel if self.at[n] == "hp"]

    def on_the_way(self, toward: str, beyond: str) -> list[str]:
        """The panel's needles the carriage passes, in that order."""
        there = place(beyond)
        if toward == "left":
            return [n for n in reversed(self.panel) if there <= place(n) < self.carriage]
        return [n for n in self.panel if self.carriage < place(n) <= there]

    def would_knit(self, toward: str, beyond: str) -> list[str]:
        return [
            n
            for n in self.on_the_way(toward, beyond)
            if self.at[n] in ("wp", "uwp") or (self.at[n] == "hp" and self.lever == "knit")
        ]

    def far(self, a: str, b: str) -> bool:
        """Whether yarn from one needle to another would float over a third."""
        low, high = sorted((place(a), place(b)))
        return any(low < place(n) < high for n in self.work)

    def in_hand_order(self, needles: list[str]) -> list[str]:
        """By-hand needles from where the yarn lies: the nearer end first, the left one if both are as near."""

        def away(name: str) -> int:
            return abs(self.work.index(name) - sum(place(n) < place(self.yarn) for n in self.work))

        return needles if away(needles[0]) <= away(needles[-1]) else needles[::-1]

    def seen(self) -> Json:
        """The bed in the outside contract's form."""
        return {
            "carriage": {"beyond": self.beyond[0], "side": self.beyond[1]},
            "dial": self.dial,
            "needles": [{"n": n, "at": self.at[n], "loops": self.loops[n], "rows": self.rows[n]} for n in self.panel],
        }

    # --- refusing

    def refusals(self, move: Json) -> set[str]:
        kind = move["do"]
        if kind == "dial":
            low, high = self.dial_range
            return set() if low <= move["size"] <= high else {"OFF_DIAL"}
        if kind in ("hold", "return", "weights", "by-hand"):
            needles = move["needles"]
            if any(n not in self.work for n in needles):
                return {"OUT_OF_WORK"}
            if kind != "by-hand":
                return set()
            return self._threading(self.in_hand_order(needles)) if needles else {"KNITS_NOTHING"}
        if kind in ("knit", "back-up"):
            ahead = place(move["beyond"]) - self.carriage
            if (ahead > 0) != (move["toward"] == "right"):
                return {"WRONG_WAY"}
            knit = self.would_knit(move["toward"], move["beyond"])
            if kind == "back-up":
                return {"BACK_UP_KNITS"} if knit else set()
            if not knit:
                return {"KNITS_NOTHING"}
            return self._threading(knit) | (set() if knit == move["needles"] else {"WRONG_NEEDLES"})
        if kind == "cross":
            return self._crossing(move)
        return getattr(self, "_" + kind.replace("-", "_") + "_refusals", lambda move: set())(move)

    def _idle(self, needles: list[str]) -> bool:
        return any(n not in self.work for n in needles)

    def _transfer_refusals(self, move: Json) -> set[str]:
        came, goes = move["from"], move["to"]
        if self._idle([*came, *goes]) or any(self.at[n] == "hp" for n in [*came, *goes]):
            idle = {"OUT_OF_WORK"} if self._idle([*came, *goes]) else set()
            return idle | ({"NOT_TOUCHED"} if any(self.at.get(n) == "hp" for n in [*came, *goes]) else set())
        found = set()
        if any(self.loops[n] == 0 for n in came):
            found.add("NO_LOOP")
        places = sorted(map(place, [*came, *goes]))
        if places[0] < self.carriage < places[-1]:
            found.add("UNDER_CARRIAGE")
        after = {n: 0 if n in came else self.loops[n] for n in goes}
        for a, b in zip(came, goes, strict=True):
            after[b] += self.loops[a]
        if any(n > MOST_LOOPS for n in after.values()):
            found.add("TOO_MANY_LOOPS")
        return found

    def _out_of_work_refusals(self, move: Json) -> set[str]:
        if self._idle(move["needles"]):
            return {"OUT_OF_WORK"}
        if all(n in move["needles"] for n in self.work):
            return {"NONE_LEFT"}
        return {"STILL_LOADED"} if any(self.loops[n] for n in move["needles"]) else set()

    def _into_work_refusals(self, move: Json) -> set[str]:
        if any(n not in self.panel for n in move["needles"]):
            return {"OUTSIDE_PANEL"}
        return {"ALREADY_IN_WORK"} if any(n in self.work for n in move["needles"]) else set()

    def _fill_refusals(self, move: Json) -> set[str]:
        found = {"OUT_OF_WORK"} if self._idle(move["needles"]) else set()
        found |= {"NOT_TOUCHED"} if any(self.at.get(n) == "hp" for n in move["needles"]) else set()
        return found or ({"TOO_MANY_LOOPS"} if any(self.loops[n] > MOST_LOOPS - 1 for n in move["needles"]) else set())

    def _cast_off_refusals(self, move: Json) -> set[str]:
        every = [*move["needles"], move["onto"]]
        found = {"OUT_OF_WORK"} if self._idle(every) else set()
        found |= {"NOT_TOUCHED"} if any(self.at.get(n) == "hp" for n in every) else set()
        if found:
            return found
        if any(self.loops[n] == 0 for n in every):
            found.add("NO_LOOP")
        if self.loops[move["onto"]] > MOST_LOOPS - 1:
            found.add("TOO_MANY_LOOPS")
        inward = place(move["onto"]) > place(move["needles"][0])
        if self.yarn != move["needles"][0 if inward else -1]:
            found.add("YARN_ELSEWHERE")
        return found

    def _cast_on_refusals(self, move: Json) -> set[str]:
        if self._idle(move["needles"]):
            return {"OUT_OF_WORK"}
        if any(self.loops[n] for n in move["needles"]):
            return {"TOO_MANY_LOOPS"}
        near = min(move["needles"], key=lambda n: abs(place(n) - place(self.yarn)))
        return {"YARN_ELSEWHERE"} if self.far(near, self.yarn) else set()

    def _wrap_refusals(self, move: Json) -> set[str]:
        if self._idle(move["needles"]):
            return {"OUT_OF_WORK"}
        found = set()
        if any(self.loops[n] > MOST_WRAPPED - 1 for n in move["needles"]):
            found.add("TOO_MANY_LOOPS")
        if any(self.at[n] != "hp" for n in move["needles"]):
            found.add("NOT_TOUCHED")
        if any(self.far(n, self.yarn) for n in move["needles"]):
            found.add("YARN_ELSEWHERE")
        return found

    def _one_stitch_refusals(self, needles: list[str]) -> set[str]:
        found = {"NO_LOOP"} if any(self.loops[n] == 0 for n in needles) else set()
        return found | ({"TOO_MANY_LOOPS"} if any(self.loops[n] > 1 for n in needles) else set())

    def _bead_refusals(self, move: Json) -> set[str]:
        return {"OUT_OF_WORK"} if self._idle(move["needles"]) else self._one_stitch_refusals(move["needles"])

    def _latch_up_refusals(self, move: Json) -> set[str]:
        found = {"OUT_OF_WORK"} if self._idle(move["needles"]) else set()
        found |= {"NOT_TOUCHED"} if any(self.at.get(n) == "hp" for n in move["needles"]) else set()
        if found:
            return found
        shared = {"SHARES_NEEDLES"} if self.crossed & set(move["needles"]) else set()
        return self._one_stitch_refusals(move["needles"]) | shared

    def _threading(self, needles: list[str]) -> set[str]:
        found = set()
        if self.crossed & set(needles):
            found.add("ROW_NOT_FINISHED")
        if self.far(self.yarn, needles[0]):
            found.add("FLOAT_FROM_YARN")
        if any(self.far(a, b) for a, b in itertools.pairwise(needles)):
            found.add("FLOAT_IN_PASS")
        empty = [n for n in needles if self.loops[n] == 0]
        if any(n not in self.entered for n in empty):
            found.add("NO_LOOP")
        elif any(
            sum(abs(place(n) - place(m)) == 2 for m in self.work if self.at[m] != "hp") == 2
            or any(abs(place(n) - place(m)) == 2 for m in empty)
            for n in empty
        ):
            found.add("EMPTY_SIDE_BY_SIDE")
        return found

    def _crossing(self, move: Json) -> set[str]:
        needles = [*move["first"]["from"], *move["second"]["from"]]
        if any(n not in self.panel for n in needles):
            return {"OUTSIDE_PANEL"}
        if any(n not in self.work for n in needles):
            return {"OUT_OF_WORK"}
        places = sorted(map(place, needles))
        between = [n for n in self.work if places[0] < place(n) < places[-1] and n not in needles]
        found = set()
        if between:
            found.add("SKIPS_NEEDLES")
        if self.crossed & set(needles):
            found.add("SHARES_NEEDLES")
        if any(self.rows[n] % 2 == 0 for n in needles):
            found.add("ROW_NOT_FINISHED")
        if places[0] < self.carriage < places[-1]:
            found.add("UNDER_CARRIAGE")
        if any(self.loops[n] == 0 for n in needles):
            found.add("NO_LOOP")
        if any(self.loops[n] > MOST_LOOPS for n in needles):
            found.add("TOO_MANY_LOOPS")
        return found

    def row_refusals(self, rows: Mapping[str, int], start: str, resting: Iterable[str] = ()) -> set[str]:
        """What keeps the row from being complete; ``rows`` is what it asked of each needle, ``resting`` stay held."""
        found = set()
        resting = set(resting)
        if set(self.held()) - resting:
            found.add("HELD_AT_END")
        if any(self.at[n] != "hp" or self.rows[n] for n in resting):
            found.add("NOT_TOUCHED")
        if any(self.rows[n] != asked for n, asked in rows.items()):
            found.add("ROWS_MISSING")
        if any(self.loops[n] == 0 for n in self.work):
            found.add("EMPTY_IN_WORK")
        if self.side(sorted(rows, key=place)) != {"left": "right", "right": "left"}[start]:
            found.add("WRONG_SIDE")
        return found

    # --- changing

    def do(self, move: Json) -> None:
        kind = move["do"]
        if kind == "dial":
            self.dial = move["size"]
        elif kind == "hold":
            self.at |= dict.fromkeys(move["needles"], "hp")
        elif kind == "return":
            self.at |= {n: "uwp" for n in move["needles"] if self.at[n] == "hp"}
        elif kind == "by-hand":
            for n in self.in_hand_order(move["needles"]):
                self._knit(n, "by hand")
        elif kind in ("knit", "back-up"):
            if kind == "knit":
                for n in self.would_knit(move["toward"], move["beyond"]):
                    self._knit(n, self.dial)
            self.carriage = place(move["beyond"]) + (1 if move["toward"] == "right" else -1)
            self.beyond = (move["beyond"], move["toward"])
        elif kind == "cross":
            lifted = []
            for half in (move["first"], move["second"]):
                for n, to in zip(half["from"], half["to"], strict=True):
                    lifted.append((to, self.loops[n], self.stitch[n], self.loop_size[n]))
            for to, loops, stitch, size in lifted:
                self.loops[to], self.stitch[to], self.loop_size[to] = loops, stitch, size
                self.at[to] = "uwp"
                self.crossed.add(to)
        elif kind == "transfer":
            taken = [(to, self.loops[n], self.stitch[n], self.loop_size[n]) for n, to in self._pairs(move)]
            self.loops |= dict.fromkeys(move["from"], 0)
            for to, loops, stitch, size in taken:
                if not self.loops[to]:
                    self.stitch[to], self.loop_size[to] = stitch, size
                self.loops[to] += loops
        elif kind in ("out-of-work", "into-work"):
            outside = self.side(self.free())
            change = set(move["needles"])
            self.work = [
                n
                for n in self.panel
                if ((n in change) == (kind == "into-work") and n in {*self.work, *change})
                or (n in self.work and n not in change)
            ]
            self.at |= dict.fromkeys(move["needles"], "wp" if kind == "into-work" else "nwp")
            if kind == "into-work":
                self.entered |= change
            if outside and self.side(self.free()) != outside:
                edge = self.free()[0 if outside == "left" else -1]
                self.beyond, self.carriage = (edge, outside), place(edge) + (1 if outside == "right" else -1)
        elif kind in ("fill", "wrap"):
            self._hang(move["needles"])
        elif kind == "cast-off":
            self.loops |= dict.fromkeys(move["needles"], 0)
            self._hang([move["onto"]])
            self.yarn = move["onto"]
        elif kind == "cast-on":
            self._hang(move["needles"])
            self.yarn = max(move["needles"], key=lambda n: abs(place(n) - place(self.yarn)))
        elif kind == "lever":
            self.lever = move["to"]

    def _pairs(self, move: Json) -> list[tuple[str, str]]:
        return list(zip(move["from"], move["to"], strict=True))

    def _hang(self, needles: list[str]) -> None:
        for n in needles:
            if not self.loops[n]:
                self.loop_size[n] = self.dial
            self.loops[n] += 1

    def _knit(self, name: str, size: float | str) -> None:
        self.at[name] = "wp"
        self.loops[name] = 1
        self.rows[name] += 1
        self.loop_size[name] = size
        self.yarn = name

    def next_row(self) -> None:
        self.rows = dict.fromkeys(self.panel, 0)
        self.crossed = set()
        self.entered = set()

    def copy(self) -> NaiveBed:
        return copy.deepcopy(self)
