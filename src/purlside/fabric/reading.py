"""A pattern's text read row by row: which rows, which side, over how many stitches, what comes again.

::

    pattern = read("Cast on 14 sts.\\nRow 1 (RS): p2, k6, p2, k4 ...")
    pattern.rows, pattern.repeat, pattern.remarks

Never raises for what a text says: what cannot be followed, what one bed does
not make and what was taken for granted are remarks, each with its line.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from purlside.bed.needles import Side
from purlside.fabric.pattern import Pattern, PatternRow, Placed, Remark, RemarkKind, other_side
from purlside.fabric.stitchwords import Misread, RowWords, Worked, read_row
from purlside.fabric.written import WrittenCross
from purlside.text.harmless import printed
from purlside.text.signs import cut

MOST_ROWS_READ = 1000
"""Rows of one pattern. A limit of ours; a published repeat has a few dozen."""
MOST_TRIED = 12
"""Repeats across that are tried where a pattern does not say how many stitches are cast on."""
MOST_STITCHES = 500
"""Stitches across: as many needles as the widest bed has."""

_ROW = r"(?:rows?|rounds?|rnds?)"
_NTH = r"\d{1,4}(?:st|nd|rd|th)"
_AND = r"\s*(?:,\s*(?:and\s+|&\s*)?|and|&|-|to)\s*"
_SIDE = r"[\[(]?\s*(?P<{0}>RS|WS|right[ -]side|wrong[ -]side)\b(?:\s+(?:facing|row|rows))?\s*[\])]?"
_ALL = (
    r"(?P<all>(?:and\s+)?(?:all|every)\s+(?:(?:other|following|foll\.?|alternate|alt\.?|even(?:-numbered)?|odd(?:-numbered)?"
    rf"|WS|RS|wrong[ -]side|right[ -]side)\s+)*{_ROW}?)"
)
_HEAD = re.compile(
    rf"\s*(?:(?P<setup>(?:set-?\s*up|foundation|preparation)\s+(?:row|round|rnd))(?:\s+\d+)?"
    rf"|(?P<round>{_ROW}\s|r(?=\s?\d[^:\n]{{0,30}}:))\s*(?P<numbers>\d{{1,4}}(?:{_AND}\d{{1,4}})*)"
    rf"|(?P<nth>{_NTH}(?:{_AND}{_NTH})*)(?=\s+(?:and\s+(?:every|all)|{_ROW}))|(?=(?:all|every)\s+(?:WS|wrong)))"
    rf"\s*(?P<word>{_ROW})?\s*(?:{_SIDE.format('side')})?\s*(?:{_ALL})?\s*(?:{_SIDE.format('side2')})?\s*[:.]?\s*",
    re.I,
)
_CAST_ON = re.compile(r"\bcast(?:ing)?[ -]on\s+(\d{1,4})\b(?!\s*or)|\bworked over\s+(\d{1,4})\s*(?:sts|stitches)", re.I)
_MULTIPLE = re.compile(
    r"\bmult(?:iple|\.)?\s+of\s+(\d{1,3})\s*(?:sts?|stitches)?\s*(?:(?:\+|plus)\s*(\d{1,3}))?(?!\s*rows)", re.I
)
_REPEAT = re.compile(
    rf"\b(?:rep(?:eat)?|work)\s+(?:these\s+(?P<these>\d{{1,4}})\s+{_ROW}|{_ROW}\s+(?P<first>\d{{1,4}})\s*(?:-|to|through)\s*"
    rf"(?P<last>\d{{1,4}}))|\bthese\s+(?P<form>\d{{1,4}})\s+{_ROW}\s+(?:form|set)",
    re.I,
)
_LIKE = re.compile(
    rf"(?:as|same as|like|rep(?:eat)?|work as)\s+(?:for\s+)?(?:(?:{_ROW}\s+|r\s?)(?P<first>\d{{1,4}})(?:\s*(?:-|to|through)\s*"
    rf"(?P<last>\d{{1,4}}))?|(?P<nth>\d{{1,4}})(?:st|nd|rd|th)\s+{_ROW})\s*[.;]?\s*",
    re.I,
)
_APPEAR = re.compile(
    r"\bas\s+(?:they|(?:the\s+)?(?:sts|stitches))\s+(?:appear|face|present|look|come|lie|stand)|\bas\s+(?:set|established)\b"
    r"|\bk(?:nit)?s?\s+(?:all\s+)?(?:the\s+)?k(?:nit)?s?\b.*\bp(?:url)?s?\s+(?:all\s+)?(?:the\s+)?p(?:url)?s?\b"
    r"|\bp(?:url)?s?\s+(?:all\s+)?(?:the\s+)?p(?:url)?s?\b.*\bk(?:nit)?s?\s+(?:all\s+)?(?:the\s+)?k(?:nit)?s?\b",
    re.I,
)
_EXPLAINED = re.compile(
    r"(?:^|\n)[ \t]*(?P<word>[A-Za-z0-9/]+(?:[ \t]?[A-Za-z]{1,3})?)[ \t]*(?:\([^)\n]*\))?[ \t]*[:=-](?:(?!\n[ \t]*\n)[^=]){0,60}?"
    r"\b(?:slip|sl)\s+(?:the\s+)?(?:next\s+)?(?:(?P<held>\d{1,2})\b|st(?:itch)?\b)(?:(?!\n[ \t]*\n)[^:=]){0,40}?(?:cable\s+needle|cn)"
    r"(?:(?!\n[ \t]*\n)[^:=]){0,40}?\b(?P<where>front|back)\b[^:=]{0,30}?[,;.]\s*(?:and\s+|then\s+)*"
    r"(?P<face>knit|purl|k|p)\s*(?:the\s+)?(?:next\s+)?(?P<worked>\d{1,2})\b[^:=]{0,40}?[,;.]?\s*(?:and\s+|then\s+)*"
    r"\b(?P<other>knit|purl|k|p)\s*(?:the\s+)?(?P<rest>\d{1,2})?\b[^:=\n]{0,30}?(?:cable\s+needle|cn)",
    re.I,
)


@dataclass
class _Written:
    """A row's words as they stand: which rows, which side, and where each of its lines begins in ``text``."""

    numbers: list[int]
    side: bool | None
    every: bool
    line: int
    text: str = ""
    starts: list[tuple[int, int]] = field(default_factory=list)

    def add(self, line: int, text: str) -> None:
        self.text += " " if self.text else ""
        self.starts.append((len(self.text), line))
        self.text += text.strip()

    def line_of(self, at: int) -> int:
        return next((line for start, line in reversed(self.starts) if start <= at), self.line)

    @property
    def named(self) -> str:
        return f"row {self.numbers[0]}" if self.numbers else "the rows between"


