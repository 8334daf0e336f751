"""Work done apart: the same results and the same errors as if it had been done here."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from purlside.commands.apart import apart
from purlside.files.planfile import PlanFile, Refused, read
from tests.plans import tables, toml

forks = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system cannot copy a process")


@forks
def test_a_plan_read_apart_is_the_plan(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(toml(tables()))

    def work() -> tuple[int, PlanFile]:
        return os.getpid(), read(path)

    who, file = apart(work)()
    assert who != os.getpid()
    assert file == read(path)


@forks
def test_what_is_refused_apart_is_refused_here_with_every_reason(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text("format = 1\ntitel = 'x'\n")
    with pytest.raises(Refused) as here:
        read(path)
    with pytest.raises(Refused) as there:
        apart(lambda: read(path))()
    assert str(there.value) == str(here.value)


@forks
@pytest.mark.parametrize("ending", ["sys.exit(3)", "os._exit(0)", "os.kill(os.getpid(), 9)", "lambda: 0", "1 / 0"])
def test_a_child_that_comes_to_nothing_says_nothing_and_its_work_is_done_here(ending: str) -> None:
    words = (
        "import os, sys\n"
        "from purlside.commands.apart import apart\n"
        "here = os.getpid()\n"
        f"print(apart(lambda: 'done' if os.getpid() == here else ({ending}))())\n"
    )
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, timeout=30)
    assert (done.stdout, done.stderr, done.returncode) == ("done\n", "", 0)


@forks
def test_started_by_a_program_that_ignores_its_children_the_work_is_done_all_the_same() -> None:
    words = (
        "import signal\n"
        "signal.signal(signal.SIGCHLD, signal.SIG_IGN)\n"
        "from purlside.commands.apart import apart\n"
        "print(apart(lambda: 'done')())\n"
    )
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, timeout=30)
    assert (done.stdout, done.stderr, done.returncode) == ("done\n", "", 0)


def test_where_a_process_cannot_be_copied_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(os, "fork", raising=False)
    assert apart(os.getpid)() == os.getpid()
