"""Someone who has only the printed sheet: reads its words, and nothing else, back into moves.

The three ways of writing a sheet are read into the same pieces (headings,
steps, table rows, facts); the words of the steps are then turned into moves by
patterns written down here from what is printed. No code that prints a sheet is used.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import html5lib  # type: ignore[import-untyped]

from purlside.bed.bed import Move
from purlside.bed.moves import BackUp, ByHand, Dial, Hold, Knit, Return, Weights
from purlside.bed.needles import Crossing, Needle, Side, Span
from purlside.bed.transfers import Bead, Cross, LatchUp

Piece = tuple[str, Any]
NONE = Needle(0)


@dataclass
class Said:
    """What one row is said to be: where the carriage stands, its SS, plain or a kind's letter."""

    side: Side
    size: str
    knit: str


@dataclass
class Read:
    """What a reader has: needles in work, the panel's ends, the rows, the moves by (kind, side), and the plain tables."""

    in_work: tuple[Needle, ...] = ()
    left: Needle = NONE
    right: Needle = NONE
    rows: dict[int, Said] = field(default_factory=dict)
    kinds: dict[tuple[str, Side], list[Move]] = field(default_factory=dict)
    tables: dict[str, list[list[str]]] = field(default_factory=dict)

    def moves(self, number: int) -> list[Move]:
        """What the reader does in a row."""
        said = self.rows[number]
        if said.knit != "plain":
            return self.kinds[said.knit, said.side]
        return self.plain(said.side, said.size)

    def plain(self, side: Side, ss: str) -> list[Move]:
        order = self.in_work if side is Side.LEFT else tuple(reversed(self.in_work))
        edge = self.right if side is Side.LEFT else self.left
        return [Dial(size(ss)), Knit(side.other, edge, order)]


def size(text: str) -> float:
    whole, part = re.fullmatch(r"([\d.]*)([⅓⅔]?)", text).groups()  # type: ignore[union-attr]
    return float(whole or 0) + {"": 0, "⅓": 1 / 3, "⅔": 2 / 3}[part]


# --- pieces ---------------------------------------------------------------


def pieces(text: str, suffix: str) -> list[Piece]:
    return list({".txt": _from_text, ".md": _from_markdown, ".html": _from_html}[suffix](text))


_UNDER_HEAD = r"-+( +-+)+"


def _from_text(text: str) -> Iterator[Piece]:
    lines = text.splitlines()
    i = 0
    while i < len(lines):
        line = lines[i]
        following = lines[i + 1] if i + 1 < len(lines) else ""
        if line and re.fullmatch(r"={3,}|-{3,}|~{3,}", following):
            yield "heading", line
            i += 2
        elif line and re.match(r"1\. ", following) and not line[0].isspace():
            yield "heading", line
            i += 1
        elif re.match(r"\d+\. ", line):
            i += 1
            while i < len(lines) and lines[i].startswith("   "):
                line += " " + lines[i].strip()
                i += 1
            yield "step", line.partition(". ")[2]
        elif re.fullmatch(_UNDER_HEAD, line):
            spans = [m.span() for m in re.finditer(r"-+", line)]
            i += 1
            while i < len(lines) and lines[i]:
                cells = [lines[i][a:b].strip() for a, b in spans]
                # A row of the table begins where its first column does.
                yield ("row", cells) if cells[0] else ("more", cells)
                i += 1
        else:
            block = []
            while i < len(lines) and lines[i] and not re.fullmatch(_UNDER_HEAD, lines[i]):
                block.append(lines[i])
                i += 1
            i += not block
            yield from _block(block)


_FACT = re.compile(r"([A-Z][\w ,']*): (.*)")


