"""Drafts not saved yet: kept whole outside the author's file, found again, gone once saved or dropped."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from purlside.draft.drafting import CannotDraft
from purlside.keep import draftfile, unsaved
from purlside.keep.draftfile import DraftFile, opened
from purlside.plan import Plan
from purlside.planfile import read
from tests.keep.test_draftfile import COMMENTED, on_disk
from tests.plans import plans

pytestmark = pytest.mark.usefixtures("home")


def again(path: Path) -> DraftFile:
    """The draft taken up again, as after the program was killed."""
    found = unsaved.find(path)
    assert found is not None
    return draftfile.kept(found, opened(read(path)) if path.exists() else None)


def test_a_change_is_kept_outside_the_plan_and_taken_up_as_one_step(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.draft.type(("panel", "rows"), "forty")
    assert file.keep() and not file.keep(), "kept once, as long as nothing more is changed"
    assert file.path.read_text("utf-8") == COMMENTED
    taken = again(file.path)
    assert taken.draft.plan == file.draft.plan and taken.draft.text(("panel", "rows")) == "forty"
    assert taken.draft.changed and taken.draft.selected == 0
    taken.draft.undo()
    assert taken.draft.plan == read(file.path).plan and not taken.draft.changed


def test_saved_undone_or_dropped_nothing_is_kept_any_more(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    for end in (file.save, file.draft.undo, file.give_up):
        file.draft.move(up=1)
        file.keep()
        assert unsaved.find(file.path) is not None
        end()
        file.keep() if end == file.draft.undo else None
        assert unsaved.find(file.path) is None


def test_taken_up_it_is_saved_with_the_authors_comments(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.keep()
    taken = again(file.path)
    taken.save()
    assert "# the rope of the jetty" in file.path.read_text("utf-8")
    assert read(file.path).plan == file.draft.plan and unsaved.find(file.path) is None


def test_a_file_changed_since_is_left_alone_and_the_draft_goes_to_a_name_of_its_own(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.keep()
    theirs = COMMENTED.replace("rows = 40", "rows = 44")
    file.path.write_text(theirs, "utf-8")
    taken = again(file.path)
    assert taken.path != file.path and taken.unsaved
    assert unsaved.find(file.path) is None
    moved = unsaved.find(taken.path)
    assert moved is not None and moved.plan == file.draft.plan, "killed now, it is still there"
    taken.save()
    assert file.path.read_text("utf-8") == theirs and read(taken.path).plan == file.draft.plan


def test_a_plan_never_saved_is_found_without_its_file(tmp_path: Path) -> None:
    file = draftfile.copied(read(on_disk(tmp_path).path), tmp_path)
    file.draft.widen()
    file.keep()
    (found,) = unsaved.without_file()
    assert found.path == file.path
    other = draftfile.copied(read(tmp_path / "jetty.toml"), tmp_path)
    assert other.path != file.path, "its name is taken"
    taken = draftfile.kept(found, None)
    assert taken.draft.plan == file.draft.plan and taken.unsaved
    taken.save()
    assert "# the rope of the jetty" in taken.path.read_text("utf-8") and not list(unsaved.without_file())


def test_saved_under_another_name_the_draft_goes_with_it(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.keep()
    before = file.path
    file.rename("mole")
    assert unsaved.find(before) is None and unsaved.find(file.path) is not None
    file.save()
    assert unsaved.find(file.path) is None


@pytest.mark.parametrize("torn", [b"", b"{", b"[]", b'{"t": 1}', b"\xff\xfe", b"[" * 100_000])
def test_what_cannot_be_read_is_no_draft(tmp_path: Path, torn: bytes) -> None:
    file = on_disk(tmp_path)
    unsaved.folder().mkdir(parents=True)
    unsaved.file_for(file.path).write_bytes(torn)
    assert unsaved.find(file.path) is None and not list(unsaved.without_file())


def test_saved_in_one_window_what_another_has_not_saved_stays_kept(tmp_path: Path) -> None:
    first, second = on_disk(tmp_path), opened(read(on_disk(tmp_path).path))
    first.draft.move(up=1)
    first.keep()
    second.draft.move(up=3)
    second.keep()
    first.save()
    found = unsaved.find(first.path)
    assert found is not None and found.plan == second.draft.plan
    second.give_up()
    assert unsaved.find(first.path) is None


@pytest.mark.parametrize("key", [["panel", "gone"], ["gone"], ["cable", 7, "every"], []])
def test_a_text_of_a_field_that_there_is_not_is_left_out_and_the_rest_taken_up(
    tmp_path: Path, key: list[str | int]
) -> None:
    file = on_disk(tmp_path)
    file.draft.type(("panel", "rows"), "forty")
    file.keep()
    place = unsaved.file_for(file.path)
    data = json.loads(place.read_bytes())
    place.write_text(json.dumps({**data, "typed": [*data["typed"], [key, "x"]]}), "utf-8")
    assert set(again(file.path).draft.troubles) == {("panel", "rows")}


@pytest.mark.parametrize("change", [{"t": "2031-02-03T04:05:06"}, {"path": "x" * 5000}, {"path": "\0"}])
def test_one_draft_with_a_strange_time_or_place_hides_no_other(tmp_path: Path, change: dict[str, str]) -> None:
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        file = draftfile.copied(read(on_disk(tmp_path).path), tmp_path / name)
        file.keep()
    place = unsaved.file_for(file.path)
    place.write_text(json.dumps({**json.loads(place.read_bytes()), **change}), "utf-8")
    assert len(list(unsaved.without_file())) == 2


@given(plans())
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_every_plan_is_kept_as_it_is(tmp_path: Path, made: Plan) -> None:
    file = draftfile.begun(made, tmp_path)
    file.keep()
    found = unsaved.find(file.path)
    assert found is not None and found.plan == made
    with pytest.raises(CannotDraft):
        draftfile.kept(found, None).draft.undo()
    file.drop()
