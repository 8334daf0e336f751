"""``purlside mirror``: the other front of a pair."""

from pathlib import Path

import pytest

from purlside.files import planfile
from purlside.plan.mirror import mirrored
from tests.commands.shell import PLAN, run


@pytest.fixture
def front(tmp_path: Path) -> Path:
    path = tmp_path / "left.toml"
    path.write_text("# mine\n" + PLAN.replace("tie a marker", "tie a marker at the left edge"), encoding="utf-8")
    return path


def test_the_other_front_is_written_with_the_comments_and_can_be_knit(front: Path, tmp_path: Path) -> None:
    there = tmp_path / "right.toml"
    done = run("mirror", front, "-o", there)
    assert (done.returncode, done.stdout) == (0, "")
    assert "right.toml written" in done.stderr
    assert 'stays as you wrote it: "tie a marker at the left edge"' in done.stderr
    assert there.read_text(encoding="utf-8").startswith("# mine\n")
    assert planfile.read(there).plan == mirrored(planfile.read(front).plan)
    assert run("check", there).returncode == 0
    assert run("mirror", there, "-o", tmp_path / "again.toml").returncode == 0
    assert planfile.read(tmp_path / "again.toml").plan == planfile.read(front).plan


def test_a_file_that_is_there_is_replaced_only_if_asked_for_and_the_plan_itself_never(
    front: Path, tmp_path: Path
) -> None:
    there, before = tmp_path / "right.toml", front.read_bytes()
    there.write_text("mine", encoding="utf-8")
    done = run("mirror", front, "-o", there)
    assert (done.returncode, there.read_text(encoding="utf-8")) == (2, "mine")
    assert "there already" in done.stderr
    assert run("mirror", front, "-o", there, "--force").returncode == 0
    assert planfile.read(there).plan.title.endswith("mirrored")
    done = run("mirror", front, "-o", front, "--force")
    assert (done.returncode, front.read_bytes()) == (2, before)
    assert "is the plan itself" in done.stderr


def test_help_shows_an_example() -> None:
    assert "purlside mirror left-front.toml -o right-front.toml" in run("mirror", "--help").stdout


def test_what_cannot_be_mirrored_is_said(front: Path, tmp_path: Path) -> None:
    assert "a file name that ends in .toml" in run("mirror", front, "-o", tmp_path / "right.txt").stderr
    front.write_text("rows = 3", encoding="utf-8")
    done = run("mirror", front, "-o", tmp_path / "right.toml")
    assert (done.returncode, "machine" in done.stderr) == (2, True)
