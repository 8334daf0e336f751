"""``purlside shape``: numbers in, tables of a plan out."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from purlside.commands.main import main
from purlside.files.planfile import read
from purlside.rows.calendar import Calendar
from purlside.rows.working import Working

PLAN = """\
format = 1
title = "Harbour wall, front"
[machine]
pitch_mm = 4.5
[gauge]
stitches_per_10cm = 29
rows_per_10cm = 41
[panel]   # the body's
needles = "L24-R24"
rows = 10
stitch_size = 5
"""
FRONT = "--widths 0:50,36:50 --armhole set-in --depth 20 --shoulder 11 --slope 3 --neck round --neck-width 17 --neck-depth 8"


@pytest.fixture
def front(tmp_path: Path) -> Path:
    path = tmp_path / "front.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path


def said(capsys: pytest.CaptureFixture[str], *words: str | Path, code: int = 0) -> str:
    assert main(["shape", *map(str, words)]) == code
    out, err = capsys.readouterr()
    return err if code else out


def test_so_many_stitches_over_so_many_rows_are_said_and_written_as_tables(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, *["even", "--stitches", "36", "--rows", "140", "--after", "60", "--tool", "3"])
    assert out.startswith("# decrease every 3rd row 4 times, then every 4th row 32 times\n")
    assert tomllib.loads(out)["shape"] == [
        {"edge": "both", "do": "decrease", "tool": 3, "first_row": 63, "every": 3, "times": 4},
        {"edge": "both", "do": "decrease", "tool": 3, "first_row": 76, "every": 4, "times": 32},
    ]


def test_the_longer_distance_may_come_first_and_every_other_row_be_asked_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = [
        "even",
        "--stitches",
        "9",
        "--rows",
        "40",
        "--do",
        "hold",
        "--edge",
        "left",
        "--every-other-row",
        "--longer-first",
    ]
    assert said(capsys, *words).startswith("# hold every 6th row twice, then every 4th row 7 times\n")


def test_a_front_is_printed_as_tables_with_what_rounding_lost(front: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "body", front, *FRONT.split())
    assert "#   neck: 17.2 cm, 2.4 mm more than wanted\n" in out
    tables = tomllib.loads(out)
    assert tables["panel"] == {"needles": "L72-R72", "rows": 210}
    assert [part["name"] for part in tables["part"]] == ["right shoulder", "left shoulder"]
    assert {table["do"] for table in tables["shape"]} == {"decrease", "cast off", "hold", "return"}
    assert [table["row"] for table in tables["reminder"]] == sorted(table["row"] for table in tables["reminder"])
    assert "# Before row 149: tie a marker at both edges: the armhole begins here.\n" in out


def test_a_new_plan_is_written_that_keeps_the_authors_comments(front: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shaped = front.with_name("shaped.toml")
    out = said(capsys, "body", front, *FRONT.split(), "-o", shaped)
    assert out.startswith("Cast on 144 stitches, L72-R72; 210 rows.\n")
    assert "[panel]   # the body's\n" in shaped.read_text("utf-8")
    plan = read(shaped).plan
    assert str(plan.panel.needles) == "L72-R72"
    assert len(plan.shape) == 9
    assert "Tie a marker at both edges: the armhole begins here" in [told.text for told in plan.reminder]
    assert front.read_text("utf-8") == PLAN


def test_a_file_that_is_there_is_not_written_over(front: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "front.toml" in said(capsys, "body", front, *FRONT.split(), "-o", front, code=2)
    assert front.read_text("utf-8") == PLAN


def test_a_sleeve_says_how_long_the_edge_of_its_cap_is(front: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "sleeve", front, "--widths", "0:22,44:36", "--armhole", "46.4")
    assert "#   edge of the cap: 46.3 cm, 0.9 mm less than wanted\n" in out


RAGLAN = "--widths 0:50,36:50 --armhole raglan --depth 24 --neck-width 17"


@pytest.mark.parametrize("neck", ["straight", "round --neck-depth 8", "V --neck-depth 8"])
def test_the_lines_of_a_raglan_lead_to_the_neck_without_a_shoulder(
    neck: str, front: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shaped = front.with_name("raglan.toml")
    out = said(capsys, "body", front, *RAGLAN.split(), "--neck", *neck.split(), "-o", shaped)
    assert ("At the end 2 stitches are left on each side of the neck, to be fastened off." in out) == (
        neck != "straight"
    )
    file = read(shaped)
    assert file.faults() == [] and Working(file.plan).simulate() == []
    last = Calendar(file.plan).segments[-1].last_edges
    neck_stitches = 2 * round(17 * 2.9 / 2)
    assert len(last.knit) == (neck_stitches if neck == "straight" else 2)


def test_measures_are_taken_in_inches_too(front: Path, capsys: pytest.CaptureFixture[str]) -> None:
    inches = 'body PLAN --widths 0in:20in,14in:20" --armhole raglan --depth 9in --neck-width 7in --base 1in'
    cm = "body PLAN --widths 0:50.8,35.56:50.8cm --armhole raglan --depth 22.86 --neck-width 177.8mm --base 2.54"
    both = [tomllib.loads(said(capsys, *words.replace("PLAN", str(front)).split())) for words in (inches, cm)]
    assert both[0] == both[1] and both[0]["panel"]["rows"] > 200
    sleeve = [said(capsys, "sleeve", front, "--widths", "0:22,44:36", "--armhole", a) for a in ("18in", "45.72")]
    assert sleeve[0] == sleeve[1]


def test_the_help_of_a_body_says_what_a_raglan_needs_and_that_inches_are_taken(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(SystemExit):
        main(["shape", "body", "--help"])
    out = " ".join(capsys.readouterr().out.split())
    assert "a raglan needs none" in out and "a raglan has none" in out and "between its lines at the top" in out
    assert "lengths are in cm where no unit is named, or as 8in" in out


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("body PLAN --widths 0:50,36:50 --armhole raglan --depth 24", "give it a neck width"),
        ("body PLAN --widths 0:50,36:50 --depth 8el", "found 8el; allowed: a length above 0, at most 2000 cm, as 22"),
        ("body PLAN --widths 0:50,36:nan", "allowed: a height and a width in cm, as 36:50, or 14in:20in"),
        ("sleeve PLAN --widths 0:22,44:36 --armhole 0", "a length above 0"),
        (
            "body PLAN --widths 0:50,36:50 --armhole raglan --depth 24 --neck V --neck-width 17 --neck-depth 8 "
            "--shoulder 0.1",
            "0 stitches are left beside the neck; it takes 2",
        ),
        ("even --stitches 3 --rows 0", "3 stitches cannot be changed over 0 rows"),
        ("even --stitches x --rows 4", "found x; allowed: a whole number"),
        ("even --stitches 3 --rows 4 --tool 99", "tool"),
        ("body PLAN --widths 50", "allowed: a height and a width in cm, as 36:50"),
        ("body PLAN --widths 5:50,3:40", "allowed: heights that begin with 0 and grow"),
        (
            "body PLAN --widths 0:50,36:50 --armhole raglan --depth 20 --slope 3 --shoulder 3",
            "a raglan has no shoulder",
        ),
        ("body PLAN --widths 0:900,36:900 --depth 20", "2610 stitches are more than the 200 needles"),
        ("sleeve PLAN --widths 0:22,44:36 --armhole 200", "cm allowed apart"),
        ("", "WHAT"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_with_the_reason(
    words: str, why: str, front: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        code = main(["shape", *words.replace("PLAN", str(front)).split()])
    except SystemExit as refused:
        code = refused.code if isinstance(refused.code, int) else 1
    assert code == 2
    assert why in capsys.readouterr().err


def test_without_a_gauge_it_asks_for_a_swatch(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "plain.toml"
    path.write_text(PLAN.replace("[gauge]\nstitches_per_10cm = 29\nrows_per_10cm = 41\n", ""), encoding="utf-8")
    assert "knit a swatch" in said(capsys, "body", path, "--widths", "0:50,36:50", code=2)


def test_tables_are_written_into_a_new_file_and_over_no_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "sides.toml"
    assert said(capsys, "even", "--stitches", "5", "--rows", "20", "-o", out) == ""
    assert tomllib.loads(out.read_text())["shape"][0]["do"] == "decrease"
    assert "is there already" in said(capsys, "even", "--stitches", "6", "--rows", "20", "-o", out, code=2)
