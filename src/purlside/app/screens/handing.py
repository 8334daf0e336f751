"""Handing the working out to others: two questions, then the sheet, the picture or the chart is written, or looked at."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from purlside.app.screens.ask import Ask, Choose
from purlside.app.screens.keyed import Keyed
from purlside.keep import results
from purlside.text.harmless import shown

if TYPE_CHECKING:
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


def hand_out(screen: Keyed, plan: Plan, path: Path, text: str | None = None) -> None:
    """Ask where and how, and write the sheet or a drawing of a plan without faults; what came of it is said.

    ``text`` is what its file says, where that is known.
    """
    from purlside.sheet.whole import SUFFIXES

    suffixes = (*SUFFIXES, PICTURE)
    named = ", ".join(suffixes)

    def name(answer: str) -> str:
        if answer.lower().endswith(suffixes):
            return answer
        raise ValueError(f"Found {shown(answer, 30)}; allowed: a file name that ends in {named}")

    def ask_how(out: str) -> None:
        if out.lower().endswith(PICTURE):
            ask = Ask("What is drawn", "fabric or chart; knit or purl side", _picture_words, "fabric knit")
        else:
            hint = ", ".join((*DETAILS, *PAPERS, *MORE))
            ask = Ask("How much detail, on which paper", hint, _sheet_words, "full A4")
        screen.owner.ask(ask, lambda words: make(out, words))

    def make(out: str, words: list[str]) -> None:
        if results.theirs(out):
            over = {"w": "write over it", "escape": "leave it as it is"}
            question = f"{shown(out)} is there already, and not as Purlside wrote it"
            screen.owner.ask(Choose(question, over), lambda _: begin(out, words))
        else:
            begin(out, words)

    def begin(out: str, words: list[str]) -> None:
        screen.say(f"Writing {shown(out)} …")
        screen.run_worker(lambda: write(out, words), thread=True, exit_on_error=False)

    def write(out: str, words: list[str]) -> None:
        """In a thread of its own: a long sheet does not hold up the bedside."""
        try:
            made = _drawn(plan, words) if out.lower().endswith(PICTURE) else _sheet(plan, out, words, text)
            results.write(out, path, made, force=True)
            told = f"{shown(out)} written"
            if "open" in words and out.lower().endswith(".html") and not results.in_browser(out):
                told += "; no browser could be opened"
        except (results.NotWritten, ValueError) as error:
            told = f"Not written: {error}"
        screen.app.call_from_thread(screen.say, told)

    title = "Sheet or picture: the file to write"
    screen.owner.ask(Ask(title, f"it ends in {named}", name, f"{path.stem}-sheet.html"), ask_how)


def _words(typed: str, allowed: tuple[str, ...]) -> list[str]:
    """The words typed, each as it is written in ``allowed``. Raises ValueError naming one that is none of them."""
    known = {word.lower(): word for word in allowed}
    words = typed.replace(",", " ").replace(";", " ").split()
    if wrong := next((word for word in words if word.lower() not in known), None):
        raise ValueError(f"Found {shown(wrong, 20)}; allowed: {', '.join(allowed)}")
    return [known[word.lower()] for word in words]


def _sheet_words(typed: str) -> list[str]:
    return _words(typed, (*DETAILS, *PAPERS, *MORE))


def _picture_words(typed: str) -> list[str]:
    words = _words(typed, PICTURES)
    if "chart" in words and "purl" in words:
        raise ValueError("a chart shows the knit side")
    return words


def _last(words: list[str], among: tuple[str, ...], usual: str) -> str:
    return next((word for word in reversed(words) if word in among), usual)


def _sheet(plan: Plan, out: str, words: list[str], text: str | None) -> str:
    from purlside.files import planwriting
    from purlside.sheet.whole import sheet_command

    return sheet_command(
        plan,
        out[out.rindex(".") :],
        _last(words, DETAILS, "full"),
        _last(words, PAPERS, "A4"),
        "letters" in words,
        "inch" if "inches" in words else "cm",
        row_list="list" in words,
        embed=(text or planwriting.new(plan)) if "plan" in words and out.lower().endswith(".html") else "",
    )


def _drawn(plan: Plan, words: list[str]) -> str:
    """The picture or the chart."""
    from purlside.fabric.published import chart_svg, published
    from purlside.fabric.stitches import Fabric, Face
    from purlside.fabric.svg import picture_svg

    fabric = Fabric(plan)
    if "chart" in words:
        return chart_svg(published(fabric))
    return picture_svg(fabric, Face(_last(words, ("knit", "purl"), "knit")))
