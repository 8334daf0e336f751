"""The yarn drawer: yarns the knitter keeps, with their loops and how their crossings went, on disk.

One TOML file in the user's data folder::

    format = 1
    [[yarn]]
    name = "Skerry 2/8"
    fibre = "wool"
    count = "2/8 Nm"
    pitch_mm = 4.5
    loop_mm = { "5" = 13.4, "9" = 17.1 }
    [[yarn.swatch]]
    stitch_size = 5
    stitches = 40
    rows = 60
    washed_width_cm = 13.8
    washed_length_cm = 14.6
    loop_mm = 13.4
    date = "2026-03-01"
    [[yarn.crossing]]
    ratio = 0.99
    outcome = "firm"
    note = "3 over 3"

It is read whole, and written whole beside itself and then put in place, so a
crash leaves the old drawer or the new one. A drawer that cannot be read is
never written over: :func:`mend` sets one that is damaged aside.
"""

from __future__ import annotations

import contextlib
import difflib
import os
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import field, replace
from pathlib import Path
from typing import Annotated, Any, Literal

from purlside.ease.calibration import MOST_RATIO, Outcome, Record, refit
from purlside.ease.fibres import Limit, yarn_limit
from purlside.ease.yarncount import ALLOWED_COUNT, CountError, tex_in
from purlside.figures.learning import LimitOffer, offer
from purlside.files.tables import checked
from purlside.files.whole import read_whole
from purlside.keep import folders
from purlside.keep.damage import read_toml, set_aside
from purlside.keep.folders import alone
from purlside.keep.swatches import MOST_SWATCHES, SAME_PITCH, Swatch
from purlside.plan.checked import Checked, Entries, written
from purlside.plan.kinds import Number, OneOf
from purlside.plan.machine import NAME, Yarn
from purlside.plan.plan import LINE, Plan
from purlside.plan.problems import Problem, Unfit
from purlside.text.counts import counted
from purlside.text.harmless import shown

MOST_BYTES = 5_000_000
MOST_YARNS = 1000
MOST_RECORDS = 500
"""Crossings kept of one yarn; the oldest go first."""


class KeptCrossing(Checked):
    """How one crossing went."""

    ratio: Annotated[float, Number(0, MOST_RATIO, "the reach ratio of the crossing", above=True)]
    outcome: Annotated[Literal["easy", "firm", "tight", "broke"], OneOf("easy", "firm", "tight", "broke")]
    note: Annotated[str | None, LINE] = None


class KeptYarn(Yarn):
    """One yarn of the drawer: what a plan says of its yarn, the bed its loops were measured on, its swatches, its
    crossings."""

    # Said to be a field: an annotation alone would keep the default a plan's yarn has.
    name: Annotated[str, NAME] = field()
    pitch_mm: Annotated[float | None, Number(1, 30, "the distance between needles in mm")] = None
    swatch: Annotated[tuple[Swatch, ...], Entries(Swatch, "yarn.swatch", MOST_SWATCHES)] = ()
    crossing: Annotated[tuple[KeptCrossing, ...], Entries(KeptCrossing, "yarn.crossing", MOST_RECORDS)] = ()

    @property
    def limit(self) -> Limit:
        """The reach limit of this yarn, refitted from its crossings if there are any."""
        return self.limit_from(yarn_limit(self))

    def together(self) -> Iterator[Problem]:
        yield from super().together()
        try:
            if self.count is not None:
                tex_in(self.count)
        except CountError as error:
            yield Problem(("count",), f'"{shown(self.count or "")}"', ALLOWED_COUNT, shown(str(error)))

    def limit_from(self, default: Limit) -> Limit:
        """The limit refitted from this yarn's crossings, beginning from a default."""
        if not self.crossing:
            return default
        records = [Record(one.ratio, Outcome(one.outcome)) for one in self.crossing]
        return refit(default.value, records).as_limit


