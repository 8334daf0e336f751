"""The bedside as one value, and as the lines of a screen of any size: headline, counts, call, moves, strip, row.

The headline, the row, the side, the rows to the next crossing and every move of the step are on every screen from
40 × 12 up; what else there is comes as far as it has room, and goes in the same order.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field, fields
from functools import cached_property
from itertools import zip_longest

from purlside.bed.headline import Headline
from purlside.knitting.calling import Call, CallKind
from purlside.knitting.cursor import Knitting
from purlside.rows.counter import Reading
from purlside.shown import callbar, counts, framing, strip, thisrow
from purlside.shown.callbar import NO_TROUBLE, Trouble
from purlside.shown.capitals import capitals, fitting, width_of
from purlside.shown.thisrow import CAST_OFF, headlines, wrapped
from purlside.text.signs import ASCII, UNICODE, Glyphs, Line, Tone, columns
from purlside.values import dataclass

TALL = 42
"""Lines from which the headline is twice as large."""
SMALL = 12
"""Lines up to which every one goes to the step."""
NARROW = 60
"""Columns below which the counts take two lines."""
NARROWED = 80
"""The same in a part."""
USUAL = 3
"""Lines of most steps: what stands below them stays where it is."""
BESIDE = 96
"""Columns from which the row's steps stand beside the moves, and the fabric beside what comes then."""
WIDEST = 140
"""Columns that are enough: wider, eyes would have to travel."""
LIST = 42
"""Columns of the row's steps there, at least."""
BLOCK = ((40, 11), (28, 7))
"""From so many lines of the screen on, so many for moves and steps: what stands below them stays where it is."""
LEAST_FABRIC, MOST_FABRIC = 4, 14
MOST_TO_COME = 3
CHANGED = 2
"""Lines for what a changed plan means where there is little room."""

Under = Callable[[int, int], Sequence[Line]]
"""The fabric under the needles, for so many columns and lines; nothing while it is not drawn."""


@dataclass(frozen=True, slots=True)
class Look:
    """How it is drawn: signs, columns a needle (None: as fit), magnified or not."""

    glyphs: Glyphs = UNICODE
    per: int | None = None
    magnified: bool = False

    @property
    def ascii(self) -> bool:
        return self.glyphs is ASCII


