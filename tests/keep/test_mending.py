"""A plan file that cannot be read is mended line by line, and written only once it can be."""

from __future__ import annotations

from pathlib import Path

import pytest

from purlside.files.planfile import Refused, read
from purlside.files.planwriting import NotSaved
from purlside.keep.mending import LONGEST, Mending
from tests.keep.test_draftfile import COMMENTED

pytestmark = pytest.mark.usefixtures("home")


def broken(folder: Path, *changes: tuple[str, str]) -> Path:
    text = COMMENTED
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "jetty.toml"
    path.write_bytes(text.encode())
    return path


def test_each_line_mended_leads_to_the_next_and_the_rest_of_the_file_stays_as_it_is(tmp_path: Path) -> None:
    path = broken(tmp_path, ('"Jetty band"', '"Jetty band'), ("stitch_size = 5", "stich_size = 5"))
    before = path.read_text("utf-8")
    mending = Mending(path)
    assert mending.line.startswith("title") and mending.wrong(mending.at) and mending.plan is None
    mending.put('title = "Jetty band"   # for the door')
    mending.go_to_trouble()
    assert path.read_text("utf-8") == before, "nothing is written while it cannot be read"
    assert mending.line.startswith("stich"), "what is not known may be what is missing"
    mending.put("stitch_size = 5")
    assert mending.plan is not None and not mending.refusals
    mending.save()
    assert path.read_text("utf-8") == COMMENTED


def test_lines_are_added_and_taken_out_and_line_ends_stay_what_they_are(tmp_path: Path) -> None:
    path = broken(tmp_path, ("rows = 40\n", ""), ("\n", "\r\n"))
    mending = Mending(path)
    assert mending.line == "[panel]                # before the machine, as I like it"
    mending.add()
    assert mending.line == "rows = "
    mending.put("rows = 40")
    assert mending.plan is not None
    mending.add()
    mending.put("nonsense")
    assert mending.plan is None
    mending.take_out()
    mending.save()
    assert path.read_bytes().decode().replace("\r\n", "\n").count("\r") == 0
    assert path.read_bytes().count(b"\r\n") == COMMENTED.count("\n") and read(path).plan.panel.rows == 40


def test_a_file_changed_meanwhile_is_not_overwritten_and_a_copy_never(tmp_path: Path) -> None:
    path = broken(tmp_path, ("rows = 40", "rows = forty"))
    mending, copy = Mending(path), Mending(path, copy=True)
    theirs = broken(tmp_path, ("rows = 40", "rows = fifty")).read_bytes()
    for each in (mending, copy):
        each.put("rows = 41")
        assert each.changed
    assert copy.save().plan.panel.rows == 41
    with pytest.raises(NotSaved):
        mending.save()
    assert path.read_bytes() == theirs


def test_what_is_no_text_is_refused_and_a_line_without_end_or_of_control_characters_is_harmless(tmp_path: Path) -> None:
    path = tmp_path / "jetty.toml"
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(Refused):
        Mending(path)
    path.write_text(f"title = \x1b[31m\n#{'x' * 500_000}\n", "utf-8")
    mending = Mending(path)
    assert "\x1b" not in mending.line and not mending.too_long
    mending.go(1)
    assert mending.too_long and len(mending.line) <= LONGEST + 1
    for _ in range(9):
        mending.take_out()
    assert mending.lines == [""]


def test_lines_mended_and_not_written_are_kept_aside_for_the_file_as_it_was_read(home: Path, tmp_path: Path) -> None:
    path = broken(tmp_path, ("rows = 40", "rows = forty"), ('"Jetty band"', '"Jetty band'))
    Mending(path).put('title = "Jetty"')
    assert not Mending(path, copy=True).taken_up, "a copy is mended for itself"
    again = Mending(path)
    assert again.taken_up and 'title = "Jetty"' in again.lines and again.line == "rows = forty"
    again.forget()
    assert not Mending(path).taken_up, "left as it is, nothing is kept"
    Mending(path).put('title = "Jetty"')
    path.write_text(path.read_text("utf-8") + "# from another program\n", "utf-8")
    assert not Mending(path).taken_up, "what was mended was another text"
