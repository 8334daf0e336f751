"""How long each thing done at the bed takes: defaults that matter only until a knitter's own rows have been timed."""

from __future__ import annotations

from dataclasses import asdict

from purlside.values import Value

MOST_SECONDS = 86_400.0


class Rates(Value):
    """Seconds for each thing done; estimates of ours. Raises ValueError for seconds that are not above 0."""

    knit: float = 4.0
    knit_needle: float = 0.03
    back_up: float = 4.0
    push_group: float = 2.0
    push_needle: float = 0.3
    dial: float = 2.0
    lever: float = 1.0
    by_hand: float = 8.0
    crossing: float = 20.0
    crossing_stitch: float = 2.0
    weights: float = 15.0
    transfer: float = 5.0
    transfer_stitch: float = 1.0
    edge_needle: float = 1.0
    fill: float = 6.0
    cast_off_stitch: float = 5.0
    cast_on_stitch: float = 2.0
    wrap: float = 3.0
    join: float = 60.0
    bead: float = 15.0
    latch_up: float = 6.0
    latch_row: float = 1.5

    def __post_init__(self) -> None:
        for name, seconds in asdict(self).items():
            if not 0 < seconds <= MOST_SECONDS:
                raise ValueError(f"{name.replace('_', ' ')} takes seconds above 0, at most a day, not {seconds:g}")