_ONE_WAY = str.maketrans("–—−×\u00a0’\t\r", "---x '  ")
"""One way of writing dashes, signs and blanks."""


def read(text: str, stitches: int | None = None) -> Pattern:
    """The pattern of a text; ``stitches`` are those cast on, where the text does not say or others are wanted."""
    return _Reading(printed(text).translate(_ONE_WAY), stitches).pattern()


class _Reading:
    def __init__(self, text: str, stitches: int | None) -> None:
        self.remarks: dict[tuple[int, str, str], Remark] = {}
        self.title = ""
        self.cast_on = stitches
        self.multiple: tuple[int, int] | None = None
        self.repeat: tuple[int, int] | None = None
        self.these: int | None = None
        self.rounds = False
        self.own: dict[str, WrittenCross] = {}
        self.rows: list[_Written] = []
        self._lines(text.splitlines(), self._explained(text))

    def say(self, line: int, where: str, why: str, kind: RemarkKind = RemarkKind.WRONG) -> None:
        self.remarks.setdefault((line, where, why), Remark(line, where, why, kind))

    # --- lines ----------------------------------------------------------------

    def _explained(self, text: str) -> set[int]:
        """Cables that the pattern explains itself; gives the lines that do."""
        taken: set[int] = set()
        for match in _EXPLAINED.finditer(text):
            first = text.count("\n", 0, match.start("word")) + 1
            held, worked = int(match["held"] or 1), int(match["worked"])
            if int(match["rest"] or held) != held or not held or not worked:
                continue
            knit_first, knit_held = match["face"][0].lower() == "k", match["other"][0].lower() == "k"
            in_front = match["where"].lower() == "front"
            strands = (held, knit_held), (worked, knit_first)
            (front, shows), (back, behind) = strands if in_front else strands[::-1]
            taken.update(range(first, text.count("\n", 0, match.end()) + 2))
            if not shows:
                self.say(first, match["word"], "the strand in front is purled; it is knit here", RemarkKind.LEFT_OUT)
            self.own[" ".join(match["word"].split())] = WrittenCross(
                Side.LEFT if in_front else Side.RIGHT, front, back, not behind
            )
        return taken

    def _lines(self, lines: list[str], explained: set[int]) -> None:
        open_row: _Written | None = None
        for number, line in enumerate(lines, 1):
            if not line.strip() or number in explained:
                open_row = None
            elif (head := _HEAD.match(line)) and head.end():
                open_row = self._head(head, number)
                open_row.add(number, line[head.end() :])
                self.rows.append(open_row)
            elif self._statement(line):
                open_row = None
            elif open_row is not None:
                open_row.add(number, line)
            elif not self.title and not self.rows:
                self.title = " ".join(line.split())[:200]
            else:
                self.say(number, _quoted(line), "not read: no row, no repeat, no cast-on", RemarkKind.READ_AS)

    def _head(self, head: re.Match[str], line: int) -> _Written:
        said = head["numbers"] or head["nth"] or ""
        plain = re.sub(r"(?<=\d)(?:st|nd|rd|th)", "", said)
        numbers: list[int] = []
        for match in re.finditer(r"(\d+)(?:\s*(?:-|to)\s*(\d+))?", plain):
            first, last = int(match[1]), int(match[2] or match[1])
            numbers += range(first, min(last, first + MOST_ROWS_READ) + 1)
        if head["setup"]:
            numbers = [0]
        side_word = (head["side"] or head["side2"] or "").lower()
        every = (head["all"] or "").lower()
        if not side_word:
            side_word = "ws" if re.search(r"ws|wrong", every) else "rs" if re.search(r"rs|right", every) else ""
        side = None if not side_word else side_word[0] == "r"
        if re.match(r"ro?u?nd", (head["round"] or head["word"] or head["setup"] or "").lower()):
            self.rounds = True
        return _Written(numbers, side, bool(every), line)

    def _statement(self, line: str) -> bool:
        """Take in what a line says about the whole; whether it said anything."""
        found = False
        if match := _CAST_ON.search(line):
            self.cast_on, found = self.cast_on or int(match[1] or match[2]), True
        if match := _MULTIPLE.search(line):
            self.multiple, found = (int(match[1]), int(match[2] or 0)), True
        if match := _REPEAT.search(line):
            found = True
            if match["first"]:
                self.repeat = int(match["first"]), int(match["last"])
            else:
                self.these = int(match["these"] or match["form"])
        name = re.sub(r"\(.*?\)", "", line).strip(" .:")
        if found and not self.title and not self.rows and not re.match(r"cast|mult|work|rep|these", name, re.I):
            self.title = " ".join(name.split())[:200]
        return found

    # --- rows -----------------------------------------------------------------

    def pattern(self) -> Pattern:
        if not self.rows:
            self.say(0, "", 'no rows found; a row begins as "Row 1 (RS):"')
            return self._made(0, (), (0, 0))
        written = self._numbered()
        if not written:
            return self._made(0, (), (0, 0))
        sides = self._sides(written)
        words = {number: self._words(row) for number, row in written.items()}
        best: tuple[int, int, list[PatternRow], dict[tuple[int, str, str], Remark]] | None = None
        for count in self._counts(words):
            before, self.remarks = self.remarks, dict(self.remarks)
            rows = self._worked(written, words, sides, count)
            bad = sum(r.kind is RemarkKind.WRONG for r in self.remarks.values())
            if best is None or bad < best[0]:
                best = bad, count, rows, self.remarks
            self.remarks = before
            if not bad:
                break
        assert best is not None
        _, count, rows, self.remarks = best
        return self._made(count, tuple(rows), self._comes_again(rows))

    def _made(self, stitches: int, rows: tuple[PatternRow, ...], repeat: tuple[int, int]) -> Pattern:
        remarks = tuple(sorted(self.remarks.values(), key=lambda r: r.line))
        return Pattern(self.title or "A written pattern", stitches, rows, repeat, remarks)

    def _numbered(self) -> dict[int, _Written]:
        """What is written for each row, from the first to the last."""
        found: dict[int, _Written] = {}
        for row in self.rows:
            for number in row.numbers:
                if number in found and found[number].text != row.text:
                    self.say(row.line, f"row {number}", f"written twice; line {found[number].line} counts")
                found.setdefault(number, row)
        last = max(found, default=0)
        if last > MOST_ROWS_READ:
            self.say(0, f"row {last}", f"more than {MOST_ROWS_READ:,} rows")
            found = {n: row for n, row in found.items() if n <= MOST_ROWS_READ}
            last = MOST_ROWS_READ
        # Rows come in pairs: a pattern that ends on a row without its other side has one of these after it.
        more = (last - min((n for n in found if n), default=1)) % 2 == 0
        end = max(last, self.repeat[1]) if self.repeat is not None else last + more
        for row in self.rows:
            if row.every:
                first = row.numbers[0] if row.numbers else 1 if row.side and not self.rounds else 2
                for number in range(first, min(end, MOST_ROWS_READ) + 1, 2):
                    found.setdefault(number, row)
        return dict(sorted(found.items()))

    def _sides(self, written: dict[int, _Written]) -> dict[int, bool]:
        """Which rows are right-side rows: what a row says of itself, else every other one; in rounds all."""
        if self.rounds:
            return dict.fromkeys(range(max(written) + 2), True)
        said = next(((n, row.side) for n, row in written.items() if row.side is not None and n), (1, True))
        sides = {n: (n - said[0]) % 2 == 0 if said[1] else (n - said[0]) % 2 == 1 for n in range(max(written) + 2)}
        for number, row in written.items():
            if row.side is not None and sides[number] is not row.side and number:
                why = f"said to be {'RS' if row.side else 'WS'}, but row {said[0]} makes it the other"
                self.say(row.line, f"row {number}", why)
        return sides

    def _words(self, row: _Written) -> RowWords | str | None:
        """A row's words read; "appear" where it follows the stitches, the row's text where it is like another; None unread."""
        text = row.text.strip()
        if match := _LIKE.fullmatch(text):
            return f"{match['first'] or match['nth']}{'-' if match['last'] else ''}"
        if _APPEAR.search(text):
            return "appear"
        try:
            words = read_row(text, self.own)
        except Misread as error:
            self.say(row.line_of(error.at), f"{row.named}, {_quoted(error.found)}", error.why)
            return None
        if not words.items:
            self.say(row.line, row.named, "nothing is written for it")
            return None
        return words

    def _counts(self, words: dict[int, RowWords | str | None]) -> list[int]:
        """How many stitches there may be across, the likeliest first."""
        if self.cast_on is not None:
            return [min(self.cast_on, MOST_STITCHES)]
        if self.multiple is not None:
            each, more = self.multiple
            counts = [each * n + more for n in range(1, MOST_TRIED + 1)]
        else:
            sure = [w for w in words.values() if isinstance(w, RowWords)]
            first = next((w for w in sure if w.settles and w.least()[0]), next(iter(sure), None))
            if first is None:
                self.say(0, "", 'how many stitches are cast on? Write a line as "Cast on 26 sts"')
                return [1]
            least, more = first.least()
            counts = [least + more * n for n in range(MOST_TRIED if more else 1)]
        counts = [count for count in counts if 0 < count <= MOST_STITCHES]
        return counts or [1]

    def _worked(
        self,
        written: dict[int, _Written],
        words: dict[int, RowWords | str | None],
        sides: dict[int, bool],
        stitches: int,
    ) -> list[PatternRow]:
        """The rows one after another, each over the stitches the one before left."""
        made: dict[int, PatternRow] = {}
        faces, blank = "k" * stitches, False
        for number in range(min(written), max(written) + 1):
            row = written.get(number)
            if row is None:
                if sides[number]:
                    self.say(0, f"row {number}", "is not written")
                else:
                    blank = True
                made[number] = PatternRow(number, sides[number], faces)
                continue
            made[number] = self._row(number, row, words[number], sides, faces, made)
            faces = made[number].faces
        if blank:
            self.say(0, "wrong-side rows", "are not written: worked as the stitches appear", RemarkKind.READ_AS)
        return list(made.values())

    def _row(
        self,
        number: int,
        row: _Written,
        words: RowWords | str | None,
        sides: dict[int, bool],
        faces: str,
        made: dict[int, PatternRow],
    ) -> PatternRow:
        plain = PatternRow(number, sides[number], faces, (), row.line, row.text)
        if words is None or words == "appear":
            return plain
        if isinstance(words, str):
            like = int(words.rstrip("-"))
            if words.endswith("-") and number in row.numbers:
                like += row.numbers.index(number)
            if (other := made.get(like)) is None or len(other.faces) != len(faces):
                self.say(row.line, f"row {number}", f"is said to be as row {like}, which does not come before it")
                return plain
            if other.right_side is not sides[number]:
                self.say(row.line, f"row {number}", f"is said to be as row {like}, which is of the other side")
            return replace(other, number=number, right_side=sides[number], line=row.line, text=row.text)
        try:
            worked = words.worked(len(faces))
        except Misread as error:
            place = f", {_quoted(row.text[error.at : error.at + 20])}" if error.at else ""
            self.say(row.line_of(error.at), f"row {number}{place}", error.why)
            return plain
        return self._seen(number, row, worked, words.stated, sides[number], faces)

    def _seen(
        self, number: int, row: _Written, worked: Worked, stated: int | None, right_side: bool, before: str
    ) -> PatternRow:
        """A row as it was worked, turned to how the knit side shows it."""
        named = f"row {number}"
        for at, (word, why) in worked.left_out.items():
            self.say(row.line_of(at), f"{named}, {word}", why, RemarkKind.LEFT_OUT)
        if len(worked.faces) != len(before):
            why = (
                f"leaves {len(worked.faces)} stitches of {len(before)}; a pattern's shaping is not read: "
                "shape the panel with [[shape]]"
            )
            self.say(row.line, named, why)
            return PatternRow(number, right_side, before, (), row.line, row.text)
        if stated is not None and stated != len(worked.faces):
            self.say(row.line, named, f"says {stated} sts, and its words make {len(worked.faces)}")
        if right_side:
            crossed = tuple(Placed(at, cross) for at, cross in worked.crossed)
            return PatternRow(number, True, worked.faces, crossed, row.line, row.text)
        faces = other_side(worked.faces)
        for _, cross in worked.crossed:
            why = "a cable in a wrong-side row; write it in the right-side row before or after"
            self.say(row.line, f"{named}, {cross.name}", why, RemarkKind.LEFT_OUT)
        if worked.crossed:
            faces = before
        return PatternRow(number, False, faces, (), row.line, row.text)

    def _comes_again(self, rows: list[PatternRow]) -> tuple[int, int]:
        first, last = rows[0].number or rows[min(1, len(rows) - 1)].number, rows[-1].number
        if self.repeat is not None:
            a, b = self.repeat
            if first <= a < b <= last or (a == b and first <= a <= last):
                return a, b
            self.say(0, f"rows {a}-{b}", f"are to come again, but rows {first} to {last} are written")
        elif self.these is not None and 1 <= self.these <= last - first + 1:
            return last - self.these + 1, last
        return first, last


def _quoted(text: str) -> str:
    return f"“{cut(' '.join(text.split()), 40)}”"
