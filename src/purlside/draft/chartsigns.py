"""The characters a chart is drawn with, and what they mean."""

from __future__ import annotations

from purlside.values import Value


class ChartSigns(Value):
    """The characters of one way of drawing."""

    edge: str
    chosen: str
    under: str
    tens: str
    ruled: str
    purl: str
    ladder: str
    right: str
    left: str
    crossed: str
    refused: str
    knit: str
    band: str
    cut: str
    more_left: str
    more_right: str
    panel_left: str
    panel_right: str
    cursor: str


UNICODE = ChartSigns("│", "┃", "─", "┊", "·", "-", "×", "/", "\\", "•", "!", "═", "│", "…", "‹", "›", "▕", "▏", "►")
ASCII = ChartSigns("|", "#", "_", ":", ".", "-", "x", "/", "\\", "*", "!", "=", "|", "~", "<", ">", "[", "]", ">")


def legend(glyphs: ChartSigns) -> tuple[tuple[str, str], ...]:
    """The signs of a chart and what they mean."""
    g = glyphs
    return (
        (f"{g.right} {g.left}", "a crossing: the half on top, seen from this side, and the way it leans"),
        (g.under, "the half that lies under it"),
        (g.edge, "the edges of a cable, between its crossings"),
        (g.chosen, "the edges of what is in hand"),
        (g.purl, "purl on the knit side: latched up from there"),
        ("● o", "a bead"),
        ("@ O", "a stitch knit by hand; one enlarged"),
        (f"{g.panel_left} {g.panel_right}", "the panel's edges, in each row where they are"),
        (f"{g.tens} {g.ruled}", "every tenth needle, every tenth row"),
        (g.refused, "can't be knitted like this; why stands beside the chart"),
        (g.ladder, "out of work: a ladder"),
        (g.cursor, "the row of the cursor; its needle is named above and below"),
        (g.crossed, "beside a row's number: a crossing row"),
        (g.knit, "beside a row's number: the last row that is knit already"),
        (f"{g.band} SS 4", "at the right: a band of another size or colour"),
        ("> text", "at the right: a reminder"),
    )
