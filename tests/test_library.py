"""``import purlside``: what other programs use, lazy, typed, and as the README shows it."""

from __future__ import annotations

import ast
import contextlib
import io
import re
import subprocess
import sys
from pathlib import Path

import pytest

import purlside

OTHERWISE = {"figures": "figures_of", "new": "plan_text"}
"""Names that would be unclear, or a package's, by themselves."""
ROOT = Path(__file__).parents[1]
FACE = Path(purlside.__file__)


def loaded(code: str) -> set[str]:
    """The top-level and own modules that Python has loaded after a program."""
    shown = f"{code}\nimport sys\nprint('\\n'.join(sys.modules))"
    done = subprocess.run([sys.executable, "-c", shown], capture_output=True, text=True, timeout=60, check=True)
    return {name if name.startswith("purlside") else name.split(".")[0] for name in done.stdout.split()}


def test_the_readme_s_program_plans_a_crossing_row_and_draws_the_bed_as_the_readme_has_it() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    found = re.search(r"```python\n(.*?)```\n\n```text\n(.*?)```", readme, re.DOTALL)
    assert found
    program, drawn = found.groups()
    with contextlib.redirect_stdout(io.StringIO()) as out:
        exec(compile(program, "README.md", "exec"), {})
    assert out.getvalue() == drawn
    assert len([line for line in program.splitlines() if line]) <= 12


def test_importing_it_imports_nothing_else_of_it() -> None:
    assert {name for name in loaded("import purlside") if name.startswith("purlside")} == {"purlside"}


def test_a_plan_that_is_made_and_knit_needs_neither_the_screen_nor_the_file_s_tables() -> None:
    found = re.search(r"```python\n(.*?)```", (ROOT / "README.md").read_text("utf-8"), re.DOTALL)
    assert found
    assert not loaded(found[1].replace("print(", "str(")) & {"textual", "rich", "pydantic", "pydantic_core", "tomllib"}


@pytest.mark.parametrize("name", [name for name in purlside.__all__ if name != "__version__"])
def test_every_name_is_there_and_says_what_it_is(name: str) -> None:
    value = getattr(purlside, name)
    assert value.__doc__, f"{name} says nothing"
    assert name in dir(purlside)


def test_what_a_type_checker_is_told_is_what_there_is() -> None:
    told: dict[str, tuple[str, str]] = {}
    for node in ast.walk(ast.parse(FACE.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("purlside."):
            told |= {OTHERWISE.get(each.name, each.name): (node.module, each.name) for each in node.names}
    assert told.keys() == set(purlside.__all__) - {"__version__"}
    for name, (module, there) in told.items():
        assert getattr(sys.modules.get(module) or __import__(module, fromlist=[there]), there) is getattr(
            purlside, name
        )
    assert (FACE.parent / "py.typed").is_file()


def test_another_name_is_refused_as_python_does() -> None:
    with pytest.raises(AttributeError, match="no attribute 'Crochet'"):
        getattr(purlside, "Crochet")  # noqa: B009 - what is tried is a name that is not there


def test_a_plan_made_by_hand_is_checked_written_read_and_mirrored() -> None:
    panel = purlside.Panel(needles=purlside.Span.parse("L6-R6"), rows=12, stitch_size=5)
    plan = purlside.Plan(format=1, title="Tern", machine=purlside.Machine(pitch_mm=4.5), panel=panel)
    assert purlside.parse(purlside.plan_text(plan), "tern.toml") == plan
    assert purlside.mirrored(purlside.mirrored(plan)) == plan
    assert "Tern" in purlside.picture_svg(plan)
    assert purlside.figures_of(plan).panel_rows == 12
    with pytest.raises(purlside.Unfit) as caught:
        purlside.Panel(needles=purlside.Span.parse("L6-R6"), rows=0, stitch_size=-1)
    assert [str(problem) for problem in caught.value.problems] == [
        "rows: found 0; allowed: a whole number, 1 to 20,000",
        "stitch_size: found -1; allowed: a size on the dial",
    ]
