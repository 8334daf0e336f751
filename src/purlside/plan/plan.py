"""What is wanted: the plan as the knitter wrote it, nothing worked out.

Each field says in its description what it allows; refusals, the drafting
table and the help quote that text. pydantic holds a value that is read to its
field's annotation (:mod:`purlside.files.allowed`); what only two values together
show (a crossing outside the panel, a size off the dial) is found by
:mod:`purlside.rows.checking`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal

from purlside.bed.needles import MOST_A_SIDE, Crossing, Needle, Side, Span, quoted
from purlside.text.harmless import shown as shown
from purlside.text.harmless import unprintable as unprintable

if TYPE_CHECKING:
    # Read by pydantic only, where a table is checked: a plan that is held costs nothing of it.
    from pydantic import AfterValidator, BeforeValidator, Field, PlainSerializer

    from purlside.files.allowed import (
        CrossingField,
        Line,
        Name,
        NeedleField,
        Prose,
        RowNumber,
        RowsField,
        Size,
        SpanField,
        TakeIn,
        as_written,
        even,
        pair,
    )

MOST_ROWS = 1_000_000
MOST_NEEDLES = 2 * MOST_A_SIDE
MOST_CROSSINGS = 1000
MOST_ENTRIES = 500
"""Cables, bands or reminders in one plan. A limit of ours, far above any panel known to be knit."""

CLICK_SLACK = 0.15
"""Part of a click that a size may be written off it: 5.3 is meant for 5⅓. A limit of ours."""


def at(why: str, *key: str | int) -> ValueError:
    """A reason that belongs to one key of a table, or of a table inside it, found only when the whole table is read."""
    from pydantic_core import PydanticCustomError

    return PydanticCustomError("at", "{why}", {"key": key, "why": why})


@dataclass(frozen=True, kw_only=True)
class Part:
    """A table of a file: a value, checked by :func:`purlside.files.allowed.checked` where it is read."""

    __pydantic_config__: ClassVar[dict[str, Any]] = {"extra": "forbid", "strict": True}

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: Any) -> dict[str, Any]:
        # Strict are its values; the table itself is read from a dict.
        return {**handler(source), "strict": False}


@dataclass(frozen=True)
class Rows:
    """Rows ``first`` to ``last``, both counted; written ``"1-20"`` or ``"8"``."""

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


@dataclass(frozen=True, kw_only=True)
class PositionLetters(Part):
    """The machine's own letters for the four needle positions."""

    nwp: Annotated[Name | None, Field(description="a short text, 1 to 40 characters")] = None
    wp: Annotated[Name | None, Field(description="a short text, 1 to 40 characters")] = None
    uwp: Annotated[Name | None, Field(description="a short text, 1 to 40 characters")] = None
    hp: Annotated[Name | None, Field(description="a short text, 1 to 40 characters")] = None


