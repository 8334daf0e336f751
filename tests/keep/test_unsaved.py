"""Drafts not saved yet: kept whole outside the author's file, found again, gone once saved or dropped."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from purlside.draft.drafting import CannotDraft
from purlside.files.planfile import read
from purlside.keep import draftfile, unsaved
from purlside.keep.draftfile import DraftFile, opened
from purlside.plan.plan import Plan
from tests.keep.test_draftfile import COMMENTED, on_disk
from tests.plans import plans

pytestmark = pytest.mark.usefixtures("home")


def again(file: DraftFile) -> DraftFile:
    """The draft taken up again, as after the program was killed."""
    kept_file(file)
    assert file.keeping is not None
    file.keeping.let_go()
    (found,) = unsaved.left(file.path)
    return draftfile.taken_up(found, opened(read(file.path)) if file.path.exists() else None)


def kept_file(file: DraftFile) -> Path:
    assert file.keeping is not None
    return file.keeping.file


def test_a_change_is_kept_outside_the_plan_and_taken_up_with_its_steps(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.draft.type(("panel", "rows"), "forty")
    assert file.keep() and not file.keep(), "kept once, as long as nothing more is changed"
    assert file.path.read_text("utf-8") == COMMENTED
    taken = again(file)
    assert taken.draft.plan == file.draft.plan and taken.draft.text(("panel", "rows")) == "forty"
    assert taken.draft.changed and taken.draft.selected == 0
    taken.draft.undo()
    assert not taken.draft.troubles and taken.draft.plan == file.draft.plan
    taken.draft.undo()
    assert taken.draft.plan == read(file.path).plan and not taken.draft.changed


def test_saved_undone_or_dropped_nothing_is_kept_any_more(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    for end in (file.save, file.draft.undo, file.give_up):
        file.draft.move(up=1)
        file.keep()
        assert unsaved.any_of(file.path)
        end()
        file.keep() if end == file.draft.undo else None
        assert not unsaved.any_of(file.path)


def test_taken_up_it_is_saved_with_the_authors_comments(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.keep()
    taken = again(file)
    taken.save()
    assert "# the rope of the jetty" in file.path.read_text("utf-8")
    assert read(file.path).plan == file.draft.plan and not unsaved.any_of(file.path)


def test_a_file_changed_since_is_left_alone_and_the_draft_goes_to_a_name_of_its_own(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.keep()
    theirs = COMMENTED.replace("rows = 40", "rows = 44")
    file.path.write_text(theirs, "utf-8")
    taken = again(file)
    assert taken.path != file.path and taken.unsaved
    assert not unsaved.any_of(file.path)
    (moved,) = unsaved.every(taken.path)
    assert moved.plan == file.draft.plan, "killed now, it is still there"
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
    taken = again(file)
    assert taken.draft.plan == file.draft.plan and taken.unsaved
    taken.save()
    assert "# the rope of the jetty" in taken.path.read_text("utf-8") and not list(unsaved.without_file())


def test_saved_under_another_name_the_draft_goes_with_it(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.keep()
    before = file.path
    file.rename("mole")
    assert not unsaved.any_of(before) and unsaved.any_of(file.path)
    file.save()
    assert not unsaved.any_of(file.path)


@pytest.mark.parametrize("torn", [b"", b"{", b"[]", b'{"t": 1}', b"\xff\xfe", b"[" * 100_000])
def test_what_cannot_be_read_is_no_draft(tmp_path: Path, torn: bytes) -> None:
    file = on_disk(tmp_path)
    file.draft.widen()
    file.keep()
    kept_file(file).write_bytes(torn)
    assert not unsaved.every(file.path) and not unsaved.without_file()


def test_each_window_keeps_its_own_and_saving_or_dropping_in_one_leaves_the_others(tmp_path: Path) -> None:
    first, second, third = on_disk(tmp_path), *(opened(read(on_disk(tmp_path).path)) for _ in range(2))
    for rows, file in enumerate((first, second, third), 1):
        assert bool(file.elsewhere) == (rows > 1), "that another window drafts it is said"
        file.draft.move(up=rows)
        file.keep()
    assert not unsaved.left(first.path), "none is offered while its window lives"
    first.save()
    assert [kept.plan for kept in unsaved.every(first.path)] == [third.draft.plan, second.draft.plan]
    second.give_up()
    (found,) = unsaved.every(first.path)
    assert found.plan == third.draft.plan


def test_several_left_drafts_are_all_there_the_latest_first_and_each_taken_once(tmp_path: Path) -> None:
    files = [on_disk(tmp_path), opened(read(on_disk(tmp_path).path))]
    for rows, file in enumerate(files, 1):
        file.draft.move(up=rows)
        file.keep()
    for file in files:
        assert file.keeping is not None
        file.keeping.let_go()
    latest, before = unsaved.left(files[0].path)
    assert (latest.plan, before.plan) == (files[1].draft.plan, files[0].draft.plan)
    taken = draftfile.taken_up(latest, opened(read(latest.path)))
    with pytest.raises(unsaved.Taken):
        draftfile.taken_up(latest, opened(read(latest.path)))
    unsaved.drop(latest)
    assert unsaved.any_of(latest.path) and unsaved.left(latest.path) == [before]
    taken.give_up()
    with pytest.raises(unsaved.Taken):
        draftfile.taken_up(latest, opened(read(latest.path)))
    assert [kept.plan for kept in unsaved.every(latest.path)] == [before.plan]
    assert len(list(unsaved.folder().iterdir())) == 2, "a draft and its lock: nothing else is left behind"


def test_where_the_disk_has_no_locks_drafts_are_kept_and_offered_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fcntl = pytest.importorskip("fcntl")

    def no_locks(*_: object) -> None:
        raise OSError(37, "No locks available")

    monkeypatch.setattr(fcntl, "flock", no_locks)
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    assert file.keep()
    assert again(file).draft.plan == file.draft.plan


def test_undo_and_redo_go_on_after_the_program_was_killed(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    plans_seen = [file.draft.plan]
    for change in (file.draft.widen, file.draft.mirror, file.draft.copy, file.draft.delete):
        change()
        plans_seen.append(file.draft.plan)
    file.draft.undo()
    file.keep()
    taken = again(file).draft
    assert taken.plan == plans_seen[3]
    assert taken.redo().startswith("deleted") and taken.plan == plans_seen[4]
    for plan in reversed(plans_seen[:4]):
        taken.undo()
        assert taken.plan == plan
    assert not taken.changed


def test_a_long_history_is_kept_as_far_as_there_is_room_and_then_leads_to_the_plan_as_saved(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    for n in range(100):
        file.draft.type(("notes",), f"{n} " + "a long note " * 200)
        file.draft.history.seal()
    file.keep()
    assert kept_file(file).stat().st_size < 2 * unsaved.MOST_KEPT
    taken = again(file).draft
    undone = 0
    while taken.changed:
        taken.undo()
        undone += 1
    assert 20 < undone < 100 and taken.plan == read(file.path).plan


@pytest.mark.parametrize("key", [["panel", "gone"], ["gone"], ["cable", 7, "every"], []])
def test_a_text_of_a_field_that_there_is_not_is_left_out_and_the_rest_taken_up(
    tmp_path: Path, key: list[str | int]
) -> None:
    file = on_disk(tmp_path)
    file.draft.type(("panel", "rows"), "forty")
    file.keep()
    place = kept_file(file)
    data = json.loads(place.read_bytes())
    place.write_text(json.dumps({**data, "typed": [*data["typed"], [key, "x"]]}), "utf-8")
    assert set(again(file).draft.troubles) == {("panel", "rows")}


@pytest.mark.parametrize("change", [{"t": "2031-02-03T04:05:06"}, {"path": "x" * 5000}, {"path": "\0"}])
def test_one_draft_with_a_strange_time_or_place_hides_no_other(tmp_path: Path, change: dict[str, str]) -> None:
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        file = draftfile.copied(read(on_disk(tmp_path).path), tmp_path / name)
        file.keep()
    place = kept_file(file)
    place.write_text(json.dumps({**json.loads(place.read_bytes()), **change}), "utf-8")
    assert len(list(unsaved.without_file())) == 2


@given(plans())
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_every_plan_is_kept_as_it_is(tmp_path: Path, made: Plan) -> None:
    file = draftfile.begun(made, tmp_path)
    file.keep()
    taken = again(file)
    assert taken.draft.plan == made
    with pytest.raises(CannotDraft):
        taken.draft.undo()
    taken.drop()
