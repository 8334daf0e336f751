"""What a sheet says before the first row: what is needed, how big it will be, how far it can be trusted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from purlside.bed.moves import size_text
from purlside.bed.needles import Needle, needles_text
from purlside.ease.reach import Verdict
from purlside.figures.costs import BREAK
from purlside.figures.sizing import YarnNeed
from purlside.figures.tools import shaping_advice
from purlside.figures.whole import CrossingFigures, Figures, together
from purlside.knitting.pace import duration
from purlside.plan.plan import Plan
from purlside.rows.calendar import Calendar
from purlside.sheet.parts import Block, Detail, Drawing, Facts, Items, Para, SheetSection, Table
from purlside.sheet.picture import outlined
from purlside.sheet.words import ABBREVIATIONS, POSITIONS, Letters, written_crosses
from purlside.text.units import Unit

CAUTIONS = (
    ("The manual rules", "Where this sheet and the manual of your machine differ, do what the manual says."),
    (
        "Carriage and fingers",
        "Keep fingers, hair, sleeves and tools out of the carriage's way. Look along the bed before each push. "
        "A carriage that stops is not forced: find the stitch or needle that holds it, and free the carriage the way "
        "the manual tells.",
    ),
    (
        "Latches and hooks",
        "Hooks are sharp and latches bend. Move needles by their butts, several at a time with a ruler or a "
        "needle pusher, and see that the latches of needles pushed out are open before the carriage comes.",
    ),
    (
        "Weights",
        "See that the bed is clamped. Hang weights evenly, move them up a few at a time, and keep feet from under "
        "them. Hold the fabric down by hand while you lift stitches for a crossing.",
    ),
    (
        "Crossings",
        "Lift both halves slowly and never by force: a loop that will not reach is let back, and the crossing made "
        "easier. Count the stitches on both tools before you place them.",
    ),
    ("Breaks", f"Rest hands, eyes and back: {BREAK} (UK Health and Safety Executive, guidance on screen work)."),
)
"""Common practice, no source, but for the breaks."""


def needed_section(plan: Plan, figures: Figures | None, unit: Unit, drawings: tuple[Drawing, ...] = ()) -> SheetSection:
    """Machine, yarn, tools, size and time; ``drawings`` (the schematic) beside them."""
    machine, panel = plan.machine, plan.panel
    low, high = machine.dial
    pairs = [
        ("Machine", f"single bed, {unit.fine(machine.pitch_mm)} from needle to needle, {machine.needles} needles"),
        ("Dial", f"SS {size_text(low)} to SS {size_text(high)}, {machine.dial_clicks} clicks between whole numbers"),
        ("Begin row 1", machine.side.carriage),
        ("Needles", f"{panel.needles} ({len(panel.needles)} needles)".replace("-", "–")),
    ]
    if panel.out_of_work:
        out = [Needle(n) for n in sorted(set(panel.out_of_work))]
        pairs.append(("Out of work, ladders", needles_text(out)))
    bands = ", but for bands" if any(band.stitch_size is not None for band in plan.band) else ""
    parts = f", then the parts up to row {Calendar(plan).end:,}," if plan.part else ""
    pairs.append(("Rows", f"{panel.rows:,}{parts} at SS {size_text(panel.stitch_size)}{bands}"))
    if machine.counter_trip is not None:
        where = f"{'' if isinstance(machine.counter_trip, Needle) else 'the '}{machine.counter_trip}"
        pairs.append(("Row counter", f"tripped at {where}"))
    if plan.gauge is not None:
        at = f" at SS {size_text(plan.gauge.stitch_size)}" if plan.gauge.stitch_size is not None else ""
        pairs.append(("Gauge", f"{unit.gauge(plan.gauge.stitches_per_10cm, plan.gauge.rows_per_10cm)}{at}"))
    pairs += [*_size(figures, unit), *[("Yarn", text) for text in [_yarn(plan, figures)] if text]]
    if figures is not None:
        pairs += _yarn_to_have(figures.needs, figures.margin, unit)
    pairs.append(("Transfer tools", _tools(plan, figures)))
    if panel.weights_every or plan.cable:
        pairs.append(("Weights", "claw weights, moved up as the rows tell"))
    if figures is not None:
        pairs.append(("Time at the bed", f"about {duration(figures.time.total_s)}, breaks not counted"))
    return SheetSection(
        "You will need", (*drawings, Facts(tuple(pairs)), Para("Size, yarn and time are estimates: knit a swatch."))
    )


def _yarn_to_have(needs: Sequence[YarnNeed], margin: float, unit: Unit) -> Iterator[tuple[str, str]]:
    for need in needs:
        grams = f", {unit.weight(need.grams)}" if need.grams is not None else ""
        name = f"Yarn to have, {need.colour}" if need.colour else "Yarn to have"
        yield name, f"about {unit.yarn(need.metres)}{grams}, {margin:.0%} added; an estimate"


def together_section(pieces: Sequence[tuple[str, int]], figures: Sequence[Figures], unit: Unit) -> SheetSection:
    """What the pieces of a garment come to; ``pieces`` are their titles, each with how often it is knit, and of one
    knit twice its ``figures`` stand there twice."""
    whole = together(figures)
    pairs = (
        ("Pieces", "; ".join(f"{title}, knit {often}" if often > 1 else title for title, often in pieces)),
        *_yarn_to_have(whole.needs, figures[0].margin, unit),
        ("Time at the bed", f"about {duration(whole.seconds)} for {whole.rows:,} rows, breaks not counted"),
    )
    return SheetSection("All together", (Facts(pairs),), whole=True)


def _size(figures: Figures | None, unit: Unit) -> Iterator[tuple[str, str]]:
    if figures is None or figures.finished is None:
        yield "Finished size", "not known: the plan gives neither gauge nor a measured loop"
        return
    found, width, length = figures.finished, figures.finished.width_mm, figures.finished.length_mm
    told = unit.size(width.value) + (" on average" if found.varies else "")
    if width.least != width.most:
        told += f" (between {unit.size(width.least)} and {unit.size(width.most)}, as the cables take in)"
    if found.varies:
        told += f"; narrowest {unit.size(found.narrowest_mm)}, at row {found.narrowest_row:,}"
    yield "Width", told
    yield "Length", unit.size(length)


def _yarn(plan: Plan, figures: Figures | None) -> str:
    yarn = plan.yarn
    told = [yarn.fibre or "", yarn.count or (f"{yarn.tex:g} tex" if yarn.tex else "")]
    if figures is not None and yarn.count and figures.yarn.tex:
        told.append(f"{figures.yarn.tex:.4g} tex")
    if yarn.extension_at_break is not None:
        told.append(f"stretches {yarn.extension_at_break:.0%} before it breaks")
    return ", ".join(text for text in told if text)


def _tools(plan: Plan, figures: Figures | None) -> str:
    halves = sorted(
        {tuple(sorted((len(c.front), len(c.back)))) for cable in plan.cable for c in cable.crossings}, reverse=True
    )
    edges = sorted({shape.tool for shape in plan.shape if shape.do in ("decrease", "increase")}, reverse=True)
    if not halves and not edges:
        return "none; the plan crosses nothing"
    wanted = "; ".join(
        [*(f"{a} and {b} prongs at once" for a, b in halves), *(f"{tool} for the edges" for tool in edges if tool > 1)]
    )
    wanted = wanted or "one of 1 prong"
    if plan.tools.prongs is None:
        return f"{wanted}; the plan does not list yours"
    missing = sorted({f.lift.words for f in figures.crossings if f.lift.missing}) if figures else []
    yours = ", ".join(str(p) for p in sorted(plan.tools.prongs)) or "none"
    missing += [problem.why for problem in shaping_advice(plan)]
    return "; ".join([wanted, f"yours have {yours}", *missing])


def edges_section(plan: Plan, figures: Figures | None, unit: Unit) -> SheetSection:
    """Casting on, casting off and finishing, as is common practice."""
    start, stitches, size = plan.machine.side.carriage, len(plan.in_work), size_text(plan.panel.stitch_size)
    ladders = ", every needle but those out of work" if plan.panel.out_of_work else ""
    blocked = _blocked(plan, figures, unit) if figures is not None and figures.finished is not None else ""
    pairs = (
        (
            "Cast on",
            f"{stitches:,} stitches on {needles_text(plan.in_work, plan.in_work, count=False)}{ladders}, with the edge you "
            f"like best or on waste yarn. Hang weights. Before row 1: {start}, dial at SS {size}, row counter 0.",
        ),
        (
            "Cast off",
            f"After {'each part' if plan.part else f'row {plan.panel.rows:,}'}: loosely with the latch tool, or take the "
            "stitches off on a few rows of waste yarn.",
        ),
        (
            "Finishing",
            f"Let the panel rest without weights, then wash or steam it as you did the swatch, and block it{blocked}. "
            "Darn in the ends on the purl side.",
        ),
    )
    return SheetSection("Casting on and off, finishing", (Facts(pairs),), whole=True)


def _blocked(plan: Plan, figures: Figures, unit: Unit) -> str:
    """The size a piece is blocked to, as its schematic has it; an average is no width a shaped piece has anywhere."""
    drawn, finished = outlined(plan, figures), figures.finished
    if drawn is None or finished is None:
        return ""
    length, widths = unit.size(finished.length_mm), [one.mm or 0.0 for one in drawn.widths]
    hem, widest = unit.size(widths[0]), unit.size(max(widths))
    if not plan.shape and not plan.part:
        return f", to about {hem} by {length}"
    at_most = "" if hem == widest else f", {widest} where it is widest"
    return f", to about {hem} across the cast-on edge{at_most} and {length} long"


def credit_section(credit: str) -> SheetSection:
    """Whose design it is; a line to fill in where nobody is named."""
    line = credit or "Design and copyright: ______________________________   Year: __________"
    return SheetSection("Credit", (Para(line),), whole=True)


def reach_section(figures: Figures) -> SheetSection:
    """Each crossing: how it is eased, whether it is expected to go over, which tools in which hand."""
    rows = tuple(_reach(found) for found in figures.crossings)
    head = ("Cable", "Crossing", "SS", "Ease", "Reach", "Tools")
    caption = f"Reach, an estimate: distance ÷ yarn available; the limit for this yarn is {figures.limit.value:.2f}"
    return SheetSection("Will the crossings go over?", (Table(caption, head, rows),))


def _reach(found: CrossingFigures) -> tuple[str, ...]:
    reach = found.reach
    verdict = "not expected to go over" if reach.planned.verdict is Verdict.NOT_ENOUGH else str(reach.planned.verdict)
    return (
        found.name,
        str(reach.crossing).replace("-", "–"),
        size_text(reach.size),
        str(reach.planned.technique),
        f"{reach.planned.ratio:.2f}, {verdict}",
        found.lift.words,
    )


def words_section(plans: Sequence[Plan], letters: Letters, detail: Detail) -> SheetSection:
    """The abbreviations the sheet of these pieces uses, and the machine's own letters where they are printed."""
    crossings = {crossing for plan in plans for cable in Calendar(plan).cables for crossing in cable.crossings}
    pairs = (*ABBREVIATIONS, *([written_crosses(crossings)] if crossings else []))
    brief = detail is Detail.SHORT
    blocks: list[Block] = [Para("; ".join(f"{name}: {what}" for name, what in pairs) + ".") if brief else Facts(pairs)]
    if letters.by_position:
        rows = tuple((p.words, p.value.upper(), letters.by_position.get(p, "not given")) for p in POSITIONS)
        head = ("Position", "Abbreviation", "Your machine's letter")
        blocks.append(Table("The needle's positions, from the rail towards you", head, rows))
    sides = (
        "Left and right are as you sit at the bed. The purl side faces you, the knit side faces away; "
        "the half of a crossing that is placed first shows on the knit side."
    )
    return SheetSection("Abbreviations", (*blocks, Para(sides)))


