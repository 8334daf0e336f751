"""Are the tests awake? Small changes, one at a time, from the planner to the sheet; each should make a test fail.

::

    python -m tests.hostile.mutate                       # all of MODULES, long
    python -m tests.hostile.mutate rows/bridging         # one of them
    python -m tests.hostile.mutate some=12               # so many of each module, by chance (PURLSIDE_SEED=2 for others)
    python -m tests.hostile.mutate bed/bed 12 57         # these changes only, told in full

A change is one of: a comparison turned to its neighbour or its opposite, ``and`` for ``or``, + for −, a whole number one
larger, another number a quarter larger, True for False, a condition negated, a statement left out. Messages are not changed. What no test notices is
listed with its line; :data:`ALIKE` explains those that cannot be noticed, since they do the same.

A library that knows more kinds of change (mutmut: 1,263 of bed, bridging, demand and moves) leaves these, which do the
same too: ``strict`` of lists of one length; ``count=None`` for False, ``needles[None:]`` for ``needles[0:]``; the last
``case _: pass``; asking for crossed needles where there are none; ``/`` for ``//`` of even numbers, which the type
checker refuses; a dial number exactly 0.02 of a third from a third; and the end that a by-hand stitch is knit from
where both are as far.
"""

from __future__ import annotations

import ast
import copy
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src"
PLANNER = [
    "tests/bed",
    "tests/rows/test_bridging.py",
    "tests/rows/test_working.py",
    "tests/outside/test_shortest_path.py",
]
SIZED = ["tests/figures/test_sizing.py", "tests/figures/test_recomputed.py"]
FIGURES = ["tests/figures/test_whole.py", "tests/figures/test_json.py", *SIZED]
SHAPED = ["tests/outside/test_shaping_published.py", "tests/figures/test_shaping.py", "tests/figures/test_schematic.py"]
WRITTEN = ["tests/fabric/test_reading.py", "tests/outside/test_written_patterns.py", "tests/fabric/test_written.py"]
DRAWN = ["tests/fabric/test_svg.py", "tests/fabric/test_picture.py"]
PRINTED = ["tests/sheet/test_whole.py", "tests/sheet/test_shaped.py", "tests/sheet/test_followed.py"]
PAGES = [*PRINTED[:2], "tests/sheet/test_html.py", *PRINTED[2:]]
KNIT = ["tests/knitting/test_course.py", "tests/keep/test_session.py", "tests/knitting/test_accidents.py"]
EDGES = ["tests/knitting/test_edges.py", "tests/knitting/test_accidents.py", "tests/knitting/test_course.py"]
TOLD = ["tests/knitting/test_reasons.py", "tests/knitting/test_handling.py", "tests/shown/test_bedside.py", *KNIT[1:]]
MODULES: dict[str, list[str]] = {
    "bed/demand": PLANNER,
    "bed/bed": PLANNER,
    "rows/bridging": PLANNER,
    "rows/calendar": ["tests/rows/test_calendar.py", "tests/shaped/test_replayed.py", *PRINTED],
    "rows/counter": ["tests/rows/test_counter.py", "tests/knitting/test_course.py"],
    "ease/loops": ["tests/ease/test_loops.py", "tests/outside/test_yarn_published.py"],
    "ease/reach": ["tests/ease/test_reach.py", "tests/ease/test_reach_chosen.py"],
    "ease/calibration": ["tests/ease/test_calibration.py"],
    "ease/yarncount": ["tests/ease/test_yarncount.py", "tests/outside/test_yarn_published.py"],
    "figures/body": SHAPED,
    "figures/costs": ["tests/figures/test_timing.py", *FIGURES],
    "figures/json": ["tests/figures/test_json.py", "tests/figures/test_whole.py", "tests/figures/test_recomputed.py"],
    "figures/learning": [
        "tests/figures/test_learning.py",
        "tests/keep/test_drawer.py",
        "tests/commands/test_figures.py",
    ],
    "figures/pieces": SHAPED,
    "figures/schematic": SHAPED[2:],
    "figures/shaping": SHAPED[:2],
    "figures/sizing": [SIZED[0], "tests/figures/test_json.py", SIZED[1]],
    "figures/sleeve": SHAPED,
    "figures/takein": SIZED[:1],
    "figures/text": [
        "tests/figures/test_text.py",
        "tests/figures/test_whole.py",
        "tests/outside/test_cautions.py",
        "tests/commands/test_figures.py",
    ],
    "figures/tools": ["tests/figures/test_tools.py", "tests/figures/test_whole.py"],
    "figures/whole": FIGURES,
    "figures/widest": ["tests/figures/test_whole.py"],
    "figures/yarn": [
        "tests/ease/test_yarncount.py",
        "tests/outside/test_yarn_published.py",
        "tests/figures/test_whole.py",
    ],
    "fabric/described": ["tests/fabric/test_described.py"],
    "fabric/motifs": ["tests/fabric/test_motifs.py", "tests/outside/test_braids.py", "tests/draft/test_together.py"],
    "fabric/paper": [*DRAWN, "tests/fabric/test_published.py"],
    "fabric/pattern": WRITTEN,
    "fabric/picture": DRAWN[1:],
    "fabric/published": ["tests/fabric/test_published.py"],
    "fabric/reading": WRITTEN,
    "fabric/repeats": ["tests/fabric/test_repeats.py", *WRITTEN],
    "fabric/ribbons": [*DRAWN, "tests/fabric/test_ribbons.py"],
    "fabric/small": ["tests/fabric/test_small.py"],
    "fabric/stitches": ["tests/fabric/test_stitches.py", *DRAWN, "tests/fabric/test_described.py"],
    "fabric/stitchwords": WRITTEN,
    "fabric/svg": DRAWN[:1],
    "fabric/written": ["tests/fabric/test_written.py", "tests/outside/test_written_cables.py", *WRITTEN],
    "sheet/crossings": PAGES,
    "sheet/csv": PRINTED[:1],
    "sheet/html": PAGES,
    "sheet/kinds": PAGES,
    "sheet/md": PAGES,
    "sheet/needed": PAGES,
    "sheet/parts": PAGES,
    "sheet/picture": PAGES,
    "sheet/rowwords": PAGES,
    "sheet/schematic": PAGES,
    "sheet/strip": PAGES,
    "sheet/text": PAGES,
    "sheet/whole": PAGES,
    "sheet/words": PAGES,
    "knitting/accidents": KNIT,
    "knitting/bedlines": KNIT,
    "knitting/calling": ["tests/app/test_calls.py", *TOLD],
    "knitting/coming": ["tests/knitting/test_coming.py"],
    "knitting/course": KNIT,
    "knitting/coursework": KNIT,
    "knitting/crossinglines": KNIT,
    "knitting/cursor": ["tests/rows/test_counter.py", *TOLD],
    "knitting/deviations": KNIT,
    "knitting/differing": KNIT,
    "knitting/edgelines": EDGES,
    "knitting/edgewords": EDGES,
    "knitting/handling": TOLD,
    "knitting/happening": KNIT,
    "knitting/happenings": KNIT,
    "knitting/inforce": KNIT,
    "knitting/lines": KNIT,
    "knitting/made": TOLD,
    "knitting/mends": KNIT,
    "knitting/pace": ["tests/figures/test_whole.py"],
    "knitting/reasons": TOLD,
    "knitting/ripping": ["tests/knitting/test_ripping.py"],
    "knitting/shapings": EDGES,
    "knitting/stretches": KNIT,
    "knitting/welcome": ["tests/keep/test_again.py", *TOLD],
}
"""What may be changed, and the tests that should notice."""

