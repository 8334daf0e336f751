"""The figures and yarn commands: what they take and print."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from purlside.commands import figures as figures_command
from purlside.commands import yarn as yarn_command
from purlside.commands.figures import lines as figures_lines
from purlside.commands.parser import parser_of
from purlside.commands.talking import CommandError, Exit
from purlside.commands.yarn import lines as yarn_lines
from purlside.files.planfile import parse
from purlside.keep import settings
from purlside.keep.drawer import read

PLAN = """
format = 1
title = "Breakwater scarf"
[machine]
pitch_mm = 4.5
[yarn]
fibre = "wool"
[gauge]
stitches_per_10cm = 29
rows_per_10cm = 41
[panel]
needles = "L24-R24"
rows = 180
stitch_size = 5
[[cable]]
name = "rope"
cross = "R1-R3 over L3-L1"
first_row = 8
every = 8
ease = "auto"
"""


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A knitter's folders of this test's own."""
    monkeypatch.setenv("PURLSIDE_HOME", str(tmp_path / "kept"))
    monkeypatch.setattr("purlside.keep.drawer.place", lambda: tmp_path / "yarns.toml")
    return tmp_path


def figures(*words: str) -> str:
    parser = parser_of("figures", "", figures_command)
    return "\n".join(figures_lines([parse(PLAN, "scarf.toml")], parser.parse_args(["scarf.toml", *words])))


def yarn(*words: str) -> str:
    parser = parser_of("yarn", "", yarn_command)
    return "\n".join(yarn_lines(parser.parse_args(words)))


def test_figures_in_words_and_as_json() -> None:
    assert figures().startswith("Breakwater scarf: figures\n")
    assert json.loads(figures("--json"))["title"] == "Breakwater scarf"


def test_a_wanted_size_is_answered() -> None:
    wanted = json.loads(figures("--json", "--width-cm", "40", "--length-cm", "150", "--take-in", "0.8"))["wanted"]
    assert wanted == {
        "width_mm": 400,
        "length_mm": 1500,
        "needles": 117,
        "rows": 615,
        "bed_needles": 200,
        "bed_is_enough": True,
    }


def test_a_knitters_own_time_and_margin_are_taken() -> None:
    found = json.loads(figures("--json", "--row-seconds", "5", "--crossing-seconds", "60", "--margin", "0"))
    assert found["time"]["plain_seconds"] == 158 * 5
    assert found["time"]["crossing_seconds"] == 22 * 60
    assert found["yarn"]["margin"] == 0


