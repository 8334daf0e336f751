"""What a terminal sends, made into keys: whatever it sends, the program goes on.

Textual's own reading ends with the first byte that is no UTF-8, and with
several sequences that are nearly those of a key. Here a byte that is no UTF-8 is
taken for Latin-1, as a terminal that is set to it sends it; a sequence that
cannot be read is passed over; and a paste whose end never comes is ended.
"""

from __future__ import annotations

import codecs
import os
import re
import selectors
import time
from collections.abc import Callable, Iterator

from textual._parser import ParseError
from textual._xterm_parser import BRACKETED_PASTE_END, BRACKETED_PASTE_START, XTermParser
from textual.events import Key, Resize
from textual.message import Message

from purlside.keep.locale import terminal_encoding

LONGEST_PASTE = 2.0
"""Seconds after which a paste is ended: what follows is typed."""
MOST_CELLS = 2000
"""Columns or rows of a terminal, as it says; one that says more is not believed."""
_BLOCK = 4096
_ANSWER = re.compile(r"\x1b[PX^_\]][^\x1b\x07]*(?:\x1b\\|\x07)")
"""What a terminal tells of itself, in a string with an end: asked by another program, it is not typed here."""


def _latin(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeDecodeError)
    return "".join(chr(byte) for byte in error.object[error.start : error.end] if byte >= 0xA0), error.end


codecs.register_error("purlside.latin", _latin)


class Keys:
    """Bytes in, messages out. Never raises."""

    def __init__(self, encoding: str = "utf-8") -> None:
        self._decode = codecs.getincrementaldecoder("utf-8" if encoding == "ascii" else encoding)(
            "purlside.latin"
        ).decode
        self._parser = XTermParser()
        self._seen = ""
        self._pasting: float | None = None
        """Since when a paste goes on (time.monotonic)."""

    def take(self, data: bytes) -> Iterator[Message]:
        """What these bytes say."""
        text = _ANSWER.sub("", self._decode(data))
        for char in text:
            yield from self._fed(char)
        self._watch(text)

    def tick(self) -> Iterator[Message]:
        """What is so since nothing came: a lone Escape is one; a paste is ended."""
        if self._pasting is not None and time.monotonic() - self._pasting > LONGEST_PASTE:
            self._pasting = None
            for char in BRACKETED_PASTE_END:
                yield from self._fed(char)
        yield from self._safe(self._parser.tick)

    def _watch(self, text: str) -> None:
        """Whether a paste is begun and not ended."""
        seen = self._seen + text
        begun, ended = seen.rfind(BRACKETED_PASTE_START), seen.rfind(BRACKETED_PASTE_END)
        if begun > ended:
            self._pasting = self._pasting or time.monotonic()
        elif ended >= 0:
            self._pasting = None
        self._seen = seen[-len(BRACKETED_PASTE_START) + 1 :]

    def _fed(self, char: str) -> Iterator[Message]:
        yield from self._safe(lambda: self._parser.feed(char))

    def _safe(self, read: Callable[[], object]) -> Iterator[Message]:
        try:
            for message in read():  # type: ignore[attr-defined]
                if not _doubtful(message):
                    yield message
        except (ParseError, ValueError, OverflowError, ArithmeticError, LookupError, RuntimeError, StopIteration):
            # A sequence that is nearly a key's: on with the next one.
            self._parser = XTermParser()


def _doubtful(message: Message) -> bool:
    """Whether nobody can have meant it: a terminal larger than a wall, a key that is no text."""
    if isinstance(message, Resize):
        return not (0 < message.size.width <= MOST_CELLS and 0 < message.size.height <= MOST_CELLS)
    return isinstance(message, Key) and bool(message.character) and not _text(message.character or "")


def _text(char: str) -> bool:
    try:
        char.encode()
    except UnicodeEncodeError:
        return False
    return True


def read_keys(terminal: int, ended: Callable[[], bool], give: Callable[[Message], None]) -> None:
    """Read a terminal until it is ended. Raises OSError once it is gone."""
    keys = Keys(terminal_encoding())
    with selectors.DefaultSelector() as selector:
        selector.register(terminal, selectors.EVENT_READ)
        while not ended():
            if selector.select(0.1):
                if not (data := os.read(terminal, _BLOCK)):
                    raise OSError("the terminal is gone")
                for message in keys.take(data):
                    give(message)
            for message in keys.tick():
                give(message)
