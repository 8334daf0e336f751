"""Undo and redo without limit: each step keeps the states around it, and states share what did not change."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field

from purlside.plan.plan import Plan
from purlside.plan.problems import Key
from purlside.values import Value


class State(Value):
    """A draft at one time: the plan, texts of fields that could not be taken into it, the cable in hand by its place."""

    plan: Plan
    typed: Mapping[Key, str] = field(default_factory=dict)
    selected: int | None = None


class DraftStep(Value):
    """One change: what it was in words, and the states around it."""

    words: str
    before: State
    after: State
    tag: object = None


class History:
    """The steps made and the one stood at. Steps of one ``tag`` made in a row, as when typing, count as one."""

    def __init__(self, steps: Iterable[DraftStep] = (), at: int = 0) -> None:
        """``at`` of the steps are done, the others undone. Raises ValueError if there are not so many."""
        self.steps = list(steps)
        self.at = at
        """How many steps are done, and not undone since."""
        self._sealed = True
        if not 0 <= at <= len(self.steps):
            raise ValueError(f"{at} of {len(self.steps)} steps")

    def led_to(self, words: str, before: State, now: State) -> History:
        """These steps, the last of which led to ``now``; one more at their beginning, if they begin elsewhere than ``before``."""
        oldest = self.steps[0].before if self.steps else now
        if (oldest.plan, oldest.typed) == (before.plan, before.typed):
            return self
        return History([DraftStep(words, before, oldest), *self.steps], self.at + 1)

    def undo(self) -> DraftStep | None:
        """Stand before the last step done; None where there is none."""
        self._sealed = True
        if not self.at:
            return None
        self.at -= 1
        return self.steps[self.at]

    def redo(self) -> DraftStep | None:
        """Stand after the next step undone; None where there is none."""
        self._sealed = True
        if self.at == len(self.steps):
            return None
        self.at += 1
        return self.steps[self.at - 1]

    def seal(self) -> None:
        """The next step counts for itself, whatever its tag."""
        self._sealed = True

    def made(self, words: str, before: State, after: State, tag: object = None) -> None:
        """Keep a change; what was undone before it is gone. A step that changes nothing is not kept."""
        del self.steps[self.at :]
        if tag is not None and not self._sealed and self.steps and self.steps[-1].tag == tag:
            before = self.steps.pop().before
        if before.plan is not after.plan and before.plan == after.plan:
            after = State(before.plan, after.typed, after.selected)
        if after != before:
            self.steps.append(DraftStep(words, before, after, tag))
        self.at = len(self.steps)
        self._sealed = tag is None
