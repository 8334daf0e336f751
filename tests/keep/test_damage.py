"""What is damaged costs only itself: it is read as far as it can be, said, and nothing is written over it."""

from __future__ import annotations

import os
import stat
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from purlside.keep import draftfile, folders, settings, shelf, unsaved
from purlside.keep.knitfrom import file_for
from purlside.keep.ledger import Damaged, backwards, entries
from purlside.keep.settings import CallSettings, LookSettings, Settings
from purlside.knitting.cursor import Place
from purlside.knitting.deviations import TooMany
from tests.sessions import again, at, opened, written

CHANGED = Settings(
    calls=CallSettings(ahead=3, silent={"Scarf": ("rope",)}),
    look=LookSettings(theme="light"),
    keys={"forward": ("b", "pagedown")},
)


# --- the ledger ------------------------------------------------------------------


def flipped(path: Path, line: bytes) -> None:
    """One byte of the line that holds a text is another."""
    data = bytearray(path.read_bytes())
    at = data.index(line) + len(line) // 2
    data[at] ^= 1
    path.write_bytes(data)


def test_one_byte_changed_where_it_was_said_what_differs_loses_nothing(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.differ(TooMany(8, 3))
    at(session, 14)
    before = session.course.said, session.knitting.place, session.course.rows
    session.close()
    flipped(session.ledger.path, b'"did": "differs"')
    after = opened(session.file.path)
    assert (after.course.said, after.knitting.place, after.course.rows) == before
    assert after.unfit is not None and "The ledger is damaged in 1 line (after row 8, " in after.unfit
    assert sum(isinstance(line, Damaged) for line in backwards(session.ledger.path)) == 1


@pytest.mark.parametrize("rubbish", [bytes(5000), os.urandom(3000) + b"\n", b"\x7fELF\n" * 40])
def test_rubbish_in_the_ledger_is_said_and_the_rest_is_read(home: Path, tmp_path: Path, rubbish: bytes) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.note("7: second ball")
    path = session.ledger.path
    session.close()
    path.write_bytes(path.read_bytes() + rubbish)
    session = opened(session.file.path)
    session.forward()
    session = again(session)
    assert session.knitting.place.row == 8 and session.in_force.notes == ((7, "second ball"),)
    path.write_bytes(rubbish + b"\n")
    session = again(session)
    session.close()


@pytest.mark.parametrize("rubbish", [bytes(4000) + b"\nx\n", bytes(4000), b"[" * 4000, b"\x7fELF"])
def test_a_ledger_of_nothing_but_rubbish_is_said(home: Path, tmp_path: Path, rubbish: bytes) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.close()
    session.ledger.path.write_bytes(rubbish)
    after = opened(session.file.path)
    assert after.unfit is not None and "nothing of it can be read" in after.unfit


def test_a_ledger_emptied_by_a_power_cut_is_said_and_a_new_one_is_not(home: Path, tmp_path: Path) -> None:
    first = opened(written(tmp_path))
    assert first.unfit is None, "a new panel's ledger has lost nothing"
    at(first, 8).close()
    first.ledger.path.write_bytes(b"")
    after = opened(first.file.path)
    assert after.unfit is not None and "The ledger is empty, though this panel was begun" in after.unfit


def test_zeros_that_a_power_cut_left_at_the_end_are_said_and_a_line_that_a_kill_cut_is_not(
    home: Path, tmp_path: Path
) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.close()
    whole = session.ledger.path.read_bytes()
    last = whole.splitlines()[-1]
    for cut in (1, 5, len(last) - 1):
        session.ledger.path.write_bytes(whole + last[:cut])
        after = opened(session.file.path)
        assert after.unfit is None and after.knitting.place == (8, 0)
        after.close()
    session.ledger.path.write_bytes(whole + bytes(512))
    after = opened(session.file.path)
    assert after.unfit is not None and "The ledger is damaged in 1 line (after row 8, " in after.unfit
    assert after.knitting.place == (8, 0)


def test_a_line_without_a_check_sum_is_an_old_one_and_read(home: Path, tmp_path: Path) -> None:
    session = opened(written(tmp_path))
    session.close()
    with session.ledger.path.open("ab") as stream:
        stream.write(b'{"t": "2026-01-01T10:00:00", "did": "card", "at": "5.0", "cross": ["rope"]}\n')
    after = opened(session.file.path)
    assert after.knitting.place == Place(5, 0)
    assert after.unfit is None


def test_one_line_of_fifty_megabytes_is_passed_over(home: Path, tmp_path: Path) -> None:
    session = at(opened(written(tmp_path)), 8)
    session.close()
    with session.ledger.path.open("ab") as stream:
        for _ in range(50):
            stream.write(b"x" * 1_000_000)
        stream.write(b"\n")
    after = opened(session.file.path)
    assert after.knitting.place.row == 8
    assert [entry.event.at.row for entry in entries(session.ledger.path)][-1] == 8


def test_with_hundreds_of_notes_the_oldest_still_comes_back(home: Path, tmp_path: Path) -> None:
    session = opened(written(tmp_path))
    session.note("3: the very first")
    for number in range(300):
        session.note(f"9: note {number}")
    session.set_counter(7)
    session = at(again(session), 3)
    assert session.notes == ("the very first",)


# --- settings --------------------------------------------------------------------


def test_settings_cut_anywhere_are_used_as_far_as_they_go(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    settings.save(CHANGED, file)
    whole = file.read_bytes()
    for cut in range(len(whole)):
        file.write_bytes(whole[:cut])
        found = settings.load(file)
        assert isinstance(found.settings, Settings)
        if b"ahead = 3\n" in whole[:cut]:
            assert found.settings.calls.ahead == 3, cut


def test_a_damaged_settings_file_is_set_aside_before_it_is_written(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text('[calls]\nahead = 3\n[look]\ntheme = "li')
    found = settings.load(file)
    assert "damaged from line" in found.said
    settings.save(replace(found.settings, guard_ms=70), file, before=found.settings)
    assert (tmp_path / "settings.toml.damaged").read_text().endswith('"li')
    assert settings.load(file).settings == replace(found.settings, guard_ms=70)


def test_two_windows_keep_each_what_it_changed(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    first = second = settings.load(file).settings
    settings.save(replace(first, calls=replace(first.calls, muted=True)), file, before=first)
    settings.save(replace(second, look=replace(second.look, theme="light")), file, before=second)
    both = settings.load(file).settings
    assert both.calls.muted and both.look.theme == "light"


def test_a_key_this_purlside_does_not_know_stays_in_the_file(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text("later = 3\n[look]\nfuture = 1\n")
    found = settings.load(file)
    settings.save(replace(found.settings, guard_ms=70), file, before=found.settings)
    assert "later = 3" in file.read_text() and "future = 1" in file.read_text()


# --- shelf and drafts --------------------------------------------------------------


def test_a_shelf_cut_anywhere_keeps_the_plans_before_the_cut(home: Path, tmp_path: Path) -> None:
    plans = [written(tmp_path, name=f"plan{n}") for n in range(6)]
    for plan in plans:
        shelf.opened(plan)
    file = home / "shelf.toml"
    whole = file.read_bytes()
    for cut in range(0, len(whole), 7):
        for one in home.glob("*.damaged*"):
            one.unlink()
        file.write_bytes(whole[:cut])
        told = sum(str(plan).encode() + b'",' in whole[:cut] for plan in plans)
        shelf.opened(plans[0])
        known = [one.path for one in shelf.plans()]
        assert len(known) >= told, cut
        try:
            tomllib.loads(whole[:cut].decode())
        except tomllib.TOMLDecodeError:
            assert (home / "shelf.toml.damaged").read_bytes() == whole[:cut]


def test_a_plan_whose_name_is_no_text_is_on_the_shelf(home: Path, tmp_path: Path) -> None:
    plan = Path(os.fsdecode(os.fsencode(tmp_path) + b"/Zopf\xfc.toml"))
    plan.write_bytes(written(tmp_path).read_bytes())
    shelf.opened(plan)
    assert plan in [one.path for one in shelf.plans()]
    session = at(opened(plan), 4)
    assert again(session).knitting.place.row == 4


def test_a_plan_with_the_longest_name_there_is_keeps_its_place(home: Path, tmp_path: Path) -> None:
    plan = tmp_path / f"{chr(0x1D7D8) * 60}.toml"
    plan.write_bytes(written(tmp_path).read_bytes())
    session = at(opened(plan), 4)
    assert session.ledger.trouble is None
    assert again(session).knitting.place.row == 4


def test_a_cut_draft_is_offered_up_to_the_cut(home: Path, tmp_path: Path) -> None:
    file = draftfile.opened(opened(written(tmp_path)).file)
    file.draft.type(("title",), "Tried anew")
    file.keep()
    assert file.keeping is not None
    kept = file.keeping.file
    file.keeping.let_go()
    whole = kept.read_bytes()
    offered = 0
    for cut in range(0, len(whole), 11):
        kept.write_bytes(whole[:cut])
        found = unsaved.left(file.path)
        offered += bool(found)
        if b'"rows"' in whole[:cut] and b'"cable"' in whole[:cut]:
            assert found and found[0].plan.title == "Tried anew" and found[0].cut, cut
    assert offered > len(whole) // 11 // 2
    kept.write_bytes(b"{")
    said = unsaved.mend()
    assert len(said) == 1 and not kept.exists()


@pytest.mark.parametrize("text", ['[[Infinity, "x"]]', '[[1e999, "x"]]', "[", "{}", '[["1"]]'])
def test_texts_knit_from_that_cannot_be_read_are_set_aside_and_said(home: Path, tmp_path: Path, text: str) -> None:
    session = at(opened(written(tmp_path)), 4)
    session.close()
    file = file_for(session.ledger.path)
    file.write_text(text)
    after = opened(session.file.path)
    assert after.knitting.place.row == 4
    assert after.unfit is not None and "is damaged: it is kept as" in after.unfit
    assert file.with_name(f"{file.name}.damaged").read_text() == text


# --- whose it is -------------------------------------------------------------------


def test_all_that_is_kept_is_for_this_user_alone_and_leaves_no_parts(home: Path, tmp_path: Path) -> None:
    before = os.umask(0o022)
    try:
        session = at(opened(written(tmp_path)), 4)
        file = draftfile.opened(session.file)
        file.draft.type(("title",), "Tried anew")
        file.keep()
        settings.save(CHANGED)
        shelf.opened(session.file.path)
    finally:
        os.umask(before)
    kept = [file for file in folders.data().rglob("*") if file.is_file()]
    assert len(kept) >= 5
    assert {stat.S_IMODE(file.stat().st_mode) for file in kept} == {0o600}
    assert not [file for file in kept if file.name.endswith(".part")]


def test_a_part_that_a_killed_program_left_goes_with_the_next_writing(tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    part = tmp_path / ".settings.toml.0123abcd.part"
    part.touch()
    settings.save(CHANGED, file)
    assert part.exists(), "it may be another window's"
    os.utime(part, (1, 1))
    settings.save(CHANGED, file)
    assert not part.exists()
