"""Saving a plan: what changed is written, what the author wrote stays, and no one's work is lost."""

import os
import stat
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purlside.bed.needles import Needle, Side
from purlside.fabric.motifs import MOTIFS, Laying, lay
from purlside.files.edits import NotEdited
from purlside.files.planfile import Refused, parse, read
from purlside.files.planwriting import NotSaved, new, rewritten, save, updated
from purlside.files.tables import checked
from purlside.files.whole import digest
from purlside.plan.checked import written
from purlside.plan.plan import Plan

PATTERNS = sorted(Path(__file__).parents[2].joinpath("patterns").glob("*.toml"))

TEXT = """\
# For the sea wall.
format = 1
title = "Marram"   # the grass

[panel]            # the panel first, as I like it
rows = 200
needles = "L20-R20"
stitch_size = 5

[machine]
pitch_mm = 4.5

# The middle.
[[cable]]
every = 8
first_row = 8
name = "rope"      # of three
cross = " R1-R3  over L3-L1"

[[cable]]
name = "wave"
cross = [
    "R11-R12 over R13-R14", # out
    "R13-R14 over R11-R12", # and back
]
first_row = 4
every = 6

[[reminder]]
row = 30
text = "measure"   # by hand
"""


def with_(plan: Plan, **changes: Any) -> Plan:
    """The plan with some tables changed, checked as when read."""
    return checked(Plan, written(plan) | changes)


