"""Help at the drafting table: its keys, and how to read the chart."""

from __future__ import annotations

from purlside.app.screens.help import Help, listed, prose
from purlside.app.widgets.page import Block
from purlside.draft import chartsigns
from purlside.fabric import written

PARTS = (
    "Sides: the chart is seen from the knit side, mirrored, or from the purl side, as the bed is seen. Moves to the left "
    "and right are as seen; needles and halves are always named as they are at the bed.",
    f"Placing: {written.ALLOWED}; 3 over 3 right puts the right half at the bed in front; R1-R3 over L3-L1 names the "
    "needles, the half in front first. RC leans right on the knit side, LC leans left.",
    "Motifs: what is laid as one motif is moved, widened, retimed, turned and deleted as one, and ends with a whole repeat "
    "before the panel does. A mirrored twin follows whatever is done to the other, until they are untied.",
    "Published patterns: a row's cable is crossed after the row before, since at the bed the row is knit first; purl is "
    "latched up from the knit side, so many rows at a time. What one bed cannot do is left out and said.",
    "Saving: the file keeps your comments and the order of its keys. A file that someone else changed meanwhile is "
    "never overwritten. What cannot be knit can be saved all the same, and finished another day.",
    "Not saved yet: what you drafted is kept at each change, beside the ledgers and never in your file. Should the "
    "program end, it is offered when the plan is drafted again, with the latest steps that undo takes back: restore it, or "
    "discard it. Each window keeps its own; where several are left, all are offered. A plan never saved stands on the shelf.",
    "Knitting meanwhile: rows that are on the needles already are compared with the plan as it is now; those that differ "
    "are named beside the chart. Going to the bedside keeps your place and the machine's counter: what is knit stays as it is, "
    "a row begun is finished as it was begun, and the plan holds from the next row on.",
)


class ChartHelp(Help):
    """Keys, legend, words."""

    def more(self, width: int) -> list[Block]:
        glyphs = chartsigns.ASCII if self.app.has_class("-ascii") else chartsigns.UNICODE
        title = "The chart: a line a row, row 1 lowest; needles across"
        return [listed(title, chartsigns.legend(glyphs), width), *(prose(text, width) for text in PARTS)]
