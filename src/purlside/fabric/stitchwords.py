"""The words of one written row: k and p, cables, repeats and brackets, read and worked against the stitches there are.

Standard hand-knitting abbreviations (Craft Yarn Council list; what it has not, from memory)::

    *p2, 3/3 RC, p2, k4; rep from * to last 2 sts, p2
    [k1, p1] twice, C6F, k to end
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import field

from purlside.fabric.written import WrittenCross, cross
from purlside.values import Value, dataclass

MOST_WORKED = 2000
"""Stitches of one row. A limit of ours, far above any bed's needles."""
MOST_DEEP = 20
"""Brackets inside brackets. A limit of ours."""


class Misread(ValueError):
    """What cannot be read or does not come out; ``at`` is the place in the row's text, ``found`` what stands there."""

    def __init__(self, at: int, found: str, why: str) -> None:
        self.at, self.found, self.why = at, found, why
        super().__init__(why)


class _Known(Value):
    """What takes so many stitches and leaves these ``faces``: plain ones, a ``cross``, or what a single bed does not make.

    Of the last ``left_out`` says the word, and why.
    """

    takes: int
    faces: str
    at: int
    cross: WrittenCross | None = None
    left_out: tuple[str, str] | None = None


class _Open(Value):
    """Stitches of one face to the end, or to the ``last`` few."""

    face: str
    last: int | None
    at: int


class _Group(Value):
    """Worked ``times`` times; without a number until ``last`` stitches are left, or those that what follows takes."""

    items: tuple[_Item, ...]
    times: int | None
    last: int | None = None
    unsure: bool = False
    at: int = 0


_Item = _Known | _Open | _Group


@dataclass
class Worked:
    """A row worked: a face for each stitch in the order worked, cables by the stitch they begin at, what was left out."""

    faces: str = ""
    crossed: list[tuple[int, WrittenCross]] = field(default_factory=list)
    left_out: dict[int, tuple[str, str]] = field(default_factory=dict)
    taken: int = 0


class RowWords(Value):
    """A row's words, read but not yet worked. ``stated`` is the stitch count the row itself ends with, if any."""

    items: tuple[_Item, ...]
    stated: int | None

    def least(self) -> tuple[int, int]:
        """Stitches it takes at least, with each open repeat worked once, and how many one repeat more takes."""
        return _least(self.items), next(
            (_least(i.items) for i in self.items if isinstance(i, _Group) and i.times is None), 0
        )

    @property
    def settles(self) -> bool:
        """Whether its words alone tell a number of stitches."""
        return not any(isinstance(i, _Open) for i in self.items)

    def worked(self, stitches: int) -> Worked:
        """The row worked over so many stitches. Raises Misread where it does not come out."""
        for sure in (True, False):
            made = Worked()
            try:
                _work(self.items, stitches, 0, made, sure)
            except Misread:
                if not sure or not _unsure(self.items):
                    raise
                continue
            if made.taken == stitches:
                return made
            if not sure or not _unsure(self.items):
                break
        raise Misread(0, "", f"works {made.taken} of {stitches} stitches")


def _unsure(items: Sequence[_Item]) -> bool:
    return any(isinstance(i, _Group) and (i.unsure or _unsure(i.items)) for i in items)


def _least(items: Sequence[_Item]) -> int:
    total = 0
    for item in items:
        if isinstance(item, _Group):
            total += _least(item.items) * (1 if item.times is None else item.times)
        elif isinstance(item, _Known):
            total += item.takes
    return total


def _work(items: Sequence[_Item], stitches: int, after: int, made: Worked, sure: bool) -> None:
    """Work ``items`` into ``made``; ``after`` stitches are wanted by what follows outside. Raises Misread."""
    for i, item in enumerate(items):
        left = stitches - made.taken
        following = after + _least(items[i + 1 :])
        if isinstance(item, _Group):
            _work_group(item, stitches, following, made, sure)
            continue
        if isinstance(item, _Open):
            wanted = left - (following if item.last is None else item.last)
            faces = item.face * wanted
        else:
            wanted, faces = item.takes, item.faces
            if item.cross is not None:
                made.crossed.append((len(made.faces), item.cross))
            if item.left_out is not None:
                made.left_out[item.at] = item.left_out
        if not 0 <= wanted <= left:
            known = item.takes if isinstance(item, _Known) else 0
            raise Misread(item.at, "", f"wants {known or following} stitches where {left} are left")
        made.faces += faces
        made.taken += wanted


def _work_group(group: _Group, stitches: int, following: int, made: Worked, sure: bool) -> None:
    unit = _least(group.items)
    if group.times is not None:
        for _ in range(group.times - (1 if group.unsure and not sure else 0)):
            _work(group.items, stitches, following, made, sure)
        return
    keep = following if group.last is None else group.last
    while stitches - made.taken - keep >= unit > 0:
        _work(group.items, stitches, following, made, sure)
    if stitches - made.taken != keep:
        raise Misread(
            group.at, "", f"a repeat of {unit} does not come out: {stitches - made.taken} stitches left, {keep} wanted"
        )