def entries(plan: Plan, table: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = written(plan)[table]
    return found


def gone_and_come(before: str, after: str) -> tuple[list[str], list[str]]:
    a, b = before.splitlines(), after.splitlines()
    return [line for line in a if line not in b], [line for line in b if line not in a]


@pytest.mark.parametrize("path", PATTERNS, ids=lambda p: p.stem)
def test_a_plan_that_did_not_change_is_written_as_it_was(path: Path) -> None:
    file = read(path)
    assert rewritten(file.text, file.plan) == file.text
    assert rewritten(TEXT, parse(TEXT, "marram")) == TEXT


@pytest.mark.parametrize("path", PATTERNS, ids=lambda p: p.stem)
def test_a_fresh_file_says_the_same_plan(path: Path) -> None:
    plan = read(path).plan
    assert written(parse(new(plan), "new")) == written(plan)


def test_a_fresh_file_is_as_a_knitter_would_write_it() -> None:
    assert new(parse(TEXT, "marram")) == (
        'format = 1\ntitle = "Marram"\n\n[machine]\npitch_mm = 4.5\n\n[panel]\nneedles = "L20-R20"\nrows = 200\n'
        'stitch_size = 5\n\n[[cable]]\nname = "rope"\ncross = "R1-R3 over L3-L1"\nfirst_row = 8\nevery = 8\n\n[[cable]]\n'
        'name = "wave"\ncross = ["R11-R12 over R13-R14", "R13-R14 over R11-R12"]\nfirst_row = 4\nevery = 6\n\n'
        '[[reminder]]\ntext = "measure"\nrow = 30\n'
    )


def test_only_what_changed_is_written_and_comments_and_the_order_of_keys_stay() -> None:
    plan = parse(TEXT, "marram")
    cables = entries(plan, "cable")
    cables[0] |= {"every": 10, "ease": "enlarge", "enlarged_size": 9}
    cables[1]["cross"][1] = "R12-R13 over R14-R15"
    panel = {"needles": "L20-R20", "rows": 240, "stitch_size": 5, "out_of_work": ["L9"]}
    after = rewritten(TEXT, with_(plan, cable=cables, panel=panel))
    assert gone_and_come(TEXT, after) == (
        ["rows = 200", "every = 8", '    "R13-R14 over R11-R12", # and back'],
        [
            "rows = 240",
            'out_of_work = ["L9"]',
            "every = 10",
            'ease = "enlarge"',
            "enlarged_size = 9",
            '    "R12-R13 over R14-R15", # and back',
        ],
    )
    assert after.index("every = 10") < after.index("first_row = 8") < after.index("# of three")


def test_what_is_written_another_way_and_means_the_same_is_left_alone() -> None:
    plan = parse(TEXT, "marram")
    assert '" R1-R3  over L3-L1"' in rewritten(TEXT, with_(plan, title="Lyme"))


def test_a_cable_deleted_between_others_takes_nothing_of_theirs() -> None:
    plan = parse(TEXT, "marram")
    after = rewritten(TEXT, with_(plan, cable=entries(plan, "cable")[1:]))
    assert after == TEXT[: TEXT.index("# The middle.")] + TEXT[TEXT.index('[[cable]]\nname = "wave"') :]


def test_a_cable_copied_and_renamed_stands_after_its_model() -> None:
    plan = parse(TEXT, "marram")
    cables = entries(plan, "cable")
    copy = cables[0] | {"name": "rope 2", "cross": "L11-L9 over L14-L12"}
    after = rewritten(TEXT, with_(plan, cable=[cables[0], copy, cables[1]]))
    assert [c.name for c in parse(after, "x").cable] == ["rope", "rope 2", "wave"]
    assert gone_and_come(TEXT, after)[0] == []


def test_the_last_cable_may_go_and_come_back() -> None:
    plan = parse(TEXT, "marram")
    bare = rewritten(TEXT, with_(plan, cable=[]))
    assert "[[cable]]" not in bare
    again = rewritten(bare, plan)
    assert parse(again, "x") == plan
    assert again.index("[[cable]]") < again.index("[[reminder]]")


def test_gauge_and_yarn_not_there_yet_get_tables_of_their_own() -> None:
    plan = with_(
        parse(TEXT, "marram"),
        gauge={"stitches_per_10cm": 28, "rows_per_10cm": 40},
        yarn={"fibre": "wool", "loop_mm": {"5": 12.9}},
    )
    after = rewritten(TEXT, plan)
    assert "\n\n[gauge]\nstitches_per_10cm = 28\nrows_per_10cm = 40\n\n" in after
    assert 'fibre = "wool"\nloop_mm = { 5 = 12.9 }\n' in after
    assert parse(rewritten(after, parse(TEXT, "marram")), "x") == parse(TEXT, "marram")


def test_no_tools_within_reach_is_not_the_same_as_tools_not_listed() -> None:
    plan = with_(parse(TEXT, "marram"), tools={"prongs": []})
    assert parse(rewritten(TEXT, plan), "x").tools.prongs == ()
    assert parse(new(plan), "x").tools.prongs == ()


def test_a_text_that_cannot_be_changed_is_written_afresh(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = with_(parse(TEXT, "marram"), title="Lyme")
    assert updated(TEXT, plan) == rewritten(TEXT, plan) == TEXT.replace("Marram", "Lyme")

    def refuse(*_: Any) -> str:
        raise NotEdited("written in a way that is not changed")

    monkeypatch.setattr("purlside.files.planwriting.edited", refuse)
    assert updated(TEXT, plan) == new(plan)


def test_a_motif_laid_down_is_written_and_read_back() -> None:
    plan = parse(TEXT, "marram")
    for name in MOTIFS:
        cables = lay(name, Laying(f"my {name}", Needle(-20), 5, 4, Side.LEFT))
        entries = [written(c) for c in cables]
        bigger = with_(plan, cable=written(plan)["cable"] + entries)
        assert parse(rewritten(TEXT, bigger), "x").cable[2:] == bigger.cable[2:]


WORDS = st.text("ab# \"'\\[]é", min_size=1, max_size=8)


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Plans near the one in TEXT: some of it changed, taken away, added, in another order."""
    plan = parse(TEXT, "marram")
    names = draw(st.lists(st.sampled_from(["rope", "wave", "other", "more"]) | WORDS, unique=True, max_size=4))
    known = {c["name"]: c for c in entries(plan, "cable")}
    cables = []
    for name in names:
        cable = dict(known.get(name, {"cross": "L2-L1 over R1-R2", "first_row": 3})) | {"name": name}
        if draw(st.booleans()):
            cable |= {"every": draw(st.integers(1, 9)), "ease": "extra rows", "extra_rows": 2}
        cables.append(cable)
    reminders: list[dict[str, Any]] = draw(
        st.lists(st.builds(dict, row=st.integers(1, 3), text=WORDS | st.just("measure")), max_size=3)
    )
    bands = draw(
        st.lists(st.sampled_from([{"rows": "1-4", "stitch_size": 4}, {"rows": "8", "colour": "slate"}]), max_size=2)
    )
    rest: dict[str, Any] = {}
    if draw(st.booleans()):
        rest["gauge"] = {"stitches_per_10cm": draw(st.integers(20, 30)), "rows_per_10cm": 40}
    if draw(st.booleans()):
        rest["notes"] = draw(st.text('ab\n"#', max_size=6))
    if draw(st.booleans()):
        rest["yarn"] = {
            "loop_mm": draw(st.dictionaries(st.sampled_from(["5", "9", "6.5"]), st.floats(1, 20), max_size=3))
        }
    return with_(plan, cable=cables, reminder=reminders, band=bands, **rest)


@settings(deadline=None)
@given(st.lists(plans(), min_size=1, max_size=4))
def test_whatever_is_changed_one_after_another_the_file_says_the_plan_and_keeps_the_first_comment(
    steps: list[Plan],
) -> None:
    text = TEXT
    for plan in steps:
        text = rewritten(text, plan)
        assert written(parse(text, "x")) == written(plan)
        assert written(parse(new(plan), "x")) == written(plan)
        assert text.startswith("# For the sea wall.\n")
        assert "# the panel first, as I like it" in text


@given(st.lists(plans(), min_size=1, max_size=2))
def test_in_another_systems_line_ends_too(steps: list[Plan]) -> None:
    text = TEXT.replace("\n", "\r\n")
    for plan in steps:
        text = rewritten(text, plan)
        assert text.count("\n") == text.count("\r\n")


# --- the disk -------------------------------------------------------------------


def test_a_saved_file_is_read_back_and_gives_the_next_digest(tmp_path: Path) -> None:
    path = tmp_path / "marram.toml"
    mark = save(path, TEXT, None)
    file = read(path)
    assert (file.text, mark) == (TEXT, digest(file.text))
    second = save(path, rewritten(file.text, with_(file.plan, title="Lyme")), mark)
    assert read(path).plan.title == "Lyme"
    assert second != mark
    assert [p.name for p in tmp_path.iterdir()] == ["marram.toml"]


def test_a_file_someone_else_changed_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "marram.toml"
    mark = save(path, TEXT, None)
    path.write_text(TEXT + "# mine\n")
    with pytest.raises(NotSaved, match="changed by someone else"):
        save(path, TEXT, mark)
    assert path.read_text().endswith("# mine\n")
    path.unlink()
    with pytest.raises(NotSaved, match="not there any more"):
        save(path, TEXT, mark)
    assert list(tmp_path.iterdir()) == []


def test_a_new_file_never_replaces_one_that_is_there(tmp_path: Path) -> None:
    path = tmp_path / "marram.toml"
    path.write_text("theirs")
    with pytest.raises(NotSaved, match="another name"):
        save(path, TEXT, None)
    assert path.read_text() == "theirs"


def test_a_text_that_is_no_plan_is_never_written(tmp_path: Path) -> None:
    path = tmp_path / "marram.toml"
    mark = save(path, TEXT, None)
    with pytest.raises(Refused):
        save(path, TEXT.replace("rows = 200", "rows = 0"), mark)
    assert path.read_text() == TEXT


def test_a_link_stays_a_link_and_permissions_stay_as_they_were(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    mark = save(real, TEXT, None)
    real.chmod(0o640)
    link.symlink_to(real)
    save(link, TEXT + "# more\n", mark)
    assert link.is_symlink()
    assert real.read_text().endswith("# more\n")
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_a_mark_at_the_start_of_the_file_and_line_ends_are_kept_to_the_byte(tmp_path: Path) -> None:
    path = tmp_path / "marram.toml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    file = read(path)
    save(path, rewritten(file.text, with_(file.plan, title="Lyme")), digest(file.text))
    assert path.read_bytes() == b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").replace('"Marram"', '"Lyme"').encode()


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="the user may write everywhere")
def test_a_folder_that_may_not_be_written_is_said(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(NotSaved, match="cannot be written"):
        save(tmp_path / "marram.toml", TEXT, None)


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(NotSaved, match="cannot be written"):
        save(tmp_path / "nowhere" / "marram.toml", TEXT, None)


def test_a_full_disk_leaves_the_old_file_and_nothing_beside_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "marram.toml"
    mark = save(path, TEXT, None)

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotSaved, match="No space left"):
        save(path, TEXT + "# more\n", mark)
    assert path.read_text() == TEXT
    assert [p.name for p in tmp_path.iterdir()] == ["marram.toml"]
