"""The planner against exhaustive shortest paths (networkx, Dijkstra), which know nothing of it.

The searches know only what a bed does:

- The carriage passes from one side to the other and back, in turn. Having
  knit to a needle it covers the ones ahead, so to knit those it must first
  come back over held needles: going on is the pass after next.
- A pass knits a run of neighbours in work, all at one size, or nothing. The
  needles of the run have loops left to make in this row.
- The yarn lies between two needles, where the last one knit left it, and a
  pass takes it up there. It begins and ends outside the panel.
- A stitch by hand is knit by no pass, whenever the yarn lies beside it.
- A needle out of work is not there. A resting one is held before the row and after it, no pass knits it and the yarn
  does not lie beyond it.
- Where the machine's hold lever is used, a row may end with a pass at "knit": it takes every needle ahead of where the
  carriage stands, held or not. After a back-up the carriage stands behind needles that have been knit.

Needles are counted here in the order of travel, so one search serves both sides.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from purlside.bed.bed import Move
from purlside.bed.demand import Demand
from purlside.bed.moves import BackUp, Hold, Knit, Return
from purlside.bed.needles import Needle, Side, spans
from purlside.rows.bridging import bridge
from tests.beds import fewest_movements
from tests.plans import around, demands

Asks = tuple[float | None, ...]
"""The size each needle wants in the order of travel; None is by hand."""

Left = tuple[int, ...]
"""How often each needle is still to be knit."""

State = tuple[bool, int, Left, frozenset[int], bool]
"""The next pass goes forward; where the yarn lies; what is left; what is held; the carriage stands just where the yarn lies."""


def passes(asks: Asks, forward: bool, yarn: int, left: Left) -> Iterator[tuple[list[int], int, Left]]:
    """Every pass that knits something: the needles, where the yarn lies after, what is left."""
    run: list[int] = []
    rest = list(left)
    while True:
        i = yarn if forward else yarn - 1
        if not 0 <= i < len(asks) or asks[i] is None or not rest[i] or (run and asks[i] != asks[run[0]]):
            return
        run.append(i)
        rest[i] -= 1
        yarn += 1 if forward else -1
        yield list(run), yarn, tuple(rest)


def by_hand(asks: Asks, yarn: int, left: Left) -> Iterator[tuple[int, int, Left]]:
    """Every stitch that can be knit by hand: the needle, where the yarn lies after, what is left."""
    for i, after in ((yarn, yarn + 1), (yarn - 1, yarn - 1)):
        if 0 <= i < len(asks) and asks[i] is None and left[i]:
            yield i, after, tuple(n - (j == i) for j, n in enumerate(left))


def distances(asks: Asks, most: int) -> dict[tuple[bool, int, Left], int]:
    """The fewest movements to the end of the row from (next pass goes forward, yarn, what is left).

    Every demand of up to ``most`` rows a needle is a start in the same graph,
    so all of them are answered by one search from the end.
    """
    graph = nx.DiGraph()
    for left in product(*(range((1 if size is None else most) + 1) for size in asks)):
        for yarn, forward in product(range(len(asks) + 1), (True, False)):
            here = (forward, yarn, left)
            graph.add_edge((not forward, yarn, left), here, weight=1)
            for _, after, rest in passes(asks, forward, yarn, left):
                graph.add_edge((not forward, after, rest), here, weight=1)
            for _, after, rest in by_hand(asks, yarn, left):
                graph.add_edge((forward, after, rest), here, weight=0)
    end = (False, len(asks), (0,) * len(asks))
    found: dict[tuple[bool, int, Left], int] = nx.single_source_dijkstra_path_length(graph, end)
    return found


def runs(pushed: frozenset[int]) -> int:
    """Groups of neighbours in work."""
    return sum(i - 1 not in pushed for i in pushed)


def least_pushing(asks: Asks, rows: Left, *, lever: bool = False) -> tuple[int, int, int]:
    """Movements, groups pushed, needles pushed: the smallest, in that order; with ``lever`` needles before groups.

    In every pass all needles in work it does not knit are held, after the row none.
    """
    every = frozenset(range(len(asks)))
    nothing: frozenset[int] = frozenset()
    start = (True, 0, rows, nothing, True)
    end = (False, len(asks), (0,) * len(asks), nothing, True)
    graph = nx.DiGraph()
    seen, todo = {start}, [start]
    dear, cheap = (1, 1000) if lever else (1000, 1)

    def edge(here: object, there: State, movements: int, held: frozenset[int], freed: frozenset[int] = nothing) -> None:
        """``held`` before it; ``freed`` by the carriage itself."""
        out, back = there[3] - held, held - freed - there[3]
        groups, count = runs(out) + runs(back), len(out) + len(back)
        graph.add_edge(here, there, weight=movements * 1_000_000 + groups * dear + count * cheap)
        if there not in seen:
            seen.add(there)
            todo.append(there)

    while todo:
        here = todo.pop()
        forward, yarn, left, held, at_the_yarn = here
        if here[:3] == end[:3] and here != end:
            edge(here, end, 0, held)
        edge(here, (not forward, yarn, left, every, False), 1, held)
        for run, after, rest in passes(asks, forward, yarn, left):
            edge(here, (not forward, after, rest, every - set(run), True), 1, held)
            ahead = frozenset(range(yarn, len(asks)))
            if lever and forward and at_the_yarn and ahead == set(run) and not any(rest):
                edge(here, (False, after, rest, held - ahead, True), 1, held, ahead)
        for i, after, rest in by_hand(asks, yarn, left):
            # Knit by hand, the needle stands in working position, wherever it stood. The carriage stays.
            edge(here, (forward, after, rest, held - {i}, False), 0, held - {i})
    cost = int(nx.dijkstra_path_length(graph, start, end))
    movements, more, less = cost // 1_000_000, cost // 1000 % 1000, cost % 1000
    return (movements, less, more) if lever else (movements, more, less)


def asked(asks: Asks, rows: Left, side: Side) -> Demand:
    """The demand that is ``asks`` and ``rows`` to a carriage that starts on ``side``."""
    order = slice(None) if side is Side.LEFT else slice(None, None, -1)
    middle = len(asks) // 2
    return Demand(
        tuple(Needle(i - middle) for i in range(len(asks))),
        rows[order],
        tuple(size or 5.0 for size in asks[order]),
        tuple(size is None for size in asks[order]),
    )


def planned(
    demand: Demand, side: Side, *, resting: tuple[Needle, ...] = (), lever: bool = False
) -> tuple[int, int, int]:
    """Movements, groups pushed, needles pushed of the planner's moves."""
    moves: tuple[Move, ...] = bridge(demand, around(demand), side, 5.0, resting, "knit" if lever else None)
    pushed = [spans(m.needles, demand.needles) for m in moves if isinstance(m, Hold | Return)]
    count = sum(len(m.needles) for m in moves if isinstance(m, Hold | Return))
    return sum(isinstance(m, Knit | BackUp) for m in moves), sum(map(len, pushed)), count


