"""What stands beside a chart, in words: the cable in hand, will it cross, tools, what is wrong, size, what is knit.

Each part is a heading and its lines, the most pressing first where room is
short. Sides are those at the bed unless the text says which side of the fabric.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from purlside.draft import reshaping, together, wanting
from purlside.draft.drafting import Draft
from purlside.draft.sameness import AsKnit
from purlside.ease.reach import Reach, Verdict
from purlside.fabric import written
from purlside.figures.sizing import Finished
from purlside.plan.plan import Cable, Plan
from purlside.plan.problems import Key, Problem
from purlside.rows.calendar import Calendar
from purlside.text.counts import counted
from purlside.text.units import Unit
from purlside.values import Value

MOST_LISTED = 4
"""Rows already knit otherwise that are named."""
MOST_TOLD = 20
"""Faults written out; beyond, they are counted."""


class Part(Value):
    """A heading and its lines; ``wrong`` where the knitter should look."""

    heading: str
    lines: tuple[str, ...]
    wrong: bool = False


def parts(draft: Draft, knit: AsKnit | None = None, row: int = 0, unit: Unit = Unit.CM) -> list[Part]:
    """All parts for a draft, sizes in ``unit``. ``knit`` is what was knit in the rows before ``row``."""
    pressing = verdict(draft), *_cable(draft), *_wrong(draft), *_knit(draft, knit, row)
    return [*pressing, *_size(draft, unit), *_advice(draft)]


# --- the one verdict ----------------------------------------------------------


def verdict(draft: Draft) -> Part:
    """What the plan comes to: the one verdict, which nothing below it contradicts."""
    judged = draft.judgement
    if judged.faults or draft.troubles:
        return Part("CAN'T BE KNITTED LIKE THIS", (), True)
    reached = [(i, j.reach.verdict) for i, cable in enumerate(judged.cables) for j in cable if j.reach is not None]
    if short := [i for i, found in reached if found is Verdict.NOT_ENOUGH]:
        yarn = draft.plan.yarn
        known = any((yarn.fibre, yarn.extension_at_break, yarn.reach_limit, yarn.name))
        names = _names(draft.plan, short)
        found = ("WON'T REACH", names) if known else ("MAY NOT REACH", f"{names}: say the fibre")
        return Part(found[0], (found[1],), True)
    lifts = [(i, j.lift) for i, cable in enumerate(judged.cables) for j in cable]
    if missing := [i for i, lift in lifts if lift.missing]:
        return Part("NEEDS OTHER TOOLS", (_names(draft.plan, missing),), True)
    how = "firmly" if any(found is Verdict.FIRM for _, found in reached) else "easily" if reached else ""
    tools = "" if not lifts else "tools fit" if all(lift.checked for _, lift in lifts) else "tools not listed"
    return Part("WILL KNIT", tuple(filter(None, ["; ".join(filter(None, (how, tools)))])))


def _names(plan: Plan, indices: Sequence[int]) -> str:
    """``"rope, honeycomb A and 2 more"``."""
    names = list(dict.fromkeys(together.name(plan, i) for i in indices))
    more = f" and {len(names) - 2} more" if len(names) > 2 else ""
    return ", ".join(names[:2]) + more


# --- what is in hand ------------------------------------------------------------


def _cable(draft: Draft) -> Iterator[Part]:
    cable, index = draft.cable, draft.selected
    if cable is None or index is None:
        told = "Place a cable here, or take one in hand." if draft.plan.cable else "Place the first cable."
        yield Part("Nothing in hand", (told,))
        return
    judged = draft.judgement.cables[index]
    turns = ", then ".join(written.name(c) for c in cable.crossings[:4])
    more = f" … {len(cable.crossings)} in turn" if len(cable.crossings) > 4 else ""
    things = list(together.things(draft.plan))
    at = next(i for i, thing in enumerate(things, 1) if index in thing)
    place = f" ({at} of {len(things)})" if len(things) > 1 else ""
    one = (f"{len(draft.in_hand)} cables as one",) if len(draft.in_hand) > 1 else ()
    tied = ("tied to its mirrored twin",) if draft.twin else ()
    heading = f"{together.name(draft.plan, index)}: {turns}{more}{place}"
    yield Part(heading, (rows_words(draft.plan, index, draft.calendar), bed_words(cable), *one, *tied))
    reached = draft.reach_in_hand()
    if lines := tuple(dict.fromkeys(line for r in reached for line in (gauge_words(r), verdict_words(r)))):
        yield Part("Will it cross? (estimate)", lines, any(r.planned.verdict is Verdict.NOT_ENOUGH for r in reached))
    tools = tuple(dict.fromkeys(j.lift.words for j in judged))
    yield Part("Tools", tuple(t[0].upper() + t[1:] for t in tools), any(j.lift.missing for j in judged))


GAUGE_COLUMNS = 18
"""Columns of the line from easy to too tight; the limit stands at two thirds of it."""


def gauge_words(reach: Reach) -> str:
    """``"easy ━━━━━━━●────── too tight"``: where a crossing stands, its limit at two thirds."""
    at = round(reach.planned.ratio / reach.limit.value * GAUGE_COLUMNS * 2 / 3)
    at = max(0, min(at, GAUGE_COLUMNS - 1))
    return f"easy {'━' * at}●{'─' * (GAUGE_COLUMNS - 1 - at)} too tight"


def bed_words(cable: Cable) -> str:
    """``"R1-R3 over L3-L1, right half at the bed in front"``."""
    crossing = cable.crossings[0]
    several = f", and {len(cable.crossings) - 1} more in turn" if len(cable.crossings) > 1 else ""
    return f"{crossing}: {crossing.front_side} half at the bed in front{several}"


def rows_words(plan: Plan, index: int, calendar: Calendar | None = None) -> str:
    """``"rows 8, 16 … 176: every 8 rows, 22 times"``."""
    repeat, cable = (calendar or Calendar(plan)).repeats[index], plan.cable[index]
    if not repeat.of:
        return f"row {cable.first_row:,} is above the panel: never crossed"
    if repeat.of == 1:
        return f"row {repeat.first:,}, once"
    wanted = f" of {cable.times:,}" if cable.times is not None and cable.times > repeat.of else ""
    ends = f"{repeat.first:,}, {repeat.first + repeat.every:,}"
    last = "" if repeat.of == 2 else f"{', ' if repeat.of == 3 else ' … '}{repeat.last:,}"
    return f"rows {ends}{last}: every {repeat.every:,}, {repeat.of:,}{wanted} times"


def takes_words(plan: Plan, cables: Sequence[Cable]) -> str:
    """``"takes 12 needles, L6-R6, and rows 6 to 114: 9 whole repeats"``; what is beyond the panel is said."""
    taken, rows = reshaping.span(cables), plan.panel.rows
    count, base = reshaping.crossing_rows(cables, rows), reshaping.step(cables) or 1
    first = min(cable.first_row for cable in cables)
    beyond = [n for n in taken if n not in plan.panel.needles]
    repeats, over = divmod(count, reshaping.turns(cables))
    told = f"Takes {len(taken)} needles, {taken}, rows {first:,} to {first + base * (max(count, 1) - 1):,}: "
    told += f"{counted(repeats, 'whole repeat')}{', and a part of one' if over else ''}"
    return f"{told}; {len(beyond)} of them beyond the panel" if beyond else told


def verdict_words(reach: Reach) -> str:
    """``"3 over 3, plain: firm (0.99, limit 1.07)"``; where it won't reach, what will."""
    planned, numbers = reach.planned, f"{reach.planned.ratio:.2f}, limit {reach.limit.value:.2f}"
    words = f"{reach.crossing.words}, {planned.technique}"
    if planned.verdict is not Verdict.NOT_ENOUGH:
        return f"{words}: {planned.verdict} ({numbers})"
    cheapest = reach.cheapest
    mend = f"{cheapest.technique} will" if cheapest else "nor will anything tried: cross fewer stitches"
    return f"{words}: won't reach; {mend} ({numbers})"


