"""One measured figure beside what it is measured against, and the table of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

COLUMNS = ("what", "ours", "against", "ratio", "wanted", "")


@dataclass(frozen=True)
class Figure:
    """``ours`` and ``base`` in ``unit``. ``most_ratio`` limits ours / base, ``most`` limits ours."""

    what: str
    ours: float
    unit: str
    base: float | None = None
    most_ratio: float | None = None
    most: float | None = None
    right: bool = True
    """False where the speed was reached with a wrong result."""

    @property
    def ratio(self) -> float | None:
        return self.ours / self.base if self.base else None

    @property
    def reached(self) -> bool | None:
        """None where nothing is wanted."""
        if not self.right:
            return False
        wanted = []
        if self.most_ratio is not None and self.ratio is not None:
            wanted.append(self.ratio <= self.most_ratio)
        if self.most is not None:
            wanted.append(self.ours <= self.most)
        return all(wanted) if wanted else None

    @property
    def cells(self) -> tuple[str, ...]:
        wanted = [f"≤ {self.most_ratio:g} ×"] if self.most_ratio is not None else []
        wanted += [f"≤ {self.most:g} {self.unit}".rstrip()] if self.most is not None else []
        verdict = {None: "", True: "yes", False: "NO" if self.right else "WRONG"}[self.reached]
        return (
            self.what,
            f"{_short(self.ours)} {self.unit}".rstrip(),
            f"{_short(self.base)} {self.unit}" if self.base is not None else "",
            f"{self.ratio:.2f} ×" if self.ratio is not None else "",
            ", ".join(wanted),
            verdict,
        )

    def json(self) -> dict[str, Any]:
        return {**asdict(self), "ratio": self.ratio, "reached": self.reached}


def _short(value: float) -> str:
    return f"{value:,.0f}" if value >= 1000 else f"{value:.3g}"


def table(figures: Iterable[Figure]) -> str:
    """The figures as a Markdown table with even columns."""
    rows = [COLUMNS, *(figure.cells for figure in figures)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(COLUMNS))]
    lines = [
        "| " + " | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) + " |" for row in rows
    ]
    lines.insert(1, "| " + " | ".join("-" * width for width in widths) + " |")
    return "\n".join(lines)
