"""The commands as a shell sees them: exit codes, what goes where, what is imported, what is refused."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.commands.shell import PLAN, ROOT, run
from tests.terminal.terminal import environment

# --- the shell --------------------------------------------------------------


def test_a_good_plan_ends_with_0_and_says_so_on_stdout(plan: Path) -> None:
    done = run("check", plan)
    assert (done.returncode, done.stderr) == (0, "")
    assert "20 rows on 16 needles" in done.stdout


def test_a_plan_with_faults_ends_with_1_its_faults_on_stderr(tmp_path: Path) -> None:
    path = tmp_path / "wide.toml"
    path.write_text(PLAN.replace("R5 over R6-R8", "R7 over R8-R9"), encoding="utf-8")
    for command in ("check", "passes", "figures"):
        done = run(command, path)
        assert done.returncode == 1, command
        assert done.stdout == ""
        assert f"{path}{_at('R5 over')}cable 2, cross" in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ["--nonsense"],
        ["check"],
        ["passes", "PLAN", "--rows", "0-3"],
        ["passes", "PLAN", "--rows", "5-4"],
        ["passes", "PLAN", "--rows", "19-21"],
        ["passes", "PLAN", "--rows", "9" * 5000],
        ["passes", "PLAN", "--nonsense"],
        ["passes", "PLAN", "another"],
        ["weave", "PLAN"],
    ],
    ids=lambda arguments: " ".join(arguments)[:30],
)
def test_a_wrong_command_line_ends_with_2_and_a_message(plan: Path, arguments: list[str]) -> None:
    done = run(*[str(plan) if word == "PLAN" else word for word in arguments])
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr
    assert "Traceback" not in done.stderr


def test_help_is_everywhere_and_costs_neither_the_app_nor_the_plan_reader() -> None:
    words = (
        "import sys, io, contextlib\n"
        "from purlside.commands.main import COMMANDS, main\n"
        "for argv in [['--help'], ['-h'], ['--version'], *([name, '--help'] for name in COMMANDS)]:\n"
        "    out = io.StringIO()\n"
        "    with contextlib.redirect_stdout(out):\n"
        "        try: code = main(argv)\n"
        "        except SystemExit as end: code = end.code\n"
        "    assert code == 0, argv\n"
        "    assert 'purlside' in out.getvalue(), argv\n"
        "assert len(COMMANDS) >= 4\n"
        "print(*sorted({'textual', 'pydantic'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, timeout=30)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.split() == []


def test_a_reader_that_goes_away_early_is_no_error(plan: Path) -> None:
    long = PLAN.replace("rows = 20", "rows = 20000")
    plan.with_name("long.toml").write_text(long, encoding="utf-8")
    command = f"'{sys.executable}' -m purlside passes '{plan.with_name('long.toml')}' --json | head -c 100; echo; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", command], env=environment(), capture_output=True, text=True, timeout=60)
    assert done.stderr == ""
    assert done.stdout.splitlines()[-1] == "0"


def test_a_full_disk_under_stdout_is_told_in_words(plan: Path) -> None:
    with open("/dev/full", "w") as full:
        done = run("passes", plan, capture_output=False, stdout=full, stderr=subprocess.PIPE)
    assert done.returncode == 2
    assert "space" in done.stderr
    assert "Traceback" not in done.stderr
    assert "Exception" not in done.stderr


def test_nothing_is_coloured_in_a_pipe(plan: Path) -> None:
    for no_color in (None, "1"):
        for command in ("check", "passes", "figures"):
            done = run(command, plan, env={"NO_COLOR": no_color, "FORCE_COLOR": None})
            assert "\x1b" not in done.stdout + done.stderr


def test_text_of_a_plan_is_printed_as_it_stands(plan: Path) -> None:
    assert run("passes", plan, "--rows", "1").stdout.startswith("Slipway cuff [red]\n")


def test_where_the_locale_has_no_utf8_text_still_comes_out(plan: Path) -> None:
    env = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": None}
    done = run("passes", plan, "--rows", "1-4", env=env)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Row 3" in done.stdout


def test_a_mistake_of_the_programs_own_is_told_without_a_traceback(plan: Path, tmp_path: Path) -> None:
    (tmp_path / "sitecustomize.py").write_text(
        "import purlside.rows.working as w\ndef broken(*_): raise KeyError('broken on purpose')\nw.Working.moves = broken\n"
    )
    done = run("passes", plan, env={"PYTHONPATH": str(tmp_path), "PURLSIDE_HOME": str(tmp_path / "home")})
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "mistake of its own" in done.stderr
    assert "broken on purpose" in (tmp_path / "home" / "mistake.txt").read_text()


# --- what is imported -------------------------------------------------------


def test_printing_a_plan_imports_neither_the_app_nor_textual(plan: Path) -> None:
    words = (
        "import sys, os\n"
        "from purlside.commands.main import main\n"
        "codes = [int(main([c, sys.argv[1], *more])) for c, *more in (['check'], ['passes', '--json', '--bed'], ['figures'])]\n"
        "found = [m for m in sys.modules if m.split('.')[0] == 'textual' or m.startswith('purlside.app')]\n"
        "print(codes, found, file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", words, str(plan)], capture_output=True, text=True, timeout=30)
    assert done.stderr == "[0, 0, 0] []\n"


def engine() -> list[str]:
    """The modules the import contract calls the engine, those within packages too."""
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    (first,) = [c for c in contracts if c["name"].startswith("The engine")]
    found: list[str] = []
    for name in first["source_modules"]:
        place = ROOT.joinpath("src", *name.split("."))
        inside = sorted(f"{name}.{file.stem}" for file in place.glob("*.py") if file.stem != "__init__")
        found += [name, *inside] if place.is_dir() else [name]
    return found


def test_the_engine_is_imported_without_the_screen_or_anything_that_keeps_files() -> None:
    words = (
        f"import sys, importlib\nfor name in {engine()!r}: importlib.import_module(name)\n"
        "outside = {'app', 'commands', 'keep', 'sound'}\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('textual', 'platformdirs', 'tomli_w')\n"
        "       or m.startswith('purlside.') and m.split('.')[1] in outside])\n"
    )
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, timeout=30)
    assert (done.stdout, done.stderr) == ("[]\n", "")


@pytest.mark.parametrize("module", engine())
def test_the_engine_names_no_file_no_clock_and_no_screen(module: str) -> None:
    place = ROOT.joinpath("src", *module.split("."))
    tree = ast.parse((place / "__init__.py" if place.is_dir() else place.with_suffix(".py")).read_text("utf-8"))
    named: set[str] = set()
    for node in ast.walk(tree):
        match node:
            case ast.Import(found):
                named |= {alias.name.split(".")[0] for alias in found}
            case ast.ImportFrom(module="io", names=[ast.alias(name="StringIO")]):
                pass  # a text in memory
            case ast.ImportFrom(module=str(source)):
                named.add(source.split(".")[0])
            case ast.Call(func=ast.Name(id="open" | "print" | "input" as called)):
                named.add(called)
            case ast.Attribute(attr="now" | "today" as asked):
                named.add(asked)
    outside = {"os", "io", "pathlib", "tempfile", "shutil", "subprocess", "time", "threading", "textual", "sys"}
    assert not named & (outside | {"open", "print", "input", "now", "today"})


# --- plans that cannot be read ----------------------------------------------


def _at(text: str) -> str:
    """The line of the plan that text stands on, as a refusal names it."""
    return f":{PLAN[: PLAN.index(text)].count(chr(10)) + 1}: "


def _text(old: str, new: str) -> Callable[[Path], object]:
    assert old in PLAN
    return lambda path: path.write_text(PLAN.replace(old, new), encoding="utf-8")


def _bytes(content: bytes) -> Callable[[Path], object]:
    return lambda path: path.write_bytes(content)


BAD: dict[str, tuple[Callable[[Path], object], int, list[str]]] = {
    "a syntax error": (_text("rows = 20", "rows = = 20"), 2, [":8:", "TOML"]),
    "a wrong type": (_text("rows = 20", 'rows = "many"'), 2, [":8: panel, rows", '"many"', "allowed"]),
    "an unknown key": (_text("stitch_size = 5", "stich_size = 5"), 2, [":9:", "unknown key", "stitch_size"]),
    "a crossing outside the panel": (
        _text("R5 over R6-R8", "R6 over R7-R9"),
        1,
        [_at("R5 over") + "cable 2, cross", "R9"],
    ),
    "overlapping crossings": (_text("R5 over R6-R8", "R3 over R4-R6"), 1, ["cable 2, cross", "row 3", "rope"]),
    "an odd number of extra rows": (
        _text("extra_rows = 2", "extra_rows = 3"),
        2,
        [_at("extra_rows =") + "cable 1, extra_rows", "odd"],
    ),
    "a size off the dial": (_text("enlarged_size = 9", "enlarged_size = 11"), 1, [_at("enlarged_size"), "0 to 10"]),
    "too many rows": (_text("rows = 20", "rows = 1000000000000"), 2, [":8: panel, rows", "20,000|20000"]),
    "a needle beyond any bed": (_text("L9-R8", "L99999-R99999"), 2, [":7: panel, needles"]),
    "a missing file": (lambda path: None, 2, ["no such file"]),
    "a directory": (lambda path: path.mkdir(), 2, ["a directory"]),
    "a binary file": (_bytes(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\xff"), 2, ["text in UTF-8"]),
    "nothing": (_bytes(b""), 2, ["format"]),
    "10 MB": (_bytes(b"# long\n" * 1_500_000), 2, ["10,500,000 bytes", "at most"]),
    "tables nested too deep": (_bytes(b"a = " + b"[" * 100_000), 2, ["nested|TOML"]),
    "escape sequences": (_text('"Slipway', '"\\u001b]0;owned\\u0007Slipway'), 2, [":2: title", "U+001B"]),
}


@pytest.mark.parametrize("bad", BAD)
def test_a_plan_that_cannot_be_knit_is_refused_in_words_with_its_place(bad: str, tmp_path: Path) -> None:
    prepare, code, words = BAD[bad]
    path = tmp_path / "plan.toml"
    prepare(path)
    done = run("passes", path)
    assert done.returncode == code
    assert done.stdout == ""
    assert str(path) in done.stderr
    for word in words:
        assert any(part in done.stderr for part in word.split("|")), (word, done.stderr)
    assert "Traceback" not in done.stderr
    assert "\x1b" not in done.stderr
    assert len(done.stderr) < 2000


def test_a_file_name_with_control_characters_is_printed_without_them(tmp_path: Path) -> None:
    done = run("check", tmp_path / "a\x1b[31mred\x07.toml")
    assert done.returncode == 2
    assert "\x1b" not in done.stderr
    assert "\x07" not in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no permissions of this kind")
def test_a_handed_out_file_may_be_read_by_others_and_one_kept_private_stays_so(
    home: Path, plan: Path, tmp_path: Path
) -> None:
    sheet, picture = tmp_path / f"{'a' * 250}.md", tmp_path / "fabric.svg"
    picture.touch(mode=0o600)
    assert run("sheet", plan, "-o", sheet, umask=0o022).returncode == 0
    assert run("picture", plan, "-o", picture, umask=0o022).returncode == 0
    assert sheet.stat().st_mode & 0o777 == 0o644
    assert picture.stat().st_mode & 0o777 == 0o600
    assert {path.name for path in tmp_path.iterdir()} == {sheet.name, picture.name, home.name}