@dataclass(frozen=True, kw_only=True)
class Machine(Part):
    """The bed and its carriage. ``dial`` is the smallest and the largest stitch size."""

    pitch_mm: Annotated[
        float, Field(ge=1, le=30, allow_inf_nan=False, description="the distance between needles in mm, 1 to 30")
    ]
    needles: Annotated[
        int,
        Field(ge=2, le=MOST_NEEDLES, multiple_of=2, description=f"an even whole number, 2 to {MOST_NEEDLES}"),
    ] = 200
    dial: Annotated[
        tuple[Size, Size],
        BeforeValidator(pair),
        Field(description="the smallest and the largest stitch size, as [0.0, 10.0]"),
    ] = (0.0, 10.0)
    dial_clicks: Annotated[
        int, Field(ge=1, le=20, description="clicks between two whole numbers of the dial, 1 to 20")
    ] = 3
    carriage: Annotated[Literal["left", "right"], Field(description='"left" or "right"')] = "right"
    counter_trip: Annotated[
        Literal["centre", "left end", "right end"] | NeedleField | None,
        Field(description='"centre", "left end", "right end" or a needle as "R12"'),
    ] = None
    position_letters: Annotated[PositionLetters, Field(description="a table with some of nwp, wp, uwp, hp")] = field(
        default_factory=PositionLetters
    )

    @property
    def bed(self) -> Span:
        """All needles of the machine."""
        return Span(Needle(-self.needles // 2), Needle(self.needles // 2 - 1))

    @property
    def side(self) -> Side:
        """Where the carriage stands before row 1."""
        return Side(self.carriage)


@dataclass(frozen=True, kw_only=True)
class Tools(Part):
    """The transfer tools within reach, by their prongs; None where the plan does not say, then tools are not checked."""

    prongs: Annotated[
        list[Annotated[int, Field(ge=1, le=20)]] | None,
        Field(max_length=100, description="a list with one number of prongs a tool, each 1 to 20, at most 100"),
    ] = None


@dataclass(frozen=True, kw_only=True)
class Yarn(Part):
    """What the panel is knit of: its weight as ``tex`` or ``count``, its stretch as ``fibre`` or ``extension_at_break``,
    its loops in mm by stitch size."""

    name: Annotated[
        Name | None,
        Field(description="a short text, 1 to 40 characters: the name of one of your yarns"),
    ] = None
    fibre: Annotated[Name | None, Field(description='the name of a fibre, as "wool" or "cotton"')] = None
    extension_at_break: Annotated[
        Annotated[float, Field(gt=0, le=2, allow_inf_nan=False)] | None,
        Field(description="a part of the length, above 0 and at most 2 (0.3 is 30 %)"),
    ] = None
    tex: Annotated[
        Annotated[float, Field(ge=1, le=20_000, allow_inf_nan=False)] | None,
        Field(description="grams in 1000 m, 1 to 20000"),
    ] = None
    count: Annotated[Name | None, Field(description='a yarn count as "2/8 Nm", "Ne 20/2" or "280 tex"')] = None
    reach_limit: Annotated[
        Annotated[float, Field(gt=0, le=20, allow_inf_nan=False)] | None,
        Field(description="the reach up to which a crossing goes over in this yarn, above 0 and at most 20"),
    ] = None
    loop_mm: Annotated[
        dict[str, Annotated[float, Field(gt=0, le=200, allow_inf_nan=False)]],
        Field(
            max_length=50,
            description='yarn in one loop in mm (above 0, at most 200), by stitch size, as { "5" = 12.0 }, at most 50',
        ),
    ] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.tex is not None and self.count is not None:
            raise at("tex and count are both given; keep one", "count")


_TAKE_IN = "the width of a cable over its stitches knit plain, 0.5 to 1.2"


@dataclass(frozen=True, kw_only=True)
class Gauge(Part):
    """Stitches and rows of the knitter's own swatch. ``stitch_size`` None: it was knit at the panel's.

    ``cable_take_in`` is the width of a cable over the width of its stitches knit plain.
    """

    stitches_per_10cm: Annotated[
        float, Field(ge=1, le=300, allow_inf_nan=False, description="stitches in 10 cm, 1 to 300")
    ]
    rows_per_10cm: Annotated[float, Field(ge=1, le=400, allow_inf_nan=False, description="rows in 10 cm, 1 to 400")]
    stitch_size: Annotated[Size | None, Field(description="the size on the dial the swatch was knit at")] = None
    cable_take_in: Annotated[TakeIn | None, Field(description=_TAKE_IN)] = None


@dataclass(frozen=True, kw_only=True)
class Panel(Part):
    """The needles and rows to be knit; a ladder stands where a needle is out of work."""

    needles: Annotated[SpanField, Field(description='a span of needles written left to right, as "L24-R24"')]
    rows: Annotated[int, Field(ge=1, le=MOST_ROWS, description=f"a whole number, 1 to {MOST_ROWS:,}")]
    stitch_size: Annotated[Size, Field(description="a size on the dial")]
    out_of_work: Annotated[
        list[NeedleField],
        Field(max_length=MOST_NEEDLES, description=f'a list of needles, as ["L9", "R9"], at most {MOST_NEEDLES}'),
    ] = field(default_factory=list)
    weights_every: Annotated[RowNumber | None, Field(description="rows between moving the weights up, 1 or more")] = (
        None
    )


EaseName = Literal["plain", "enlarge", "extra rows", "by hand", "auto"]
_EASE = '"plain", "enlarge", "extra rows", "by hand", "auto", or ["enlarge", "extra rows"]'


@dataclass(frozen=True, kw_only=True)
class Cable(Part):
    """One cable: what is crossed, in which rows, and how the crossing is made easier.

    It is crossed after ``first_row`` and every ``every`` rows, ``times`` times or to the panel's end; without ``every``
    once. Raises ValueError for an ease that lacks its size or its rows.
    """

    name: Annotated[Name, Field(description="a short text, 1 to 40 characters")]
    cross: Annotated[
        CrossingField | Annotated[list[CrossingField], Field(min_length=1, max_length=100)],
        PlainSerializer(as_written),
        Field(description='a crossing as "R1-R3 over L3-L1", or a list of them taken in turn, at most 100'),
    ]
    first_row: Annotated[RowNumber, Field(description=f"a whole number, 1 to {MOST_ROWS:,}")]
    every: Annotated[RowNumber | None, Field(description=f"a whole number, 1 to {MOST_ROWS:,}")] = None
    times: Annotated[RowNumber | None, Field(description=f"a whole number, 1 to {MOST_ROWS:,}")] = None
    ease: Annotated[EaseName | list[EaseName], Field(description=_EASE)] = "plain"
    enlarged_size: Annotated[Size | None, Field(description="a size on the dial, larger than the panel's")] = None
    extra_rows: Annotated[
        Annotated[int, Field(ge=2, le=40), AfterValidator(even)] | None,
        Field(description="an even whole number, 2 to 40"),
    ] = None
    take_in: Annotated[TakeIn | None, Field(description=_TAKE_IN)] = None

    def __post_init__(self) -> None:
        if len(self.eases) != 1 and self.eases != {"enlarge", "extra rows"}:
            raise at('only "enlarge" and "extra rows" combine in ease', "ease")
        if "enlarge" in self.eases and self.enlarged_size is None:
            raise at('ease "enlarge" needs enlarged_size, the dial size for the half behind', "enlarged_size")
        if "extra rows" in self.eases and self.extra_rows is None:
            raise at('ease "extra rows" needs extra_rows, an even number for the half in front', "extra_rows")
        if self.every is None and (self.times or 1) > 1:
            raise at("times needs every, the rows from one crossing to the next", "every")

    @property
    def eases(self) -> frozenset[str]:
        return frozenset([self.ease] if isinstance(self.ease, str) else self.ease)

    @property
    def crossings(self) -> tuple[Crossing, ...]:
        """The crossings taken in turn, one or more."""
        return (self.cross,) if isinstance(self.cross, Crossing) else tuple(self.cross)


@dataclass(frozen=True, kw_only=True)
class Band(Part):
    """Rows of another stitch size or colour; of bands that overlap the later counts."""

    rows: Annotated[RowsField, Field(description='a span of rows, as "1-20"')]
    stitch_size: Annotated[Size | None, Field(description="a size on the dial")] = None
    colour: Annotated[Name | None, Field(description="a short text, 1 to 40 characters")] = None

    def __post_init__(self) -> None:
        if self.stitch_size is None and self.colour is None:
            raise at("a band sets stitch_size or colour or both", "stitch_size")


@dataclass(frozen=True, kw_only=True)
class Reminder(Part):
    """A text to be told before a row, or before rows that repeat as a cable's do."""

    text: Annotated[Line, Field(description="a text of one line, 1 to 200 characters")]
    row: Annotated[RowNumber | None, Field(description=f"a whole number, 1 to {MOST_ROWS:,}")] = None
    first_row: Annotated[RowNumber | None, Field(description=f"a whole number, 1 to {MOST_ROWS:,}")] = None
    every: Annotated[RowNumber | None, Field(description=f"a whole number, 1 to {MOST_ROWS:,}")] = None
    times: Annotated[RowNumber | None, Field(description=f"a whole number, 1 to {MOST_ROWS:,}")] = None

    def __post_init__(self) -> None:
        if (self.row is None) == (self.first_row is None):
            raise at("a reminder gives either row, or first_row with every", "row")
        if self.row is not None and (self.every is not None or self.times is not None):
            raise at("every and times go with first_row, not with row", "row")
        if self.every is None and (self.times or 1) > 1:
            raise at("times needs every, the rows from one reminder to the next", "every")


@dataclass(frozen=True, kw_only=True)
class Wanted(Part):
    """The size the finished panel shall have, in cm; None where any will do."""

    width_cm: Annotated[
        Annotated[float, Field(gt=0, le=2000, allow_inf_nan=False)] | None,
        Field(description="the finished width in cm, above 0 and at most 2000"),
    ] = None
    length_cm: Annotated[
        Annotated[float, Field(gt=0, le=2000, allow_inf_nan=False)] | None,
        Field(description="the finished length in cm, above 0 and at most 2000"),
    ] = None


@dataclass(frozen=True, kw_only=True)
class Plan(Part):
    """The whole file. Raises ValueError for two cables of one name and for more crossings than a plan may list."""

    format: Annotated[int, Field(ge=1, le=1, description="1")]
    title: Annotated[Line, Field(description="a text of one line, 1 to 200 characters")]
    notes: Annotated[Prose, Field(description="a text, at most 10,000 characters")] = ""
    machine: Annotated[Machine, Field(description="a table with at least pitch_mm")]
    tools: Annotated[Tools, Field(description="a table with prongs")] = field(default_factory=Tools)
    yarn: Annotated[Yarn, Field(description="a table with fibre, tex or count, loop_mm")] = field(default_factory=Yarn)
    gauge: Annotated[Gauge | None, Field(description="a table with stitches_per_10cm and rows_per_10cm")] = None
    wanted: Annotated[Wanted | None, Field(description="a table with width_cm, length_cm or both")] = None
    panel: Annotated[Panel, Field(description="a table with needles, rows and stitch_size")]
    cable: Annotated[
        list[Cable], Field(max_length=MOST_ENTRIES, description=f"at most {MOST_ENTRIES} [[cable]] tables")
    ] = field(default_factory=list)
    band: Annotated[
        list[Band], Field(max_length=MOST_ENTRIES, description=f"at most {MOST_ENTRIES} [[band]] tables")
    ] = field(default_factory=list)
    reminder: Annotated[
        list[Reminder], Field(max_length=MOST_ENTRIES, description=f"at most {MOST_ENTRIES} [[reminder]] tables")
    ] = field(default_factory=list)

    def __post_init__(self) -> None:
        seen: set[str] = set()
        listed = 0
        for i, cable in enumerate(self.cable):
            if cable.name in seen:
                raise at(f'two cables are named "{cable.name}"; give each its own name', "cable", i, "name")
            seen.add(cable.name)
            listed += len(cable.crossings)
            if listed > MOST_CROSSINGS:
                raise at(
                    f"the cables of one plan list at most {MOST_CROSSINGS} crossings together", "cable", i, "cross"
                )

    @property
    def in_work(self) -> tuple[Needle, ...]:
        """The panel's needles that knit, in bed order."""
        out = set(self.panel.out_of_work)
        return tuple(n for n in self.panel.needles if n not in out)