# --- reading ------------------------------------------------------------------

_WORDS = ("once", "twice", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_NUMBERS = {word: n for n, word in enumerate(_WORDS, 1)}
_N = rf"(?:\d{{1,4}}|{'|'.join(_NUMBERS)})"
_STS = r"(?:\s*(?:sts?|stitch(?:es)?)\b)?"
_END = (
    rf"(?:rep(?:eat(?:ed)?)?\s+)?(?:(?P<end>(?:to\s+(?:the\s+)?end|around)(?:\s+of\s+(?:the\s+)?(?:row|round|rnd))?|across(?:\s+(?:the\s+)?(?:row|round|rnd))?|all\b{_STS})"
    rf"|(?:to|until)\s+(?:the\s+)?last\s+(?P<last>{_N}{_STS}|st(?:itch)?\b)|until\s+(?P<rest>{_N}){_STS}\s+rem(?:ain)?s?)"
)
_BLANK = re.compile(r"\s+")
_SKIP = re.compile(
    r"(?:[\s,;.:]|(?:and|then|ending|end|with|next|row|work(?!\s*(?:from|between))|over(?:\s+the)?\s+next\s+\d+\s*sts)\b)+",
    re.I,
)
_STATED = re.compile(
    r"[\[(]\s*(\d{1,4})\s*(?:sts?|stitches)\b[^\])]*[\])]|[-=]+\s*(\d{1,4})\s*(?:sts?|stitches)\b", re.I
)
_REP = re.compile(
    r"(?:rep(?:eat)?s?|work)\s*(?:from|between)?\s*(?:the\s+)?\*+\s*(?:s|'s)?(?:\s*to\s*\*+)?\s*,?\s*", re.I
)
_EXTENT = re.compile(_END, re.I)
_TIMES = re.compile(
    rf"(?:x\s*(?P<x>\d{{1,4}})|(?P<n>{_N})(?:\s+(?P<more1>more))?\s+times?(?:\s+(?P<more2>more|in all|in total|altogether))?"
    r"|(?P<w>once|twice)(?:\s+(?P<more3>more))?)(?![\w/])",
    re.I,
)
_KP = re.compile(rf"(?P<face>knit|purl|k|p)\s*(?P<n>\d{{1,4}})?{_STS}(?:\s+(?:{_END}))?(?![\w/])", re.I)
_CROSS = re.compile(
    r"\d{1,2}\s*/\s*\d{1,2}(?:\s*/\s*\d{1,2})?\s*-?\s*[RL]\s*P?\s*[CT](?![\w/])|[CT]\s?\d{1,2}\s?[FB](?![\w/])|[RL]T(?![\w/])",
    re.I,
)
_TRANSFER = "; on the bed that is a transfer, not a cable"
_OTHERS: tuple[tuple[str, int, int, str], ...] = (
    (r"(?:yo|yrn|yfwd|yon|yf|m1[lrp]?|make\s+1)", 0, 1, f"a hole or a stitch made{_TRANSFER}"),
    (r"(?:[kp]3tog(?:\s*tbl)?|sssk|sk2po?|s2kp|cdd)", 3, 1, f"a decrease{_TRANSFER}"),
    (r"(?:[kp]2tog(?:\s*-?\s*tbl)?|ssk|ssp|skpo?)", 2, 1, f"a decrease{_TRANSFER}"),
    (r"(?:[kp]fb|inc)", 1, 2, f"an increase{_TRANSFER}"),
    (r"(?:mb|bobble|make\s+bobble)", 1, 1, "a bobble; it is knit plain"),
)
_TBL = re.compile(r"([kp])\s*(\d{0,3})\s*-?\s*(?:tbl|b)(?![\w/])", re.I)
_SLIP = re.compile(r"sl(?:ip)?\s*(\d{0,3})(?:\s*(?:wyi[fb]|purlwise|knitwise|pwise|kwise))*(?![\w/])", re.I)
_OTHER = tuple((re.compile(rf"{text}(?![\w/])", re.I), takes, gives, why) for text, takes, gives, why in _OTHERS)


def read_row(text: str, own: Mapping[str, WrittenCross] | None = None) -> RowWords:
    """The words of a row; ``own`` are cables that the pattern itself explains. Raises Misread."""
    reader = _Reader(text, own or {})
    return RowWords(tuple(reader.items("", 0)), reader.stated)


class _Reader:
    def __init__(self, text: str, own: Mapping[str, WrittenCross]) -> None:
        self.text, self.pos = text, 0
        self.stated: int | None = None
        self._own = [
            (re.compile(r"\s*".join(map(re.escape, word.split())) + r"(?![\w/])", re.I), made)
            for word, made in sorted(own.items(), key=lambda each: -len(each[0]))
        ]

    def _take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        match = pattern.match(self.text, self.pos)
        if match:
            self.pos = match.end()
        return match

    def items(self, close: str, deep: int) -> list[_Item]:
        """Items up to the bracket that closes them, or to the end."""
        if deep > MOST_DEEP:
            raise Misread(self.pos, self.text[self.pos], f"brackets more than {MOST_DEEP} deep")
        found: list[_Item] = []
        star: int | None = None
        while True:
            self._take(_SKIP)
            at = self.pos
            if at >= len(self.text):
                if close:
                    raise Misread(at, close, "a bracket is not closed")
                return found
            char = self.text[at]
            if stated := self._take(_STATED):
                self.stated = int(stated[1] or stated[2])
            elif char == "*":
                while self.pos < len(self.text) and self.text[self.pos] == "*":
                    self.pos += 1
                star = len(found) if star is None or star == len(found) else star
            elif self._take(_REP):
                if star is None:
                    raise Misread(at, "rep from *", "there is no * to repeat from")
                unit, found[star:] = tuple(found[star:]), []
                found.append(self._group(unit, at, again=True))
                star = None
            elif char in "[({":
                self.pos += 1
                inside = tuple(self.items({"[": "]", "(": ")", "{": "}"}[char], deep + 1))
                self._take(_SKIP)
                found.append(self._group(inside, at, again=False))
            elif char in "])}":
                if char != close:
                    raise Misread(at, char, "a bracket closes that was not opened")
                self.pos += 1
                return found
            else:
                found.append(self._stitches(at))

    def _group(self, unit: tuple[_Item, ...], at: int, *, again: bool) -> _Item:
        """A repeat's items with how often they are worked; ``again`` after "rep from *", where once is worked already."""
        if not _least(unit):
            raise Misread(at, self.text[at : at + 20], "a repeat that works no stitches")
        if extent := self._take(_EXTENT):
            return _Group(unit, None, _number(extent["last"] or extent["rest"]), at=at)
        if times := self._take(_TIMES):
            n = self._times(times, unit, at)
            more = times["more1"] or times["more2"] or times["more3"]
            if not again:
                return _Group(unit, n, at=at)
            exact = (more or "").lower() in ("in all", "in total", "altogether")
            return _Group(unit, n if exact else n + 1, unsure=not more, at=at)
        return _Group(unit, None if again else 1, at=at)

    def _stitches(self, at: int) -> _Item:
        item = self._one(at)
        if isinstance(item, _Open):
            return item
        end = self.pos
        self._take(_BLANK)
        if times := self._take(_TIMES):
            return _Group((item,), self._times(times, (item,), at), at=at)
        self.pos = end
        return item

    def _times(self, times: re.Match[str], unit: tuple[_Item, ...], at: int) -> int:
        """How often some items are worked. Raises Misread for too many stitches."""
        n = _number(times["x"] or times["n"] or times["w"]) or 0
        if n * _least(unit) > MOST_WORKED:
            raise Misread(at, times[0], f"more than {MOST_WORKED:,} stitches")
        return n

    def _one(self, at: int) -> _Item:
        for pattern, made in self._own:
            if self._take(pattern):
                return _Known(made.width, made.faces, at, made)
        if match := self._take(_CROSS):
            try:
                made = cross(match[0])
                return _Known(made.width, made.faces, at, made)
            except ValueError as error:
                parts = [int(n) for n in re.findall(r"\d+", match[0])]
                if match[0].count("/") == 2:
                    why = "three strands change places at once, and one bed crosses two; it is knit plain"
                    return _Known(sum(parts), "k" * sum(parts), at, left_out=(match[0], why))
                raise Misread(at, match[0], str(error).split(": ", 1)[-1]) from None
        for pattern, takes, gives, why in _OTHER:
            if match := self._take(pattern):
                return _Known(takes, "k" * gives, at, left_out=(match[0], why))
        if match := self._take(_TBL):
            faces = match[1].lower() * int(match[2] or 1)
            return _Known(len(faces), faces, at, left_out=(match[0], "twisted stitches are knit plain"))
        if match := self._take(_SLIP):
            n = int(match[1] or 1)
            return _Known(n, "k" * n, at, left_out=(match[0], "slipped stitches are knit"))
        if match := self._take(_KP):
            face = match["face"].lower()
            last = _number(match["last"] or match["rest"])
            if match["end"] or last is not None or (len(face) > 1 and not match["n"]):
                return _Open(face[0], last, at)
            count = int(match["n"] or 1)
            if count > MOST_WORKED:
                raise Misread(at, match[0], f"more than {MOST_WORKED:,} stitches")
            return _Known(count, face[0] * count, at)
        word = re.match(r"[^\s,;]+", self.text[at:])
        raise Misread(
            at,
            (word[0] if word else self.text[at])[:30],
            "not known here; a cable may be explained in a line: C3R: slip 1 st to cn, hold in back, k2, p1 from cn",
        )


def _number(text: str | None) -> int | None:
    if text is None:
        return None
    word = text.split()[0].lower()
    digits = re.match(r"\d+", word)
    return int(digits[0]) if digits else _NUMBERS.get(word, 1)
