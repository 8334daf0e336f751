"""Handing the working out to others: two questions, then the sheet, the picture or the chart is written, or looked at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from textual.screen import Screen

from purlside.app.screens.ask import Ask
from purlside.keep import folders
from purlside.keep.browser import in_browser
from purlside.text.harmless import shown

if TYPE_CHECKING:
    from purlside.keep.settings import Settings
    from purlside.plan.plan import Plan

DETAILS, PAPERS = ("short", "working", "full"), ("A4", "Letter")
MORE = {
    "letters": "the machine's own position letters",
    "inches": "inches and ounces",
    "list": "every row with boxes to tick",
    "plan": "the plan carried along in a page",
    "open": "in the browser",
    "look": "on this screen, nothing written",
}
"""Words a sheet takes besides its detail and its paper."""

PICTURES = ("fabric", "chart", "knit", "purl")
"""Words a drawing takes: what, and from which side."""


@dataclass(frozen=True)
class Handed:
    """What is handed out: the plan, its file's text and path."""

    plan: Plan
    text: str
    path: Path


def hand_out(screen: Screen[None], handed: Handed, settings: Settings, say: Callable[[str], None]) -> None:
    """Ask where and how, and write the sheet or the drawing; ``say`` tells what came of it."""
    from purlside.sheet.whole import SUFFIXES

    suffixes = (*SUFFIXES, ".svg")
    named = ", ".join(suffixes)

    def refuse_name(answer: str) -> str | None:
        if answer.lower().endswith(suffixes):
            return None
        return f"Found {shown(answer, 30)}; allowed: a file name that ends in {named}"

    def ask_how(out: str | None) -> None:
        if out is None:
            return
        drawn = out.lower().endswith(".svg")
        hint = "fabric or chart; knit or purl side" if drawn else f"{', '.join((*DETAILS, *PAPERS, *MORE))}"
        question = "What is drawn" if drawn else "How much is told, on which paper"
        preset = "fabric knit" if drawn else "full A4 inches" if settings.look.unit == "inch" else "full A4"
        refuse = _refused_picture if drawn else _refused
        screen.app.push_screen(Ask(question, hint, refuse, preset), lambda words: make(out, words, drawn))

    def make(out: str, words: str | None, drawn: bool) -> None:
        if words is None:
            return
        if "look" in words.lower().split():
            from purlside.app.screens.readscreen import ReadScreen

            lines = _text(handed.plan, ".txt", words).splitlines()
            screen.app.push_screen(ReadScreen([(line, "plain") for line in lines], settings))
            return
        say(f"Writing {shown(out)} …")
        act = _draw if drawn else _write
        screen.run_worker(lambda: screen.app.call_from_thread(say, act(handed, out, words)), thread=True)

    preset = f"{handed.path.stem}-sheet.html"
    title = "Sheet or picture: the file to write"
    screen.app.push_screen(Ask(title, f"it ends in {named}", refuse_name, preset), ask_how)


def _words(words: str, allowed: tuple[str, ...]) -> list[str]:
    """The words typed, each as it is written in ``allowed``. Raises ValueError naming one that is none of them."""
    known = {word.lower(): word for word in allowed}
    found = []
    for word in words.replace(",", " ").replace(";", " ").split():
        if word.lower() not in known:
            raise ValueError(f"Found {shown(word, 20)}; allowed: {', '.join(allowed)}")
        found.append(known[word.lower()])
    return found


def _last(words: list[str], among: tuple[str, ...], usual: str) -> str:
    return next((word for word in reversed(words) if word in among), usual)


def _refused(words: str) -> str | None:
    try:
        _words(words, (*DETAILS, *PAPERS, *MORE))
    except ValueError as error:
        return str(error)
    return None


def _refused_picture(words: str) -> str | None:
    try:
        found = _words(words, PICTURES)
    except ValueError as error:
        return str(error)
    return "a chart shows the knit side" if "chart" in found and "purl" in found else None


def _text(plan: Plan, suffix: str, words: str, text: str = "") -> str:
    from purlside.sheet.whole import sheet_command

    found = _words(words, (*DETAILS, *PAPERS, *MORE))
    return sheet_command(
        plan,
        suffix,
        _last(found, DETAILS, "full"),
        _last(found, PAPERS, "A4"),
        "letters" in found,
        "inch" if "inches" in found else "cm",
        row_list="list" in found,
        embed=text if "plan" in found and suffix == ".html" else "",
    )


def _write(handed: Handed, out: str, words: str) -> str:
    """In a thread of its own: a long sheet does not hold up the bedside. What came of it."""
    suffix = out[out.rindex(".") :].lower()
    try:
        folders.write_result(out, handed.path, _text(handed.plan, suffix, words, handed.text))
    except (folders.NotWritten, ValueError) as error:
        return f"The sheet is not written: {error}"
    opened = "open" in words.lower().split() and suffix == ".html"
    return f"{shown(out)} written" + ("; no browser could be opened" if opened and not in_browser(out) else "")


def _draw(handed: Handed, out: str, words: str) -> str:
    """The picture or the chart, written. What came of it."""
    from purlside.fabric.published import chart_svg, published
    from purlside.fabric.stitches import Fabric, Face
    from purlside.fabric.svg import picture_svg

    found, fabric = _words(words, PICTURES), Fabric(handed.plan)
    if "chart" in found:
        svg = chart_svg(published(fabric))
    else:
        svg = picture_svg(fabric, Face(_last(found, ("knit", "purl"), "knit")))
    try:
        folders.write_result(out, handed.path, svg)
    except folders.NotWritten as error:
        return f"The picture is not written: {error}"
    return f"{shown(out)} written"
