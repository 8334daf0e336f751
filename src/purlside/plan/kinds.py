"""What a key may hold: kinds of values, each said once, beside the field it is for::

    rows: Annotated[int, Whole(1, 20_000)]
    cross: Annotated[Crossing | tuple[Crossing, ...], OneOrMore(Written(Crossing, "…"), 100, "…")]

A kind says in ``words`` what it allows (refusals, the drafting table and the
help quote it), reads a value as a file has it or as a plan holds it, and writes
it as a file has it. Reading a value that is held gives the same value.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from purlside.bed.needles import MOST_A_SIDE, Needle, Span, spans
from purlside.plan.problems import Problem, Unfit, found_text
from purlside.text.harmless import MOST_MARKS, is_mark, unprintable
from purlside.values import Value

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


class Allowed:
    """A kind of value; ``words`` say what is allowed."""

    words: Any

    def read(self, value: Any) -> Any:
        """The value as a plan holds it. Raises :class:`purlside.plan.problems.Unfit`."""
        raise NotImplementedError

    def written(self, value: Any) -> Any:
        """The value as a file has it: texts, numbers, lists, dicts."""
        return value


def refused(kind: Allowed, value: Any, why: str = "") -> Unfit:
    """A value that is none of this kind."""
    return Unfit([Problem((), found_text(value), kind.words, why)])


class Text(Allowed, Value):
    """A text of ``least`` to ``most`` characters without control characters; with ``lines`` of several lines."""

    most: int
    about: str = "a text of one line"
    least: int = 1
    lines: bool = False

    @property
    def words(self) -> str:
        return f"{self.about}, {f'{self.least} to' if self.least else 'at most'} {self.most:,} characters"

    def read(self, value: Any) -> str:
        if not isinstance(value, str) or not self.least <= len(value) <= self.most:
            raise refused(self, value)
        if (char := unprintable(value, lines=self.lines)) is None:
            return value
        code = f"U+{ord(char):04X}"
        if is_mark(char):
            raise refused(self, value, f"has more than {MOST_MARKS} combining marks on one character, as {code}")
        raise refused(self, value, f"contains the control character {code}")


class Whole(Allowed, Value):
    """A whole number from ``least`` to ``most``; an even one where ``odd`` says what is wrong with others."""

    least: int
    most: int
    about: str = "a whole number"
    odd: str = ""

    @property
    def words(self) -> str:
        return f"{self.about}, {self.least:,} to {self.most:,}"

    def read(self, value: Any) -> int:
        if type(value) is not int or not self.least <= value <= self.most:
            raise refused(self, value)
        if self.odd and value % 2:
            raise refused(self, value, self.odd)
        return value


class Number(Allowed, Value):
    """A number from ``least`` to ``most``, ``above`` least if so said; ``told`` is False where the range is no news."""

    least: float
    most: float
    about: str
    above: bool = False
    told: bool = True

    @property
    def words(self) -> str:
        least = f"above {self.least:g} and at most" if self.above else f"{self.least:g} to"
        return f"{self.about}, {least} {self.most:,g}" if self.told else self.about

    def read(self, value: Any) -> float:
        number = type(value) in (int, float) and self.least <= value <= self.most
        if not number or (self.above and value == self.least):
            raise refused(self, value)
        return float(value)


class YesNo(Allowed, Value):
    """True or false."""

    words: str = "true or false"

    def read(self, value: Any) -> bool:
        if not isinstance(value, bool):
            raise refused(self, value)
        return value


class OneOf(Allowed):
    """One of a few words or numbers."""

    def __init__(self, *choices: str | int) -> None:
        self.choices = choices

    @property
    def words(self) -> str:
        *most, last = (found_text(choice) for choice in self.choices)
        return f"{', '.join(most)} or {last}" if most else last

    def read(self, value: Any) -> Any:
        for choice in self.choices:
            if choice == value and isinstance(value, type(choice)) and not isinstance(value, bool):
                return choice
        raise refused(self, value)


class Written(Allowed, Value):
    """A value that a file has as text: a needle, a span, a crossing, a span of rows."""

    type: type[Any]
    words: str

    def read(self, value: Any) -> Any:
        # One already read may still be off every bed: its own text tells.
        text = str(value) if isinstance(value, self.type) else value
        if not isinstance(text, str):
            raise refused(self, value)
        try:
            read = self.type.parse(text)
        except ValueError as error:
            raise refused(self, value, str(error)) from None
        return value if isinstance(value, self.type) else read

    def written(self, value: Any) -> str:
        return str(value)


MOST_LISTED = 2 * MOST_A_SIDE
"""Needles in one list. As many as the widest bed has."""


class NeedleList(Allowed, Value):
    """Needles written as text, single ones and spans: ``"L9, R9-R10"``. They are held in bed order."""

    words: str = 'needles, as "L9" or "L9, R9-R10"'

    def read(self, value: Any) -> tuple[Needle, ...]:
        needles = value
        if isinstance(value, str):
            try:
                listed = [Span.parse(part.strip()) for part in value.split(",", MOST_LISTED)]
            except ValueError as error:
                raise refused(self, value, str(error)) from None
            needles = [] if sum(map(len, listed)) > MOST_LISTED else [needle for span in listed for needle in span]
        elif not isinstance(value, list | tuple) or not all(isinstance(needle, Needle) for needle in value):
            raise refused(self, value)
        if not all(-MOST_A_SIDE <= needle < MOST_A_SIDE for needle in needles):
            raise refused(self, value, f"at most {MOST_A_SIDE} needles on each side of the centre")
        if not 1 <= len(needles) <= MOST_LISTED:
            raise refused(self, value, f"1 to {MOST_LISTED} needles")
        if len(set(needles)) < len(needles):
            raise refused(self, value, "each needle once")
        return tuple(sorted(needles))

    def written(self, value: Sequence[Needle]) -> str:
        return ", ".join(map(str, spans(value)))


class Either(Allowed, Value):
    """One of two kinds."""

    first: Allowed
    second: Allowed
    words: str

    def read(self, value: Any) -> Any:
        with contextlib.suppress(Unfit):
            return self.first.read(value)
        try:
            return self.second.read(value)
        except Unfit as unfit:
            raise refused(self, value, unfit.problems[0].why) from None

    def written(self, value: Any) -> Any:
        with contextlib.suppress(Unfit):
            if self.first.read(value) == value:
                return self.first.written(value)
        return self.second.written(value)


def _read_all(item: Allowed, values: Iterable[tuple[str | int, Any]], words: str) -> list[tuple[str | int, Any]]:
    """Values of one kind, each with its place. Raises Unfit with every problem, in the words of what holds them."""
    problems: list[Problem] = []
    found: list[tuple[str | int, Any]] = []
    for place, value in values:
        try:
            found.append((place, item.read(value)))
        except Unfit as unfit:
            problems += [replace(p.under(place), allowed=words) for p in unfit.problems]
    if problems:
        raise Unfit(problems)
    return found


class ListOf(Allowed, Value):
    """A list of ``least`` to ``most`` values of one kind; held as a tuple."""

    item: Allowed
    most: int
    about: str
    least: int = 0

    @property
    def words(self) -> str:
        return f"{self.about}, at most {self.most:,}" if self.most > 2 else self.about

    def read(self, value: Any) -> Any:
        if not isinstance(value, list | tuple) or not self.least <= len(value) <= self.most:
            raise refused(self, value)
        return tuple(item for _, item in _read_all(self.item, enumerate(value), self.words))

    def written(self, value: Any) -> Any:
        return [self.item.written(item) for item in value]


class OneOrMore(ListOf):
    """One value, or a list of them."""

    least: int = 1

    def read(self, value: Any) -> Any:
        if isinstance(value, list | tuple):
            return super().read(value)
        try:
            return self.item.read(value)
        except Unfit as unfit:
            raise Unfit(replace(p, allowed=self.words) for p in unfit.problems) from None

    def written(self, value: Any) -> Any:
        return super().written(value) if isinstance(value, tuple) else self.item.written(value)


class ByName(Allowed, Value):
    """Values of one kind by name, at most ``most``."""

    item: Allowed
    most: int
    words: str

    def read(self, value: Any) -> Any:
        if not isinstance(value, Mapping) or len(value) > self.most:
            raise refused(self, value)
        return FrozenMapping(_read_all(self.item, value.items(), self.words))  # type: ignore[arg-type]

    def written(self, value: Mapping[str, Any]) -> dict[str, Any]:
        return {name: self.item.written(item) for name, item in value.items()}
