"""Disks that fail for real: full, read-only, someone else's. A message in words, nothing lost, no file left in halves."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from purlside.commands import main as commands
from purlside.files import planfile
from purlside.keep import drawer, panels, settings, shelf
from purlside.keep.events import StepDone
from purlside.keep.ledger import Entry, Ledger
from purlside.keep.session import Session
from purlside.knitting.cursor import Place
from tests import disks
from tests.hostile.handled import run
from tests.plans import cable, tables, toml

PLAN = toml(tables(cable(), yarn={"name": "grey"}))


def typed(*argv: str, home: Path) -> subprocess.CompletedProcess[str]:
    """One command line."""
    return subprocess.run(
        [sys.executable, "-m", "purlside", *argv],
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        env={**os.environ, "PURLSIDE_HOME": str(home), "PYTHONDONTWRITEBYTECODE": "1"},
        timeout=60,
        check=False,
    )


@pytest.fixture
def full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A small disk with a plan and a yarn on it, and no room left."""
    with disks.small_disk(tmp_path / "disk") as folder:
        (folder / "plan.toml").write_text(PLAN, "utf-8")
        monkeypatch.setenv("PURLSIDE_HOME", str(folder))
        monkeypatch.chdir(folder)
        assert commands.main(["yarn", "keep", "grey", "--fibre", "wool"]) == 0
        settings.save(settings.Settings(guard_ms=70))
        shelf.opened(folder / "plan.toml")
        for name in ("out.txt", "out.html", "out.svg"):
            (folder / name).write_text("as it was", "utf-8")
        disks.fill(folder)
        yield folder


