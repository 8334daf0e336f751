"""What is wanted: the plan as the knitter wrote it, nothing worked out.

Each field says in its description what it allows; refusals, the drafting
table and the help quote that text. A value that is wrong by itself is refused
here; what only two values together show (a crossing outside the panel, a size
off the dial) is found by :mod:`purlside.checking`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    PlainValidator,
    field_serializer,
    model_validator,
)
from pydantic_core import PydanticCustomError

from purlside.harmless import MOST_MARKS, is_mark
from purlside.harmless import shown as shown
from purlside.harmless import unprintable as unprintable
from purlside.needles import MOST_A_SIDE, Crossing, Needle, Side, Span, quoted

MOST_ROWS = 1_000_000
MOST_NEEDLES = 2 * MOST_A_SIDE
MOST_CROSSINGS = 1000
MOST_ENTRIES = 500
"""Cables, bands or reminders in one plan. A limit of ours, far above any panel known to be knit."""


def _clean(*, lines: bool) -> Callable[[str], str]:
    def check(text: str) -> str:
        if (char := unprintable(text, lines=lines)) is not None:
            if is_mark(char):
                raise ValueError(f"has more than {MOST_MARKS} combining marks on one character, as U+{ord(char):04X}")
            raise ValueError(f"contains the control character U+{ord(char):04X}")
        return text

    return check


def _parsed(parse: Callable[[str], Any]) -> Callable[[Any], Any]:
    def read(value: Any) -> Any:
        if isinstance(value, str):
            return parse(value)
        if isinstance(value, (Needle, Span, Crossing)):
            return value
        raise ValueError("not a text in quotes")

    return read


def _pair(value: Any) -> Any:
    """A TOML list as the tuple it is validated as."""
    return tuple(value) if isinstance(value, list) else value


def at(key: str, why: str) -> PydanticCustomError:
    """A reason that belongs to one key of a table, found only when the whole table is read."""
    return PydanticCustomError("at", "{why}", {"key": key, "why": why})


def _even(value: int) -> int:
    if value % 2:
        raise ValueError(
            "an odd number of extra rows gives that half an even number of rows, "
            "and the carriage would come out on the wrong side"
        )
    return value


def _written(value: Any) -> str:
    """As a function of ours: pydantic asks for the signature of a built-in type, and that is slow to find out."""
    return str(value)


Line = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_clean(lines=False))]
Name = Annotated[str, Field(min_length=1, max_length=40), AfterValidator(_clean(lines=False))]
Prose = Annotated[str, Field(max_length=10_000), AfterValidator(_clean(lines=True))]
NeedleField = Annotated[Needle, PlainValidator(_parsed(Needle.parse)), PlainSerializer(_written)]
SpanField = Annotated[Span, PlainValidator(_parsed(Span.parse)), PlainSerializer(_written)]
CrossingField = Annotated[Crossing, PlainValidator(_parsed(Crossing.parse)), PlainSerializer(_written)]
Size = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]


class Rows(BaseModel):
    """Rows ``first`` to ``last``, both counted; written ``"1-20"`` or ``"8"``."""

    model_config = ConfigDict(frozen=True)
    first: int
    last: int

    @classmethod
    def parse(cls, text: str) -> Rows:
        """Raises ValueError."""
        ends = text.strip().split("-")
        if len(ends) > 2 or not all(e.isascii() and e.isdigit() and len(e) <= 9 for e in ends):
            raise ValueError(f"{quoted(text)} is not a span of rows; write it as 1-20, or 8 for one row")
        first, last = int(ends[0]), int(ends[-1])
        if first < 1 or last < first:
            raise ValueError(f"{quoted(text)} is not a span of rows; rows count from 1, the smaller number first")
        return cls(first=first, last=last)

    def __str__(self) -> str:
        return str(self.first) if self.first == self.last else f"{self.first}-{self.last}"


RowsField = Annotated[
    Rows,
    PlainValidator(lambda v: v if isinstance(v, Rows) else _parsed(Rows.parse)(v)),
    PlainSerializer(_written),
]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class PositionLetters(_Part):
    """The machine's own letters for the four needle positions."""

    nwp: Name | None = Field(None, description="a short text, 1 to 40 characters")
    wp: Name | None = Field(None, description="a short text, 1 to 40 characters")
    uwp: Name | None = Field(None, description="a short text, 1 to 40 characters")
    hp: Name | None = Field(None, description="a short text, 1 to 40 characters")


