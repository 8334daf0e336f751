"""What the keys of a file allow: kinds of values in pydantic's terms, and tables checked by them.

Tables are plain dataclasses whose annotations name these kinds. pydantic is
imported here and where its errors are read, so that a plan which is only held
and knit needs none of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin, get_type_hints

from pydantic import AfterValidator, BeforeValidator, Field, PlainSerializer, PlainValidator, TypeAdapter
from pydantic import ValidationError as ValidationError
from pydantic.fields import FieldInfo

from purlside.bed.needles import Crossing, Needle, Span
from purlside.plan.plan import MOST_ROWS, Part, Rows
from purlside.text.harmless import MOST_MARKS, is_mark, unprintable

# --- kinds of values ----------------------------------------------------------


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
        if isinstance(value, (Needle, Span, Crossing, Rows)):
            return value
        raise ValueError("not a text in quotes")

    return read


def pair(value: Any) -> Any:
    """A TOML list as the tuple it is checked as."""
    return tuple(value) if isinstance(value, list) else value


def even(value: int) -> int:
    if value % 2:
        raise ValueError(
            "an odd number of extra rows gives that half an even number of rows, "
            "and the carriage would come out on the wrong side"
        )
    return value


def _written(value: Any) -> str:
    """As a function of ours: pydantic asks for the signature of a built-in type, and that is slow to find out."""
    return str(value)


def as_written(cross: Crossing | list[Crossing]) -> str | list[str]:
    return str(cross) if isinstance(cross, Crossing) else list(map(str, cross))


Line = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(_clean(lines=False))]
Name = Annotated[str, Field(min_length=1, max_length=40), AfterValidator(_clean(lines=False))]
Prose = Annotated[str, Field(max_length=10_000), AfterValidator(_clean(lines=True))]
NeedleField = Annotated[Needle, PlainValidator(_parsed(Needle.parse)), PlainSerializer(_written)]
SpanField = Annotated[Span, PlainValidator(_parsed(Span.parse)), PlainSerializer(_written)]
CrossingField = Annotated[Crossing, PlainValidator(_parsed(Crossing.parse)), PlainSerializer(_written)]
RowsField = Annotated[Rows, PlainValidator(_parsed(Rows.parse)), PlainSerializer(_written)]
Size = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
TakeIn = Annotated[float, Field(ge=0.5, le=1.2, allow_inf_nan=False)]
RowNumber = Annotated[int, Field(ge=1, le=MOST_ROWS)]

_KINDS: dict[str, Any] = {
    "AfterValidator": AfterValidator,
    "BeforeValidator": BeforeValidator,
    "Field": Field,
    "PlainSerializer": PlainSerializer,
    "CrossingField": CrossingField,
    "Line": Line,
    "Name": Name,
    "NeedleField": NeedleField,
    "Prose": Prose,
    "RowNumber": RowNumber,
    "RowsField": RowsField,
    "Size": Size,
    "SpanField": SpanField,
    "TakeIn": TakeIn,
    "as_written": as_written,
    "even": even,
    "pair": pair,
}
"""What the annotations of a table name and its own module holds only for the type checker."""

# --- tables -------------------------------------------------------------------

T = TypeVar("T", bound=Part)


_ADAPTERS: dict[type[Part], TypeAdapter[Any]] = {}
_ANNOTATIONS: dict[type[Part], dict[str, Any]] = {}


def _adapter(kind: type[Part]) -> TypeAdapter[Any]:
    if kind not in _ADAPTERS:
        adapter = TypeAdapter(kind)
        adapter.rebuild(force=True, raise_errors=True, _types_namespace=_KINDS)
        _ADAPTERS[kind] = adapter
    return _ADAPTERS[kind]


def checked(kind: type[T], data: Mapping[str, Any]) -> T:
    """A table from a file's data, or from values already checked. Raises pydantic's ValidationError."""
    table: T = _adapter(kind).validate_python(data)
    return table


def dumped(part: Part, *, defaults: bool = True) -> dict[str, Any]:
    """A table as a file's data: texts, numbers, lists; without what is not given, or is so by default."""
    data: dict[str, Any] = _adapter(type(part)).dump_python(
        part, mode="json", exclude_none=True, exclude_defaults=not defaults
    )
    return data


def _annotations(kind: type[Part]) -> dict[str, Any]:
    if kind not in _ANNOTATIONS:
        hints = get_type_hints(kind, localns=_KINDS, include_extras=True)
        _ANNOTATIONS[kind] = {name: hints[name] for name in names(kind)}
    return _ANNOTATIONS[kind]


def names(kind: type[Part]) -> list[str]:
    """The keys of a table, in the order they are usually written."""
    return [field.name for field in fields(kind)]


def allowed(kind: type[Part], name: str) -> str:
    """What a key allows: its field's description; empty where there is none."""
    for about in reversed(getattr(_annotations(kind).get(name), "__metadata__", ())):
        if isinstance(about, FieldInfo) and about.description:
            return about.description
    return ""


def table(kind: type[Part], name: str) -> type[Part] | None:
    """The kind of table, or of a list of tables, that a key holds; None where it holds something else."""
    return next(iter(_tables(_annotations(kind).get(name))), None)


def _tables(annotation: Any) -> list[type[Part]]:
    if isinstance(annotation, type) and issubclass(annotation, Part):
        return [annotation]
    if get_origin(annotation) in (Union, UnionType, list, Annotated, dict, tuple):
        return [found for inside in get_args(annotation) for found in _tables(inside)]
    return []
