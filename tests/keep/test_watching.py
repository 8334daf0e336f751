"""The plan's file while it is knit from: what other programs do with it is seen once, and told as it is."""

from __future__ import annotations

import os
from pathlib import Path

from purlside.app.screens.bedside import Bedside
from purlside.files.planfile import read
from purlside.keep.watching import Seen, Watched
from tests.sessions import at, opened, written


def looks(watched: Watched) -> list[bool]:
    """Two looks: a file found the same by both is judged."""
    return [watched.look(), watched.look()]


def test_a_file_nobody_touches_is_never_spoken_of(tmp_path: Path) -> None:
    watched = Watched(read(written(tmp_path)))
    assert looks(watched) + looks(watched) == [False] * 4
    assert watched.trouble.full == ""


def test_a_file_saved_again_with_the_same_text_has_not_changed(tmp_path: Path) -> None:
    path = written(tmp_path)
    watched = Watched(read(path))
    new = tmp_path / "new"
    new.write_bytes(path.read_bytes())
    os.replace(new, path)
    assert looks(watched) == [False, False]


def test_a_file_is_judged_once_it_is_written_to_its_end(tmp_path: Path) -> None:
    path = written(tmp_path)
    watched, text = Watched(read(path)), path.read_text("utf-8").replace("rows = 40", "rows = 48")
    path.write_text(text[: len(text) // 2], "utf-8")
    assert not watched.look()
    path.write_text(text, "utf-8")
    assert looks(watched) == [False, True]
    assert watched.seen is Seen.CHANGED


def test_a_file_made_unreadable_tells_the_line_and_mended_tells_nothing_more(tmp_path: Path) -> None:
    path = written(tmp_path)
    text = path.read_text("utf-8")
    watched = Watched(read(path))
    path.write_text(text.replace("rows = 40", "rows = many"), "utf-8")
    assert looks(watched) == [False, True]
    line = text[: text.index("rows = 40")].count("\n") + 1
    assert watched.seen is Seen.NOT_KNITTABLE and f"line {line}: " in watched.trouble.full
    path.write_text(text, "utf-8")
    assert looks(watched) == [False, True]
    assert watched.trouble.full == ""


def test_a_file_that_cannot_be_knit_says_its_fault(tmp_path: Path) -> None:
    path = written(tmp_path)
    watched = Watched(read(path))
    path.write_text(path.read_text("utf-8").replace("L3-L1", "L30-L28"), "utf-8")
    assert looks(watched) == [False, True]
    assert watched.seen is Seen.NOT_KNITTABLE


def test_a_file_removed_and_put_back_is_said_and_then_no_more(tmp_path: Path) -> None:
    path = written(tmp_path)
    watched = Watched(read(path))
    path.rename(tmp_path / "elsewhere")
    assert looks(watched) == [False, True]
    assert watched.seen is Seen.GONE and "steps are kept" in watched.trouble.full
    (tmp_path / "elsewhere").rename(path)
    assert looks(watched) == [False, True]
    assert watched.trouble.full == ""


def test_each_further_change_is_told_again(tmp_path: Path) -> None:
    path = written(tmp_path)
    watched, text = Watched(read(path)), path.read_text("utf-8")
    for rows in (41, 42):
        path.write_text(text.replace("rows = 40", f"rows = {rows}"), "utf-8")
        assert looks(watched) == [False, True]


def test_a_file_changed_between_being_read_and_watched_is_seen(tmp_path: Path) -> None:
    path = written(tmp_path)
    file = read(path)
    path.write_text(file.text.replace("rows = 40", "rows = 48"), "utf-8")
    watched = Watched(file)
    assert looks(watched)[0]
    assert watched.seen is Seen.CHANGED


def test_a_second_window_follows_the_first_and_does_not_take_over_by_itself(home: Path, tmp_path: Path) -> None:
    first = at(opened(written(tmp_path)), 5)
    second = opened(first.file.path)
    assert second.ledger.read_only and not second.follow()
    first.forward()
    assert second.follow()
    assert second.knitting.place == first.knitting.place
    first.close()
    second.follow()
    assert second.ledger.read_only, "which window knits on is said by a key, not by the clock"


def test_a_step_made_while_a_second_window_opens_is_seen_by_its_first_look(home: Path, tmp_path: Path) -> None:
    first = at(opened(written(tmp_path)), 5)
    second = opened(first.file.path)
    first.forward()
    bedside = Bedside(second)
    assert bedside._ledger.look() and second.follow()
    assert second.knitting.place == first.knitting.place
    assert not bedside._ledger.look()
