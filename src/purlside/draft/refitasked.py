"""What is typed for a refit, read: another pitch, yarn, gauge or other tools."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from purlside.draft.beginning import machine_of
from purlside.draft.hearing import gauge_of, yarn_of
from purlside.draft.refit import RefitFor
from purlside.plan.plan import Plan, Tools

T = TypeVar("T")


def refit_for(
    plan: Plan, pitch: str | None = None, yarn: str | None = None, gauge: str | None = None, tools: str | None = None
) -> RefitFor:
    """What was typed, read. Raises ValueError, in words, for what cannot be, and where nothing is asked."""
    if not any((pitch, yarn, gauge, tools)):
        raise ValueError("say what is to be another: pitch, yarn, gauge or tools")
    machine, heard = None, None
    if pitch:
        other = _named("pitch", machine_of, pitch)
        machine = replace(plan.machine, pitch_mm=other.pitch_mm, needles=other.needles, counter_trip=None)
    if yarn:
        heard = _named("yarn", yarn_of, yarn)
    return RefitFor(
        machine=machine,
        yarn=heard.yarn if heard else None,
        stitch_size=heard.size if heard else None,
        gauge=_named("gauge", gauge_of, gauge) if gauge else None,
        tools=_named("tools", _tools, tools) if tools else None,
    )


def _tools(text: str) -> Tools:
    prongs = re.findall(r"\d+", text)
    if not prongs or re.sub(r"[\d\s,]|prongs?", "", text):
        raise ValueError('the prongs of each tool, as "2, 3, 3"')
    return Tools(prongs=tuple(map(int, prongs)))


def _named(what: str, read: Callable[[str], T], text: str) -> T:
    try:
        return read(text)
    except ValueError as error:
        raise ValueError(f"{what}: {error}") from None
