"""The real program, and faults as they happen: a place is never lost, and what cannot be kept is said."""

from __future__ import annotations

import errno
import os
import re
import resource
import shutil
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from purlside.app.actions import DRAFTING
from purlside.keep import panels
from purlside.knitting.coursework import CourseWorking
from purlside.knitting.cursor import Place
from tests import disks
from tests.sessions import at, opened, written
from tests.terminal.terminal import Terminal, purlside

FIRST = re.compile(r"\S")
KEYS = "?"
"""Stands on the key line of every screen."""


def place(plan: Path) -> Place | None:
    """Where the ledger on disk says the knitter is."""
    return panels.of(plan).place


def limited(terminal: Terminal, size: int | None) -> None:
    """From now on no file of the program may grow beyond a size; None: as large as it likes."""
    soft = resource.RLIM_INFINITY if size is None else size
    resource.prlimit(terminal.process.pid, resource.RLIMIT_FSIZE, (soft, resource.RLIM_INFINITY))


def told(terminal: Terminal) -> str:
    """What is said in a box on the screen, its lines joined."""
    parts = (re.split("[▌│|]", line.rstrip(" │|"))[-1].strip() for line in terminal.lines)
    return " ".join(filter(None, parts))


def wait_told(terminal: Terminal, text: str) -> None:
    terminal.wait_for(lambda: text in told(terminal))


def knit(terminal: Terminal, steps: int) -> None:
    for _ in range(steps):
        terminal.press("space")
    terminal.settle()


@pytest.fixture
def full(home: Path, tmp_path: Path) -> Path:
    """A plan in row 8, closed."""
    plan = written(tmp_path)
    at(opened(plan), 8).close()
    return plan


def step_of(plan: Path, place: Place | None, steps: int) -> Place:
    """The place so many steps on from another."""
    from purlside.files import planfile
    from purlside.knitting.course import Course
    from purlside.knitting.cursor import Knitting

    knitting = Knitting(CourseWorking(Course(planfile.read(plan).plan)), place)
    for _ in range(steps):
        knitting.go(knitting.next_place())
    return knitting.place


# --- a place in memory -------------------------------------------------------------


@pytest.mark.parametrize("way", [("other_way", "save", "leave"), ("other_way", "save", "knit"), ("leave",)])
def test_steps_that_are_not_saved_outlive_the_drafting_table(full: Path, way: tuple[str, ...]) -> None:
    before = place(full)
    with purlside(full) as terminal:
        terminal.wait_for(KEYS)
        terminal.settle()
        limited(terminal, panels.of(full).ledger.stat().st_size)
        knit(terminal, 20)
        assert place(full) == before
        terminal.press("f2")
        terminal.wait_for("KNIT SIDE")
        for name in way:
            terminal.press(next(action.keys[0] for action in DRAFTING if action.name == name))
            terminal.settle()
        limited(terminal, None)
        terminal.wait_for(lambda: place(full) != before)
        terminal.settle()
        knit(terminal, 1)
        terminal.wait_for(lambda: place(full) == step_of(full, before, 21))


def test_leaving_with_steps_that_are_not_saved_asks_and_says_the_place_at_the_end(full: Path) -> None:
    before = place(full)
    with purlside(full) as terminal:
        terminal.wait_for(KEYS)
        terminal.settle()
        limited(terminal, panels.of(full).ledger.stat().st_size)
        knit(terminal, 12)
        terminal.press("q")
        wait_told(terminal, "12 steps not saved: File too large")
        terminal.press("escape")
        terminal.settle(0.3)
        assert "leave anyway" not in terminal.text
        terminal.press("q")
        wait_told(terminal, "leave anyway")
        terminal.press("delete")
        assert terminal.wait() == 0
        after = step_of(full, before, 12)
        moves = f", {after.done} moves? of it made" if after.done else ""
        assert re.search(rf"13 steps of band not saved: you are at row {after.row}{moves}\. Remember it", terminal.text)


