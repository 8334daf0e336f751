"""A bed that knows only what a real one does, fed with ``purlside passes --json``; it shares no code with what is tested.

Loops, positions, yarn and carriage are carried from move to move and from row to row through the whole plan. What is
wrong is gathered as sentences, empty if nothing is. Needles are numbers as in :mod:`tests.shaped.wanted`; the carriage
stands between two of them, ``0`` is between L1 and R1.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from tests.shaped.wanted import MOST_LOOPS, MOST_WRAPPED, RowWanted, Tables, name, needles, number, other, rows_of

Json = dict[str, Any]


class Replayer:
    """The whole bed of the plan's machine."""

    def __init__(self, plan: Tables) -> None:
        machine, panel = plan["machine"], plan["panel"]
        self.half = machine.get("needles", 200) // 2
        out = {n for span in panel.get("out_of_work", []) for n in needles(span)}
        self.at = dict.fromkeys(range(-self.half, self.half), "nwp")
        self.loops = dict.fromkeys(self.at, 0)
        for n in needles(panel["needles"]):
            if n not in out:
                self.at[n], self.loops[n] = "wp", 1
        self.dial = float(panel["stitch_size"])
        self.dial_range = machine.get("dial", [0.0, 10.0])
        self.lever = "knit" if machine.get("release_hold") else "hold"
        side = machine.get("carriage", "right")
        self.carriage = self.work[0] if side == "left" else self.work[-1] + 1
        self.yarn = self.work[0] if side == "left" else self.work[-1]
        self.joined: str | None = None
        self.begin()
        self.found: list[str] = []

    def begin(self) -> None:
        """A new row."""
        self.rows = dict.fromkeys(self.at, 0)
        self.sizes: dict[int, float | str] = {}
        self.entered: set[int] = set()
        self.crossed: list[tuple[list[int], list[int]]] = []
        self.beads: set[int] = set()
        self.latched: set[int] = set()
        self.wrapped: list[int] = []
        self.movements = 0

    @property
    def work(self) -> list[int]:
        return [n for n in sorted(self.at) if self.at[n] != "nwp"]

    def check(self, fine: bool, why: str) -> None:
        if not fine:
            self.found.append(why)

    def lies(self, but: set[int] | None = None) -> int:
        """Where the yarn lies; joined at a part's edge, it lies at the outermost needle there that is not held."""
        if self.joined is None:
            return self.yarn
        free = [n for n in self.free() if n not in (but or ())]
        return free[0] if self.joined == "left" else free[-1]

    # --- moves

    def do(self, move: Json) -> None:
        kind = move["do"].replace("-", "_")
        listed = [number(n) for n in move.get("needles", ())]
        if kind not in ("knit", "weights", "tell"):
            self.check(listed == sorted(listed), f"not in bed order: {move}")
        if kind not in ("into_work", "cast_on", "tell"):
            self.check(all(self.at[n] != "nwp" for n in listed), f"needles out of work: {move}")
        getattr(self, f"do_{kind}")(move, listed)

    def do_tell(self, move: Json, listed: list[int]) -> None:
        self.check(bool(move["text"]), "nothing is told")

    def do_weights(self, move: Json, listed: list[int]) -> None:
        pass

    def do_dial(self, move: Json, listed: list[int]) -> None:
        low, high = self.dial_range
        self.check(low <= move["size"] <= high, f"off the dial: {move}")
        self.dial = float(move["size"])

    def do_lever(self, move: Json, listed: list[int]) -> None:
        self.check(move["to"] != self.lever, f"the lever stands there: {move}")
        self.lever = move["to"]

    def do_hold(self, move: Json, listed: list[int]) -> None:
        self.check(all(self.at[n] != "hp" for n in listed), f"held already: {move}")
        self.at |= dict.fromkeys(listed, "hp")

    def do_return(self, move: Json, listed: list[int]) -> None:
        self.check(all(self.at[n] == "hp" for n in listed), f"not held: {move}")
        self.at |= dict.fromkeys(listed, "uwp")

    def on_the_way(self, move: Json) -> list[int]:
        """The needles passed, in order; the carriage is taken past them."""
        there = number(move["beyond"])
        if move["toward"] == "left":
            passed = [n for n in sorted(self.at, reverse=True) if there <= n < self.carriage]
            self.carriage = there
        else:
            passed = [n for n in sorted(self.at) if self.carriage <= n <= there]
            self.carriage = there + 1
        self.check(bool(passed), f"the carriage goes nowhere: {move}")
        return passed

    def knits(self, passed: list[int]) -> list[int]:
        stands = ("wp", "uwp") if self.lever == "hold" else ("wp", "uwp", "hp")
        return [n for n in passed if self.at[n] in stands]

    def thread(self, listed: list[int], size: float | str, move: Json) -> None:
        """Knit these needles one after another."""
        work = self.work
        place = {n: i for i, n in enumerate(work)}
        if self.joined is not None:
            self.check(listed[0] == self.lies(), f"the yarn was joined at {name(self.lies())}: {move}")
        else:
            low, high = sorted((self.yarn, listed[0]))
            self.check(not any(low < n < high for n in work), f"a float from {name(self.yarn)}: {move}")
        self.check(all(abs(place[a] - place[b]) == 1 for a, b in pairwise(listed)), f"a float in the pass: {move}")
        empty = [n for n in listed if not self.loops[n]]
        self.check(set(empty) <= self.entered, f"a needle without a loop is knit: {move}")
        beside = [self.loops.get(n - 1) or self.loops.get(n + 1) for n in empty]
        self.check(all(beside), f"no stitch beside an empty needle: {move}")
        self.check(all(self.loops[n] <= MOST_WRAPPED for n in listed), f"too many loops: {move}")
        lifted = {n for halves in self.crossed for half in halves for n in half}
        self.check(not lifted & set(listed), f"knit after it was crossed: {move}")
        for n in listed:
            self.loops[n], self.at[n], self.sizes[n] = 1, "wp", size
            self.rows[n] += 1
        self.yarn, self.joined = listed[-1], None

    def do_knit(self, move: Json, listed: list[int]) -> None:
        knit = self.knits(self.on_the_way(move))
        self.check(knit == listed, f"it would knit {[name(n) for n in knit]}: {move}")
        self.movements += 1
        if knit:
            self.thread(knit, self.dial, move)
        else:
            self.check(False, f"the pass knits nothing: {move}")

    def do_back_up(self, move: Json, listed: list[int]) -> None:
        self.check(not self.knits(self.on_the_way(move)), f"the back-up knits: {move}")
        self.movements += 1

    def do_by_hand(self, move: Json, listed: list[int]) -> None:
        yarn = self.lies()
        from_left = abs(yarn - listed[0]) <= abs(yarn - listed[-1])
        self.thread(listed if from_left else listed[::-1], "by hand", move)

    def do_bead(self, move: Json, listed: list[int]) -> None:
        self.check(all(self.sizes.get(n) == "by hand" for n in listed), f"a bead on a stitch not knit by hand: {move}")
        self.beads |= set(listed)

    def do_latch_up(self, move: Json, listed: list[int]) -> None:
        self.check(move["rows"] >= 1 and all(self.loops[n] == 1 for n in listed), f"nothing to latch up: {move}")
        self.latched |= set(listed)

    def do_cross(self, move: Json, listed: list[int]) -> None:
        halves = [[[number(n) for n in move[half][key]] for key in ("from", "to")] for half in ("first", "second")]
        front, back = halves[0][0], halves[1][0]
        every = sorted([*front, *back])
        self.check([name(n) for n in front] == [name(n) for n in needles(move["front"])], f"the front half: {move}")
        for came, goes in halves:
            shift = len(back) if came is front else len(front)
            there = [every[every.index(n) + (shift if came[0] == every[0] else -shift)] for n in came]
            self.check(there == goes, f"not where the other half was: {move}")
        self.check(all(self.at[n] in ("wp", "uwp") for n in every), f"crossed out of work or held: {move}")
        low, high = every[0], every[-1]
        self.check(not any(low < n < high and n not in every for n in self.work), f"crossed over a needle: {move}")
        self.check(not low < self.carriage <= high, f"crossed under the carriage: {move}")
        self.check(all(self.loops[n] == 1 for n in every), f"crossed with no loop or two: {move}")
        self.check(all(self.rows[n] % 2 for n in every), f"crossed before the row is finished: {move}")
        lifted = {n for pair in self.crossed for half in pair for n in half}
        self.check(not lifted & set(every), f"crossed twice: {move}")
        self.crossed.append((front, back))
        self.at |= dict.fromkeys(every, "uwp")

    # --- moves of shaping

    def do_transfer(self, move: Json, listed: list[int]) -> None:
        came, goes = ([number(n) for n in move[key]] for key in ("from", "to"))
        self.check(all(self.at[n] in ("wp", "uwp") for n in (*came, *goes)), f"moved from or onto no needle: {move}")
        self.check(all(self.loops[n] for n in came), f"an empty needle is lifted: {move}")
        self.check(not min(came) < self.carriage <= max(came), f"lifted under the carriage: {move}")
        lifted = [self.loops[n] for n in came]
        self.loops |= dict.fromkeys(came, 0)
        for n, loops in zip(goes, lifted, strict=True):
            self.loops[n] += loops
        self.check(all(self.loops[n] <= MOST_LOOPS for n in goes), f"too many loops: {move}")

    def do_out_of_work(self, move: Json, listed: list[int]) -> None:
        self.check(not any(self.loops[n] for n in listed), f"put out of work with a loop: {move}")
        outside = self.outside()
        self.at |= dict.fromkeys(listed, "nwp")
        self.stay(outside)

    def do_into_work(self, move: Json, listed: list[int]) -> None:
        self.check(all(self.at.get(n) == "nwp" for n in listed), f"in work already: {move}")
        beside = self.loops.get(listed[0] - 1) or self.loops.get(listed[-1] + 1)
        self.check(bool(beside), f"not beside a stitch: {move}")
        outside = self.outside()
        self.at |= dict.fromkeys(listed, "wp")
        self.entered |= set(listed)
        self.stay(outside)

    def do_fill(self, move: Json, listed: list[int]) -> None:
        for n in listed:
            self.check(not self.loops[n], f"filled beside a loop: {move}")
            self.check(bool(self.loops.get(n - 1) or self.loops.get(n + 1)), f"no neighbour to fill from: {move}")
            self.loops[n] = 1

    def do_cast_off(self, move: Json, listed: list[int]) -> None:
        onto = number(move["onto"])
        run = [*listed, onto] if onto > listed[-1] else [onto, *listed]
        work = self.work
        start = work.index(run[0])
        self.check(work[start : start + len(run)] == run, f"cast off over a needle: {move}")
        self.check(
            self.lies() == (listed[0] if onto > listed[-1] else listed[-1]), f"cast off without the yarn: {move}"
        )
        self.check(all(self.loops[n] for n in run) and self.at[onto] != "hp", f"nothing to cast off: {move}")
        self.loops |= dict.fromkeys(listed, 0)
        self.loops[onto] += 1
        self.check(self.loops[onto] <= MOST_LOOPS, f"too many loops: {move}")
        self.yarn, self.joined = onto, None

    def do_cast_on(self, move: Json, listed: list[int]) -> None:
        fresh = [n for n in listed if self.at.get(n) == "nwp"]
        if fresh:
            self.do_into_work(move, fresh)
        yarn = self.lies(set(listed))
        left = yarn == listed[-1] + 1
        self.check(left or yarn == listed[0] - 1, f"cast on without the yarn: {move}")
        self.check(not any(self.loops[n] for n in listed), f"cast on over a loop: {move}")
        self.loops |= dict.fromkeys(listed, 1)
        self.yarn, self.joined = listed[0] if left else listed[-1], None

    def do_wrap(self, move: Json, listed: list[int]) -> None:
        for n in listed:
            self.check(self.at[n] == "hp", f"a needle that does not rest is wrapped: {move}")
            low, high = sorted((self.yarn, n))
            self.check(not any(low < w < high for w in self.work), f"the yarn does not reach: {move}")
            self.loops[n] += 1
            self.check(self.loops[n] <= MOST_WRAPPED, f"wrapped too often: {move}")
        self.wrapped += listed

    def do_join(self, move: Json, listed: list[int]) -> None:
        work = self.work
        there = work[0] if move["side"] == "left" else work[-1] + 1
        low, high = sorted((self.carriage, there))
        self.check(not self.knits([n for n in work if low <= n < high]), f"the carriage knits on its way: {move}")
        self.carriage, self.joined = there, move["side"]

    def free(self) -> list[int]:
        return [n for n in self.work if self.at[n] != "hp"]

    def outside(self) -> str | None:
        free = self.free()
        return "left" if self.carriage <= free[0] else "right" if self.carriage > free[-1] else None

    def stay(self, outside: str | None) -> None:
        """A carriage outside the needles to be knit is outside them, however far they reach."""
        if outside == "left":
            self.carriage = min(self.carriage, self.free()[0])
        elif outside:
            self.carriage = max(self.carriage, self.free()[-1] + 1)

    # --- rows

    def row(self, wanted: RowWanted, told: Json) -> None:
        """Knit one row and hold it to what the plan asks."""
        self.begin()
        here = f"{wanted.part or 'panel'} row {wanted.row}"
        before = len(self.found)
        told_as = (told["row"], told.get("part"), told["from"], told["to"], told["crossing"])
        asked = (wanted.row, wanted.part, wanted.side, other(wanted.side), bool(wanted.crossed))
        self.check(told_as == asked, f"told as {told_as}, asked as {asked}")
        if "lever" in {move["do"] for move in told["moves"]}:
            self.check(self.lever == "knit", "the lever does not begin at knit")
        for move in told["moves"]:
            self.do(move)
        self.check(self.work == wanted.work, f"in work {span(self.work)}, asked {span(wanted.work)}")
        held = [n for n in self.work if self.at[n] == "hp"]
        self.check(held == wanted.resting, f"held {span(held)}, resting {span(wanted.resting)}")
        self.check(not any(self.loops[n] == 0 for n in self.work), "an empty needle is left in work")
        self.check(not any(self.loops[n] for n in self.at if self.at[n] == "nwp"), "a stitch hangs out of work")
        for n in wanted.knit:
            self.check(self.rows[n] == wanted.rows[n], f"{name(n)} knit {self.rows[n]}, asked {wanted.rows[n]}")
            size = "by hand" if n in wanted.by_hand else wanted.sizes[n]
            self.check(self.sizes.get(n) == size, f"{name(n)} at {self.sizes.get(n)}, asked {size}")
        self.check(not any(self.rows[n] for n in wanted.resting), "a resting needle was knit")
        crossed = sorted((c.front, c.back) for c in wanted.crossed)
        self.check(sorted(self.crossed) == crossed, f"crossed {self.crossed}, asked {crossed}")
        self.check(self.beads == wanted.beads, f"beads on {self.beads}, asked {wanted.beads}")
        self.check(self.latched == wanted.latched, f"latched {self.latched}, asked {wanted.latched}")
        self.check(
            self.wrapped == ([] if wanted.wrapped is None else [wanted.wrapped]),
            f"wrapped {self.wrapped}, asked {wanted.wrapped}",
        )
        knit = wanted.knit
        past = self.carriage <= knit[0] if other(wanted.side) == "left" else self.carriage > knit[-1]
        self.check(past, "the carriage is not past the row's last needle")
        self.check(self.movements == wanted.fewest, f"{self.movements} movements, {wanted.fewest} would do")
        self.found[before:] = [f"{here}: {why}" for why in self.found[before:]]


def span(listed: list[int]) -> str:
    return f"{name(listed[0])}…{name(listed[-1])} ({len(listed)})" if listed else "none"


def faults(plan: Tables, told: Json) -> list[str]:
    """Everything wrong with the moves of a plan, row by row."""
    bed = Replayer(plan)
    wanted = list(rows_of(plan))
    bed.check(len(wanted) == len(told["rows"]), f"{len(told['rows'])} rows, asked {len(wanted)}")
    for asked, row in zip(wanted, told["rows"], strict=False):
        bed.row(asked, row)
        if len(bed.found) > 10:
            break
    return bed.found