class Drawer(Checked):
    """All yarns kept, in the order they were put in."""

    format: Annotated[Literal[1], OneOf(1)] = 1
    yarn: Annotated[tuple[KeptYarn, ...], Entries(KeptYarn, "yarn", MOST_YARNS)] = ()

    def together(self) -> Iterator[Problem]:
        seen: set[str] = set()
        for i, yarn in enumerate(self.yarn):
            if yarn.name.casefold() in seen:
                yield Problem(("yarn", i, "name"), f'"{yarn.name}"', "a name no other yarn has")
            seen.add(yarn.name.casefold())

    def find(self, name: str) -> KeptYarn:
        """The yarn of that name, large and small letters alike. Raises Unfit."""
        return self.yarn[self._place(name)]

    def get(self, name: str | None) -> KeptYarn | None:
        """The yarn of that name; None where none has it."""
        return next((yarn for yarn in self.yarn if name and yarn.name.casefold() == name.casefold()), None)

    def with_yarn(self, yarn: KeptYarn) -> Drawer:
        """This drawer with the yarn put in, or changed where one has its name."""
        yarns = {one.name.casefold(): one for one in self.yarn} | {yarn.name.casefold(): yarn}
        if len(yarns) > MOST_YARNS:
            raise Unfit([Problem(("yarn",), f"{len(yarns):,} yarns", f"at most {MOST_YARNS:,}")])
        return Drawer(yarn=tuple(yarns.values()))

    def without(self, name: str) -> Drawer:
        """This drawer with the yarn of that name taken out. Raises Unfit."""
        place = self._place(name)
        return Drawer(yarn=self.yarn[:place] + self.yarn[place + 1 :])

    def measured(self, name: str, size: float, loop_mm: float) -> Drawer:
        """This drawer with a loop measured at a stitch size; an older one at that size is replaced.

        Raises Unfit.
        """
        yarn = self.find(name)
        loops = {key: mm for key, mm in yarn.loop_mm.items() if _number(key) != size}
        ordered = sorted([*loops.items(), (f"{size:g}", loop_mm)], key=lambda item: _number(item[0]))
        return self.with_yarn(changed(yarn, loop_mm=dict(ordered)))

    def swatched(self, name: str, **values: Any) -> Drawer:
        """This drawer with one more swatch of a yarn, its loop among those measured if it was unravelled.

        Raises Unfit.
        """
        yarn = self.find(name)
        kept = changed(yarn, swatch=[*(written(one) for one in yarn.swatch), values])
        loop = kept.swatch[-1].loop_mm
        found = self.with_yarn(kept)
        return found if loop is None else found.measured(name, kept.swatch[-1].stitch_size, loop)

    def without_swatch(self, name: str, number: int) -> Drawer:
        """This drawer without a yarn's swatch, counted from 1. Raises Unfit."""
        yarn = self.find(name)
        if not 1 <= number <= len(yarn.swatch):
            allowed = f"a swatch of {yarn.name}, 1 to {len(yarn.swatch)}"
            raise Unfit([Problem(("yarn", "swatch"), str(number), allowed)])
        return self.with_yarn(
            changed(yarn, swatch=[written(one) for i, one in enumerate(yarn.swatch, 1) if i != number])
        )

    def crossed(self, name: str, record: Record, instead_of: Record | None = None) -> Drawer:
        """This drawer with one more crossing recorded, in place of an earlier record of it if one is given.

        Raises Unfit.
        """
        yarn = self.find(name)
        kept = [written(one) for one in yarn.crossing]
        if instead_of is not None and (wrong := _values(instead_of)) in kept:
            del kept[len(kept) - 1 - kept[::-1].index(wrong)]
        return self.with_yarn(changed(yarn, crossing=[*kept, _values(record)][-MOST_RECORDS:]))

    def _place(self, name: str) -> int:
        names = [yarn.name.casefold() for yarn in self.yarn]
        if name.casefold() in names:
            return names.index(name.casefold())
        near = difflib.get_close_matches(name.casefold(), names, n=1, cutoff=0.5)
        why = f"did you mean {self.yarn[names.index(near[0])].name}?" if near else ""
        known = ", ".join(yarn.name for yarn in self.yarn[:20]) or "no yarn is kept yet"
        raise Unfit([Problem(("yarn", "name"), f'"{shown(name)}"', known, why)])


def changed(yarn: KeptYarn, **values: Any) -> KeptYarn:
    """A kept yarn with some values changed, checked anew. Raises Unfit."""
    return new_yarn(**{**written(yarn), **values})


def new_yarn(**values: Any) -> KeptYarn:
    """A yarn for the drawer. Raises Unfit."""
    return checked(KeptYarn, values)


def place() -> Path:
    """Where the drawer is kept on this system."""
    return folders.data() / "yarns.toml"


def read(path: Path | None = None) -> Drawer:
    """The drawer; an empty one where there is no file yet. Raises Unfit, OSError."""
    path = path or place()
    try:
        raw = read_whole(path, MOST_BYTES)
    except FileNotFoundError:
        return Drawer()
    file = shown(str(path), 200)
    if len(raw) > MOST_BYTES:
        raise Unfit([Problem((), f"more than {MOST_BYTES:,} bytes", "a file of yarns")], file)
    try:
        data = tomllib.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise Unfit([Problem((), shown(str(error)), "valid TOML")], file) from None
    try:
        return checked(Drawer, data)
    except Unfit as unfit:
        raise Unfit(unfit.problems, file) from None