def _block(block: list[str]) -> Iterator[Piece]:
    """Lines between two blank ones: facts, each with what hangs below it, or a paragraph."""
    if not all(line.startswith("    ") or _FACT.match(line) for line in block):
        yield "para", " ".join(block)
        return
    facts: list[list[str]] = []
    for line in block:
        if match := _FACT.match(line):
            facts.append([match[1], match[2]])
        elif facts:
            facts[-1][1] += " " + line.strip()
    yield from (("fact", (name, what)) for name, what in facts)


def _from_markdown(text: str) -> Iterator[Piece]:
    fenced = False
    for line in text.splitlines():
        if line.startswith("```"):
            fenced = not fenced
        elif fenced:
            continue
        elif match := re.match(r"#+ (.*)", line):
            yield "heading", _plain(match[1])
        elif match := re.match(r"\d+\. (.*)", line):
            yield "step", _plain(match[1])
        elif match := re.match(r"- \*\*(.*?)\*\*: (.*)", line):
            yield "fact", (_plain(match[1]), _plain(match[2]))
        elif line.startswith("|"):
            yield "row", [_plain(cell.strip()) for cell in re.split(r"(?<!\\)\|", line)[1:-1]]
        else:
            yield "para", _plain(line)


def _plain(text: str) -> str:
    return re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", text)


def _from_html(text: str) -> Iterator[Piece]:
    root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    for element in root.iter():
        inside = " ".join("".join(element.itertext()).split())
        if element.tag in ("h1", "h2", "h3", "h4", "h5"):
            yield "heading", inside
        elif element.tag == "ol":
            for step in element:
                yield "step", " ".join("".join(step.itertext()).split())
        elif element.tag == "tr":
            yield "row", [" ".join("".join(cell.itertext()).split()) for cell in element]
        elif element.tag == "dl":
            names = [" ".join("".join(e.itertext()).split()) for e in element]
            yield from (("fact", (names[i], names[i + 1])) for i in range(0, len(names), 2))
        elif element.tag in ("p", "caption"):
            yield "para", inside


# --- what they say --------------------------------------------------------


CHAPTERS = (
    "You will need",
    "Rows",
    "Crossing rows",
    "Abbreviations",
    "Row list",
    "Casting on and off, finishing",
    "Chart",
)
LONG = r"(Dial|Hold|Return|Knit|Back|Move|Take|Lift|Place|Then|Push) "


def read(text: str, suffix: str) -> Read:
    """Everything needed to knit, from a sheet as printed."""
    found = Read()
    facts: dict[str, str] = {}
    knit: dict[tuple[str, Side], list[Move]] = {}
    chapter = title = caption = ""
    at: tuple[str, Side] | None = None
    for what, value in pieces(text, suffix):
        if what == "heading":
            title = value
            if value in CHAPTERS:
                chapter, at, caption = value, None, ""
            elif chapter == "Crossing rows" and (match := re.fullmatch(r"([A-Z]+) from (COR|COL)", value)):
                at = match[1], SIDES[match[2]]
                knit[at] = []
        elif what == "fact" and chapter == "You will need":
            facts[value[0]] = value[1]
        elif what == "para" and value and chapter != "Abbreviations":
            caption = value
        elif what == "row" and set(value) != {"---"}:
            found.tables.setdefault(caption, []).append(value)
        elif what == "more" and found.tables.get(caption):
            last = found.tables[caption][-1]
            found.tables[caption][-1] = [f"{a} {b}".strip() for a, b in zip(last, value, strict=True)]
        elif what == "step" and chapter == "Crossing rows" and at:
            _needles_in_work(found, facts)
            if not title.endswith((" from COR", " from COL")):
                _step(value, title, found.in_work, knit[at])
            elif re.match(LONG, value):
                for line in value.split(". "):
                    _step(line, title, found.in_work, knit[at])
            else:
                _short(value, found.in_work, knit[at])
    _needles_in_work(found, facts)
    _rows(found, facts)
    _kinds(found, knit)
    return found


SIDES = {"COR": Side.RIGHT, "COL": Side.LEFT}


