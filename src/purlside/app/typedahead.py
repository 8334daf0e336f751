"""Keys typed ahead of the screen that an earlier one of them asked for: they wait until it is there, in their order.

A key goes to the screen that is there when it comes, and waits there behind the
keys before it. One of those may open another screen: keys that waited behind
it, and keys that come meanwhile, are all for that one. So it is with a key
that ends or changes an answer, Enter or Backspace: it has done so before the
next key comes, which may be for the next line, or for the screen below the question.
"""

from __future__ import annotations

import asyncio
import time
from bisect import insort
from collections.abc import Awaitable, Callable
from typing import Any

from textual.app import App
from textual.events import Key
from textual.screen import Screen
from textual.widgets import Input

LONGEST = 1.0
"""Seconds that keys wait at most for the screen before to have done with its own."""
QUIET = 10
"""Turns of the app's loop without a message after which such a key has done all it does."""


class TypedAhead:
    """Keeps keys back from a screen that is only just opened; ``give`` gives the app one to take in."""

    def __init__(self, app: App[Any], give: Callable[[Key], Awaitable[None]]) -> None:
        self._app, self._give = app, give
        self._at: Screen[Any] | None = None
        """The screen the last key was given to."""
        self._waiting: list[Key] = []
        self._ending: asyncio.Task[None] | None = None
        """While a key ends or changes an answer."""
        self._since = 0.0
        """When the first of them began to wait (time.monotonic)."""

    @property
    def busy(self) -> bool:
        """Whether keys wait, or may have to."""
        return self._ending is not None or bool(self._waiting)

    def waits(self, key: Key) -> bool:
        """Whether a key that comes has to wait; it is given later, in its turn."""
        screen = self._app.screen
        if (
            self._ending is None
            and not self._waiting
            and (screen is self._at or self._at not in self._app.screen_stack)
        ):
            self._given(key)
            return False
        if self._waiting and time.monotonic() - self._since > LONGEST:
            self._app.call_later(self._go_on)
        self.wait(key)
        return True

    def _given(self, key: Key) -> None:
        """A key goes to the screen now there."""
        self._at = self._app.screen
        if not key.is_printable and isinstance(self._app.focused, Input):
            self._ending = asyncio.ensure_future(self._until_ended(self._at, self._app.focused))

    async def _until_ended(self, screen: Screen[Any], line: Input) -> None:
        """Until what the key does to the line, the question around it and the app is done."""
        until, quiet = time.monotonic() + LONGEST, 0
        while quiet < QUIET and self._app.screen is screen and time.monotonic() < until:
            await asyncio.sleep(0)
            busy = any(node.message_queue_size for node in (line, *line.ancestors, self._app))
            quiet = 0 if busy else quiet + 1
        self._ending = None
        if self._waiting:
            self._app.call_later(self._go_on)

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
        if not self._waiting or self._ending is not None:
            return
        screen, before = self._app.screen, self._at
        below = before if before is not screen and before in self._app.screen_stack else None
        if below is not None and below.message_queue_size and time.monotonic() - self._since < LONGEST:
            # A key from before these may still wait there.
            self._app.call_later(self._go_on)
            return
        self._at = screen
        while self._waiting and self._ending is None:
            key = self._waiting.pop(0)
            self._given(key)
            await self._give(key)