@pytest.mark.parametrize(
    "words",
    [
        ("--width-cm", "0"),
        ("--width-cm", "-3"),
        ("--length-cm", "nan"),
        ("--length-cm", "inf"),
        ("--take-in", "5"),
        ("--margin", "-1"),
        ("--row-seconds", "soon"),
    ],
)
def test_impossible_options_are_refused_by_name(words: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as refused:
        figures(*words)
    assert refused.value.code == 2
    said = capsys.readouterr().err
    assert words[0] in said
    assert f"found {words[1]}; allowed:" in said


def test_a_yarn_of_the_drawer_from_swatch_to_refitted_limit() -> None:
    assert "No yarn kept yet" in yarn()
    assert yarn("keep", "Skerry", "--fibre", "wool", "--count", "2/8 Nm", "--pitch-mm", "4.5").splitlines()[:3] == [
        "Skerry",
        "  fibre wool",
        "  2/8 Nm, 250 tex: Nm 4, Ne 2.36, worsted 3.54, 2250 denier, 400 m per 100 g",
    ]
    for size, length in (("5", "548"), ("9", "700")):
        yarn("swatch", "skerry", "--size", size, "--stitches", "40", "--rows", "10", "--length-cm", length)
    assert read().find("Skerry").loop_mm == {"5": 13.7, "9": 17.5}
    assert "* plain 27.4 mm yarn, reach 0.99: firm" in " ".join(figures("--yarn", "Skerry").split())
    for _ in range(4):
        yarn("crossing", "Skerry", "--went", "tight", "--reach", "0.9854")
    assert "refitted from 4 crossings recorded (4 agree)" in yarn("show", "Skerry")
    found = json.loads(figures("--yarn", "Skerry", "--json"))
    assert found["crossings"][0]["planned"]["technique"] == "enlarge"
    assert found["limit"]["value"] < 0.9854
    assert yarn("list").startswith("Skerry: wool, 2/8 Nm, reach limit 0.9")
    assert json.loads(yarn("list", "--json"))["yarn"][0]["crossing"][0] == {"ratio": 0.9854, "outcome": "tight"}
    yarn("remove", "Skerry")
    assert "No yarn kept yet" in yarn()


def test_a_crossing_is_recorded_from_the_plan_it_was_knit_from(home: Path) -> None:
    path = home / "scarf.toml"
    path.write_text(PLAN)
    yarn("keep", "Skerry", "--fibre", "wool")
    yarn("crossing", "Skerry", "--went", "firm", "--plan", str(path), "--cable", "rope")
    [kept] = read().find("Skerry").crossing
    assert kept.ratio == pytest.approx(27 / 2 / (10 * (21.6 / (2.9 * 4.1)) ** 0.5), abs=1e-4)
    assert kept.note == "3 over 3, plain"
    with pytest.raises(CommandError, match="--cable: found braid; allowed: rope"):
        yarn("crossing", "Skerry", "--went", "firm", "--plan", str(path), "--cable", "braid")
    path.write_text(PLAN.replace("L24-R24", "L2-R2"))
    with pytest.raises(CommandError, match=r"scarf.toml:\d+: cable 1, cross") as faulty:
        yarn("crossing", "Skerry", "--went", "firm", "--plan", str(path), "--cable", "rope")
    assert faulty.value.code == Exit.FAULTS
    assert len(read().find("Skerry").crossing) == 1


def test_changing_a_yarn_keeps_its_loops_and_crossings() -> None:
    yarn("keep", "Skerry", "--count", "280 tex")
    yarn("swatch", "Skerry", "--size", "5", "--stitches", "40", "--length-cm", "54.8")
    yarn("keep", "skerry", "--fibre", "silk", "--count", "2/8 Nm", "--extension", "20")
    kept = read().find("Skerry")
    assert (kept.name, kept.fibre, kept.count, kept.extension_at_break) == ("Skerry", "silk", "2/8 Nm", 0.2)
    assert kept.loop_mm == {"5": 13.7}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("show", "Holm"), "no yarn is kept yet"),
        (("keep", "Holm", "--count", "8 parsec"), "parsec"),
        (("keep", "x" * 50), "1 to 40 characters"),
        (("keep", "a\x1b[31m"), "control character"),
        (("swatch", "Holm", "--size", "-1", "--stitches", "4", "--length-cm", "9"), "--size: found -1"),
        (("swatch", "Holm", "--size", "nan", "--stitches", "4", "--length-cm", "9"), "--size: found nan"),
        (("crossing", "Holm", "--went", "firm"), "--plan with --cable, or --reach"),
    ],
)
def test_what_the_drawer_cannot_do_is_said(words: tuple[str, ...], said: str, home: Path) -> None:
    with pytest.raises(CommandError) as wrong:
        yarn(*words)
    assert said in str(wrong.value)
    assert "\x1b" not in str(wrong.value)
    assert not (home / "yarns.toml").exists()


def test_a_loop_too_long_for_any_bed_is_refused_by_key() -> None:
    yarn("keep", "Skerry")
    with pytest.raises(CommandError, match=r"loop_mm: found 22500.0; allowed: yarn in one loop in mm"):
        yarn("swatch", "Skerry", "--size", "5", "--stitches", "4", "--length-cm", "9000")


