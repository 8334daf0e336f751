"""``purlside read``: a page of a pattern in, a plan out; a plan in, published rows out."""

from pathlib import Path

from purlside.files import planfile
from tests.commands.shell import run
from tests.fabric.test_reading import ROPE

PATTERNS = Path(__file__).parents[2] / "patterns"


def test_a_pattern_becomes_a_plan_that_can_be_knit(tmp_path: Path) -> None:
    text, plan = tmp_path / "rope.txt", tmp_path / "rope.toml"
    text.write_text(ROPE, encoding="utf-8")
    done = run("read", text, "-o", plan, "--repeats", "3")
    assert done.returncode == 0, done.stderr
    assert "5 │    ──___///──    ──___///──│ *p2, 3/3 RC, p2, k4; rep from *." in done.stdout
    assert "cable 1: 3/3 RC, L9-L7 over L12-L10; after row 4, then every 8 rows" in done.stdout
    made = planfile.read(plan).plan
    assert (str(made.panel.needles), made.panel.rows, len(made.cable)) == ("L14-R14", 24, 2)
    assert run("check", plan).returncode == 0
    assert "Rows 5, 13 and 21 (RS): *p2, 3/3 RC, p2, k4; rep from * to end." in run("read", plan).stdout


def test_a_plan_that_is_there_already_is_not_written_over(tmp_path: Path) -> None:
    text, plan = tmp_path / "rope.txt", tmp_path / "rope.toml"
    text.write_text(ROPE, encoding="utf-8")
    plan.write_text("mine", encoding="utf-8")
    done = run("read", text, "-o", plan)
    assert (done.returncode, plan.read_text(encoding="utf-8")) == (2, "mine")
    assert "there already" in done.stderr


def test_a_file_named_for_a_plan_s_rows_is_not_passed_over_in_silence(tmp_path: Path) -> None:
    done = run("read", PATTERNS / "breakwater-rope.toml", "-o", tmp_path / "rows.txt")
    assert (done.returncode, done.stdout) == (2, "")
    assert "is a plan already" in done.stderr


def test_a_pattern_that_does_not_come_out_makes_no_plan(tmp_path: Path) -> None:
    text, plan = tmp_path / "odd.txt", tmp_path / "odd.toml"
    text.write_text("Cast on 20 sts\nRow 1: *p2, 3/3 RC; rep from * to end\n", encoding="utf-8")
    done = run("read", text, "-o", plan)
    assert done.returncode == 2
    assert not plan.exists()
    assert "line 2: row 1" in done.stderr
    assert "4 stitches left" in done.stderr


def test_what_is_no_pattern_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "picture.txt").write_bytes(b"\xff\xd8\xff\xe0")
    for name, said in (("picture.txt", "not text in UTF-8"), ("nothing.txt", "no such file")):
        done = run("read", tmp_path / name)
        assert done.returncode == 2
        assert said in done.stderr


def test_a_script_is_told_when_something_is_left_out_of_the_plan(tmp_path: Path) -> None:
    text, plan = tmp_path / "bobbles.txt", tmp_path / "bobbles.toml"
    text.write_text("Cast on 8 sts\nRow 1 (RS): k3, mb, k4\nRow 2: purl\n", encoding="utf-8")
    done = run("read", text, "-o", plan)
    assert (done.returncode, plan.exists()) == (1, True)
    assert "mb: a bobble; it is knit plain" in done.stdout
    text.write_text("Cast on 8 sts\nRow 1 (RS): k2, C4F, k2\nRow 2: purl\n", encoding="utf-8")
    done = run("read", text)
    assert done.returncode == 0 and "one plain row is knit before it" in done.stdout


def test_a_column_latched_up_alike_again_and_again_is_told_once(tmp_path: Path) -> None:
    text = tmp_path / "travelling.txt"
    rows = "Row 1: p4, k2, p4\nRow 2: k4, p2, k4\nRow 3: p4, 2/1 LPC, p3\nRow 4: k3, p2, k5\nRow 5: p5, k2, p3\n"
    text.write_text(f"Cast on 10 sts\n{rows}Row 6: k3, p2, k5\nRow 7: p4, 2/1 RPC, p3\nRow 8: k4, p2, k4\n", "utf-8")
    told = [line.partition(": ") for line in run("read", text).stdout.splitlines() if "latch up " in line]
    said = [(needles, how.partition(" after row")[0], "then" in how) for needles, _, how in told]
    assert len(said) == len({(n, h, t) for n, h, t in said}) and any("the same after row" in how for *_, how in told)


def test_rows_written_of_a_shaped_plan_say_what_they_leave_out() -> None:
    done = run("read", PATTERNS / "slipway-jersey-front.toml")
    assert done.returncode == 1
    said = done.stderr.splitlines()
    assert all(line.startswith("left out: ") for line in said)
    assert any("rows 163 to 168" in line and "decrease 1 at both edges" in line for line in said)
    assert any("written straight, over all" in line for line in said)
    assert "left out: right shoulder: rows 225–260, with all that is worked in them" in said
    assert any("left strand moves with its edge" in line for line in said)
    assert "Repeat rows" not in done.stdout, "a shaped piece is knit once"
    # What a row does not leave out is not said of it.
    early = run("read", PATTERNS / "slipway-jersey-front.toml", "--rows", "1-16")
    assert (early.returncode, early.stderr) == (0, "")


def test_rows_written_of_a_plan_say_its_beads_ladders_bands_and_last_crossing(tmp_path: Path) -> None:
    plan = tmp_path / "mine.toml"
    plan.write_text(
        """\
format = 1
title = "Mine"
[machine]
pitch_mm = 4.5
[panel]
needles = "L10-R10"
rows = 20
stitch_size = 5
out_of_work = ["L9"]
[[band]]
rows = "3-6"
colour = "slate"
[[reminder]]
text = "measure it"
row = 7
[[stitch]]
needles = "R8"
do = "bead"
first_row = 5
every = 5
[[stitch]]
needles = "R6"
do = "purl"
first_row = 4
[[cable]]
name = "rope"
cross = "R1-R2 over L2-L1"
first_row = 10
every = 10
""",
        encoding="utf-8",
    )
    done = run("read", plan)
    assert done.returncode == 1
    assert done.stderr.splitlines() == [
        "left out: rows 5 to 20, every 5 (4 times): bead on R8",
        "left out: needles L9: out of work, a ladder each; written as knit stitches",
        "left out: rows 3-6: in slate",
        "left out: row 7: the reminder “measure it”",
        "left out: row 20: rope is crossed after the last row, and no row is left to write it in",
    ]
    assert "2/2 RC" in done.stdout and "p1" in done.stdout
    plain = run("read", PATTERNS / "breakwater-rope.toml", "--rows", "1-16")
    assert (plain.returncode, plain.stderr) == (0, "")