def every_ask(count: int, letters: Asks) -> Iterator[Asks]:
    """All wishes of ``count`` needles of which one at least is knit by the carriage."""
    return (asks for asks in product(letters, repeat=count) if any(size is not None for size in asks))


def every_rows(asks: Asks, rows: Left) -> Iterator[Left]:
    return product(*((1,) if size is None else rows for size in asks))


def check_movements(count: int, letters: Asks, rows: Left) -> int:
    checked = 0
    for asks in every_ask(count, letters):
        fewest = distances(asks, max(rows))
        for counts in every_rows(asks, rows):
            for side in Side:
                demand = asked(asks, counts, side)
                movements = planned(demand, side)[0]
                assert movements == fewest[True, 0, counts] == fewest_movements(demand), (side, asks, counts)
                checked += 1
    return checked


def test_no_walk_of_the_yarn_takes_fewer_movements_whatever_one_to_four_needles_ask() -> None:
    sizes_and_hand = (5.0, 9.0, None)
    checked = check_movements(1, sizes_and_hand, (1, 3, 5, 7))
    checked += check_movements(2, sizes_and_hand, (1, 3, 5, 7))
    checked += check_movements(3, sizes_and_hand, (1, 3, 5, 7))
    checked += check_movements(4, sizes_and_hand, (1, 3, 5))
    assert checked == 16 + 160 + 1456 + 4800


def test_no_walk_takes_fewer_movements_with_three_sizes_in_a_row() -> None:
    assert check_movements(3, (5.0, 7.0, 9.0), (1, 3, 5)) == 2 * 27 * 27


def test_no_walk_takes_fewer_movements_where_halves_are_two_wide() -> None:
    for kinds in ("bbllrrbb", "bbbllrrr", "llrrlrrl", "hbbllhrr", "bbhhllrr", "bhhbllhh"):
        asks: Asks = tuple({"b": 5.0, "r": 5.0, "l": 9.0, "h": None}[k] for k in kinds)
        reach = distances(asks, 1)
        for side in Side:
            demand = asked(asks, (1,) * len(asks), side)
            assert planned(demand, side)[0] == reach[True, 0, (1,) * len(asks)] == fewest_movements(demand)