@dataclass(frozen=True, kw_only=True)
class BedsideNow:
    """What is so at the bedside now, besides the screen: asked of the knitting once a step."""

    knitting: Knitting
    call: Call | None = None
    ahead: int = 1
    reading: Reading | None = None
    pace: str = ""
    notes: tuple[str, ...] = ()
    changed: str = ""
    trouble: Trouble = NO_TROUBLE
    why: bool = False
    handling: bool = True
    """Whether it is told what weights and edges want."""
    sets_counter: bool = False
    """Whether the machine's counter is set to the row after each crossing row."""
    told: thisrow.Told = field(default_factory=thisrow.Told)

    def shows_as(self, other: BedsideNow) -> bool:
        """Whether it shows what another does: at the same place of one knitting, and all else alike."""
        here, there = self.knitting, other.knitting
        return (here.working, here.place) == (there.working, there.place) and all(
            getattr(self, each.name) == getattr(other, each.name)
            for each in fields(self)
            if each.name not in ("knitting", "told")
        )

    @cached_property
    def counts(self) -> counts.CountLines:
        return counts.CountLines(self.knitting, self.reading, self.ahead, self.pace)

    @property
    def hold(self) -> bool:
        """Whether the hold lever is on."""
        return self.knitting.bed.lever == "hold"

    @cached_property
    def headlines(self) -> tuple[Headline, ...]:
        """Of the moves still to be made of the step in hand, the first first; casting off at the end."""
        knitting, step = self.knitting, self.knitting.step
        if step is None:
            return (CAST_OFF,)
        listed = tuple(headlines(step, knitting.dial_at(step.first), knitting.working.in_work))
        return listed[knitting.place.done - step.first :]

    @property
    def kind(self) -> str:
        """What kind of row it is, where no call says so."""
        row = self.knitting.row
        if row is None:
            return "The panel is finished"
        if self.knitting.step is not None and self.knitting.step.mends:
            return "Putting it right"
        if row.crossed:
            return "Crossing row"
        return "Shaping row" if row.shaped else "Short row" if row.turned else "Plain row"

    def view(self) -> strip.View:
        """The bed, with what the step in hand does to it."""
        knitting = self.knitting
        row, step, call = knitting.row, knitting.step, self.call
        moves = () if step is None else knitting.moves[knitting.place.done : step.last]
        coming = next((c.crossed for c in (call, call and call.also) if c and c.kind is CallKind.COMING), ())
        return strip.View(
            knitting.bed,
            moves,
            row.crossed if row else (),
            row.size if row else knitting.plan.panel.stitch_size,
            () if row and row.crossed else coming,
            knitting.size_before,
            row.resting if row else (),
            knitting.plan.panel.out_of_work,
        )

    # --- lines --------------------------------------------------------------

    def bar(self, width: int, look: Look) -> Line:
        knitting = self.knitting
        at = next((i for i, step in enumerate(knitting.steps, 1) if knitting.place.done < step.last), 0)
        return callbar.bar(self.kind, self.call, self.trouble, at, len(knitting.steps), width, look.glyphs)

    def moves(self, width: int, room: int) -> list[Line]:
        """The step's moves from the one in hand on, then what is to be said of it: at most ``room`` lines."""
        knitting, step = self.knitting, self.knitting.step
        told = self.told.lines(knitting, width, hold=self.hold)
        if step is None:
            return [line for move in told[0] for line in move][:room]
        moves = told[knitting.steps.index(step)][knitting.place.done - step.first :]
        lines = [line for move in moves for line in move]
        if len(lines) > room:
            return _and_more(lines, room, width)
        before = self._in_lines([text for text, first in self._minded if first], width)
        if len(before) + len(lines) <= room:
            lines = [*before, *lines]
        return [*lines, *self.besides(width, room - len(lines))]

    @staticmethod
    def _in_lines(texts: Sequence[str], width: int) -> list[Line]:
        return [line for text in texts for line in wrapped(text, width, Tone.STRONG)]

    def besides(self, width: int, room: int) -> list[Line]:
        """What is said besides the moves: a changed plan, weights nobody needs, notes, why."""
        knitting, step = self.knitting, self.knitting.step
        lines = self._in_lines([text for text, first in self._minded if not first], width)
        if self.changed and room > 0:
            most = room if room > 2 * CHANGED else min(room, CHANGED)
            lines += wrapped(self.changed, width, Tone.STRONG, most)
        if step is not None and not step.push and step.crosses is None and knitting.place.row == knitting.rows:
            lines += wrapped("Only for rows you knit on in waste yarn", width, Tone.STRONG)
        if self.notes:
            lines += wrapped(f"Note: {' | '.join(self.notes)}", width, Tone.STRONG, max(0, room - len(lines)))
        if self.why and step is not None:
            lines += wrapped(f"Why: {knitting.why}", width, Tone.PLAIN, max(0, room - len(lines)))
        return lines[: max(0, room)]

    @cached_property
    def _minded(self) -> list[tuple[str, bool]]:
        """What weights and edges want at this step, and whether before its moves; last the machine's counter after a crossing row."""
        row, step, steps = self.knitting.row, self.knitting.step, self.knitting.steps
        if row is None or step is None:
            return []
        told: list[tuple[str, bool]] = []
        if self.handling and len(steps) > 1 and (want := self.told.wants(self.knitting)[steps.index(step)]) is not None:
            told.append((want.words, want.first))
        if self.sets_counter and self.reading is not None and row.crossed and step.last == steps[-1].last:
            told.append((f"Then set your counter to {row.number:,}", False))
        return told

    def lines_wanted(self, width: int, room: int) -> int:
        """Lines for the longest step of the row in hand, so that nothing below moves from step to step of it.

        Beyond ``room`` lines only the step in hand itself takes them: one long mend costs the others nothing.
        """
        steps = [sum(map(len, step)) for step in self.told.lines(self.knitting, width, hold=self.hold)]
        step = self.knitting.step
        longest = max(min(max(steps), room), steps[self.knitting.steps.index(step)] if step else 0)
        if self.changed or self.notes or self.why:
            return longest + len(self.besides(width, 99))
        minded = self.handling and len(self.knitting.steps) > 1
        return longest + minded + (self.sets_counter and bool(self.knitting.row and self.knitting.row.crossed))

    def headline(self, width: int, height: int, look: Look) -> list[Line]:
        """The move in hand: capitals three lines high where there are three, else one line in bold."""
        head = self.headlines[0]
        aside = f"   {head.aside}" if head.aside else ""
        following = f"   then {self.headlines[1].words}" if len(self.headlines) > 1 else ""
        if height < 3:
            told = f" {head.words} "
            if len(told) > width and height > 1:
                return [[(f" {head.verb} ".ljust(width), Tone.PUSH)], [(f" {head.what} ".ljust(width), Tone.PUSH)]]
            rest = next((r for r in (aside + following, aside, following) if len(told) + len(r) <= width), "")
            return [[(told, Tone.PUSH), (rest, Tone.PLAIN)]]
        whole = width_of(head.words) + 4 <= width
        drawn = fitting(head.words, width - 4, height, look.glyphs) or capitals(head.verb, glyphs=look.glyphs)
        used = len(drawn[0]) + 4
        small = [] if whole else wrapped(head.what, width - used, Tone.STRONG, 2, indent="")
        beside: list[Line] = [*small, *([[(head.aside, Tone.PLAIN)]] if head.aside else [])]
        if following and len(beside) < 3:
            beside.append([(following.strip(), Tone.QUIET)])
        fits = [line if used + columns(line) <= width else [] for line in beside]
        gap = ("  ", Tone.PLAIN)
        return [
            [(f"  {row}", Tone.MOVING), *([gap, *line] if line else [])]
            for row, line in zip(drawn, [*fits, *([[]] * len(drawn))], strict=False)
        ]


