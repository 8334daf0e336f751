"""Text of strangers is text: in a plan, on the command line, in a file's name, in a note, in the drawer."""

from __future__ import annotations

import os
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest

from purlside.commands import main as commands
from tests.hostile.handled import ACTIVE, COMMANDS, DISTURBING, run
from tests.plans import Tables, cable, tables, toml

DISTURBERS = {
    "colour": "\x1b[31mred",
    "window title": "\x1b]0;owned\x07",
    "hyperlink": "\x1b]8;;http://example.org\x1b\\link\x1b]8;;\x1b\\",
    "C1 colour": "\x9b31mred",
    "backspace": "a\b\bb",
    "carriage return": "good\rbad",
    "next line": "a\x85b",
    "line separator": "a\u2028b",
    "paragraph separator": "a\u2029b",
    "right to left": "a\u202eb",
    "isolate": "a\u2066b",
    "mark": "a\u200fb",
    "marks piled up": "Z" + "\u0301" * 30,
    "delete": "a\x7fb",
}
MARKUP = {
    "rich": "[bold red]loud[/bold red]",
    "rich link": "[link=http://example.org]here[/link]",
    "rich closed": "[/]",
    "script": "<script>alert(1)</script>",
    "element": '"><img src=x onerror=alert(1)>',
    "entity": "&lt;b&gt; &amp; &#x1b;",
    "style": "</style><svg/onload=alert(1)>",
    "markdown": "[a](javascript:alert(1)) `b` **c** # d",
    "cdata": "]]><!-- --> <?php ?>",
}


def with_text(text: str) -> Tables:
    """A plan with the text wherever a plan takes one."""
    return tables(
        cable(name=text),
        title=text,
        notes=f"{text}\n{text}",
        rows=8,
        machine={"position_letters": {"nwp": text[:40], "hp": text[:40]}, "counter_trip": "centre"},
        yarn={"name": text[:40], "fibre": text[:40]},
        band=[{"rows": "2-3", "colour": text}],
        reminder=[{"text": text, "row": 4}],
    )


def escaped(name: str, text: str) -> str:
    """The plan file, its text written so that TOML itself has nothing against it."""
    return toml(with_text("TEXT")).replace("TEXT", "".join(f"\\U{ord(c):08x}" for c in text))


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PURLSIDE_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("name", DISTURBERS)
def test_text_that_would_disturb_a_terminal_is_refused_with_its_line_and_never_printed(name: str, home: Path) -> None:
    plan = home / "plan.toml"
    plan.write_text(escaped(name, DISTURBERS[name]), "utf-8")
    for words in COMMANDS:
        code, stdout, stderr, file = run(words, plan, home)
        assert code == 2, words
        assert not DISTURBING.search(stdout + stderr + file)
        assert "\u0301" * 6 not in stderr
        for key in ("title", "notes", "name", "colour", "text", "fibre"):
            assert any(f":{at}: " in line and f"{key}: found" in line for line in stderr.splitlines()
                       for at in range(1, 40)), f"{key} not named: {stderr}"  # fmt: skip


@pytest.mark.parametrize("name", MARKUP)
def test_text_that_looks_like_markup_is_shown_as_it_stands_and_nothing_runs(name: str, home: Path) -> None:
    text = MARKUP[name]
    plan = home / "plan.toml"
    plan.write_text(escaped(name, text[:40]), "utf-8")
    for words in COMMANDS:
        code, stdout, stderr, file = run(words, plan, home)
        assert code == 0, (words, stderr)
        assert not DISTURBING.search(stdout + stderr + file)
        if words[0] in ("check", "passes") and "--json" not in words:
            assert text[:40] in " ".join(stdout.split()) or text[:20] in stdout
        if any(w.endswith((".svg", ".html")) for w in words):
            assert not ACTIVE.search(file), words
            assert "<img" not in file and "<?php" not in file and "http://example" not in file.replace(text[:40], "")


def test_marks_of_a_script_that_needs_them_are_taken(home: Path) -> None:
    plan = home / "plan.toml"
    plan.write_text(escaped("", "Tiệm đan · สเวตเตอร์ · שָׁלוֹם · e\u0301"[:40]), "utf-8")
    code, stdout, stderr, _ = run(("check",), plan, home)
    assert (code, stderr) == (0, "")
    assert "Tiệm đan" in stdout


