"""Pictures, charts and sheets from the command line."""

from __future__ import annotations

import threading
import webbrowser
from pathlib import Path

import pytest

from purlside.commands.main import main
from purlside.keep import results
from tests.keep.test_draftfile import COMMENTED

pytestmark = pytest.mark.usefixtures("home")


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "jetty.toml"
    path.write_text(COMMENTED, "utf-8")
    return path


def test_the_chart_is_drawn_in_characters_or_on_paper(
    plan: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "chart.svg"
    assert main(["picture", str(plan), "--chart", "--ascii"]) == 0
    told = capsys.readouterr().out
    assert "published chart" in told and "from cn" in told and told.isascii()
    assert main(["picture", str(plan), "--chart", "-o", str(out)]) == 0
    assert 'class="front"' in out.read_text("utf-8")
    assert main(["picture", str(plan), "--chart", "--side", "purl"]) == 2
    assert "knit side" in capsys.readouterr().err


def test_a_plan_goes_out_with_a_sheet_and_is_taken_out_again(
    plan: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page, again = tmp_path / "hand-out.html", tmp_path / "again.toml"
    assert main(["sheet", str(plan), "--detail", "short", "--with-plan", "-o", str(page)]) == 0
    assert main(["read", str(page), "-o", str(again)]) == 0
    assert again.read_text("utf-8") == COMMENTED, "with the designer's comments"
    assert main(["sheet", str(plan), "-o", str(page)]) == 0
    assert main(["read", str(page)]) == 2
    assert "carries no plan" in capsys.readouterr().err


def test_pieces_make_one_hand_out_and_a_plan_is_never_written_over(
    plan: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other, out = tmp_path / "other.toml", tmp_path / "both.txt"
    other.write_text(COMMENTED.replace("title = ", "title = 'Front' #", 1), "utf-8")
    assert main(["sheet", str(plan), str(other), "--row-list", "-o", str(out)]) == 0
    assert out.read_text("utf-8").count("Row list\n") == 2
    assert main(["sheet", str(plan), str(other), "--with-plan", "-o", str(tmp_path / "x.html")]) == 2
    page = tmp_path / "other.html"
    page.write_text(COMMENTED, "utf-8")
    assert main(["sheet", str(plan), str(page), "-o", str(page)]) == 2
    assert "one of the plans itself" in capsys.readouterr().err
    assert page.read_text("utf-8") == COMMENTED


def test_the_page_is_opened_when_asked_and_where_it_cannot_be_that_is_said(
    plan: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []

    def none_to_be_had(path: str) -> bool:
        opened.append(path)
        return False

    monkeypatch.setattr(results, "in_browser", none_to_be_had)
    out = tmp_path / "page.html"
    assert main(["sheet", str(plan), "-o", str(out), "--open"]) == 0
    assert opened == [str(out)]
    assert "open" in capsys.readouterr().err
    assert main(["sheet", str(plan), "-o", str(tmp_path / "x.md"), "--open"]) == 2


def test_wrong_words_are_told_with_what_is_allowed(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words, told in (
        (["picture", str(plan), "-o", "x.png"], "ends in .svg"),
        (["sheet", str(plan), "-o", "x.pdf"], ".html, .md, .txt, .csv"),
        (["sheet", str(plan), "-o", "x.txt", "--cable", "none"], "the plan has no cable named none"),
    ):
        assert main(words) == 2
        assert told in capsys.readouterr().err


def test_a_browser_that_takes_the_terminal_is_not_begun_and_a_slow_one_is_not_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = tmp_path / "page.html"
    page.write_text("<p>", "utf-8")
    begun: list[str] = []

    class InTerminal(webbrowser.GenericBrowser):
        def open(self, url: str, new: int = 0, autoraise: bool = True) -> bool:
            begun.append(url)
            return True

    monkeypatch.setattr(webbrowser, "get", lambda: InTerminal("lynx"))
    assert not results.in_browser(page) and begun == []

    held = threading.Event()

    class Slow(webbrowser.BackgroundBrowser):
        def open(self, url: str, new: int = 0, autoraise: bool = True) -> bool:
            begun.append(url)
            return held.wait(30)

    monkeypatch.setattr(webbrowser, "get", lambda: Slow("slow"))
    monkeypatch.setattr(results, "MOST_WAITED_S", 0.05)
    assert results.in_browser(page) and begun == [page.as_uri()]
    assert all(thread.daemon for thread in threading.enumerate() if thread.name == "browser")
    held.set()