def test_no_walk_takes_fewer_movements_where_needles_rest_at_the_edges() -> None:
    """A short row or a part: the walk begins and ends at the resting needles, and none of them is pushed."""
    checked = 0
    for left, right in ((0, 1), (1, 0), (1, 1), (2, 1)):
        for asks in every_ask(3, (5.0, 9.0, None)):
            least = distances(asks, 3)
            for counts in every_rows(asks, (1, 3)):
                for side in Side:
                    demand = asked(asks, counts, side)
                    rest = [Needle(demand.needles[0] - 1 - i) for i in range(left)]
                    rest += [Needle(demand.needles[-1] + 1 + i) for i in range(right)]
                    moves = bridge(demand, around(demand), side, 5.0, tuple(sorted(rest)))
                    assert sum(isinstance(m, Knit | BackUp) for m in moves) == least[True, 0, counts]
                    assert not {n for m in moves if isinstance(m, Hold | Return | Knit) for n in m.needles} & set(rest)
                    assert planned(demand, side, resting=tuple(sorted(rest))) == planned(demand, side)
                    checked += 1
    assert checked == 4 * 2 * (5**3 - 1)


def test_stitches_by_hand_at_either_edge_cost_no_movement_more() -> None:
    for asks in every_ask(3, (5.0, 9.0, None)):
        if asks[0] is not None and asks[-1] is not None:
            continue
        first = next(i for i, size in enumerate(asks) if size is not None)
        last = next(i for i in reversed(range(3)) if asks[i] is not None)
        inner = asks[first : last + 1]
        for rows in every_rows(inner, (1, 3)):
            hands = (1,) * first, (1,) * (2 - last)
            with_edges = distances(asks, 3)[True, 0, (*hands[0], *rows, *hands[1])]
            assert with_edges == distances(inner, 3)[True, 0, rows]


def test_an_even_number_of_rows_ends_on_the_wrong_side_whatever_the_walk() -> None:
    reach = distances((5.0, 5.0, 9.0), 4)
    reachable = {left for forward, yarn, left in reach if forward and yarn == 0}
    assert reachable
    assert all(n % 2 for left in reachable for n in left)


SMALL: tuple[tuple[int, Asks, Left], ...] = (
    (1, (5.0, 9.0), (1, 3, 5, 7)),
    (2, (5.0, 9.0, None), (1, 3, 5)),
    (3, (5.0, 9.0, None), (1, 3)),
    (3, (5.0,), (1, 3, 5, 7)),
    (4, (5.0, None), (1, 3)),
    (5, (5.0,), (1, 3)),
)
"""How many needles, their sizes or by hand, their rows."""


def check_pushing(small: tuple[tuple[int, Asks, Left], ...], *, lever: bool) -> int:
    checked = 0
    for count, letters, rows in small:
        for asks in every_ask(count, letters):
            for counts in every_rows(asks, rows):
                least = least_pushing(asks, counts, lever=lever)
                for side in Side:
                    assert planned(asked(asks, counts, side), side, lever=lever) == least, (side, asks, counts)
                    checked += 1
    return checked


def test_of_all_shortest_walks_the_fewest_groups_and_then_the_fewest_needles_are_pushed() -> None:
    assert check_pushing(SMALL, lever=False) > 700


def test_with_the_hold_lever_the_fewest_needles_and_then_the_fewest_groups_are_pushed() -> None:
    assert check_pushing((*SMALL, (4, (5.0,), (1, 3, 5)), (5, (5.0,), (1, 3, 5))), lever=True) > 1300


@given(demands(most=5, rows=(1, 3)), st.sampled_from(list(Side)))
def test_any_row_is_knit_with_the_least_movements_and_pushing_over_ladders_too(demand: Demand, side: Side) -> None:
    order = slice(None) if side is Side.LEFT else slice(None, None, -1)
    asks = tuple(None if hand else size for size, hand in zip(demand.sizes, demand.by_hand, strict=True))[order]
    assert planned(demand, side) == least_pushing(asks, demand.rows[order])


@given(demands(most=5, rows=(1, 3, 5)), st.sampled_from(list(Side)))
def test_any_row_is_knit_with_the_least_pushing_where_the_hold_lever_is_used(demand: Demand, side: Side) -> None:
    order = slice(None) if side is Side.LEFT else slice(None, None, -1)
    asks = tuple(None if hand else size for size, hand in zip(demand.sizes, demand.by_hand, strict=True))[order]
    assert planned(demand, side, lever=True) == least_pushing(asks, demand.rows[order], lever=True)