MOST_SECONDS = 150

UNSHRUNK = """
import sys
import pytest
from hypothesis import Phase, settings
settings.register_profile("unshrunk", phases=[Phase.explicit, Phase.generate], database=None)
settings.load_profile("unshrunk")
sys.exit(pytest.main(sys.argv[1:]))
"""
"""The tests without the search for the smallest example, which takes far longer than to find one."""

SAME_LENGTH = "the lists zipped have one length by construction; strict only says so"

ALIKE: dict[str, str] = {
    "figures/tools: sum(prongs) // 2 → sum(prongs) * 2": "more narrow halves are looked at, of which no tools lift any",
    "figures/learning: abs(current.value - learnt.value) < SAME → abs(current.value - learnt.value) <= SAME": (
        "limits are learnt with two decimals; none is just half of one from another"
    ),
    "figures/json: 4 → 5": "the usual take-in has two digits",
    "figures/json: True → False": SAME_LENGTH,
    "figures/sizing: True → False": SAME_LENGTH,
    "figures/takein: True → False": SAME_LENGTH,
    "figures/schematic: side.step * (edge - before) > 0 → side.step * (edge - before) >= 0": "where nothing moved is left out before",
    "figures/takein: most >= 0 → most > 0": "a swatch in which cables take in nothing: both bounds are 0",
    "fabric/stitches: went > came → went >= came": "a stitch that is crossed hangs on another needle after it",
    "fabric/picture: 0.12 → 0.15": "no bend over whole needles leans so at a row's middle, and what is moved with an edge is "
    "drawn as well either way",
    "fabric/svg: int(high) + 1 → int(high) - 1": "a point less on a line that is straight there, unless an edge moves while "
    "stitches rest",
    "fabric/svg: 10 → 11": "a millimetre more white at the legend; the steps of row numbers are told apart by a test",
    "fabric/svg: 1.2 → 1.5": "needle numbers most of a millimetre further from the fabric",
    "bed/demand: True → False": SAME_LENGTH,
    "rows/bridging: True → False": SAME_LENGTH,
    "bed/bed: True → False": SAME_LENGTH,
    "bed/bed: abs(self._order[int(needles[0])] - place) <= abs(self._order[int(needles[-1])] - place) → "
    "abs(self._order[int(needles[0])] - place) < abs(self._order[int(needles[-1])] - place)": (
        "as far from both ends is only one needle, or needles about the yarn's own, a float from either side"
    ),
}
"""Changes that do the same, by ``module: the line changed → as changed``, and why."""

_COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}
_REACHED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Add,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}


@dataclass(frozen=True)
class Change:
    """One change: where, the line as it was and as it is, and the whole module changed."""

    number: int
    module: str
    line: int
    was: str
    now: str
    text: str

    @property
    def name(self) -> str:
        return f"{self.module}: {self.was} → {self.now}"


def _others(node: ast.AST) -> Iterator[ast.AST]:
    """What a node may be changed to."""
    match node:
        case ast.Compare(ops=[op]):
            for other in _COMPARED[type(op)]:
                yield ast.Compare(node.left, [other()], node.comparators)
        case ast.BoolOp(op=ast.And()):
            yield ast.BoolOp(ast.Or(), node.values)
        case ast.BoolOp(op=ast.Or()):
            yield ast.BoolOp(ast.And(), node.values)
        case ast.BinOp(op=op) if type(op) in _REACHED:
            yield ast.BinOp(node.left, _REACHED[type(op)](), node.right)
        case ast.AugAssign(op=op) if type(op) in _REACHED:
            yield ast.AugAssign(node.target, _REACHED[type(op)](), node.value)
            yield ast.Pass()
        case ast.UnaryOp(op=ast.Not()):
            yield node.operand
        case ast.UnaryOp(op=ast.USub()):
            yield node.operand
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield ast.Constant(value + 1)
        case ast.Constant(value=float(value)):
            yield ast.Constant(value * 1.25 if value else 0.25)
        case ast.If(test=ast.Name("TYPE_CHECKING")):
            pass
        case ast.If() | ast.IfExp() | ast.While():
            turned = copy.copy(node)
            turned.test = ast.UnaryOp(ast.Not(), node.test)
            yield turned
        case ast.Expr(value=ast.Call()) | ast.Expr(value=ast.YieldFrom()) | ast.Expr(value=ast.Yield()):
            yield ast.Pass()