def _needles_in_work(found: Read, facts: dict[str, str]) -> None:
    """The panel's needles but those named as out of work."""
    if found.in_work or "Needles" not in facts:
        return
    match = re.match(r"(\S+?)(?:–(\S+))? \((\d+) needles?\)", facts["Needles"])
    assert match, facts["Needles"]
    found.left, found.right = Needle.parse(match[1]), Needle.parse(match[2] or match[1])
    out = facts.get("Out of work, ladders", "").partition(" (")[0]
    ladders = {n for part in out.split(", ") if part for n in Span.parse(part.replace("–", "-"))}
    found.in_work = tuple(n for n in Span(found.left, found.right) if n not in ladders)


def _number(text: str) -> int:
    return int(text.replace(",", ""))


def _rows(found: Read, facts: dict[str, str]) -> None:
    """Every row as the tables of rows say it, once only."""
    rows = re.match(r"([\d,]+) at SS (\S+?)(?:,|$)", facts["Rows"])
    assert rows
    for caption, table in found.tables.items():
        said = re.match(
            r"Rows? ([\d,]+)(?:–[\d,]+)?(?:, once|, and every ([\d,]+) rows: ([\d,]+) times, up to row [\d,]+)?(?: Row |$)",
            caption,
        )
        if said:
            every, times = _number(said[2] or "0"), _number(said[3] or "1")
            _said(found, [line for line in table if line[0] != "Row"], every, times)
        elif caption.startswith("Crossing rows; all other rows are plain"):
            bands = [b for c, t in found.tables.items() if c.startswith("Bands") for b in t if b[0] != "Rows"]
            first = SIDES[facts["Begin row 1"]]
            for number in range(1, _number(rows[1]) + 1):
                ss = rows[2]
                for span, of_band, *_ in bands:
                    low, _, high = span.partition("–")
                    ss = of_band if of_band and int(low) <= number <= int(high or low) else ss
                found.rows[number] = Said(first if number % 2 else first.other, ss, "plain")
            for letter, ss, _, when in (line for line in table if line[0] != "Kind"):
                for side, which in re.findall(r"from (CO[LR]) ([^;]*)", when):
                    for number in listed(which):
                        assert found.rows[number].side is SIDES[side], f"row {number}"
                        found.rows[number] = Said(SIDES[side], ss, letter)
    assert sorted(found.rows) == list(range(1, _number(rows[1]) + 1)), "each row is said once"


def listed(text: str) -> list[int]:
    """``"8 to 24, every 8 (3 times) and 40"``, row by row."""
    found: list[int] = []
    for first, last, every, count, one in re.findall(r"(\d+) to (\d+), every (\d+) \((\d+) times\)|(\d+)", text):
        rows = [int(one)] if one else list(range(int(first), int(last) + 1, int(every)))
        assert one or len(rows) == int(count), text
        found += rows
    return found


def _said(found: Read, lines: list[list[str]], every: int, times: int) -> None:
    """The rows of one table of rows, as many times as it is knit."""
    for row, carriage, ss, knit, then, *_ in lines:
        first, last = (_number(n) for n in (row.partition("–")[0], row.partition("–")[2] or row))
        plain = re.fullmatch(r"([\d,]+) plain rows?", then) if then else None
        letter, _, count = knit.partition(", ")
        assert not count or _number(count.split()[0]) == last - first + 1
        for time in range(times):
            side = SIDES[carriage[:3]]
            if "in turn" in carriage and time % 2:
                side = side.other
            after = _number(plain[1]) if plain else 0
            for number in range(first, last + 1 + after):
                at = number + time * every
                assert at not in found.rows, f"row {at} is said twice"
                turned = side if (number - first) % 2 == 0 else side.other
                found.rows[at] = Said(turned, ss, letter if number <= last else "plain")