def screen(of: BedsideNow, width: int, height: int, look: Look, under: Under = lambda width, height: ()) -> list[Line]:
    """The lines of a screen, the key line not among them."""
    if look.magnified:
        return magnified(of, width, height, look)
    fit = framing.frame(of.knitting.plan.panel.needles, max(1, width - strip.GUTTER), per=look.per)
    inner = min(width, max(WIDEST, fit.width + strip.GUTTER + 2))
    margin: Line = [(" " * ((width - inner) // 2), Tone.PLAIN)]
    lines = usual(of, inner, height, look, under)
    return [[*margin, *line] for line in lines] if inner < width else lines


@dataclass(slots=True)
class _Room:
    """Lines that are still free, given out in order of importance."""

    free: int

    def take(self, lines: int, least: int | None = None) -> int:
        """So many lines, or at least ``least`` of them, or none."""
        taken = min(lines, self.free)
        if taken < (lines if least is None else least):
            return 0
        self.free -= taken
        return taken


def usual(of: BedsideNow, width: int, height: int, look: Look, under: Under) -> list[Line]:
    """The bedside as it usually is."""
    figures = _figures(of, width, height)
    beside = max(LIST, width // 3) if width >= BESIDE else 0
    fit = framing.frame(of.knitting.plan.panel.needles, max(1, width - strip.GUTTER), per=look.per)
    least = len(strip.COMPACT) + (not fit.whole)
    most = height - figures - 2
    moves = max(1, min(of.lines_wanted(width - beside, most - least - 2), most))
    room = _Room(most - moves)
    lanes = room.take(least)
    large = room.take(2)
    if lanes:
        lanes += room.take(len(strip.LANES) - len(strip.COMPACT))
    large += room.take(3) if large and height >= TALL else 0
    figures += room.take(3 - figures) if height >= 20 else 0
    block = next((lines for least, lines in BLOCK if beside and height >= least), USUAL)
    moves += room.take(max(0, block - moves))
    ticked = 0 if beside or len(of.knitting.steps) < 2 else len(of.knitting.steps)
    below = room.take(ticked + 2, 3) or room.take(1)
    airs = [room.take(1) for _ in range(5)]
    if height >= 36:
        figures += room.take(min(2, max(0, len(of.counts.cables) - 1)))
        moves += room.take(max(0, min(len(of.knitting.steps) + 1 - moves, room.free - MOST_FABRIC))) if beside else 0
    below += room.take(room.free) if below else 0
    lines: list[Line] = [
        *([[]] * airs[4]),
        *counts.drawn(of.counts, width, figures, look.glyphs),
        *([[]] * airs[3]),
        of.bar(width, look),
        *([[]] * airs[0]),
        *_filled(of.headline(width, 1 + large, look), 1 + large),
        *([[]] * airs[1]),
        *_moves(of, width, beside, moves, look),
    ]
    if lanes:
        named = strip.LANES if lanes >= len(strip.LANES) else strip.COMPACT
        lines += [*([[]] * airs[2]), *_strip(of, width, look, named)]
    if below:
        lines += _below(of, width, below, look, under, ticked=bool(ticked))
    return _filled(lines, height)


def _figures(of: BedsideNow, width: int, height: int) -> int:
    """Lines for the counts, at least: a part's name makes them long."""
    narrow = NARROWED if of.counts.row.part else NARROW
    return 2 if width < narrow and height >= SMALL else 1


def _strip(of: BedsideNow, width: int, look: Look, lanes: Sequence[str]) -> list[Line]:
    """The bed strip in the middle of the screen."""
    fit = framing.frame(of.knitting.plan.panel.needles, max(1, width - strip.GUTTER), per=look.per)
    margin = " " * ((width - strip.GUTTER - fit.width - 1) // 2) if fit.whole else ""
    drawn = strip.draw(of.view(), width - len(margin) if fit.whole else width, look.glyphs, per=look.per, lanes=lanes)
    return [[(margin, Tone.LABEL), *line] for line in drawn] if margin else drawn


def _and_more(lines: list[Line], room: int, width: int) -> list[Line]:
    """The first lines of those, and a word on how many more there are: Down makes a move, and brings them up."""
    last, hidden = lines[room - 1], len(lines) - room
    sign = f"  … {hidden} more: Down"
    if columns(last) + len(sign) <= width:
        return [*lines[: room - 1], [*last, (sign, Tone.STRONG)]]
    return [*lines[: room - 1], [(f"     … {hidden + 1} more: Down, move by move", Tone.STRONG)]]


def _moves(of: BedsideNow, width: int, beside: int, height: int, look: Look) -> list[Line]:
    """The step's moves, and where there is room beside them the row's steps ticked off, or the rows to come."""
    moves = _filled(of.moves(width - beside, height), height)
    knitting = of.knitting
    if not beside or knitting.step is None:
        return moves
    if len(knitting.steps) > 1:
        listed = [[(" This row", Tone.LABEL)], *thisrow.steps_ticked(knitting, of.told.short, height - 1, look.glyphs)]
    else:
        rows = thisrow.to_come(knitting, min(MOST_TO_COME, height - 1), beside)
        listed = [[(" Rows to come", Tone.LABEL)], *rows] if rows else []
    return _beside(moves, listed, width - beside)


def _beside(left: Sequence[Line], right: Sequence[Line], column: int) -> list[Line]:
    both = zip_longest(left, right)
    return [list(a or []) if b is None else [*_padded(a or [], column), *b] for a, b in both]


def _below(of: BedsideNow, width: int, height: int, look: Look, under: Under, *, ticked: bool) -> list[Line]:
    """What comes after the row, before it the row's steps where they had no room above; beside it the fabric."""
    knitting = of.knitting
    if knitting.step is None:
        return []
    fabric = width // 2 if width >= BESIDE and height >= LEAST_FABRIC else 0
    column = width - fabric
    after = wrapped(thisrow.then(knitting), column, Tone.QUIET, min(height, 2), indent="  ")
    lines: list[Line] = []
    if ticked and height > len(after) + 1:
        lines = [
            [(" This row", Tone.LABEL)],
            *thisrow.steps_ticked(knitting, of.told.short, height - len(after) - 1, look.glyphs),
        ]
    lines = [*lines, *after][:height]
    return _beside(lines, list(under(fabric, height))[:height], column) if fabric else lines


def magnified(of: BedsideNow, width: int, height: int, look: Look) -> list[Line]:
    """One move at a time, as large as the screen is; the next one small below it, and every move in words."""
    figures = _figures(of, width, height)
    head = of.headlines[0]
    wanted = of.moves(width, max(1, height - figures - 2))
    moves = len(wanted)
    room = _Room(height - figures - 1 - moves)
    large = room.take(4) or room.take(1)
    following = of.headlines[1].words if len(of.headlines) > 1 else _after(of)
    then = room.take(2) if following else 0
    lanes = len(strip.COMPACT) + 2 if room.free >= len(strip.COMPACT) + 14 else 0
    room.free -= lanes
    drawn = _large(head, width - 2, room.free + large - 1, look.glyphs) if large > 1 else []
    lines: list[Line] = [*counts.drawn(of.counts, width, figures, look.glyphs), of.bar(width, look)]
    if drawn:
        lines += [[], *([(f" {line}", Tone.MOVING)] for line in drawn)]
        if head.aside and then and len(lines) < height - moves - then:
            lines.append([(f"  {head.aside}", Tone.STRONG)])
    else:
        lines += of.headline(width, 1, look)
    if then:
        spare = height - len(lines) - moves - 1 - lanes
        small = fitting(f"then {following}", width - 3, 3, look.glyphs) if spare >= 4 and len(drawn) > 3 else []
        lines += [[], *([(f"  {line}", Tone.QUIET)] for line in small or [f"then {following}"])]
    lines += [*([[]] if height - len(lines) > moves + lanes else []), *wanted]
    if height - len(lines) > len(strip.COMPACT) + 1:
        fit_lanes = strip.LANES if height - len(lines) > len(strip.LANES) + 1 else strip.COMPACT
        lines += [[], *_strip(of, width, look, fit_lanes)]
    return _filled(lines, height)


def _after(of: BedsideNow) -> str:
    """The first move of the step after the one in hand."""
    if (coming := of.knitting.coming) is None:
        return ""
    number, step = coming
    here = number == of.knitting.place.row
    dial = of.knitting.dial_at(step.first) if here else of.knitting.working.dial_before(number)
    first = next(headlines(step, dial, of.knitting.working.in_work))
    return first.words if here else f"row {number:,}: {first.words}"


def _large(head: Headline, width: int, lines: int, glyphs: Glyphs) -> list[str]:
    """The headline as large as fits: in one line, in a line for the verb and one for the needles, or the verb alone."""
    best: list[str] = fitting(head.words, width, lines, glyphs)
    parts = [part for part in (head.verb, *head.what.split(" SS ")) if part]
    if len(parts) == 3:
        parts[2] = f"SS {parts[2]}"
    for cut in range(1, len(parts)):
        split = [" ".join(parts[:cut]), " ".join(parts[cut:])]
        each = (lines - 1) // 2
        drawn = [fitting(text, width, each, glyphs) for text in split]
        scale = min(len(one) for one in drawn)
        if scale > len(best):
            drawn = [fitting(text, width, scale, glyphs) for text in split]
            best = [*drawn[0], "", *drawn[1]]
    return best or fitting(head.verb, width, lines, glyphs)


def _padded(line: Line, width: int) -> Line:
    found: Line = []
    for text, tone in line if columns(line) > width else ():
        room = width - columns(found) - 2
        found.append((text if len(text) <= room else f"{text[: max(0, room - 1)]}…", tone))
        if len(text) > room:
            break
    found = found or line
    return [*found, (" " * (width - columns(found)), Tone.PLAIN)]


def _filled(lines: list[Line], height: int) -> list[Line]:
    return [*lines, *([[]] * (height - len(lines)))][:height]
