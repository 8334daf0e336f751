"""The yarn drawer: what the knitter keeps of a yarn is there again, and a broken drawer is never written over."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from purlside.ease.calibration import Outcome, Record
from purlside.ease.reach import Verdict, reach
from purlside.keep import drawer
from purlside.keep.drawer import Drawer, KeptYarn, new_yarn
from purlside.plan.plan import Plan
from purlside.plan.problems import Unfit
from tests import plans

KEPT = {"ratio": 0.98, "outcome": "tight", "note": "3 over 3"}


def skerry(**more: object) -> KeptYarn:
    return new_yarn(**{"name": "Skerry 2/8", "fibre": "wool", "count": "2/8 Nm", "pitch_mm": 4.5, **more})


def plan(**yarn: object) -> Plan:
    return plans.plan(plans.cable(every=None), needles="L20-R20", yarn=yarn)


def test_no_drawer_yet_is_an_empty_one(tmp_path: Path) -> None:
    assert drawer.read(tmp_path / "none" / "yarns.toml").yarn == ()


def test_a_yarn_put_in_is_there_again(tmp_path: Path) -> None:
    path = tmp_path / "new folder" / "yarns.toml"
    drawer.change(lambda d: d.with_yarn(skerry()), path)
    drawer.change(lambda d: d.measured("Skerry 2/8", 9, 17.1).measured("skerry 2/8", 5, 13.4), path)
    drawer.change(lambda d: d.crossed("Skerry 2/8", Record(0.99, Outcome.FIRM, "3 over 3")), path)
    again = drawer.read(path).find("SKERRY 2/8")
    assert again.loop_mm == {"5": 13.4, "9": 17.1}
    assert [(c.ratio, c.outcome, c.note) for c in again.crossing] == [(0.99, "firm", "3 over 3")]
    assert (again.fibre, again.count, again.pitch_mm) == ("wool", "2/8 Nm", 4.5)
    assert set(os.listdir(path.parent)) == {"yarns.toml", ".lock"}, "nothing temporary is left behind"


def test_a_loop_measured_again_replaces_the_older_one() -> None:
    twice = Drawer().with_yarn(skerry()).measured("Skerry 2/8", 5, 13.0).measured("Skerry 2/8", 5.0, 13.4)
    assert twice.find("Skerry 2/8").loop_mm == {"5": 13.4}


def test_a_yarn_taken_out_is_gone() -> None:
    assert Drawer().with_yarn(skerry()).without("skerry 2/8").yarn == ()


def test_recorded_crossings_change_the_limit_of_that_yarn_only() -> None:
    kept = Drawer().with_yarn(skerry()).with_yarn(skerry(name="Holm"))
    for _ in range(6):
        kept = kept.crossed("Skerry 2/8", Record(0.95, Outcome.BROKE))
    assert kept.find("Skerry 2/8").limit.value < 0.95 < kept.find("Holm").limit.value
    assert "6 crossings" in kept.find("Skerry 2/8").limit.source


def test_a_learnt_limit_that_is_taken_is_what_the_next_crossing_is_judged_by() -> None:
    wool = plan(fibre="wool", loop_mm={"5": 13.7, "9": 17.5})
    rope = wool.cable[0]
    before = reach(wool, rope, rope.crossings[0], 5.0)
    assert before.attempts[0].verdict is Verdict.FIRM
    kept = Drawer().with_yarn(skerry())
    for _ in range(4):
        kept = kept.crossed("Skerry 2/8", Record(before.attempts[0].ratio, Outcome.TIGHT))
    named = replace(wool, yarn=replace(wool.yarn, name="Skerry 2/8"))
    found = drawer.offered(named, kept)
    assert found is not None
    assert found.learnt.source.startswith("refitted")
    after = reach(found.taken(named), rope, rope.crossings[0], 5.0)
    assert after.attempts[0].verdict is Verdict.NOT_ENOUGH


def test_only_the_newest_records_are_kept() -> None:
    kept = Drawer().with_yarn(skerry(crossing=[{"ratio": 1.0, "outcome": "firm"}] * drawer.MOST_RECORDS))
    kept = kept.crossed("Skerry 2/8", Record(0.5, Outcome.EASY))
    crossings = kept.find("Skerry 2/8").crossing
    assert len(crossings) == drawer.MOST_RECORDS
    assert crossings[-1].ratio == 0.5


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[yarn]]\nname = "a"\nfiber = "wool"', "yarn 1, fiber: found an unknown key"),
        ('[[yarn]]\nname = "a"\nfiber = "wool"', "did you mean fibre?"),
        ('[[yarn]]\nfibre = "wool"', "yarn 1, name: found nothing"),
        ('[[yarn]]\nname = "a"\ntex = 1e9', "yarn 1, tex: found 1000000000.0; allowed: grams in 1000 m, 1 to 20,000"),
        ('[[yarn]]\nname = "a"\nloop_mm = { "5" = -3.0 }', "yarn 1, loop_mm, 5: found -3.0"),
        ('[[yarn]]\nname = "a"\ncount = "8 parsec"', "yarn 1, count"),
        ('[[yarn]]\nname = "a"\n[[yarn]]\nname = "A"', "yarn 2, name"),
        ('[[yarn]]\nname = "a"\n[[yarn.crossing]]\nratio = 1.0\noutcome = "fine"', 'found "fine"; allowed: "easy", '),
        ('[[yarn]]\nname = "a"\n[[yarn.crossing]]\nratio = nan\noutcome = "firm"', "yarn 1, crossing 1, ratio"),
        ('[[yarn]]\nname = "a"\ntex = 5\ncount = "5 tex"', "keep one"),
        ("format = 2", "format: found 2; allowed: 1"),
        ("yarn = 3", "yarn: found 3"),
        ("yarn = [", "valid TOML"),
        ("\0", "valid TOML"),
        ("[" * 5000, "valid TOML"),
    ],
)
def test_a_drawer_that_is_wrong_is_refused_by_key_and_left_alone(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "yarns.toml"
    path.write_text(text)
    with pytest.raises(Unfit) as refused:
        drawer.change(lambda d: d.with_yarn(skerry()), path)
    assert said in str(refused.value)
    assert path.read_text() == text


def test_a_drawer_cut_anywhere_keeps_the_yarns_that_are_whole_and_what_was_there(tmp_path: Path) -> None:
    path, aside = tmp_path / "yarns.toml", tmp_path / "yarns.toml.damaged"
    swatch = {"stitch_size": 5, "stitches": 40, "rows": 60, "washed_width_cm": 13.8, "loop_mm": 13.4, "note": "grå"}
    drawer.write(Drawer(yarn=(skerry(swatch=[swatch]), skerry(name="Other", crossing=[KEPT]))), path)
    whole = path.read_bytes()
    second = whole.index(b"[[yarn]]", 20)
    for cut in range(len(whole)):
        path.write_bytes(whole[:cut])
        said = drawer.mend(path)
        kept = [yarn.name for yarn in drawer.read(path).yarn]
        assert (cut < second) <= (kept in ([], ["Skerry 2/8"])) and (cut < second or kept[0] == "Skerry 2/8")
        assert bool(said) == aside.exists()
        if said:
            assert aside.read_bytes() == whole[:cut] and f"kept as {aside}" in said
            aside.unlink()
        assert drawer.mend(path) == "", "once is enough"
        drawer.change(lambda d: d.with_yarn(skerry(name="New")), path)


def test_a_drawer_someone_wrote_wrongly_is_not_taken_for_a_damaged_one(tmp_path: Path) -> None:
    path = tmp_path / "yarns.toml"
    path.write_text('[[yarn]]\nname = "a"\ntex = -5\n')
    assert drawer.mend(path) == "" and path.read_text().endswith("tex = -5\n")


def test_bytes_that_are_not_text_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "yarns.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(Unfit, match="valid TOML"):
        drawer.read(path)


def test_a_change_that_fails_leaves_the_old_drawer(tmp_path: Path) -> None:
    path = tmp_path / "yarns.toml"
    drawer.change(lambda d: d.with_yarn(skerry()), path)
    before = path.read_bytes()
    for wrong in (
        lambda d: d.measured("Skerry 2/8", 5, -1.0),
        lambda d: d.measured("Skery 2/8", 5, 12.0),
        lambda d: d.crossed("Skerry 2/8", Record(1.0, Outcome.FIRM, "a note\nof two lines")),
        lambda d: d.without("nothing like it"),
    ):
        with pytest.raises(Unfit):
            drawer.change(wrong, path)
    assert path.read_bytes() == before


def test_a_yarn_not_in_the_drawer_is_named_with_the_nearest() -> None:
    with pytest.raises(Unfit, match=r"did you mean Skerry 2/8\?"):
        Drawer().with_yarn(skerry()).find("skery 2/8")


def test_a_drawer_behind_a_link_is_written_through_it(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "yarns.toml"
    real.write_text("format = 1\n")
    link.symlink_to(real)
    drawer.change(lambda d: d.with_yarn(skerry()), link)
    assert link.is_symlink()
    assert drawer.read(real).find("Skerry 2/8")


def test_a_plan_takes_over_what_the_drawer_knows() -> None:
    taken, said = drawer.in_plan(plan(fibre="cotton", tex=100, loop_mm={"5": 9.0}), skerry(loop_mm={"6": 14.0}))
    assert (taken.yarn.fibre, taken.yarn.tex, taken.yarn.count) == ("wool", None, "2/8 Nm")
    assert taken.yarn.loop_mm == {"6": 14.0}
    assert said == ()


def test_what_the_drawer_does_not_know_stays_as_the_plan_has_it() -> None:
    taken, _ = drawer.in_plan(plan(fibre="cotton", tex=100, loop_mm={"5": 9.0}), new_yarn(name="plain"))
    assert (taken.yarn.fibre, taken.yarn.tex, taken.yarn.loop_mm) == ("cotton", 100, {"5": 9.0})


def test_loops_from_a_bed_of_another_pitch_are_not_taken_over() -> None:
    taken, said = drawer.in_plan(plan(loop_mm={"5": 9.0}), skerry(pitch_mm=9.0, loop_mm={"5": 25.0}))
    assert taken.yarn.loop_mm == {"5": 9.0}
    assert said == ("loops of Skerry 2/8 were measured at 9 mm pitch, not 4.5 mm: left out",)
