"""What needs no screen: how soon the commands start, how fast rows are planned and how that grows."""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from statistics import median

from tests.bench.figures import Figure
from tests.bench.measure import home, interleaved, ran
from tests.bench.plans import write_plan

MODEL = "from pydantic import BaseModel\nclass Model(BaseModel):\n    rows: int\n"
NUMBER = "from pydantic import TypeAdapter\nTypeAdapter(int).validate_python(1)"


def passes(folder: Path, rounds: int) -> Iterator[Figure]:
    """`purlside passes` for one crossing row against a bare Python with pydantic, with and without a model."""
    plan = write_plan(folder, "passes", rows=100, needles=60, cables=2)
    ours = [sys.executable, "-m", "purlside", "passes", str(plan), "--rows", "4-4"]
    with home() as env:
        taken = interleaved(
            rounds,
            ours=lambda: ran(ours, env),
            model=lambda: ran([sys.executable, "-c", MODEL], env),
            number=lambda: ran([sys.executable, "-c", NUMBER], env),
            module=lambda: ran([sys.executable, "-c", "import pydantic"], env),
        )
    ms = {name: 1e3 * median(of) for name, of in taken.items()}
    yield Figure("passes / Python with a pydantic model", ms["ours"], "ms", ms["model"], 1.5)
    yield Figure("passes / Python that imports pydantic", ms["ours"], "ms", ms["module"])
    # Bare, pydantic loads little: what it takes to check anything comes with its first use.
    yield Figure("one number checked by pydantic / the same", ms["number"], "ms", ms["module"])


def planner(folder: Path, rounds: int) -> Iterator[Figure]:
    """Crossing rows planned a second, and the exponent with which the time of a row grows."""
    from purlside.bed.demand import Demand
    from purlside.bed.needles import Needle, Side, Span
    from purlside.files.planfile import read
    from purlside.rows.bridging import bridge
    from purlside.rows.calendar import Calendar
    from purlside.rows.working import Working

    plan_row = getattr(bridge, "__wrapped__", bridge)

    def job(needles: int, cables: int) -> Callable[[], float]:
        panel = Span(Needle(-(needles // 2)), Needle(needles // 2 - 1))
        demand = Demand.even(panel, 5)
        for number in range(cables):
            left = -(needles // 2) + (2 * number + 1) * needles // (2 * cables) - 3
            demand = demand.asking(Span(Needle(left + 3), Needle(left + 5)), size=8.0)

        def run() -> float:
            begun = time.perf_counter()
            for _ in range(20):
                plan_row(demand, panel, Side.RIGHT, 5.0)
            return (time.perf_counter() - begun) / 20

        return run

    def taken(sizes: list[tuple[int, int]]) -> list[float]:
        jobs = {f"{needles}-{cables}": job(needles, cables) for needles, cables in sizes}
        times = interleaved(rounds, **jobs)
        return [median(times[f"{needles}-{cables}"]) for needles, cables in sizes]

    by_needles = [(needles, 4) for needles in (60, 120, 240, 480)]
    by_cables = [(480, cables) for cables in (4, 8, 16, 32)]
    for what, sizes, index in (("needles", by_needles, 0), ("cables", by_cables, 1)):
        seconds = taken(sizes)
        for size, one in zip(sizes, seconds, strict=True):
            yield Figure(f"crossing rows a second, {size[0]} needles, {size[1]} cables", 1 / one, "rows/s")
        exponent = growth([size[index] for size in sizes], seconds)
        yield Figure(f"growth with {what}, exponent", exponent, "", most=1.1)

    def whole(rows: int) -> float:
        plan = read(write_plan(folder, f"planner-{rows}", rows=rows)).plan
        begun = time.perf_counter()
        working = Working(Calendar(plan))
        for number in range(1, rows + 1):
            working.moves(number)
        return time.perf_counter() - begun

    rows = (1_000, 4_000, 16_000)
    seconds = [min(whole(count) for _ in range(2)) for count in rows]
    yield Figure(f"rows of a plan a second, {rows[-1]:,} rows", rows[-1] / seconds[-1], "rows/s")
    yield Figure("growth with rows, exponent", growth(rows, seconds), "", most=1.1)


def growth(sizes: Sequence[int], seconds: Sequence[float]) -> float:
    """The exponent b of seconds ≈ a · size^b over the last two sizes, where fixed costs hide it least."""
    return math.log(seconds[-1] / seconds[-2]) / math.log(sizes[-1] / sizes[-2])
