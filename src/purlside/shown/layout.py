"""The bedside as the lines of a screen of any size: headline, counts, call, moves, strip, row.

The headline, the row, the side, the rows to the next crossing and every move of the step are on every screen from
40 × 12 up; what else there is comes as far as it has room, and goes in the same order.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import zip_longest

from purlside.bed.headline import Headline
from purlside.shown import counts, framing, strip, thisrow
from purlside.shown.bedside import BedsideNow, Look
from purlside.shown.capitals import fitting
from purlside.shown.thisrow import headlines, wrapped
from purlside.text.signs import Glyphs, Line, Tone, columns
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

Under = Callable[[int, int], Sequence[Line]]
"""The fabric under the needles, for so many columns and lines; nothing while it is not drawn."""


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
