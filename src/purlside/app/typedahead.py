"""Keys typed ahead of the screen that an earlier one of them asked for: they wait until it is there, in their order.

A key goes to the screen that is there when it comes, and waits there behind the
keys before it. One of those may open another screen: keys that waited behind
it, and keys that come meanwhile, are all for that one.
"""

from __future__ import annotations

import time
from bisect import insort
from collections.abc import Awaitable, Callable
from typing import Any

from textual.app import App
from textual.events import Key
from textual.screen import Screen

LONGEST = 1.0
"""Seconds that keys wait at most for the screen before to have done with its own."""


class TypedAhead:
    """Keeps keys back from a screen that is only just opened; ``give`` gives the app one to take in."""

    def __init__(self, app: App[Any], give: Callable[[Key], Awaitable[None]]) -> None:
        self._app, self._give = app, give
        self._at: Screen[Any] | None = None
        """The screen the last key was given to."""
        self._waiting: list[Key] = []
        self._since = 0.0
        """When the first of them began to wait (time.monotonic)."""

    def waits(self, key: Key) -> bool:
        """Whether a key that comes has to wait; it is given later, in its turn."""
        screen = self._app.screen
        if not self._waiting and (screen is self._at or self._at not in self._app.screen_stack):
            self._at = screen
            return False
        if self._waiting and time.monotonic() - self._since > LONGEST:
            self._app.call_later(self._go_on)
        self.wait(key)
        return True

    def wait(self, key: Key) -> None:
        """Keep a key, perhaps one that a screen was given before, until the screen now there has been painted."""
        again = Key(key.key, key.character)
        again.time = key.time
        insort(self._waiting, again, key=lambda each: each.time)
        if len(self._waiting) == 1:
            self._since = time.monotonic()
            # By way of the app's own queue: what a new screen asked of the app, its focus too, is done before.
            self._app.screen.call_after_refresh(self._app.call_later, self._go_on)

    async def _go_on(self) -> None:
        if not self._waiting:
            return
        screen, before = self._app.screen, self._at
        below = before if before is not screen and before in self._app.screen_stack else None
        if below is not None and below.message_queue_size and time.monotonic() - self._since < LONGEST:
            # A key from before these may still wait there.
            self._app.call_later(self._go_on)
            return
        self._at = screen
        waiting, self._waiting = self._waiting, []
        for key in waiting:
            await self._give(key)