def _places(node: ast.AST) -> Iterator[tuple[ast.AST, str, int | None]]:
    """(holder, field, index) of every node that does something: no message, annotation or decorator."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list"):
            continue
        for index, child in enumerate(value) if isinstance(value, list) else [(None, value)]:
            if isinstance(child, ast.JoinedStr | ast.Raise) or not isinstance(child, ast.AST):
                continue
            yield node, name, index
            yield from _places(child)


def changes(module: str) -> list[Change]:
    """Every change of a module, numbered in the order of its text."""
    text = (SOURCE / "purlside" / f"{module}.py").read_text("utf-8")
    tree = ast.parse(text)
    found: list[Change] = []
    for holder, field, index in list(_places(tree)):
        value = getattr(holder, field)
        node = value if index is None else value[index]
        for other in _others(node):
            ast.copy_location(other, node)
            _put(holder, field, index, other)
            changed = ast.unparse(ast.fix_missing_locations(tree))
            _put(holder, field, index, node)
            line = getattr(node, "lineno", 0)
            was, now = (ast.unparse(n).splitlines()[0] for n in (node, ast.fix_missing_locations(other)))
            found.append(Change(len(found), module, line, was, now, changed))
    return found


def _put(holder: ast.AST, field: str, index: int | None, node: ast.AST) -> None:
    if index is None:
        setattr(holder, field, node)
    else:
        getattr(holder, field)[index] = node


def _lay_out(folder: Path, change: Change) -> None:
    """The sources as links, so that only the changed module is compiled again."""
    at, source = folder / "purlside", SOURCE / "purlside"
    *packages, name = change.module.split("/")
    for own in (*packages, f"{name}.py"):
        at.mkdir()
        for one in source.iterdir():
            if one.name != own:
                (at / one.name).symlink_to(one)
        at, source = at / own, source / own
    at.write_text(change.text, "utf-8")


def noticed(change: Change, *, loud: bool = False) -> bool:
    """Whether a test fails, or does not end, with the change made."""
    with tempfile.TemporaryDirectory(prefix="purlside-changed-") as folder:
        _lay_out(Path(folder), change)
        env = {**os.environ, "PYTHONPATH": f"{folder}{os.pathsep}{ROOT}", "PYTHONDONTWRITEBYTECODE": "1"}
        argv = [
            sys.executable,
            "-c",
            UNSHRUNK,
            "-x",
            "-q",
            "-n",
            "0",
            "-p",
            "no:cacheprovider",
            *MODULES[change.module],
        ]
        try:
            done = subprocess.run(
                argv, cwd=ROOT, env=env, capture_output=True, text=True, timeout=MOST_SECONDS, check=False
            )
        except subprocess.TimeoutExpired:
            return True
        if loud:
            print(done.stdout[-3000:])
        return done.returncode != 0


def main(words: list[str]) -> int:
    """Try the changes asked for, each as its module's tests see it; how many nobody noticed that should have been."""
    modules = [word for word in words if word in MODULES] or [*MODULES]
    numbers = {int(word) for word in words if word.isdigit()}
    most = next((int(word[5:]) for word in words if word.startswith("some=")), None)
    chance = random.Random(int(os.environ.get("PURLSIDE_SEED", "1")))
    asked: list[Change] = []
    for module in modules:
        found = [change for change in changes(module) if not numbers or change.number in numbers]
        asked += found if most is None else chance.sample(found, min(most, len(found)))
    missed = 0
    with ThreadPoolExecutor(os.cpu_count()) as several:
        for change, seen in zip(asked, several.map(lambda c: noticed(c, loud=bool(numbers)), asked), strict=True):
            if not seen:
                why = ALIKE.get(change.name)
                missed += why is None
                print(
                    f"{change.module}.py:{change.line} #{change.number} {change.was} → {change.now}: {why or 'NOT NOTICED'}"
                )
    print(f"{len(asked)} changes, {missed} of them not noticed and not explained")
    return missed


if __name__ == "__main__":
    sys.exit(min(1, main(sys.argv[1:])))
