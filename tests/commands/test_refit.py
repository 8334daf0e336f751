"""``purlside refit``: a plan for another machine, shown side by side and written beside the old one."""

import shutil
from pathlib import Path

import pytest

from purlside.files import planfile
from tests.commands.shell import ROOT, run


def test_a_plan_is_laid_again_and_what_changed_is_shown(tmp_path: Path) -> None:
    plan, out = tmp_path / "scarf.toml", tmp_path / "chunky.toml"
    shutil.copy(ROOT / "patterns" / "breakwater-rope.toml", plan)
    done = run(
        "refit", plan, "--pitch", "9 mm", "--yarn", "wool 1000 tex, SS 4", "--gauge", "14 st and 20 rows in 10 cm", "--tools", "2, 3, 3", "-o", out
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    lines = {line.split("  ")[0]: " ".join(line.split()) for line in done.stdout.splitlines()}
    assert lines["needles"] == "needles 40, L20-R20 → 22, L11-R11"
    assert lines["needles apart"] == "needles apart 4.5 mm → 9 mm"
    made = planfile.read(out).plan
    assert (made.machine.pitch_mm, made.yarn.tex, made.panel.stitch_size) == (9, 1000, 4)
    assert run("check", out).returncode == 0


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ([], "say what is to be another"),
        (["--pitch", "wide"], "pitch: the distance between needles"),
        (["--yarn", "wool 4 ply"], "yarn: “4 ply” says how many plies"),
        (["--gauge", "29"], "gauge: a gauge is stitches and rows"),
        (["--tools", "some"], "tools: the prongs of each tool"),
        (["--gauge", "1, 20"], "leave one out of"),
    ],
)
def test_what_cannot_be_is_said_in_words(tmp_path: Path, options: list[str], said: str) -> None:
    plan = tmp_path / "scarf.toml"
    shutil.copy(ROOT / "patterns" / "three-tides.toml", plan)
    done = run("refit", plan, *options)
    assert done.returncode in (1, 2)
    assert said in done.stderr