class Machine(_Part):
    pitch_mm: Annotated[float, Field(ge=1, le=30, allow_inf_nan=False)] = Field(
        description="the distance between needles in mm, 1 to 30"
    )
    needles: Annotated[int, Field(ge=2, le=MOST_NEEDLES, multiple_of=2)] = Field(
        200, description=f"an even whole number, 2 to {MOST_NEEDLES}"
    )
    dial: Annotated[tuple[Size, Size], BeforeValidator(_pair)] = Field(
        (0.0, 10.0), description="the smallest and the largest stitch size, as [0.0, 10.0]"
    )
    dial_clicks: Annotated[int, Field(ge=1, le=20)] = Field(
        3, description="clicks between two whole numbers of the dial, 1 to 20"
    )
    carriage: Literal["left", "right"] = Field("right", description='"left" or "right"')
    counter_trip: Literal["centre", "left end", "right end"] | NeedleField | None = Field(
        None, description='"centre", "left end", "right end" or a needle as "R12"'
    )
    position_letters: PositionLetters = Field(
        default_factory=PositionLetters, description="a table with some of nwp, wp, uwp, hp"
    )

    @property
    def bed(self) -> Span:
        """All needles of the machine."""
        return Span(Needle(-self.needles // 2), Needle(self.needles // 2 - 1))

    @property
    def side(self) -> Side:
        """Where the carriage stands before row 1."""
        return Side(self.carriage)


class Tools(_Part):
    prongs: list[Annotated[int, Field(ge=1, le=20)]] | None = Field(
        None, max_length=100, description="a list with one number of prongs a tool, each 1 to 20, at most 100"
    )


class Yarn(_Part):
    name: Name | None = Field(
        None, description="a short text, 1 to 40 characters: a yarn of the drawer, whose crossings set the reach limit"
    )
    fibre: Name | None = Field(None, description='the name of a fibre, as "wool" or "cotton"')
    extension_at_break: Annotated[float, Field(gt=0, le=2, allow_inf_nan=False)] | None = Field(
        None, description="a part of the length, above 0 and at most 2 (0.3 is 30 %)"
    )
    tex: Annotated[float, Field(ge=1, le=20_000, allow_inf_nan=False)] | None = Field(
        None, description="grams in 1000 m, 1 to 20000"
    )
    count: Name | None = Field(None, description='a yarn count as "2/8 Nm", "Ne 20/2" or "280 tex"')
    loop_mm: dict[str, Annotated[float, Field(gt=0, le=200, allow_inf_nan=False)]] = Field(
        {},
        max_length=50,
        description='yarn in one loop in mm (above 0, at most 200), by stitch size, as { "5" = 12.0 }, at most 50',
    )

    @model_validator(mode="after")
    def _one_of(self) -> Yarn:
        if self.tex is not None and self.count is not None:
            raise at("count", "tex and count are both given; keep one")
        return self


class Gauge(_Part):
    stitches_per_10cm: Annotated[float, Field(ge=1, le=300, allow_inf_nan=False)] = Field(
        description="stitches in 10 cm, 1 to 300"
    )
    rows_per_10cm: Annotated[float, Field(ge=1, le=400, allow_inf_nan=False)] = Field(
        description="rows in 10 cm, 1 to 400"
    )


class Panel(_Part):
    needles: SpanField = Field(description='a span of needles written left to right, as "L24-R24"')
    rows: Annotated[int, Field(ge=1, le=MOST_ROWS)] = Field(description=f"a whole number, 1 to {MOST_ROWS:,}")
    stitch_size: Size = Field(description="a size on the dial")
    out_of_work: list[NeedleField] = Field(
        [],
        max_length=MOST_NEEDLES,
        description=f'a list of needles, as ["L9", "R9"], at most {MOST_NEEDLES}',
    )
    weights_every: Annotated[int, Field(ge=1, le=MOST_ROWS)] | None = Field(
        None, description="rows between moving the weights up, 1 or more"
    )


EaseName = Literal["plain", "enlarge", "extra rows", "by hand", "auto"]
_EASE = '"plain", "enlarge", "extra rows", "by hand", "auto", or ["enlarge", "extra rows"]'
RowNumber = Annotated[int, Field(ge=1, le=MOST_ROWS)]


class Cable(_Part):
    name: Name = Field(description="a short text, 1 to 40 characters")
    cross: CrossingField | Annotated[list[CrossingField], Field(min_length=1, max_length=100)] = Field(
        description='a crossing as "R1-R3 over L3-L1", or a list of them taken in turn, at most 100'
    )
    first_row: RowNumber = Field(description=f"a whole number, 1 to {MOST_ROWS:,}")
    every: RowNumber | None = Field(None, description=f"a whole number, 1 to {MOST_ROWS:,}")
    times: RowNumber | None = Field(None, description=f"a whole number, 1 to {MOST_ROWS:,}")
    ease: EaseName | list[EaseName] = Field("plain", description=_EASE)
    enlarged_size: Size | None = Field(None, description="a size on the dial, larger than the panel's")
    extra_rows: Annotated[int, Field(ge=2, le=40), AfterValidator(_even)] | None = Field(
        None, description="an even whole number, 2 to 40"
    )

    @model_validator(mode="after")
    def _complete(self) -> Cable:
        if len(self.eases) != 1 and self.eases != {"enlarge", "extra rows"}:
            raise at("ease", 'only "enlarge" and "extra rows" combine in ease')
        if "enlarge" in self.eases and self.enlarged_size is None:
            raise at("enlarged_size", 'ease "enlarge" needs enlarged_size, the dial size for the half behind')
        if "extra rows" in self.eases and self.extra_rows is None:
            raise at("extra_rows", 'ease "extra rows" needs extra_rows, an even number for the half in front')
        if self.every is None and (self.times or 1) > 1:
            raise at("every", "times needs every, the rows from one crossing to the next")
        return self

    @field_serializer("cross")
    def _as_written(self, cross: Crossing | list[Crossing]) -> str | list[str]:
        return str(cross) if isinstance(cross, Crossing) else list(map(str, cross))

    @property
    def eases(self) -> frozenset[str]:
        return frozenset([self.ease] if isinstance(self.ease, str) else self.ease)

    @property
    def crossings(self) -> tuple[Crossing, ...]:
        """The crossings taken in turn, one or more."""
        return (self.cross,) if isinstance(self.cross, Crossing) else tuple(self.cross)


class Band(_Part):
    rows: RowsField = Field(description='a span of rows, as "1-20"')
    stitch_size: Size | None = Field(None, description="a size on the dial")
    colour: Name | None = Field(None, description="a short text, 1 to 40 characters")

    @model_validator(mode="after")
    def _something(self) -> Band:
        if self.stitch_size is None and self.colour is None:
            raise at("stitch_size", "a band sets stitch_size or colour or both")
        return self


class Reminder(_Part):
    text: Line = Field(description="a text of one line, 1 to 200 characters")
    row: RowNumber | None = Field(None, description=f"a whole number, 1 to {MOST_ROWS:,}")
    first_row: RowNumber | None = Field(None, description=f"a whole number, 1 to {MOST_ROWS:,}")
    every: RowNumber | None = Field(None, description=f"a whole number, 1 to {MOST_ROWS:,}")
    times: RowNumber | None = Field(None, description=f"a whole number, 1 to {MOST_ROWS:,}")

    @model_validator(mode="after")
    def _when(self) -> Reminder:
        if (self.row is None) == (self.first_row is None):
            raise at("row", "a reminder gives either row, or first_row with every")
        if self.row is not None and (self.every is not None or self.times is not None):
            raise at("row", "every and times go with first_row, not with row")
        if self.every is None and (self.times or 1) > 1:
            raise at("every", "times needs every, the rows from one reminder to the next")
        return self


class Plan(_Part):
    format: Annotated[int, Field(ge=1, le=1)] = Field(description="1")
    title: Line = Field(description="a text of one line, 1 to 200 characters")
    notes: Prose = Field("", description="a text, at most 10,000 characters")
    machine: Machine = Field(description="a table with at least pitch_mm")
    tools: Tools = Field(default_factory=Tools, description="a table with prongs")
    yarn: Yarn = Field(default_factory=Yarn, description="a table with fibre, tex or count, loop_mm")
    gauge: Gauge | None = Field(None, description="a table with stitches_per_10cm and rows_per_10cm")
    panel: Panel = Field(description="a table with needles, rows and stitch_size")
    cable: list[Cable] = Field([], max_length=MOST_ENTRIES, description=f"at most {MOST_ENTRIES} [[cable]] tables")
    band: list[Band] = Field([], max_length=MOST_ENTRIES, description=f"at most {MOST_ENTRIES} [[band]] tables")
    reminder: list[Reminder] = Field(
        [], max_length=MOST_ENTRIES, description=f"at most {MOST_ENTRIES} [[reminder]] tables"
    )

    @model_validator(mode="after")
    def _names(self) -> Plan:
        seen: set[str] = set()
        for cable in self.cable:
            if cable.name in seen:
                raise ValueError(f'two cables are named "{cable.name}"; give each its own name')
            seen.add(cable.name)
        if (count := sum(len(cable.crossings) for cable in self.cable)) > MOST_CROSSINGS:
            raise ValueError(f"the cables list {count} crossings; at most {MOST_CROSSINGS} can be listed in one plan")
        return self

    @property
    def in_work(self) -> tuple[Needle, ...]:
        """The panel's needles that knit, in bed order."""
        out = set(self.panel.out_of_work)
        return tuple(n for n in self.panel.needles if n not in out)