def test_the_options_are_ready_without_reading_a_plan_or_opening_a_screen() -> None:
    code = (
        "import sys; from purlside.commands import figures, yarn; from purlside.commands.parser import parser_of;"
        "parser_of('figures', '', figures); parser_of('yarn', '', yarn);"
        "print([m for m in ('textual', 'rich', 'pydantic', 'platformdirs') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_figures_never_load_the_screen() -> None:
    code = "import sys; import purlside.figures.whole, purlside.figures.text; print('textual' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_figures_offer_the_limit_of_the_yarn_the_plan_names_and_judge_by_the_plan() -> None:
    named = PLAN.replace('fibre = "wool"', 'name = "Skerry"\nfibre = "wool"')
    parser = parser_of("figures", "", figures_command)

    def said() -> str:
        lines = figures_lines([parse(named, "scarf.toml")], parser.parse_args(["scarf.toml"]))
        return " ".join(" ".join(lines).split())

    assert said().startswith("Skerry is not among your yarns")
    yarn("keep", "skerry")
    assert "limit 1.04: estimate from wool" in said()
    yarn("crossing", "Skerry", "--went", "broke", "--reach", "1.0")
    assert "reach limit 0.98, refitted from 1 crossing recorded (1 agree); the default was 1.04" in said(), (
        "the default is the plan's wool, not an unknown fibre"
    )
    assert "limit 1.04: estimate from wool" in said(), "the plan alone decides"
    assert "loop_mm" not in said().split("Missing")[0]
    yarn("swatch", "Skerry", "--size", "5", "--stitches", "100", "--rows", "10", "--length-cm", "1370")
    assert 'you measured loops of skerry; to use them write in the plan: loop_mm = { "5" = 13.7 }' in said()


def test_sizes_are_asked_and_told_in_inches_or_centimetres() -> None:
    cm, inches = figures("--width-cm", "8.5in"), figures("--width-cm", "21.59 cm", "--unit", "inch")
    assert "for a width of 21.6 cm" in cm
    assert "for a width of 8.5 in" in inches
    assert " cm" not in inches.replace("--", "") and " yd" in inches


def test_the_unit_is_the_one_set_where_none_is_asked_for() -> None:
    settings.save(settings.Settings(look=settings.LookSettings(unit="inch")))
    assert " yd, " in figures() or " yd for" in figures()


# --- the swatch book ------------------------------------------------------------


def test_a_swatch_is_kept_with_all_it_measured_and_its_numbers_go_into_a_plan_with_their_origin(home: Path) -> None:
    path = home / "scarf.toml"
    path.write_text(PLAN + "# the author's own words\n")
    yarn("keep", "Skerry", "--fibre", "wool", "--count", "2/8 Nm", "--pitch-mm", "4.5")
    for size, length, washed in (("5", "3216", "13.8x14.6"), ("7", "3560", "15.2x16.1")):
        yarn(
            "swatch", "Skerry", "--size", size, "--stitches", "40", "--rows", "60", "--pitch-mm", "4.5",
            "--measures", "14.2 x 15in", "--washed", washed, "--length-cm", length, "--take-in", "0.8",
            "--date", "2026-03-01", "--note", "tea towel",
        )  # fmt: skip
    told = " ".join(yarn("show", "Skerry").split())
    assert (
        "swatch 1: SS 5 at 4.5 mm pitch, 40 stitches, 60 rows; before washing 14.2 cm x 38.1 cm; washed 13.8 cm x 14.6 cm; "
        "29 stitches and 41.1 rows in 10 cm; loop 13.4 mm; a cable takes in to 80%; 2026-03-01; tea towel"
    ) in told
    before = path.read_text()
    said = yarn("use", "Skerry", str(path), "--swatch", "1")
    assert "gauge: 29 stitches and 41 rows in 10 cm now, 29 stitches and 41.1 rows in 10 cm at SS 5" in said
    assert "not written" in said and path.read_text() == before
    yarn("use", "Skerry", str(path), "--swatch", "1", "--write")
    text = path.read_text()
    plan = parse(text, "scarf.toml")
    assert plan.gauge is not None
    assert (plan.gauge.stitch_size, plan.gauge.cable_take_in) == (5, 0.8)
    assert plan.gauge.stitches_per_10cm == pytest.approx(40 / 1.38, abs=0.01), "washed, as it will be worn"
    assert plan.yarn.loop_mm == {"5": 13.4, "7": 14.833}, "every loop known of this yarn on this bed"
    assert plan.notes.splitlines()[-1].startswith("From your swatch of Skerry: SS 5 at 4.5 mm pitch")
    assert "# the author's own words" in text
    yarn("use", "Skerry", str(path), "--swatch", "2", "--write")
    again = parse(path.read_text(), "scarf.toml")
    assert again.notes.count("From your swatch of") == 1, "the origin told is that of the numbers that stand there"
    assert "nothing to write" in yarn("use", "Skerry", str(path), "--swatch", "2")


def test_a_swatch_of_another_bed_is_not_written_into_a_plan(home: Path) -> None:
    path = home / "scarf.toml"
    path.write_text(PLAN)
    yarn("keep", "Skerry")
    yarn("swatch", "Skerry", "--size", "5", "--stitches", "20", "--pitch-mm", "9", "--washed", "13x14")
    with pytest.raises(CommandError, match="9 mm pitch"):
        yarn("use", "Skerry", str(path), "--swatch", "1", "--write")
    with pytest.raises(CommandError, match="1 to 1"):
        yarn("use", "Skerry", str(path), "--swatch", "2")


def test_one_swatch_is_taken_out_and_the_others_stay() -> None:
    yarn("keep", "Skerry")
    for size in ("5", "7"):
        yarn("swatch", "Skerry", "--size", size, "--stitches", "20", "--washed", "10x10")
    assert yarn("remove", "Skerry", "--swatch", "1") == "swatch 1 of Skerry is taken out"
    assert [swatch.stitch_size for swatch in read().find("Skerry").swatch] == [7]
    with pytest.raises(CommandError, match="1 to 1"):
        yarn("remove", "Skerry", "--swatch", "2")


def test_a_swatch_of_which_nothing_was_measured_is_refused() -> None:
    yarn("keep", "Skerry")
    with pytest.raises(CommandError, match="give what was measured"):
        yarn("swatch", "Skerry", "--size", "5", "--stitches", "20")


def test_what_crossings_taught_is_shown_old_and_new_and_written_when_told_to(home: Path) -> None:
    path = home / "scarf.toml"
    path.write_text(PLAN.replace('ease = "plain"', 'ease = "auto"'))
    yarn("keep", "Skerry", "--fibre", "wool")
    yarn("crossing", "Skerry", "--went", "broke", "--reach", "0.9")
    said = yarn("use", "Skerry", str(path))
    assert "reach limit 0.89" in said and "judged with 1.04" in said and "times: plain now, enlarge to SS" in said
    yarn("use", "Skerry", str(path), "--write")
    assert "reach_limit = 0.89" in path.read_text()