# --- what is wrong ----------------------------------------------------------


def _wrong(draft: Draft) -> Iterator[Part]:
    told = [trouble_words(draft, key, problem) for key, problem in draft.troubles.items()]
    faults = draft.judgement.faults
    mine = [p for p in faults if p.key[:2] == ("cable", draft.selected)]
    told += [fault_words(draft.plan, p) for p in (*mine, *(p for p in faults if p not in mine))]
    more = (f"… and {len(told) - MOST_TOLD} more",) if len(told) > MOST_TOLD else ()
    if told:
        yield Part("Can't be knitted like this", (*told[:MOST_TOLD], *more), True)


def trouble_words(draft: Draft, key: Key, problem: Problem) -> str:
    """Why a typed text could not be taken in; the plan goes on with what it had."""
    nothing = problem.found == "nothing"
    why = (not nothing and problem.why) or f"found {problem.found}; allowed: {problem.allowed}"
    if nothing and problem.key != key:
        why = f"waits for {problem.key[-1]}".replace("_", " ")
    return f"{place_words(draft.plan, key)}: {why}"


def fault_words(plan: Plan, problem: Problem) -> str:
    """A fault with the cable by its name."""
    why = problem.why or f"found {problem.found}; allowed: {problem.allowed}"
    if problem.why and problem.allowed.startswith("at most"):
        # A limit is told whole: how much is too much, and what to do.
        why = f"{problem.found}; allowed: {problem.allowed.split(';')[0]}. {problem.why[0].upper()}{problem.why[1:]}"
    if problem.key[0] == "cable":
        why = why.replace("outside it", "outside the panel").replace("between them", "between its halves")
    return f"{place_words(plan, problem.key)}: {why}"


