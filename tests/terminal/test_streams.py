"""Streams as a shell may leave them: files, closed ones, terminals without UTF-8, pipes in place of files."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from purlside.keep import panels
from tests.sessions import opened, written
from tests.terminal.terminal import Terminal

PURLSIDE = f"{sys.executable} -m purlside"


def shell(command: str, **env: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        ["sh", "-c", command], capture_output=True, env={**os.environ, **env}, timeout=60, check=False
    )


def in_shell(command: str, **env: str | None) -> Terminal:
    return Terminal(["sh", "-c", command], env=env)


def test_with_stderr_in_a_file_the_screen_is_on_the_terminal(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    opened(plan).close()
    with in_shell(f"exec {PURLSIDE} {plan} 2>{tmp_path}/log") as terminal:
        terminal.wait_for("of 40")
        terminal.press("space")
        terminal.wait_for(lambda: panels.of(plan).place == (2, 0))
        terminal.press("q")
        assert terminal.wait() == 0
    assert (tmp_path / "log").read_bytes() == b""


@pytest.mark.parametrize("closed", ["2>&-", "<&- 2>&-"])
def test_with_streams_closed_it_draws_or_says_why_not_and_ends_with_its_terminal(
    home: Path, tmp_path: Path, closed: str
) -> None:
    plan = written(tmp_path)
    with in_shell(f"exec {PURLSIDE} {plan} {closed}") as terminal:
        if "<&-" in closed:
            assert terminal.wait() == 2
            return
        terminal.wait_for("of 40")
        terminal.hang_up()
        assert terminal.process.wait(15) in (1, 129)
    assert panels.of(plan).ledger.exists()


@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&-", ">&- 2>&-", "<&- >&- 2>&-"])
def test_a_command_with_streams_closed_makes_no_mistake(home: Path, tmp_path: Path, closed: str) -> None:
    plan = written(tmp_path)
    done = shell(f"{PURLSIDE} check {plan} {closed}")
    assert done.returncode == (2 if " >&-" in f" {closed}" else 0)
    assert b"mistake" not in done.stderr and b"Traceback" not in done.stderr
    assert not (home / "mistake.txt").exists()


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
def test_a_message_that_nobody_can_read_leaves_the_exit_code_as_it_is(home: Path, tmp_path: Path) -> None:
    assert shell(f"{PURLSIDE} check {tmp_path}/none.toml 2>/dev/full").returncode == 2
    assert shell(f"{PURLSIDE} passes {written(tmp_path)} >/dev/full").returncode == 2
    assert shell(f"{PURLSIDE} mirror {written(tmp_path)} -o {tmp_path}/m.toml 2>/dev/full").returncode == 0


@pytest.mark.parametrize(
    "env",
    [
        {"LANG": "C", "LC_ALL": None, "LC_CTYPE": None},
        {"LANG": None, "LC_ALL": None, "LC_CTYPE": "de_DE.ISO-8859-15"},
        {"LC_ALL": "POSIX"},
    ],
)
def test_a_terminal_without_utf_8_gets_what_it_can_show(home: Path, tmp_path: Path, env: dict[str, str | None]) -> None:
    plan = written(tmp_path, title="Écharpe – “ten” £")
    with in_shell(f"{PURLSIDE} passes {plan} --rows 1-2; exec {PURLSIDE} {plan}", **env) as terminal:
        terminal.wait_for("of 40")
        terminal.press("?")
        terminal.settle()
        terminal.press("escape", "f")
        terminal.settle()
        raw = bytes(terminal.raw)
    if env.get("LC_CTYPE"):
        assert "£".encode("iso8859-15") in raw
        assert not re.search(rb"[\xc2-\xef][\x80-\x9f]", raw), "nothing in UTF-8"
    else:
        assert raw.isascii()


def test_figures_are_strict_json_whatever_the_numbers(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    plan.write_text(
        plan.read_text() + '\n[yarn]\nfibre = "wool"\ntex = 500\nloop_mm = { "5" = 1e-320, "9" = 2e-320 }\n'
    )
    done = shell(f"{PURLSIDE} figures --json {plan}")
    if done.returncode == 0:

        def refuse(name: str) -> None:
            raise AssertionError(name)

        json.loads(done.stdout, parse_constant=refuse)
    else:
        assert b"mistake" not in done.stderr


def test_pipes_in_place_of_what_is_kept_are_not_waited_for(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    opened(plan).close()
    panel = panels.of(plan)
    for file in (home / "settings.toml", home / "shelf.toml", home / "yarns.toml", panel.knit_from, panel.owned):
        file.unlink(missing_ok=True)
        os.mkfifo(file)
    assert shell(f"{PURLSIDE} yarn").returncode == 2
    with in_shell(f"exec {PURLSIDE} {plan}") as terminal:
        terminal.wait_for("of 40")
        terminal.press("space")
        terminal.wait_for(lambda: panels.of(plan).place == (2, 0))


@pytest.mark.parametrize("command", ["sheet", "picture"])
def test_nobody_s_file_is_written_over_unasked(home: Path, tmp_path: Path, command: str) -> None:
    plan = written(tmp_path)
    out = tmp_path / ("diary.html" if command == "sheet" else "diary.svg")
    out.write_text("dear diary")
    done = shell(f"{PURLSIDE} {command} {plan} -o {out}")
    assert done.returncode == 2 and b"--force" in done.stderr
    assert out.read_text() == "dear diary"
    assert shell(f"{PURLSIDE} {command} {plan} -o {out} --force").returncode == 0
    assert shell(f"{PURLSIDE} {command} {plan} -o {out}").returncode == 0, "our own is written anew"
    out.write_text(out.read_text() + "a note of mine")
    assert shell(f"{PURLSIDE} {command} {plan} -o {out}").returncode == 2, "changed since, it is not ours"
    os.mkfifo(tmp_path / f"pipe{out.suffix}")
    done = shell(f"{PURLSIDE} {command} {plan} -o {tmp_path}/pipe{out.suffix} --force")
    assert done.returncode == 2 and b"a pipe or a device" in done.stderr


def test_a_sheet_asked_for_on_the_screen_asks_before_it_writes_over_a_diary(home: Path, tmp_path: Path) -> None:
    plan = written(tmp_path)
    (tmp_path / "diary.txt").write_text("dear diary")
    with Terminal([sys.executable, "-m", "purlside", plan], cwd=tmp_path) as terminal:
        terminal.wait_for("of 40")
        terminal.press("s")
        terminal.wait_for("the file to write")
        terminal.press("ctrl+u")
        terminal.settle()
        terminal.press(*"diary.txt", "enter")
        terminal.wait_for("How much detail")
        terminal.press("enter")
        terminal.wait_for("write over it")
        terminal.press("escape")
        terminal.settle()
        assert (tmp_path / "diary.txt").read_text() == "dear diary"