def _kinds(found: Read, knit: dict[tuple[str, Side], list[Move]]) -> None:
    """Each kind's moves: written out whole, or its passes and the crossings its table names."""
    crossings: dict[str, list[Cross]] = {}
    for caption, table in found.tables.items():
        if caption.startswith("The crossings"):
            for label, over, first, then in (line for line in table if line[0] != "Crossing"):
                name = re.sub(r", \d+$", "", label)
                made = [Cross(name, crossing) for crossing in _crossings(over, first, then)]
                crossings.setdefault(label, []).extend(made)
    tables = [t for c, t in found.tables.items() if c.startswith("The kinds of crossing rows")]
    if not tables:
        found.kinds = knit
        return
    for letter, carriage, how, then in (line for line in tables[0] if line[0] != "Kind"):
        side = SIDES[carriage]
        if how == "a plain row":
            ss = next(said.size for said in found.rows.values() if (said.knit, said.side) == (letter, side))
            moves = found.plain(side, ss)
        elif match := re.fullmatch(r"as ([A-Z]+) from (CO[LR]), mirrored", how):
            moves = [_mirrored(move) for move in knit[match[1], SIDES[match[2]]]]
        elif match := re.fullmatch(r"as ([A-Z]+) from (CO[LR])", how):
            moves = knit[match[1], SIDES[match[2]]]
        else:
            assert how == "as written below"
            moves = knit[letter, side]
        done: list[Move] = [
            one for label in then.split("; ") for one in (crossings.get(label) or (_single(label, found),))
        ]
        # Along the bed from where the carriage stands once the row is knit; what else is done comes first.
        across = [one for one in done if isinstance(one, Cross)]
        across.sort(key=lambda one: one.crossing.span.left, reverse=side is Side.LEFT)
        found.kinds[letter, side] = [*moves, *(one for one in done if not isinstance(one, Cross)), *across]


def _crossings(over: str, first: str, then: str) -> Iterator[Crossing]:
    """The crossings of one line of their table."""
    wide, behind = map(int, over.split(" over "))
    if match := re.fullmatch(r"the (left|right) half of (.*)", first):
        side = Side(match[1])
        assert then == f"the {side.other} half"
        for stretch in re.sub(r", (?=[LR])", ";", match[2]).split(";"):
            found = re.fullmatch(r"(\S+)(?: \((\d+) side by side\))?", stretch)
            assert found, stretch
            needles = list(_half(found[1]))
            each = wide + behind
            assert len(needles) == each * int(found[2] or 1)
            for i in range(0, len(needles), each):
                left = wide if side is Side.LEFT else behind
                halves = [
                    Span(*ends)
                    for ends in ((needles[i], needles[i + left - 1]), (needles[i + left], needles[i + each - 1]))
                ]
                yield Crossing(*(halves if side is Side.LEFT else halves[::-1]))
        return
    front, front_on = (_half(text) for text in first.split(" on "))
    back, back_on = (_half(text) for text in then.split(" on "))
    crossing = Crossing(front, back)
    assert crossing.landing() == (tuple(front_on), tuple(back_on))
    assert (wide, behind) == (len(front), len(back))
    yield crossing


def _mirrored(move: Move) -> Move:
    """A move with left for right: what a knitter makes of one that is told in the mirror."""

    def turned(needles: tuple[Needle, ...]) -> tuple[Needle, ...]:
        return tuple(Needle(-1 - n) for n in needles)

    match move:
        case Dial():
            return move
        case Hold(needles):
            return Hold(tuple(sorted(turned(needles))))
        case Return(needles):
            return Return(tuple(sorted(turned(needles))))
        case ByHand(needles):
            return ByHand(tuple(sorted(turned(needles))))
        case Knit(toward, beyond, needles):
            return Knit(toward.other, Needle(-1 - beyond), turned(needles))
        case BackUp(toward, beyond):
            return BackUp(toward.other, Needle(-1 - beyond))
    raise AssertionError(f"a reader cannot mirror {move}")


