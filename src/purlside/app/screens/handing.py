"""Handing the working out to others: two questions, then the sheet is written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from textual.screen import Screen

from purlside.app.screens.ask import Ask, Choose
from purlside.keep import results
from purlside.keep.session import Session
from purlside.plan.plan import Plan
from purlside.text.harmless import shown

DETAILS, PAPERS, LETTERS = ("full", "working", "short"), ("A4", "Letter"), "letters"


PICTURE = ".svg"


def hand_out(screen: Screen[None], session: Session, say: Callable[[str], None]) -> None:
    """Ask where and how, and write the sheet of the plan in hand; ``say`` tells what came of it."""
    hand_out_plan(screen, session.file.plan, session.file.path, say)


def hand_out_plan(screen: Screen[None], plan: Plan, path: Path, say: Callable[[str], None]) -> None:
    """The same for any plan without faults; a name that ends in .svg is a picture of the fabric."""
    from purlside.sheet.whole import SUFFIXES

    named = ", ".join((*SUFFIXES, f"{PICTURE} for a picture"))

    def refuse_name(answer: str) -> str | None:
        if answer.lower().endswith((*SUFFIXES, PICTURE)):
            return None
        return f"Found {shown(answer, 30)}; allowed: a file name that ends in {named}"

    def ask_detail(out: str | None) -> None:
        if out is None:
            return
        if out.lower().endswith(PICTURE):
            write(out, "")
            return
        hint = f"{', '.join(DETAILS)}; {', '.join(PAPERS)}; {LETTERS} adds the machine's own position letters"
        question = Ask("How much is told, on which paper", hint, _refused, "full A4")
        screen.app.push_screen(question, lambda words: write(out, words))

    def write(out: str, words: str | None) -> None:
        if words is None:
            return
        if results.theirs(out):
            over = {"w": "write over it", "escape": "leave it as it is"}
            question = f"{shown(out)} is there already, and Purlside has not written it as it is"
            screen.app.push_screen(Choose(question, over), lambda key: begin(out, words) if key == "w" else None)
        else:
            begin(out, words)

    def begin(out: str, words: str) -> None:
        say(f"Writing {shown(out)} …")
        screen.run_worker(lambda: _write(screen, plan, path, out, words, say), thread=True, exit_on_error=False)

    preset = f"{path.stem}-sheet.html"
    screen.app.push_screen(
        Ask("Sheet or picture: the file to write", f"it ends in {named}", refuse_name, preset), ask_detail
    )


def _chosen(words: str) -> tuple[str, str, bool]:
    """Detail, paper, letters from what was typed. Raises ValueError naming a word that is none of them."""
    detail, paper, letters = DETAILS[0], PAPERS[0], False
    for word in words.replace(",", " ").replace(";", " ").split():
        if word.lower() in DETAILS:
            detail = word.lower()
        elif word.lower() == LETTERS:
            letters = True
        elif word.lower() in (one.lower() for one in PAPERS):
            paper = next(one for one in PAPERS if one.lower() == word.lower())
        else:
            raise ValueError(f"Found {shown(word, 20)}; allowed: {', '.join((*DETAILS, *PAPERS, LETTERS))}")
    return detail, paper, letters


def _refused(words: str) -> str | None:
    try:
        _chosen(words)
    except ValueError as error:
        return str(error)
    return None


def _write(screen: Screen[None], plan: Plan, path: Path, out: str, words: str, say: Callable[[str], None]) -> None:
    """In a thread of its own: a long sheet does not hold up the bedside."""
    try:
        results.write(out, path, _text(plan, out, words), force=True)
        told = f"{shown(out)} written"
    except (results.NotWritten, ValueError) as error:
        told = f"Not written: {error}"
    screen.app.call_from_thread(say, told)


def _text(plan: Plan, out: str, words: str) -> str:
    if out.lower().endswith(PICTURE):
        from purlside.fabric.svg import picture_svg

        return picture_svg(plan)
    from purlside.sheet.whole import sheet_command

    detail, paper, letters = _chosen(words)
    return sheet_command(plan, out[out.rindex(".") :], detail, paper, letters)