def place_words(plan: Plan, key: Key) -> str:
    """Where in the plan, as the knitter calls it: ``"rope"``, ``"panel, stitch size"``."""
    if key and key[0] == "cable" and len(key) > 1 and isinstance(key[1], int) and key[1] < len(plan.cable):
        rest = [str(k).replace("_", " ") for k in key[2:] if isinstance(k, str) and k != "cross"]
        return ", ".join([plan.cable[key[1]].name, *rest])
    return Problem(key, "", "").where.replace("_", " ")


def _advice(draft: Draft) -> Iterator[Part]:
    told = [f"{place_words(draft.plan, p.key)}: found {p.found}; {p.allowed}" for p in draft.judgement.advice]
    told += [f"{together.name(draft.plan, i)}: {words}" for i, words in together.loose_ends(draft.plan)]
    if told:
        yield Part("Worth a second look", tuple(told[:MOST_TOLD]))


# --- size, and what is knit -------------------------------------------------


def _size(draft: Draft, unit: Unit) -> Iterator[Part]:
    size = draft.judgement.size
    plan = draft.plan
    panel = f"{len(plan.in_work)} needles, {plan.panel.rows:,} rows"
    if size is None:
        yield Part("Size", (f"{panel}; {unit.short} need a gauge or a measured loop",))
    else:
        yield Part("Size", (f"{panel}: {size_words(size, unit)}", *_wanted(plan, size, unit)))


def _wanted(plan: Plan, size: Finished, unit: Unit) -> Iterator[str]:
    """How far it is from the size wanted, and what would meet it."""
    off = wanting.off(plan, size)
    if off is None or plan.wanted is None:
        return
    asked = " × ".join(
        f"{round(unit.bare(cm * 10), 2):g}" for cm in (plan.wanted.width_cm, plan.wanted.length_cm) if cm is not None
    )
    meets = "" if off.met else f"; {off.needles} needles and {off.rows:,} rows would meet it"
    yield f"wanted {asked} {unit.short}: {off.words(unit)}{meets}"


def size_words(size: Finished, unit: Unit = Unit.CM) -> str:
    """``"about 16.4 × 43.9 cm (width 14.9–19.0)"``."""
    width = size.width_mm
    value, length, least, most = map(unit.bare, (width.value, size.length_mm, width.least, width.most))
    text = f"about {value:.1f} × {length:.1f} {unit.short}"
    return text if least == most else f"{text} (width {least:.1f}–{most:.1f})"


def _knit(draft: Draft, knit: AsKnit | None, row: int) -> Iterator[Part]:
    if knit is None or row <= 1:
        return
    found = knit.differences(draft.plan, row - 1, MOST_LISTED)
    more = (" … and more",) if len(found) > MOST_LISTED else ()
    if found:
        stays = "what is knit stays as it is; the plan holds from there on"
        yield Part("Doesn't match your knitting", (*map(str, found[:MOST_LISTED]), *more, stays), True)
    else:
        yield Part("On the needles", (f"rows 1–{row - 1:,} are as you knit them; row {row:,} is next",))
