"""A dict that cannot be changed, for values that are hashed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TypeVar

V = TypeVar("V")


class FrozenMapping(Mapping[str, V]):
    """Values by name that cannot be changed, and can be hashed; equal to a dict of the same."""

    def __init__(self, values: Iterable[tuple[str, V]] = ()) -> None:
        self._values = dict(values)

    def __getitem__(self, name: str) -> V:
        return self._values[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __hash__(self) -> int:
        return hash(frozenset(self._values.items()))

    def __repr__(self) -> str:
        return repr(self._values)