def cautions_section(detail: Detail) -> SheetSection:
    """What can hurt, and that the manual rules."""
    if detail is Detail.SHORT:
        manual, breaks = CAUTIONS[0][1], CAUTIONS[-1][1]
        watch = "Fingers out of the carriage's way; latches open; weights even, feet from under them; force nothing."
        return SheetSection("Cautions", (Items((manual, watch, breaks)),), whole=True)
    return SheetSection("Cautions", (Facts(CAUTIONS), Para("Common practice, where no source is named.")), whole=True)


def sources_section(figures: Figures | None, trouble: str, unit: Unit) -> SheetSection:
    """Where each estimate comes from; what the plan does not tell."""
    lines = _sources(figures, unit) if figures is not None else [f"No figures could be worked out: {trouble}"]
    order = "Order of moves: worked out for the fewest movements of the carriage in each row."
    return SheetSection("Where the estimates come from", (Items((*lines, order)),))


def _sources(figures: Figures, unit: Unit) -> Iterator[str]:
    loop = figures.loop
    yield f"Yarn in a loop: {unit.fine(loop(figures.panel_size))} at SS {size_text(figures.panel_size)}, {loop.basis}."
    yield from (f"Doubtful: {doubt}." for doubt in loop.doubts)
    if figures.finished is not None:
        made_of = figures.finished.made_of
        yield f"Size: {made_of.gauge_from}."
        if figures.finished.taken_in_mm:
            yield f"What cables take in: {made_of.take_in_from}."
    yield f"Yarn to have: every loop at its size, {figures.margin:.0%} added for casting on, ends and a swatch."
    if figures.yarn.tex is not None:
        yield f"Yarn count: {figures.yarn.tex:.4g} tex, {figures.yarn.tex_from}."
    if figures.crossings:
        yield (
            "Reach: travel of both halves over the yarn both can give, our own relation; "
            f"the limit: {figures.limit.source}."
        )
    yield f"Time: {figures.time.pace_from}."
    yield from (f"Missing in the plan: {missing}." for missing in figures.missing)