def test_the_question_goes_by_itself_once_there_is_room(full: Path) -> None:
    before = place(full)
    with purlside(full) as terminal:
        terminal.wait_for(KEYS)
        terminal.settle()
        limited(terminal, panels.of(full).ledger.stat().st_size)
        knit(terminal, 12)
        terminal.press("q")
        wait_told(terminal, "leave anyway")
        limited(terminal, None)
        assert terminal.wait() == 0
    assert place(full) == step_of(full, before, 12)


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGHUP])
def test_asked_to_end_it_says_the_place_to_remember(full: Path, how: signal.Signals) -> None:
    with purlside(full) as terminal:
        terminal.wait_for(KEYS)
        terminal.settle()
        limited(terminal, panels.of(full).ledger.stat().st_size)
        knit(terminal, 3)
        terminal.kill(how)
        terminal.wait()
        assert "not saved: you are at row" in terminal.text


# --- the plan's file ----------------------------------------------------------------


def broken(plan: Path) -> None:
    plan.write_text(plan.read_text() + '[[cable]]\nname = "', "utf-8")


def faulty(plan: Path) -> None:
    plan.write_text(plan.read_text().replace("R1-R3 over L3-L1", "R91-R93 over L93-L91"), "utf-8")


def gone(plan: Path) -> None:
    plan.unlink()


def pipe(plan: Path) -> None:
    plan.unlink()
    os.mkfifo(plan)


@pytest.mark.parametrize("become", [broken, faulty, gone, pipe])
def test_whatever_became_of_the_plan_s_file_it_opens_on_the_same_step(full: Path, become: object) -> None:
    before = place(full)
    assert callable(become)
    become(full)
    with purlside(full) as terminal:
        wait_told(terminal, "opened as you knit it")
        knit(terminal, 1)
        terminal.wait_for(lambda: place(full) == step_of_text(full, before))


def step_of_text(plan: Path, before: Place | None) -> Place:
    """One step on from a place, by the plan as it was knit."""
    from purlside.keep.knitfrom import as_knit
    from purlside.knitting.course import Course
    from purlside.knitting.cursor import Knitting

    file = as_knit(plan)
    assert file is not None
    return Knitting(CourseWorking(Course(file.plan)), before).next_place()


def test_saving_what_cannot_be_knit_with_its_panel_on_the_needles_asks_first(full: Path) -> None:
    text = full.read_text("utf-8")
    with purlside(full) as terminal:
        terminal.wait_for(KEYS)
        terminal.press("f2")
        terminal.wait_for("KNIT SIDE")
        for _ in range(5):
            terminal.press("+")
        terminal.settle()
        terminal.press("ctrl+s")
        wait_told(terminal, "save it anyway")
        terminal.press("escape")
        terminal.settle(0.3)
        assert full.read_text("utf-8") == text
        terminal.press("ctrl+s")
        wait_told(terminal, "save it anyway")
        terminal.press("enter")
        terminal.wait_for(lambda: full.read_text("utf-8") != text)
        terminal.kill()
        terminal.wait()
    with purlside(full) as terminal:
        wait_told(terminal, "opened as you knit it")


def test_a_plan_that_is_gone_opens_from_the_shelf_too(full: Path, tmp_path: Path) -> None:
    from purlside.keep import shelf

    shelf.opened(full)
    full.unlink()
    with purlside(cwd=tmp_path) as terminal:
        terminal.wait_for("band.toml")
        terminal.press("enter")
        wait_told(terminal, "opened as you knit it")


def test_a_copy_asks_whether_to_go_on_or_begin_anew(full: Path, tmp_path: Path) -> None:
    copy = Path(shutil.copy(full, tmp_path / "copy.toml"))
    with purlside(copy) as terminal:
        wait_told(terminal, "copy.toml is like band.toml, which is on the needles, at row 8")
        terminal.press("g")
        terminal.wait_for(lambda: "is like" not in terminal.text)
        knit(terminal, 1)
        terminal.wait_for(lambda: place(copy) == step_of(full, place(full), 1))


# --- disks ---------------------------------------------------------------------------