def whole(folder: Path) -> dict[str, bytes]:
    """All files but the ballast, as they stand."""
    found = {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    return {name: content for name, content in found.items() if name != "ballast"}


@pytest.mark.parametrize(
    "argv",
    [
        ["picture", "DISK/plan.toml", "-o", "DISK/out.svg", "--force"],
        ["sheet", "DISK/plan.toml", "-o", "DISK/out.txt", "--force"],
        ["sheet", "DISK/plan.toml", "-o", "DISK/out.html", "--force"],
        ["yarn", "keep", "green", "--fibre", "wool"],
        ["yarn", "swatch", "grey", "--size", "5", "--stitches", "50", "--length-cm", "60"],
        ["yarn", "crossing", "grey", "--went", "easy", "--reach", "0.8"],
        ["yarn", "remove", "grey"],
    ],
    ids=" ".join,
)
def test_a_full_disk_is_told_in_words_and_leaves_every_file_as_it_was(argv: list[str], full: Path) -> None:
    before = whole(full)
    done = typed(*(a.replace("DISK", str(full)) for a in argv), home=full)
    assert done.returncode == 2, done.stdout
    assert "No space left" in done.stderr
    assert "Traceback" not in done.stderr and "mistake" not in done.stderr
    assert whole(full) == before


def test_on_a_full_disk_settings_and_shelf_stay_as_they_were(full: Path) -> None:
    before = whole(full)
    with pytest.raises(OSError, match="No space left"):
        settings.save(settings.Settings(guard_ms=90))
    shelf.opened(full / "other.toml")  # the shelf is no reason to stop anyone
    shelf.forget(full / "plan.toml")
    assert whole(full) == before
    assert settings.load().settings.guard_ms == 70
    (full / "ballast").unlink()
    shelf.opened(full / "other.toml")
    assert [one.path.name for one in shelf.plans()] == ["other.toml", "plan.toml"]


def test_what_is_read_works_on_a_full_disk(full: Path) -> None:
    for argv in (["check"], ["passes"], ["figures"], ["picture"]):
        done = typed(*argv, str(full / "plan.toml"), home=full)
        assert (done.returncode, done.stderr) == (0, ""), argv


NOBODY = 65534


def as_nobody(*argv: str, home: Path) -> tuple[int, str]:
    """Exit code and stderr of a command line run by a user who owns nothing, in a process of its own."""
    run(("check",), home / "plan.toml", home)  # what is imported late is imported before the rights are gone
    run(("sheet", "-o", "OUT.txt"), home / "plan.toml", home.parent)
    run(("picture", "--rows", "1", "-o", "OUT.svg"), home / "plan.toml", home.parent)
    with tempfile.TemporaryFile("w+") as heard:
        if (child := os.fork()) == 0:
            code = 70
            try:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
                with contextlib.redirect_stderr(heard), contextlib.redirect_stdout(io.StringIO()):
                    code = commands.main(argv)
                heard.flush()
            finally:
                os._exit(code)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        heard.seek(0)
        return code, heard.read()


@pytest.fixture
def readable(monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder with a plan and a drawer, that may be read by all and written by its owner."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("becoming another user wants root")
    with tempfile.TemporaryDirectory(prefix="purlside-") as folder:
        home = Path(folder) / "home"
        home.mkdir()
        (home / "plan.toml").write_text(PLAN, "utf-8")
        monkeypatch.setenv("PURLSIDE_HOME", str(home))
        drawer.change(lambda kept: kept.with_yarn(drawer.new_yarn(name="grey", fibre="wool")))
        for file in home.iterdir():
            file.chmod(0o644)
        home.chmod(0o755)
        Path(folder).chmod(0o755)
        yield home


def test_in_a_folder_that_is_read_only_everything_is_read_and_nothing_can_be_written(readable: Path) -> None:
    before = whole(readable)
    plan = str(readable / "plan.toml")
    assert as_nobody("check", plan, home=readable) == (0, "")
    for argv in (
        ["sheet", plan, "-o", str(readable / "out.txt")],
        ["picture", plan, "-o", str(readable / "out.svg")],
        ["yarn", "keep", "green", "--fibre", "wool"],
        ["yarn", "remove", "grey"],
    ):
        code, stderr = as_nobody(*argv, home=readable)
        assert (code, "Permission denied" in stderr) == (2, True), (argv, stderr)
        assert "mistake" not in stderr
    # What was written before, as its owner, is remembered.
    assert {name: data for name, data in whole(readable).items() if name != "written.json"} == before


def test_a_plan_that_may_not_be_read_is_refused_by_name(readable: Path) -> None:
    run(("check",), readable / "plan.toml", readable)
    (readable / "plan.toml").chmod(0o600)
    code, stderr = as_nobody("check", str(readable / "plan.toml"), home=readable)
    assert code == 2
    assert "plan.toml: the plan: found a file that may not be read" in stderr


DAMAGED = ["", "[[[", "opened = 5", 'opened = "x"', "opened = [1, [2], {}]", 'opened = ["a\\u0000b", "\\ud800"]', "off = true",
           'opened = ["' + "x" * 5000 + '"]', "\x00\xff", "opened = [" * 3000]  # fmt: skip


@pytest.mark.parametrize("text", DAMAGED, ids=lambda t: ascii(t)[:24])
def test_a_damaged_shelf_is_an_empty_one_and_is_used_again(
    text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PURLSIDE_HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shelf.toml").write_bytes(text.encode("latin-1", "replace"))
    (tmp_path / "plan.toml").write_text(PLAN, "utf-8")
    assert all(one.reason for one in shelf.plans())
    shelf.opened(tmp_path / "plan.toml")
    assert shelf.plans()[0].plan is not None


@pytest.mark.parametrize("text", ["[[[", "\x00", "x" * 100, "a = [" * 3000])
def test_a_drawer_that_is_no_toml_any_more_is_set_aside_in_words_and_kept_as_it_is(
    text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PURLSIDE_HOME", str(tmp_path))
    assert commands.main(["yarn", "keep", "grey", "--fibre", "wool"]) == 0
    [file] = [p for p in tmp_path.rglob("*.toml") if "grey" in p.read_text("utf-8")]
    file.write_text(text, "utf-8")
    capsys.readouterr()
    assert commands.main(["yarn", "keep", "green", "--fibre", "wool"]) == 0
    told = capsys.readouterr().err
    assert file.name in told and "Traceback" not in told and "mistake" not in told
    assert text in [beside.read_text("utf-8") for beside in file.parent.iterdir() if beside.is_file()]
    assert "green" in file.read_text("utf-8")


@pytest.mark.parametrize("text", ["yarn = 5", "yarn = [1]", "format = 2"])
def test_a_drawer_that_says_what_cannot_be_is_refused_in_words_and_never_written_over(
    text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PURLSIDE_HOME", str(tmp_path))
    assert commands.main(["yarn", "keep", "grey", "--fibre", "wool"]) == 0
    [file] = [p for p in tmp_path.rglob("*.toml") if "grey" in p.read_text("utf-8")]
    file.write_text(text, "utf-8")
    for argv in (["yarn"], ["yarn", "keep", "green"], ["yarn", "remove", "grey"]):
        assert commands.main(argv) == 2, argv
        told = capsys.readouterr().err
        assert file.name in told and "Traceback" not in told and "mistake" not in told
    assert file.read_text("utf-8") == text


@pytest.mark.parametrize("text", ["[[[", "guard_ms = 'x'", "\x00", "a = [" * 3000, "calls = 3", "keys = {a = 1}"])
def test_damaged_settings_are_as_they_came_and_said(text: str, tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text(text, "utf-8")
    found = settings.load(file)
    assert found.settings == settings.Settings()
    assert "settings.toml" in found.said


def test_two_that_change_the_drawer_at_once_lose_no_yarn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PURLSIDE_HOME", str(tmp_path))
    env = {**os.environ, "PURLSIDE_HOME": str(tmp_path)}
    running = [
        subprocess.Popen(
            [sys.executable, "-m", "purlside", "yarn", "keep", f"yarn {i}"], env=env, stdout=-3, stderr=subprocess.PIPE
        )
        for i in range(8)
    ]
    assert [one.communicate(timeout=60)[1] for one in running] == [b""] * 8
    assert sorted(one.name for one in drawer.read().yarn) == [f"yarn {i}" for i in range(8)]


def test_a_plan_replaced_while_it_is_read_is_the_old_one_or_the_new_one(tmp_path: Path) -> None:
    file = tmp_path / "plan.toml"
    file.write_text(PLAN, "utf-8")
    swap = (
        "import os, sys\n"
        "texts = [sys.argv[2], sys.argv[2].replace('Tried out', 'Tried again')]\n"
        "for i in range(400):\n"
        "    open(sys.argv[1] + '.new', 'w').write(texts[i % 2]); os.replace(sys.argv[1] + '.new', sys.argv[1])\n"
    )
    editor = subprocess.Popen([sys.executable, "-c", swap, str(file), PLAN])
    titles = set()
    while editor.poll() is None:
        titles.add(planfile.read(file).plan.title)
    assert titles <= {"Tried out", "Tried again"}


def test_a_clock_set_back_leaves_the_place_where_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PURLSIDE_HOME", str(tmp_path / "home"))
    plan = tmp_path / "plan.toml"
    plan.write_text(PLAN, "utf-8")
    ledger = Ledger(panels.of(plan).ledger)
    ledger.close()
    ahead = datetime.now().astimezone() + timedelta(days=4000)
    lines = [Entry(ahead + timedelta(minutes=row), StepDone(Place(row, 0))).line() for row in range(2, 30)]
    ledger.path.write_bytes(b"".join(lines))
    for back in range(29, 32):
        session = Session(planfile.read(plan))
        assert session.knitting.place.row == back
        session.forward()
        left = session.time_left()
        session.close()
        assert left is None or left >= 0
    [shelved] = [one for one in shelf.plans() if one.path == plan] or [shelf._shelved(plan)]
    assert shelved.row == 32
