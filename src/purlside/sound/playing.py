"""The calls, heard: three tones, speech where an engine is installed, and
silence that says so.

Everything slow (looking for players, writing the tones, starting a player,
waiting for it) happens in one thread of its own. The caller's path is a lock
and a flag, so a sound never holds up the next step, and a machine without an
audio device costs nothing but the note that nothing was heard.

Players are separate programs with all their streams closed off: a library
inside this process would let the audio system write its complaints over the
screen.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
import unicodedata
from collections.abc import Callable
from pathlib import Path

import platformdirs

from purlside.files.whole import write_whole
from purlside.sound.tones import BEATS, FADE, GAP, KINDS, RATE, CallTone, Kind, Tones, wav

SWITCH = "PURLSIDE_SOUND"
"""Environment variable; "off" keeps every sound, spoken call and bell quiet."""
PATIENCE = 2.0
"""Seconds beyond its tone after which a player counts as stuck."""
SPEECH_PATIENCE = 20.0
"""Seconds after which a speech engine counts as stuck."""
REST = 30.0
"""Seconds a failed program is left alone: a device plugged in later is found, a missing one is not asked each time."""
SPEECH_LENGTH = 300
"""Characters of a spoken call, at most."""

_PLAYERS: tuple[tuple[str, ...], ...] = (("pw-play",), ("paplay",), ("aplay", "-q"), ("afplay",))
_SPEECH: tuple[tuple[str, ...], ...] = (("espeak-ng",), ("espeak",), ("spd-say", "-w"), ("say",))


class Sounds:
    """The three sounds as files, written once for each setting and kept for
    the next start; in a temporary folder if ``folder`` cannot be written."""

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder if folder is not None else platformdirs.user_cache_path("purlside")
        self._temporary: tempfile.TemporaryDirectory[str] | None = None

    def path(self, kind: Kind, tone: CallTone) -> Path:
        """The file of that sound, written if it is not there. Raises OSError if there is no place for it."""
        try:
            return _kept(self._folder, kind, tone)
        except OSError:
            if self._temporary is not None:
                raise
            self._temporary = tempfile.TemporaryDirectory(prefix="purlside-", ignore_cleanup_errors=True)
            self._folder = Path(self._temporary.name)
            return _kept(self._folder, kind, tone)


def _kept(folder: Path, kind: Kind, tone: CallTone) -> Path:
    settings = repr((tone.pitch, tone.length, tone.volume, RATE, FADE, BEATS[kind], GAP))
    path = folder / f"{kind}-{hashlib.sha256(settings.encode()).hexdigest()[:12]}.wav"
    if path.is_file():
        return path
    folder.mkdir(parents=True, exist_ok=True)
    # Half a file would be played at every call from now on.
    write_whole(path, wav(kind, tone), settled=False)
    for old in folder.glob(f"{kind}-*"):
        if old != path:
            with contextlib.suppress(OSError):
                old.unlink()
    return path


def utterance(text: str) -> str:
    """The text as it may be handed to a speech engine: one line, no control
    characters, no brackets (engines read phonemes and commands in double
    ones), and a letter or digit in front, so it is never taken for an option."""
    text = text[: 10 * SPEECH_LENGTH]
    plain = "".join(" " if unicodedata.category(c)[0] in "CZ" or c in "[]<>{}" else c for c in text)
    words = " ".join(plain.split())
    start = next((i for i, c in enumerate(words) if c.isalnum()), len(words))
    return words[start : start + SPEECH_LENGTH].strip()


class _Programs:
    """Programs for one purpose in order of preference; one that failed rests for a while."""

    def __init__(self, commands: tuple[tuple[str, ...], ...]) -> None:
        self._commands = commands
        self._found: list[list[str]] | None = None
        self._until: dict[str, float] = {}

    def ready(self) -> list[list[str]]:
        """Command lines worth trying now; the first call searches the PATH."""
        if self._found is None:
            paths = [(shutil.which(name), rest) for name, *rest in self._commands]
            self._found = [[path, *rest] for path, rest in paths if path is not None]
        now = time.monotonic()
        return [command for command in self._found if self._until.get(command[0], now) <= now]

    def rest(self, command: list[str]) -> None:
        self._until[command[0]] = time.monotonic() + REST


class Calls:
    """Plays and speaks calls, in order, without ever making the caller wait.

    A sound that is already waiting is not queued a second time, so a flood of
    keys leaves at most one playing and one of each kind waiting. A new sound
    cuts short what is being spoken: that is about an earlier row. So for a
    call with both, first ``play``, then ``speak``.

    ``unheard`` is called from the sound's own thread each time a sound could
    not be played on any device; the app rings the terminal bell there. Muted,
    or with PURLSIDE_SOUND=off, nothing plays and nothing is reported.
    """

    def __init__(
        self, tones: Tones | None = None, *, unheard: Callable[[], None] | None = None, folder: Path | None = None
    ) -> None:
        self._tones = tones or Tones()
        self._unheard = unheard
        self._sounds = Sounds(folder)
        self._players = _Programs(_PLAYERS)
        self._engines = _Programs(_SPEECH)
        self._off = os.environ.get(SWITCH, "").strip().lower() == "off"
        self._muted = False
        self._closed = False
        self._busy = False
        self._prepared = False
        self._waiting: list[Kind] = []
        self._words = ""
        self._running: subprocess.Popen[bytes] | None = None
        self._speaking = False
        self._change = threading.Condition()
        self._thread: threading.Thread | None = None

    @property
    def tones(self) -> Tones:
        """The settings; setting others takes effect with the next sound."""
        return self._tones

    @tones.setter
    def tones(self, tones: Tones) -> None:
        with self._change:
            self._tones = tones
            self._prepared = False
            self._change.notify_all()

    @property
    def muted(self) -> bool:
        """Setting it cuts short what plays."""
        return self._muted

    @muted.setter
    def muted(self, muted: bool) -> None:
        with self._change:
            self._muted = muted
            if muted:
                self._waiting.clear()
                self._hush(tone=True)

    @property
    def available(self) -> bool:
        """Whether a player is there and has not just failed. The first question searches the PATH (about 1 ms)."""
        return not self._off and (sys.platform == "win32" or bool(self._players.ready()))

    @property
    def speaks(self) -> bool:
        """Whether a speech engine is there and has not just failed. The first question searches the PATH.

        Not every engine fails where there is no audio device: espeak-ng ends well, unheard."""
        return not self._off and bool(self._engines.ready())

    def start(self) -> None:
        """Finds the players and writes the tones, in the background. Best called once the first step is painted."""
        with self._change:
            if self._thread is None and not self._off and not self._closed:
                self._thread = threading.Thread(target=self._run, name="calls", daemon=True)
                self._thread.start()

    def play(self, kind: Kind) -> None:
        """Plays that sound as soon as those before it are over. Raises ValueError for an unknown kind."""
        self._tones.of(kind)
        if self._quiet:
            return
        self.start()
        with self._change:
            self._hush()
            if kind not in self._waiting:
                self._waiting.append(kind)
            self._change.notify_all()

    def speak(self, text: str) -> None:
        """Speaks the text after the sounds that wait, in place of an earlier text."""
        words = utterance(text)
        if self._quiet or not words:
            return
        self.start()
        with self._change:
            self._hush()
            self._words = words
            self._change.notify_all()

    def wait(self, timeout: float) -> bool:
        """Waits, at most ``timeout`` seconds, until nothing plays or waits; False if something still does."""
        with self._change:
            return self._change.wait_for(lambda: not (self._busy or self._waiting or self._words), timeout)

    def close(self) -> None:
        """No more calls. A tone that plays is left to finish, speech is cut short."""
        with self._change:
            self._closed = True
            self._waiting.clear()
            self._hush()
            self._change.notify_all()

    @property
    def _quiet(self) -> bool:
        return self._off or self._muted or self._closed

    def _hush(self, *, tone: bool = False) -> None:
        self._words = ""
        if self._running is not None and (self._speaking or tone):
            with contextlib.suppress(OSError):
                _kill(self._running)

    def _run(self) -> None:
        while True:
            with self._change:
                self._busy = False
                self._change.notify_all()
                self._change.wait_for(lambda: self._closed or self._waiting or self._words or not self._prepared)
                if self._closed:
                    return
                self._busy = True
                tones, prepared = self._tones, self._prepared
                self._prepared = True
                kind = self._waiting.pop(0) if self._waiting else None
                words = ""
                if kind is None:
                    words, self._words = self._words, ""
            # What goes wrong here would be printed over the screen as a traceback of this thread.
            with contextlib.suppress(Exception):
                if kind is not None and not self._heard(kind, tones.of(kind)) and self._unheard is not None:
                    self._unheard()
            with contextlib.suppress(Exception):
                if words:
                    self._through(self._engines, words, SPEECH_PATIENCE, speech=True)
            with contextlib.suppress(Exception):
                if not prepared:
                    self._prepare(tones)

    def _prepare(self, tones: Tones) -> None:
        self._players.ready()
        self._engines.ready()
        for kind in KINDS:
            self._sounds.path(kind, tones.of(kind))

    def _heard(self, kind: Kind, tone: CallTone) -> bool:
        try:
            path = str(self._sounds.path(kind, tone))
        except OSError:
            return False
        if sys.platform == "win32":
            import winsound

            try:
                winsound.PlaySound(path, winsound.SND_FILENAME | winsound.SND_NODEFAULT)
            except RuntimeError:
                return False
            return True
        return self._through(self._players, path, tone.length + PATIENCE)

    def _through(self, programs: _Programs, argument: str, patience: float, *, speech: bool = False) -> bool:
        """Hands the argument to the first program that takes it and ends well. True also if it is wanted no more."""

        def unwanted() -> bool:
            return self._quiet or (speech and bool(self._waiting or self._words))

        for command in programs.ready():
            process = _started([*command, argument])
            if process is not None:
                with self._change:
                    self._running, self._speaking = process, speech
                    if unwanted():
                        _kill(process)
                ended = _ended(process, patience)
                with self._change:
                    self._running = None
                    if ended or unwanted():
                        return True
            programs.rest(command)
        return self._quiet


def _started(command: list[str]) -> subprocess.Popen[bytes] | None:
    """The program, cut off from the terminal; None if it cannot be started."""
    nowhere = subprocess.DEVNULL
    try:
        return subprocess.Popen(command, stdin=nowhere, stdout=nowhere, stderr=nowhere, start_new_session=True)
    except (OSError, ValueError):
        return None


def _ended(process: subprocess.Popen[bytes], patience: float) -> bool:
    """Whether the program ended well within ``patience`` seconds; it is gone and collected in any case."""
    try:
        return process.wait(patience) == 0
    except subprocess.TimeoutExpired:
        _kill(process)
        process.wait()
        return False


def _kill(process: subprocess.Popen[bytes]) -> None:
    """End a program and those it has started: it leads a group of its own."""
    with contextlib.suppress(OSError):
        if hasattr(os, "killpg"):
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
