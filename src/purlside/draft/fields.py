"""Fields: every value of a plan as a line of text one may type, and back.

A field's text is what stands in the plan file, without quotes and brackets.
:func:`apply` takes the text into the plan, or says as problems what is wrong
with it; a table that needs two values at once (a gauge, an ease with its size)
is filled as soon as both are typed, in any order.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from purlside.draft.hearing import CM, value_of
from purlside.plan.checked import Checked, kinds, needed
from purlside.plan.checked import table as table_of
from purlside.plan.kinds import Allowed, ByName, Either, ListOf, Number, OneOf, OneOrMore, Text, Whole, YesNo
from purlside.plan.plan import Plan
from purlside.plan.problems import Key, Problem, Unfit
from purlside.text.harmless import shown
from purlside.values import Value

Read = Callable[[str], Any]


class Field(Value):
    """One value of a plan: where, what it is called on screen, and what is in it as text (empty: not given)."""

    key: Key
    label: str
    text: str
    allowed: str

    @property
    def table(self) -> Key:
        return self.key[:-1]


def _prose(text: str) -> Any:
    r"""Notes on one line, ``\n`` for the end of a line, as in the plan file."""
    return re.sub(r"\\(.)", lambda match: {"n": "\n", "t": "\t"}.get(match[1], match[1]), text)


def _on_one_line(text: str) -> str:
    return text.replace("\\", "\\\\").replace("\n", "\\n").replace("\t", "\\t")


def _whole(text: str) -> Any:
    plain = text.replace(",", "")
    return int(plain) if re.fullmatch(r"[+-]?\d{1,12}", plain, re.ASCII) else text


def _number(text: str) -> Any:
    """A number as on the dial or a tape: 5, 4.5, 4⅓."""
    for third, value in (("⅓", ".33"), ("⅔", ".67")):
        text = text.replace(third, value)
    return float(text) if re.fullmatch(r"[+-]?\d{0,12}\.?\d{0,12}", text, re.ASCII) and re.search(r"\d", text) else text


def _several(text: str, between: str) -> Any:
    """One value, or a list of them."""
    parts = [part.strip() for part in re.split(between, text) if part.strip()]
    return parts[0] if len(parts) == 1 else parts


def _dial(text: str) -> Any:
    ends = [part for part in re.split(r"\s*(?:-|–|to|,)\s*", text.strip()) if part]
    return [_number(part) for part in ends] if len(ends) == 2 else text


def _loops(text: str) -> Any:
    """``"5: 12, 9: 15.8"``: yarn in one loop by stitch size."""
    found: dict[str, Any] = {}
    for part in text.split(","):
        size, sign, mm = part.partition(":")
        if not sign:
            return text
        found[size.strip()] = _number(mm.strip())
    return found


def _length(text: str) -> Any:
    """Centimetres of ``"22"``, ``"22 cm"``, ``"9 in"``."""
    unit = re.sub(r"^[^a-z\"]*", "", text.lower()).strip()
    try:
        return value_of(text) * CM[unit] if unit in CM else _number(text)
    except ValueError:
        return text


def _read(kind: Allowed) -> Read:
    """How a key's text is read, by what it holds; a text of another kind stays a text, and is refused as one."""
    match kind:
        case Text(lines=True):
            return _prose
        case Whole() | Either():
            return _whole
        case Number():
            return _number
        case YesNo():
            return lambda text: {"yes": True, "true": True, "no": False, "false": False}.get(text.lower(), text)
        case ByName():
            return _loops
        case OneOrMore(item=OneOf()):
            return lambda text: _several(text, r",|\+|\band\b")
        case OneOrMore():
            return lambda text: _several(text, "[,;]")
        case ListOf(least=2):
            return _dial
        case ListOf(item=item):
            each = _read(item)
            return lambda text: [each(part) for part in re.split(r"[,\s]+", text.strip()) if part]
    return str


_LABELS: dict[tuple[str, str], str] = {
    ("yarn", "name"): "yarn",
    ("yarn", "extension_at_break"): "stretch at break",
    ("yarn", "loop_mm"): "loop mm by SS",
    ("gauge", "stitches_per_10cm"): "stitches in 10 cm",
    ("gauge", "rows_per_10cm"): "rows in 10 cm",
    ("gauge", "stitch_size"): "swatch's stitch size",
    ("wanted", "width_cm"): "wanted width cm",
    ("wanted", "length_cm"): "wanted length cm",
    ("tools", "prongs"): "tool prongs",
    ("machine", "needles"): "needles of the bed",
    ("machine", "dial_clicks"): "clicks a number",
    ("machine", "carriage"): "carriage starts",
    ("machine", "release_hold"): "hold lever",
    ("part", "name"): "part",
    ("shape", "edge"): "shape, edge",
    ("cable", "name"): "cable",
    ("stitch", "needles"): "stitch work on",
    ("band", "rows"): "band rows",
    ("reminder", "text"): "reminder",
}
"""What a field is called where its key is not name enough."""

_TABLES = ("panel", "gauge", "wanted", "yarn", "tools", "machine")
ENTRIES = ("part", "shape", "stitch", "band", "reminder")


def _shown(kind: type[Checked]) -> Iterator[tuple[str, Allowed]]:
    """The keys of a table that are fields: those that hold no tables, but for the number of the format."""
    return ((name, allowed) for name, allowed in kinds(kind).items() if not table_of(kind, name) and name != "format")


