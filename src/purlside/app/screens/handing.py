"""Handing the working out to others: two questions, then the sheet, the picture or the chart is written, or looked at."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from textual.screen import Screen

from purlside.app.screens.ask import Ask, Choose
from purlside.keep import results
from purlside.keep.results import in_browser
from purlside.text.harmless import shown

if TYPE_CHECKING:
    from purlside.keep.session import Session
    from purlside.plan.plan import Plan

PICTURE = ".svg"

DETAILS, PAPERS = ("short", "working", "full"), ("A4", "Letter")
MORE = {
    "letters": "the machine's own position letters",
    "inches": "inches and ounces",
    "list": "every row with boxes to tick",
    "plan": "the plan carried along in a page",
    "open": "in the browser",
}
"""Words a sheet takes besides its detail and its paper."""

PICTURES = ("fabric", "chart", "knit", "purl")
"""Words a drawing takes: what, and from which side."""


def hand_out(screen: Screen[None], session: Session, say: Callable[[str], None]) -> None:
    """Ask where and how, and write the sheet or a drawing of the plan in hand; ``say`` tells what came of it."""
    hand_out_plan(screen, session.file.plan, session.file.path, say, session.file.text)


def hand_out_plan(
    screen: Screen[None], plan: Plan, path: Path, say: Callable[[str], None], text: str | None = None
) -> None:
    """The same for any plan without faults; ``text`` is what its file says, where that is known."""
    from purlside.sheet.whole import SUFFIXES

    suffixes = (*SUFFIXES, PICTURE)
    named = ", ".join(suffixes)

    def refuse_name(answer: str) -> str | None:
        if answer.lower().endswith(suffixes):
            return None
        return f"Found {shown(answer, 30)}; allowed: a file name that ends in {named}"

    def ask_how(out: str | None) -> None:
        if out is None:
            return
        drawn = out.lower().endswith(PICTURE)
        hint = "fabric or chart; knit or purl side" if drawn else f"{', '.join((*DETAILS, *PAPERS, *MORE))}"
        question = "What is drawn" if drawn else "How much detail, on which paper"
        preset = "fabric knit" if drawn else "full A4"
        refuse = _refused_picture if drawn else _refused
        screen.app.push_screen(Ask(question, hint, refuse, preset), lambda words: make(out, words, drawn))

    def make(out: str, words: str | None, drawn: bool) -> None:
        if words is None:
            return
        if results.theirs(out):
            over = {"w": "write over it", "escape": "leave it as it is"}
            question = f"{shown(out)} is there already, and not as Purlside wrote it"
            begun = Choose(question, over)
            screen.app.push_screen(begun, lambda key: begin(out, words, drawn) if key == "w" else None)
        else:
            begin(out, words, drawn)

    def begin(out: str, words: str, drawn: bool) -> None:
        say(f"Writing {shown(out)} …")
        screen.run_worker(lambda: _write(screen, (plan, path, text), out, words, say), thread=True, exit_on_error=False)

    preset = f"{path.stem}-sheet.html"
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


def _write(
    screen: Screen[None], what: tuple[Plan, Path, str | None], out: str, words: str, say: Callable[[str], None]
) -> None:
    """In a thread of its own: a long sheet does not hold up the bedside."""
    plan, path, text = what
    try:
        made = _drawn(plan, words) if out.lower().endswith(PICTURE) else _sheet(plan, out, words, text)
        results.write(out, path, made, force=True)
        told = f"{shown(out)} written"
        if "open" in words.lower().split() and out.lower().endswith(".html") and not in_browser(out):
            told += "; no browser could be opened"
    except (results.NotWritten, ValueError) as error:
        told = f"Not written: {error}"
    screen.app.call_from_thread(say, told)


def _sheet(plan: Plan, out: str, words: str, text: str | None) -> str:
    from purlside.files import planwriting
    from purlside.sheet.whole import sheet_command

    found, page = _words(words, (*DETAILS, *PAPERS, *MORE)), out.lower().endswith(".html")
    return sheet_command(
        plan,
        out[out.rindex(".") :],
        _last(found, DETAILS, "full"),
        _last(found, PAPERS, "A4"),
        "letters" in found,
        "inch" if "inches" in found else "cm",
        row_list="list" in found,
        embed=(text or planwriting.new(plan)) if "plan" in found and page else "",
    )


def _drawn(plan: Plan, words: str) -> str:
    """The picture or the chart."""
    from purlside.fabric.published import chart_svg, published
    from purlside.fabric.stitches import Fabric, Face
    from purlside.fabric.svg import picture_svg

    found, fabric = _words(words, PICTURES), Fabric(plan)
    if "chart" in found:
        return chart_svg(published(fabric))
    return picture_svg(fabric, Face(_last(found, ("knit", "purl"), "knit")))