def test_a_folder_of_what_is_kept_unmounted_in_mid_panel_is_noticed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = written(tmp_path)
    with disks.small_disk(tmp_path / "disk") as disk:
        monkeypatch.setenv("PURLSIDE_HOME", str(disk / "kept"))
        with purlside(plan, env={"PURLSIDE_HOME": str(disk / "kept")}) as terminal:
            terminal.wait_for(KEYS)
            knit(terminal, 2)
            subprocess.run(["umount", "-l", disk], check=True)
            knit(terminal, 1)
            wait_told(terminal, "not where it was")
            terminal.press("q")
            wait_told(terminal, "Put the disk back")
            terminal.press("delete")
            assert terminal.wait() == 0
            assert re.search(r"is away: you are at row \d+", " ".join(terminal.lines)), terminal
            assert not list(disk.iterdir()), "nothing is written under it"


@pytest.mark.parametrize("shape", ["too long", "a loop", "a pipe"])
def test_where_nothing_can_be_kept_one_knits_all_the_same(tmp_path: Path, shape: str) -> None:
    plan, kept = written(tmp_path), tmp_path / "kept"
    if shape == "too long":
        kept = tmp_path / ("x/" * 3000)
    elif shape == "a loop":
        kept.symlink_to(kept)
    else:
        os.mkfifo(kept)
    with purlside(plan, env={"PURLSIDE_HOME": str(kept)}) as terminal:
        terminal.wait_for(KEYS)
        knit(terminal, 1)
        terminal.wait_for("not saved: ")
        terminal.press("f2")
        terminal.wait_for("WILL KNIT")
        terminal.press("f2")
        terminal.wait_for("not saved: ")
        terminal.press("q")
        wait_told(terminal, "steps not saved")


def around(folder: Path) -> list[Path]:
    """A test's folder and those around it that pytest has made, and keeps from other users."""
    return [each for each in (folder, *folder.parents) if each.name.startswith(("test_", "pytest-", "popen-"))]


READ_ONLY = r"""
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>
static int ours(int handle) {
    struct stat found;
    return access("%(flag)s", F_OK) == 0 && fstat(handle, &found) == 0 && S_ISREG(found.st_mode);
}
ssize_t write(int handle, const void *from, size_t size) {
    if (ours(handle)) { errno = EROFS; return -1; }
    return syscall(SYS_write, handle, from, size);
}
"""
"""A disk that its system makes read-only after an error, as ``errors=remount-ro`` does: files open for writing too."""


@pytest.mark.skipif(shutil.which("cc") is None, reason="needs a C compiler")
def test_a_disk_made_read_only_in_mid_panel_is_noticed_at_the_next_step(full: Path, tmp_path: Path) -> None:
    flag = tmp_path / "read-only"
    (tmp_path / "ro.c").write_text(READ_ONLY % {"flag": flag})
    subprocess.run(["cc", "-shared", "-fPIC", "-o", tmp_path / "ro.so", tmp_path / "ro.c"], check=True)
    before = place(full)
    with purlside(full, env={"LD_PRELOAD": str(tmp_path / "ro.so")}) as terminal:
        terminal.wait_for(KEYS)
        knit(terminal, 2)
        assert place(full) == step_of(full, before, 2)
        flag.touch()
        knit(terminal, 1)
        terminal.wait_for("!! NOT SAVED")
        knit(terminal, 2)
        terminal.press("q")
        wait_told(terminal, "3 steps not saved: Read-only file system")
        terminal.press("escape")
        terminal.wait_for(lambda: "leave anyway" not in terminal.text)
        assert place(full) == step_of(full, before, 2)
        flag.unlink()
        terminal.wait_for(lambda: place(full) == step_of(full, before, 5))
        terminal.wait_for(lambda: "NOT SAVED" not in terminal.text)


@pytest.mark.skipif(os.getuid() != 0 or shutil.which("setpriv") is None, reason="needs to be another user")
def test_a_ledger_that_may_not_be_written_is_said_at_the_first_step_and_the_place_told_at_the_end(
    full: Path, home: Path, tmp_path: Path
) -> None:
    """Restored from a backup, or copied by someone else: all of it can be read, nothing written."""
    for folder in (*around(tmp_path), home, *(each for each in home.rglob("*") if each.is_dir())):
        os.chmod(folder, 0o755)
    for file in (full, *(each for each in home.rglob("*") if each.is_file())):
        os.chmod(file, 0o644)
    before = place(full)
    ledger = panels.of(full).ledger.read_bytes()
    nobody = ["setpriv", "--reuid", "65534", sys.executable, "-B", "-m", "purlside"]
    with Terminal([*nobody, full]) as terminal:
        terminal.wait_for(KEYS)
        knit(terminal, 2)
        terminal.wait_for("!! NOT SAVED")
        terminal.press("q")
        wait_told(terminal, "not saved: Permission denied")
        terminal.press("delete")
        assert terminal.wait() == 0
        after = step_of(full, before, 2)
        assert re.search(rf"not saved: you are at row {after.row}\b", " ".join(terminal.lines)), terminal
    assert panels.of(full).ledger.read_bytes() == ledger