def _single(text: str, found: Read) -> Move:
    """What is done to single needles, as the table of kinds says it."""
    if m := re.fullmatch(rf"latch up ({RANGE}), (\d+) rows?", text):
        return LatchUp(_needles(m[1], found.in_work), int(m[2]))
    m = re.fullmatch(rf"bead on ({RANGE})", text)
    assert m, f"a reader cannot follow {text!r}"
    return Bead(_needles(m[1], found.in_work))


def _needles(text: str, in_work: tuple[Needle, ...]) -> tuple[Needle, ...]:
    """``L3–L1, R2 (4 needles)``: a range runs over the needles in work; the count must be right."""
    ranges, _, count = text.partition(" (")
    ranges, _, out = ranges.partition(", not ")
    assert not {Needle.parse(needle) for needle in out.split(", ") if needle}.intersection(in_work), text
    found = []
    for part in ranges.split(", "):
        a, _, b = part.partition("–")
        ends = sorted((Needle.parse(a), Needle.parse(b or a)))
        found += [n for n in in_work if ends[0] <= n <= ends[1]]
    if count:
        assert len(found) == int(re.match(r"\d+", count)[0]), text  # type: ignore[index]
    return tuple(sorted(found))


def _half(text: str) -> Span:
    return Span.parse(text.replace("–", "-"))


def _knit(side: str, across: str, in_work: tuple[Needle, ...]) -> Knit:
    needles = _needles(across, in_work)
    toward = Side(side)
    ordered = tuple(reversed(needles)) if toward is Side.LEFT else needles
    return Knit(toward, ordered[-1], ordered)


def _out(beyond: str, moves: list[Move]) -> None:
    last = max(i for i, move in enumerate(moves) if isinstance(move, Knit))
    knit = moves[last]
    assert isinstance(knit, Knit)
    moves[last] = replace(knit, beyond=Needle.parse(beyond))


ONE = r"[LR]\d+(?:–[LR]\d+)?"
RANGE = rf"{ONE}(?:, {ONE})*(?:, not [LR]\d+(?:, [LR]\d+)*)?"
COUNTED = rf"{RANGE} \(\d+ needles?\)"


def _step(text: str, title: str, in_work: tuple[Needle, ...], moves: list[Move]) -> None:
    """One printed line of a pass or of a crossing."""

    if text == "Check that the hold lever is on":
        pass
    elif m := re.fullmatch(r"Dial to SS (\S+)", text):
        moves.append(Dial(size(m[1])))
    elif m := re.fullmatch(rf"Hold ({COUNTED})(?:, holding \(.*\))?", text):
        moves.append(Hold(_needles(m[1], in_work)))
    elif m := re.fullmatch(rf"Return ({COUNTED}) to upper working(?: \(.*\))?", text):
        moves.append(Return(_needles(m[1], in_work)))
    elif m := re.fullmatch(rf"Knit (left|right) across ({COUNTED}) at SS (\S+?)(?:, and carry on .*)?", text):
        moves.append(_knit(m[1], m[2], in_work))
    elif m := re.fullmatch(r"Back up (left|right), clear of (\w+); nothing knits", text):
        moves.append(BackUp(Side(m[1]), Needle.parse(m[2])))
    elif m := re.fullmatch(rf"Knit ({COUNTED}) by hand, .*", text):
        moves.append(ByHand(_needles(m[1], in_work)))
    elif m := re.fullmatch(
        rf"Drop ({RANGE}) down (\d+) rows?(?: and latch it|, one at a time, each latched) up .*", text
    ):
        moves.append(LatchUp(_needles(m[1], in_work), int(m[2])))
    elif m := re.fullmatch(rf"Bead ({RANGE}): lift .*", text):
        moves.append(Bead(_needles(m[1], in_work)))
    elif m := re.fullmatch(rf"Move the claw weights up under ({RANGE})", text):
        moves.append(Weights(_needles(m[1], in_work)))
    elif m := re.fullmatch(r"Take the carriage out past (\w+): CO[LR]", text):
        _out(m[1], moves)
    elif m := re.fullmatch(rf"Lift ({RANGE}) on \d+ prongs? and ({RANGE}) on \d+ prongs?", text):
        name = re.fullmatch(r"Cross (.*): \d+ over \d+", title)
        assert name
        moves.append(Cross(name[1], Crossing(_half(m[1]), _half(m[2]))))
    elif m := re.fullmatch(rf"(Left|Right) half FIRST: ({RANGE}) onto ({RANGE}); .*", text):
        cross = moves[-1]
        assert isinstance(cross, Cross)
        # The half the line names is the one in front, and lands where the crossing puts it.
        if cross.crossing.front_side is not Side(m[1].lower()):
            moves[-1] = cross = Cross(cross.cable, Crossing(cross.crossing.back, cross.crossing.front))
        assert tuple(cross.crossing.front) == _needles(m[2], in_work)
        assert cross.crossing.landing()[0] == _needles(m[3], in_work)
    elif m := re.fullmatch(rf"Then the (?:left|right) half: ({RANGE}) onto ({RANGE}), behind", text):
        cross = moves[-1]
        assert isinstance(cross, Cross) and cross.crossing.landing()[1] == _needles(m[2], in_work)
    elif m := re.fullmatch(r"Push all (\d+) out to upper working(?: \(.*\))?, not as far as holding", text):
        cross = moves[-1]
        assert isinstance(cross, Cross) and len(cross.needles) == int(m[1])
    else:
        raise AssertionError(f"a reader cannot follow {text!r}")


