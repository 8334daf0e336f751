"""The house as it stands in the files: who imports whom, wherever in a file it is written."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import purlside

SOURCE = Path(purlside.__file__).parent
FILES = {
    ".".join(("purlside", *path.relative_to(SOURCE).with_suffix("").parts)).removesuffix(".__init__"): path
    for path in SOURCE.rglob("*.py")
}


def imported(text: str, files: dict[str, Path]) -> Iterator[str]:
    """The files of the house that a file's text imports: at its top, in a function, or for its types alone."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            # A name taken from a package may be a file in it.
            names = [f"{node.module}.{alias.name}" for alias in node.names]
            names = [name if name in files else node.module for name in names]
        else:
            continue
        yield from (name for name in names if name in files)


def test_no_file_imports_itself_by_way_of_others_for_its_types_alone_either() -> None:
    arrows = {name: set(imported(path.read_text(), FILES)) for name, path in FILES.items()}
    assert sum(map(len, arrows.values())) > 1000, "the arrows are found"
    try:
        TopologicalSorter(arrows).prepare()
    except CycleError as error:
        circle = " -> ".join(reversed(error.args[1]))
        raise AssertionError(f"a circle of imports: {circle}") from None


def test_an_import_in_a_function_or_for_types_is_an_arrow_too() -> None:
    text = (
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from purlside.bed.bed import Bed\n"
        "def later() -> None:\n    from purlside.bed import needles\n    import purlside.values\n"
    )
    assert set(imported(text, FILES)) == {"purlside.bed.bed", "purlside.bed.needles", "purlside.values"}
