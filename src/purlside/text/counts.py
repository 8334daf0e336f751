"""Counts as they are said."""

from __future__ import annotations


def counted(count: int, noun: str) -> str:
    """``"1 step"``, ``"1,200 steps"``."""
    return f"{count:,} {noun}{'s' if count != 1 else ''}"
