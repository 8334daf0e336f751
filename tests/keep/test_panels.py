"""A panel belongs to its plan: renamed, moved, linked or copied, the place is where it was left."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from purlside.files import planfile
from purlside.keep import folders, panels, shelf
from tests.plans import cable
from tests.sessions import at, opened, written


def knit(path: Path, row: int = 6) -> None:
    """Knit to a row, note something there, and close."""
    session = at(opened(path), row)
    session.note("second ball")
    session.close()


def place(path: Path) -> tuple[int, int]:
    session = opened(path)
    session.close()
    return session.knitting.place.row, len(session.in_force.notes)


def test_a_renamed_plan_is_where_it_was_left(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    knit(plan)
    other = plan.rename(tmp_path / "rope2.toml")
    assert place(other) == (6, 1)
    third = other.rename(tmp_path / "rope3.toml")
    assert place(third) == (6, 1)
    assert len(list((home / "ledgers").glob("*.jsonl"))) == 1


def test_a_plan_renamed_and_changed_is_where_it_was_left(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    knit(plan)
    other = plan.rename(tmp_path / "rope2.toml")
    with other.open("a") as stream:
        stream.write("# with a remark\n")
    assert place(other) == (6, 1)


def test_a_new_plan_in_the_old_place_begins_at_row_1_and_the_moved_one_goes_on(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    knit(plan)
    other = plan.rename(tmp_path / "rope2.toml")
    assert place(other) == (6, 1)
    new = written(tmp_path, cable(every=12), title="Another")
    assert place(new) == (1, 0)
    knit(new, 9)
    assert (place(new), place(other)) == ((9, 1), (6, 1))


def test_a_folder_moved_to_another_computer_with_what_is_kept_goes_on(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").mkdir()
    knit(written(tmp_path / "a"))
    shutil.copytree(tmp_path / "a", tmp_path / "b")
    shutil.copytree(home, tmp_path / "kept there")
    shutil.rmtree(tmp_path / "a")
    monkeypatch.setenv(folders.HOME, str(tmp_path / "kept there"))
    assert place(tmp_path / "b" / "band.toml") == (6, 1)


def test_a_link_and_its_plan_are_one_with_one_lock(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    link = tmp_path / "current.toml"
    link.symlink_to(plan)
    session = at(opened(plan), 6)
    second = opened(link)
    assert second.ledger.read_only
    session.close()
    second.close()
    assert place(link) == (6, 0)


def test_a_copy_is_told_from_the_plan_it_is_of(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    knit(plan)
    copy = Path(shutil.copy(plan, tmp_path / "copy.toml"))
    found = panels.find(copy)
    assert found.like == panels.of(plan) and found.panel != found.like
    assert place(copy) == (1, 0), "begun anew where nobody asks"
    assert place(plan) == (6, 1)
    assert panels.find(copy).like is None, "asked once"


def test_a_copy_may_go_on_with_what_was_knit_and_leaves_the_other_alone(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    knit(plan)
    copy = Path(shutil.copy(plan, tmp_path / "copy.toml"))
    found = panels.find(copy)
    assert found.like is not None
    found.panel.copied_from(found.like)
    assert place(copy) == (6, 1)
    knit(copy, 11)
    assert (place(copy), place(plan)) == ((11, 2), (6, 1))


def test_a_ledger_from_before_there_were_owners_is_still_the_plan_s(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    knit(plan)
    for owned in (home / "ledgers").glob("*.plan.json"):
        owned.unlink()
    other = plan.rename(tmp_path / "rope2.toml")
    assert place(other) == (6, 1)


def test_a_copy_of_a_plan_that_was_never_knit_asks_nothing(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    opened(plan).close()
    copy = Path(shutil.copy(plan, tmp_path / "copy.toml"))
    assert panels.find(copy).like is None


def test_a_moved_plan_stands_once_on_the_shelf(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    plan = written(tmp_path)
    shelf.opened(plan)
    knit(plan)
    other = plan.rename(tmp_path / "rope2.toml")
    found = panels.find(other, planfile.read(other))
    assert found.moved == os.path.realpath(plan)
    shelf.opened(other, found.moved)
    assert [(one.path, one.row) for one in shelf.plans()] == [(other, 6)]