def test_wide_characters_keep_the_columns_of_a_sheet(home: Path) -> None:
    plan = home / "plan.toml"
    plan.write_text(escaped("", "漢字の縄編み模様"), "utf-8")
    *_, sheet = run(("sheet", "-o", "OUT.txt"), plan, home)
    wide = [line for line in sheet.splitlines() if "漢" in line]
    assert wide
    for line in sheet.splitlines():
        assert sum(2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in line) <= 80, line


BAD = "a\x1b[31mred\x07\n\u202e\x9bZ" + "\u0301" * 9
"""A name no one gives by accident."""

LINES = [
    ["check", f"{BAD}.toml"],
    ["check", os.fsdecode(b"half\xff\xed\xa0\x80.toml")],
    [BAD],
    [BAD, "more"],
    [f"--{BAD}"],
    ["check", "plan.toml", BAD],
    ["check", "plan.toml", f"--{BAD}"],
    ["passes", "plan.toml", "--rows", BAD],
    ["figures", "plan.toml", "--take-in", BAD],
    ["picture", "plan.toml", "--side", BAD],
    ["picture", "plan.toml", "-o", BAD],
    ["picture", "plan.toml", "-o", f"none/{BAD}.svg"],
    ["sheet", "plan.toml", "-o", f"{BAD}.pdf"],
    ["sheet", "plan.toml", "-o", f"{BAD}/x.txt"],
    ["sheet", "plan.toml", "-o", f"{BAD}.txt"],
    ["sheet", "plan.toml", "-o", "x.txt", "--cable", BAD],
    ["sheet", "plan.toml", "-o", "x.txt", "--paper", BAD],
    ["ledger", f"{BAD}.toml"],
    ["ledger", "plan.toml", BAD],
    ["yarn", "show", BAD],
    ["yarn", "remove", BAD],
    ["yarn", BAD],
    ["yarn", "keep", BAD, "--fibre", "wool"],
    ["yarn", "keep", "grey", "--fibre", BAD],
    ["yarn", "keep", "grey", "--count", BAD],
    ["yarn", "crossing", "grey", "--went", BAD],
    ["yarn", "crossing", "grey", "--went", "easy", "--reach", "1", "--note", BAD],
    ["yarn", "crossing", "grey", "--went", "easy", "--plan", f"{BAD}.toml", "--cable", "x"],
    ["yarn", "crossing", "grey", "--went", "easy", "--plan", "plan.toml", "--cable", BAD],
]  # fmt: skip


def typed(*argv: str, **env: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "purlside", *argv],
        capture_output=True,
        stdin=subprocess.DEVNULL,
        env={**os.environ, "PYTHONUTF8": "1", **env},
        timeout=60,
        check=False,
    )


def only_text(done: subprocess.CompletedProcess[bytes]) -> None:
    text = (done.stdout + done.stderr).decode("utf-8")  # what is no UTF-8 is no text
    disturbing = DISTURBING.search(text)
    assert disturbing is None, (ascii(text), ascii(disturbing[0]) if disturbing else "")
    assert "\u0301" * 6 not in text, ascii(text)
    assert "Traceback" not in text and "mistake of its own" not in text


@pytest.mark.parametrize("argv", LINES, ids=lambda argv: ascii(" ".join(argv))[:60])
def test_what_is_typed_comes_back_as_text(argv: list[str], home: Path) -> None:
    (home / "plan.toml").write_text(toml(tables(cable())), "utf-8")
    assert commands.main(["yarn", "keep", "grey", "--fibre", "wool"]) == 0
    only_text(typed(*argv))


def test_a_home_with_a_name_that_would_disturb_is_told_of_as_text(home: Path) -> None:
    folder = home / BAD
    folder.mkdir()
    (folder / "drawer.toml").write_text("yarn = 5", "utf-8")
    (folder / "yarns.toml").write_text("yarn = 5", "utf-8")
    (folder / "settings.toml").write_text("[[[", "utf-8")
    (home / "plan.toml").write_text(toml(tables(cable(), yarn={"name": "grey"})), "utf-8")
    for argv in (["yarn"], ["check", "plan.toml"], ["yarn", "keep", "grey"], ["ledger", "plan.toml"]):
        only_text(typed(*argv, PURLSIDE_HOME=str(folder)))