NO_LOCKS = r"""
#include <errno.h>
int flock(int handle, int how) { errno = %d; return -1; }
"""


@pytest.mark.skipif(shutil.which("cc") is None, reason="needs a C compiler")
@pytest.mark.parametrize("error", [errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EIO, errno.EACCES])
def test_on_a_disk_without_locks_one_knits_all_the_same(full: Path, tmp_path: Path, error: int) -> None:
    (tmp_path / "none.c").write_text(NO_LOCKS % error)
    subprocess.run(["cc", "-shared", "-fPIC", "-o", tmp_path / "none.so", tmp_path / "none.c"], check=True)
    before = place(full)
    with purlside(full, env={"LD_PRELOAD": str(tmp_path / "none.so")}) as terminal:
        wait_told(terminal, "This disk has no locks")
        knit(terminal, 2)
        terminal.wait_for(lambda: place(full) == step_of(full, before, 2))


NO_SYNC = r"""
#include <errno.h>
int fsync(int handle) { errno = %d; return -1; }
"""


@pytest.mark.skipif(shutil.which("cc") is None, reason="needs a C compiler")
@pytest.mark.parametrize("error", [errno.EINVAL, errno.ENOSYS, errno.EIO])
def test_a_disk_that_cannot_be_waited_for_takes_a_plan_and_one_that_is_broken_does_not(
    full: Path, tmp_path: Path, error: int
) -> None:
    (tmp_path / "sync.c").write_text(NO_SYNC % error)
    subprocess.run(["cc", "-shared", "-fPIC", "-o", tmp_path / "sync.so", tmp_path / "sync.c"], check=True)
    before = full.read_bytes()
    mirror = tmp_path / "mirror.toml"
    done = subprocess.run(
        [sys.executable, "-m", "purlside", "mirror", full, "-o", mirror],
        env={**os.environ, "LD_PRELOAD": str(tmp_path / "sync.so")},
        capture_output=True,
        check=False,
    )
    broken = error == errno.EIO
    assert (done.returncode, mirror.exists()) == ((2, False) if broken else (0, True)), done.stderr
    assert full.read_bytes() == before


@pytest.mark.skipif(os.getuid() != 0, reason="needs to be another user")
def test_settings_that_may_not_be_read_are_as_they_came(full: Path, home: Path, tmp_path: Path) -> None:
    (home / "settings.toml").write_text("[look]\n")
    os.chmod(home / "settings.toml", 0)
    for folder in (home, home / "ledgers", *around(tmp_path)):
        os.chmod(folder, 0o777)
    for file in (home / "ledgers").iterdir():
        os.chmod(file, 0o666)
    env = {**os.environ, "TERM": "xterm"}
    done = subprocess.run(
        [
            "setpriv",
            "--reuid",
            "65534",
            sys.executable,
            "-c",
            "from purlside.keep import settings; print(settings.load())",
        ],
        capture_output=True,
        text=True,
        env=env,
        check=False,
    )
    assert "Permission denied" in done.stdout + done.stderr
    assert "Traceback" not in done.stderr, done.stderr


def test_what_is_kept_by_the_real_program_is_private(full: Path, home: Path) -> None:
    with purlside(full) as terminal:
        terminal.wait_for(KEYS)
        knit(terminal, 2)
        terminal.press(",")
        terminal.wait_for("Call a crossing row")
        terminal.press("right", ",")
        terminal.wait_for("Space done")
        terminal.press("q")
        assert terminal.wait() == 0
    assert "ahead = 2" in (home / "settings.toml").read_text("utf-8")
    kept = [file for file in home.rglob("*") if file.is_file()]
    assert {stat.S_IMODE(file.stat().st_mode) for file in kept} == {0o600}