def fields(plan: Plan, cable: int | None = None) -> Iterator[Field]:
    """All fields of a plan; of the cables only the one in hand, which comes first."""
    if cable is not None and cable < len(plan.cable):
        yield from _of(("cable", cable), plan.cable[cable], type(plan.cable[cable]))
    for name in _TABLES:
        yield from _of((name,), getattr(plan, name), _kind(name))
    yield from _of((), plan, Plan)
    for name in ENTRIES:
        for i, part in enumerate(getattr(plan, name)):
            yield from _of((name, i), part, type(part))


def field(plan: Plan, key: Key) -> Field | None:
    """The field at a key, or None if the plan has no such place."""
    cable = key[1] if key[0] == "cable" and len(key) > 1 and isinstance(key[1], int) else None
    return next((found for found in fields(plan, cable) if found.key == key), None)


def _kind(name: str) -> type[Checked]:
    """The kind of a table, or of one table of a list of them."""
    kind = table_of(Plan, name)
    assert kind is not None
    return kind


def _of(table: Key, part: Checked | None, kind: type[Checked]) -> Iterator[Field]:
    for name, allowed in _shown(kind):
        value = getattr(part, name) if part is not None else None
        text = "" if value is None else text_of(name, allowed.written(value))
        label = _LABELS.get((_name(table), name), name.replace("_", " "))
        yield Field((*table, name), label, text, allowed.words)


def _name(table: Key) -> str:
    return str(table[0]) if table else "plan"


def text_of(name: str, value: Any) -> str:
    """A value of a plan file as typed."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, dict):
        return ", ".join(f"{size}: {text_of(name, mm)}" for size, mm in value.items())
    if isinstance(value, list):
        return (" to " if name == "dial" else ", ").join(text_of(name, each) for each in value)
    return _on_one_line(value) if name == "notes" else str(value)


def apply(plan: Plan, key: Key, text: str, waiting: Mapping[Key, str]) -> tuple[Plan | None, list[Problem]]:
    """The plan with a field's text taken in; or None and the problems with it.

    ``waiting`` are texts of the same table that could not be taken in yet;
    they are tried again with this one. Raises KeyError for a key of no field.
    """
    table = key[:-1]
    kind = _kind(_name(table)) if table else Plan
    reads = {name: _length if table == ("wanted",) else _read(allowed) for name, allowed in _shown(kind)}
    if key[-1] not in reads:
        raise KeyError(key)
    typed = {k[-1]: t for k, t in waiting.items() if k[:-1] == table} | {key[-1]: text}
    part = _part(plan, table)
    data = {} if part is None else {n: value for n in kinds(kind) if (value := getattr(part, n)) is not None}
    for name, its in typed.items():
        if its.strip():
            data[str(name)] = reads[str(name)](its if name in {"notes", "text", "title"} else its.strip())
        else:
            data.pop(str(name), None)
    if table in (("gauge",), ("wanted",)) and not data:
        return _put(plan, table, None), []
    words = kinds(kind)
    if missing := [name for name in words if name in needed(kind) and name not in data]:
        return None, [Problem((*table, name), "nothing", words[name].words, "it is required") for name in missing]
    try:
        new = kind(**data)
    except Unfit as unfit:
        return None, [p.under(*table) for p in unfit.problems]
    try:
        return _put(plan, table, new), []
    except Unfit as unfit:
        # Only several tables together are wrong: two cables of one name.
        return None, [Problem(key, f'"{shown(text)}"', words[str(key[-1])].words, unfit.why)]


def take(plan: Plan, into: Field, text: str, waiting: Mapping[Key, str]) -> tuple[Plan, dict[Key, str]]:
    """The plan and the texts still waiting, after one more text is typed: it is taken in, or waits as it is."""
    key = into.key
    others = {k: t for k, t in waiting.items() if k != key}
    if text == into.text:
        return plan, others
    new, _ = apply(plan, key, text, others)
    if new is not None:
        return new, {k: t for k, t in others.items() if k[:-1] != key[:-1]}
    # Alone it may be right though another text of its table waits for something else.
    new, _ = apply(plan, key, text, {})
    return (plan, {**others, key: text}) if new is None else (new, others)


def troubles(plan: Plan, typed: Mapping[Key, str]) -> dict[Key, Problem]:
    """What is wrong with each text that could not be taken in."""
    found: dict[Key, Problem] = {}
    for key, text in typed.items():
        _, problems = apply(plan, key, text, typed)
        found[key] = next((p for p in problems if p.key == key), problems[0] if problems else Problem(key, text, ""))
    return found


def without(typed: Mapping[Key, str], name: str, index: int) -> dict[Key, str]:
    """The texts that wait, once one table of a list is gone and those after it have moved up."""
    kept: dict[Key, str] = {}
    for key, text in typed.items():
        if key[0] != name or not isinstance(key[1], int):
            kept[key] = text
        elif key[1] != index:
            kept[name, key[1] - (key[1] > index), *key[2:]] = text
    return kept


def _part(plan: Plan, table: Key) -> Checked | None:
    part: Any = plan
    for step in table:
        part = part[step] if isinstance(step, int) else getattr(part, step)
    return part if isinstance(part, Checked) else None


def _put(plan: Plan, table: Key, new: Checked | None) -> Plan:
    if not table:
        assert isinstance(new, Plan)
        return new
    value: Any = new
    if len(table) > 1:
        value = list(getattr(plan, str(table[0])))
        value[int(table[1])] = new
    return replace(plan, **{str(table[0]): value})
