"""A draft saved: comments kept, nobody's file overwritten, and the file says the plan that was drafted."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from purlside.draft.drafting import CannotDraft
from purlside.ease.calibration import Outcome, Record
from purlside.files.planfile import read
from purlside.files.planwriting import NotSaved
from purlside.files.whole import digest
from purlside.keep import drawer
from purlside.keep.draftfile import DraftFile, begun, copied, opened
from purlside.plan.checked import written
from tests.draft.test_history import do, sequences
from tests.plans import plans, toml

COMMENTED = """\
# drawn on a wet sunday
format = 1
title = "Jetty band"   # for the door

[panel]                # before the machine, as I like it
rows = 40
needles = "L6-R6"
stitch_size = 5

[machine]
pitch_mm = 4.5

[[cable]]
# the rope of the jetty
name = "rope"
cross = "R1-R3 over L3-L1"
first_row = 8   # after the hem
every = 8
"""


def on_disk(folder: Path, text: str = COMMENTED) -> DraftFile:
    path = folder / "jetty.toml"
    path.write_text(text, encoding="utf-8")
    return opened(read(path))


def test_saving_keeps_the_comments_and_the_order_of_keys(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.move(up=2)
    file.draft.copy()
    assert file.save() == f"Saved: jetty.toml in {tmp_path}", "where it is can be seen"
    text = file.path.read_text("utf-8")
    for comment in ("# drawn on a wet sunday", "# for the door", "# the rope of the jetty", "# after the hem"):
        assert comment in text
    assert text.index("[panel]") < text.index("[machine]")
    assert read(file.path).plan == file.draft.plan
    assert not file.draft.changed


def test_a_file_changed_by_someone_else_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.path.write_text(COMMENTED.replace("rows = 40", "rows = 60"), encoding="utf-8")
    file.draft.move(up=2)
    with pytest.raises(NotSaved):
        file.save()
    assert "rows = 60" in file.path.read_text("utf-8")
    assert file.draft.changed


def test_nothing_is_saved_while_a_field_cannot_be_read(tmp_path: Path) -> None:
    file = on_disk(tmp_path)
    file.draft.type(("panel", "rows"), "4o")
    with pytest.raises(CannotDraft, match="panel rows"):
        file.save()
    assert file.path.read_text("utf-8") == COMMENTED


def test_a_copy_keeps_the_comments_and_leaves_the_original_alone(tmp_path: Path) -> None:
    file = copied(read(on_disk(tmp_path).path), tmp_path)
    file.save()
    assert file.path.name == "jetty-band-copy.toml"
    assert "# for the door" in file.path.read_text("utf-8")
    assert read(file.path).plan.title == "Jetty band, copy"
    assert (tmp_path / "jetty.toml").read_text("utf-8") == COMMENTED


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_whatever_was_done_the_saved_file_says_the_plan_that_was_drafted(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    original = data.draw(plans(most_rows=30, most_needles=14))
    file = on_disk(tmp_path_factory.mktemp("saved"), toml(written(original)))
    for name, number in data.draw(sequences):
        do(file.draft, name, number)
    if file.draft.troubles:
        return
    file.save()
    assert read(file.path).plan == file.draft.plan
    assert digest(file.path.read_text("utf-8")) == digest(file.text or "")


def test_the_first_plan_made_in_a_folder_can_be_saved(tmp_path: Path) -> None:
    file = begun(read(on_disk(tmp_path).path).plan, tmp_path / "patterns")
    file.save()
    assert read(tmp_path / "patterns" / "jetty-band.toml").plan == file.draft.plan


# --- the same plan, whoever's drawer it is drafted beside ------------------------


def test_a_plan_is_judged_alike_beside_any_drawer(home: Path, tmp_path: Path) -> None:
    drawer.change(lambda kept: kept.with_yarn(drawer.new_yarn(name="Skerry", fibre="wool")))
    text = COMMENTED + '[yarn]\nname = "Skerry"\nfibre = "wool"\n'
    before = on_disk(tmp_path, text).draft.reach_in_hand()
    drawer.change(lambda kept: kept.crossed("Skerry", Record(before[0].limit.value * 0.8, Outcome.BROKE)))
    assert on_disk(tmp_path, text).draft.reach_in_hand() == before