def mend(path: Path | None = None) -> str:
    """Set a drawer that is no TOML any more aside, and keep the yarns that are whole; what to say, empty for nothing.

    What is TOML but wrong was written by someone: it is refused with its key, not mended, unless all that is wrong is
    that something is missing, as where a file was cut.
    """
    path = path or place()
    if not path.is_file():
        return ""
    try:
        with alone(path):
            data, damaged = read_toml(path)
            if not (damaged or _cut(data)):
                return ""
            kept: dict[str, KeptYarn] = {}
            for each in data["yarn"] if isinstance(data.get("yarn"), list) else ():
                with contextlib.suppress(Unfit, TypeError):
                    yarn = new_yarn(**each)
                    kept.setdefault(yarn.name.casefold(), yarn)
            said = set_aside(path)
            if not path.exists():
                write(Drawer(yarn=tuple(kept.values())), path)
            return f"{said}; what could be read are {counted(len(kept), 'yarn')}"
    except OSError:
        return ""


def _cut(data: dict[str, Any]) -> bool:
    """Whether all that is wrong with what a drawer's file says is that something is missing."""
    try:
        checked(Drawer, data)
    except Unfit as unfit:
        return all(problem.found == "nothing" for problem in unfit.problems)
    return False


def write(drawer: Drawer, path: Path | None = None) -> None:
    """Put the drawer on disk in one step. Raises OSError; the old drawer then stays as it was."""
    import tomli_w

    values = {"format": 1, **written(drawer)}
    folders.keep(Path(os.path.realpath(path or place())), tomli_w.dumps(values).encode())


def change(how: Callable[[Drawer], Drawer], path: Path | None = None) -> Drawer:
    """Read the drawer, change it, write it. Raises Unfit, OSError; nothing is written then."""
    with alone(path or place()):
        drawer = how(read(path))
        write(drawer, path)
    return drawer


def offered(plan: Plan, drawer: Drawer | None = None) -> LimitOffer | None:
    """The reach limit that the crossings recorded in the yarn a plan names have taught, if it is not the plan's already.

    None too where the plan names no yarn, or one of which no crossing is recorded.
    The drawer is read where none is given. Raises Unfit, OSError.
    """
    if plan.yarn.name is None:
        return None
    yarn = (read() if drawer is None else drawer).get(plan.yarn.name)
    if yarn is None or not yarn.crossing:
        return None
    # A yarn kept without its fibre learns from what the plan says of it.
    default = yarn_limit(replace(in_plan(plan, yarn)[0].yarn, reach_limit=None))
    return offer(plan, yarn.limit_from(default))


def known(plan: Plan) -> tuple[str, ...]:
    """What the knitter should know of the yarn a plan names, from the drawer. Raises Unfit, OSError."""
    if plan.yarn.name is None:
        return ()
    drawer = read()
    if (yarn := drawer.get(plan.yarn.name)) is None:
        return (f"{plan.yarn.name} is not among your yarns",)
    found = offered(plan, drawer)
    said = [] if found is None else [f"your crossings in {yarn.name} suggest another limit:", *found.lines()]
    if found is not None:
        said.append("the plan keeps its own until you write it in: y, then u; or purlside yarn use NAME PLAN")
    if yarn.loop_mm and not plan.yarn.loop_mm:
        loops = ", ".join(f'"{size}" = {mm:g}' for size, mm in yarn.loop_mm.items())
        said.append(f"you measured loops of {yarn.name}; to use them write in the plan: loop_mm = {{ {loops} }}")
    return tuple(said)


def in_plan(plan: Plan, yarn: KeptYarn) -> tuple[Plan, tuple[str, ...]]:
    """The plan knit with a yarn of the drawer, and what could not be taken over.

    What the drawer knows replaces what the plan says, the limit its crossings have
    taught too; the rest stays. Loops measured on a bed of another pitch are left out.
    """
    said: list[str] = []
    kept = written(yarn)
    values = {name: value for name, value in kept.items() if name not in ("name", "pitch_mm", "swatch", "crossing")}
    values["reach_limit"] = yarn.limit.value if yarn.crossing else None
    pitch = plan.machine.pitch_mm
    if yarn.loop_mm and yarn.pitch_mm is not None and abs(yarn.pitch_mm / pitch - 1) > SAME_PITCH:
        del values["loop_mm"]
        said.append(f"loops of {yarn.name} were measured at {yarn.pitch_mm:g} mm pitch, not {pitch:g} mm: left out")
    if {"tex", "count"} & values.keys():
        values = {"tex": None, "count": None, **values}
    if {"fibre", "extension_at_break"} & values.keys():
        values = {"fibre": None, "extension_at_break": None, **values}
    return replace(plan, yarn=replace(plan.yarn, **values)), tuple(said)


def _values(record: Record) -> dict[str, Any]:
    """A record as a kept crossing has it."""
    values = {"ratio": record.ratio, "outcome": record.outcome.value, "note": record.note}
    return {key: value for key, value in values.items() if value}


def _number(key: str) -> float:
    try:
        return float(key)
    except ValueError:
        return float("inf")
