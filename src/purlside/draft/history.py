"""Undo and redo without limit: each step keeps the states around it, and states share what did not change."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field

from purlside.plan.plan import Plan
from purlside.plan.problems import Key
from purlside.values import dataclass


@dataclass(frozen=True, slots=True)
class State:
    """A draft at one time: the plan, texts of fields that could not be taken into it, the cable in hand by its place."""

    plan: Plan
    typed: Mapping[Key, str] = field(default_factory=dict)
    selected: int | None = None


@dataclass(frozen=True, slots=True)
class DraftStep:
    """One change: what it was in words, and the states around it."""

    words: str
    before: State
    after: State
    tag: object = None


class History:
    """The steps made and the one stood at. Steps of one ``tag`` made in a row, as when typing, count as one."""

    def __init__(self, steps: Iterable[DraftStep] = (), at: int = 0) -> None:
        """``at`` of the steps are done, the others undone. Raises ValueError if there are not so many."""
        self._steps = list(steps)
        self._at = at
        self._sealed = True
        if not 0 <= at <= len(self._steps):
            raise ValueError(f"{at} of {len(self._steps)} steps")

    @property
    def steps(self) -> Sequence[DraftStep]:
        return self._steps

    @property
    def at(self) -> int:
        """How many steps are done, and not undone since."""
        return self._at

    @property
    def undone(self) -> DraftStep | None:
        """The step that undo would take back."""
        return self._steps[self._at - 1] if self._at else None

    @property
    def redone(self) -> DraftStep | None:
        """The step that redo would make again."""
        return self._steps[self._at] if self._at < len(self._steps) else None

    def led_to(self, words: str, before: State, now: State) -> History:
        """These steps, the last of which led to ``now``; one more at their beginning, if they begin elsewhere than ``before``."""
        oldest = self._steps[0].before if self._steps else now
        if (oldest.plan, oldest.typed) == (before.plan, before.typed):
            return self
        return History([DraftStep(words, before, oldest), *self._steps], self._at + 1)

    def undo(self) -> DraftStep | None:
        step, self._sealed = self.undone, True
        self._at -= step is not None
        return step

    def redo(self) -> DraftStep | None:
        step, self._sealed = self.redone, True
        self._at += step is not None
        return step

    def seal(self) -> None:
        """The next step counts for itself, whatever its tag."""
        self._sealed = True

    def made(self, words: str, before: State, after: State, tag: object = None) -> None:
        """Keep a change; what was undone before it is gone. A step that changes nothing is not kept."""
        del self._steps[self._at :]
        if tag is not None and not self._sealed and self._steps and self._steps[-1].tag == tag:
            before = self._steps.pop().before
        if before.plan is not after.plan and before.plan == after.plan:
            after = State(before.plan, after.typed, after.selected)
        if after != before:
            self._steps.append(DraftStep(words, before, after, tag))
        self._at = len(self._steps)
        self._sealed = tag is None