def _short(text: str, in_work: tuple[Needle, ...], moves: list[Move]) -> None:
    """One printed line of abbreviations."""
    crossed = re.search(
        rf"(?:^|; )cross (.*): ({RANGE}) first, on ({RANGE}), in front; ({RANGE}) on ({RANGE}), behind; "
        rf"UWP(?: \(.*\))? {RANGE} \(\d+\)",
        text,
    )
    before, after = (text[: crossed.start()], text[crossed.end() :]) if crossed else (text, "")
    for part in filter(None, before.split("; ")):
        _short_move(part, in_work, moves)
    if crossed:
        cross = Cross(crossed[1], Crossing(_half(crossed[2]), _half(crossed[4])))
        assert cross.crossing.landing() == (_needles(crossed[3], in_work), _needles(crossed[5], in_work))
        moves.append(cross)
    for part in filter(None, after.split("; ")):
        _short_move(part, in_work, moves)


def _short_move(text: str, in_work: tuple[Needle, ...], moves: list[Move]) -> None:
    letter = r"(?: \(.*?\))?"
    if match := re.fullmatch(r"SS (\S+)", text):
        moves.append(Dial(size(match[1])))
    elif match := re.fullmatch(rf"(HP|UWP){letter} ({RANGE} \(\d+\))", text):
        moves.append((Hold if match[1] == "HP" else Return)(_needles(match[2], in_work)))
    elif match := re.fullmatch(rf"knit (left|right) ({RANGE} \(\d+\))", text):
        moves.append(_knit(match[1], match[2], in_work))
    elif match := re.fullmatch(r"back up (left|right) past (\w+)", text):
        moves.append(BackUp(Side(match[1]), Needle.parse(match[2])))
    elif match := re.fullmatch(rf"by hand ({RANGE} \(\d+\))", text):
        moves.append(ByHand(_needles(match[1], in_work)))
    elif match := re.fullmatch(rf"weights ({RANGE})", text):
        moves.append(Weights(_needles(match[1], in_work)))
    elif match := re.fullmatch(r"out past (\w+), CO[LR]", text):
        _out(match[1], moves)
    else:
        raise AssertionError(f"a reader cannot follow {text!r}")
