"""The calls as a knitter hears them, through real programs and a real device (written to a file)."""

from __future__ import annotations

import contextlib
import shutil
import sys
import time
import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from purlside.sound.playing import SPEECH_LENGTH, Calls, Sounds, utterance
from purlside.sound.tones import KINDS, CallTone, Kind, Tones

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="the players are stood in for by shell scripts")

ALSA = Path("/usr/share/alsa/alsa.conf")
APLAY = shutil.which("aplay")
ESPEAK = shutil.which("espeak-ng")
needs_aplay = pytest.mark.skipif(
    APLAY is None or not ALSA.exists(), reason="needs aplay (Debian: alsa-utils) to play to a file"
)
needs_espeak = pytest.mark.skipif(
    ESPEAK is None or not ALSA.exists(), reason="needs espeak-ng and ALSA (Debian: espeak-ng, alsa-utils)"
)
needs_proc = pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="needs the /proc of Linux")


class Room:
    """A place with just the programs put into it, and a note of whom they were called by."""

    def __init__(self, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.bin = root / "bin"
        self.bin.mkdir()
        self.sounds = root / "sounds"
        self.log = root / "log"
        self.silences = 0
        self._calls: list[Calls] = []
        monkeypatch.delenv("PURLSIDE_SOUND", raising=False)
        monkeypatch.setenv("PATH", str(self.bin))

    def script(self, name: str, body: str) -> None:
        """A program that notes its name and arguments, one line a call, tabs between, then does ``body``."""
        path = self.bin / name
        note = f'line={name}\nfor word in "$@"; do line="$line\t$word"; done\necho "$line" >> \'{self.log}\''
        path.write_text(f"#!/bin/sh\nPATH=/usr/bin:/bin\n{note}\n{body}\n")
        path.chmod(0o755)

    def calls(self, tones: Tones | None = None) -> Calls:
        calls = Calls(tones, unheard=self._silence, folder=self.sounds)
        self._calls.append(calls)
        return calls

    def _silence(self) -> None:
        self.silences += 1

    @property
    def called(self) -> list[list[str]]:
        """Name and arguments of every program called so far."""
        return [line.split("\t") for line in self.log.read_text().splitlines()] if self.log.exists() else []

    @property
    def played(self) -> list[str]:
        """The sounds handed to a player, by kind."""
        return [Path(words[-1]).name.split("-")[0] for words in self.called if words[-1].endswith(".wav")]

    def leave(self) -> None:
        for calls in self._calls:
            calls.close()
            calls.wait(5)


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Room]:
    place = Room(tmp_path, monkeypatch)
    yield place
    place.leave()


def device(target: str, form: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Makes the default audio device one that writes what is played to ``target``."""
    settings = folder / "asound.conf"
    settings.write_text(
        f'pcm.!default {{ type file slave.pcm "nowhere" file "{target}" format "{form}" }}\n'
        "pcm.nowhere { type null }\n"
    )
    monkeypatch.setenv("ALSA_CONFIG_PATH", f"{ALSA}:{settings}")


def power_at(recording: Path, pitch: float) -> float:
    """The part of the sound's power within 3 % of that pitch."""
    with wave.open(str(recording)) as file:
        rate, channels = file.getframerate(), file.getnchannels()
        # The file device leaves the length in the header open: read what is there.
        raw = recording.read_bytes()[44:]
    data = np.frombuffer(raw[: len(raw) // (2 * channels) * 2 * channels], dtype="<i2").astype(float)[::channels]
    spectrum = np.abs(np.fft.rfft(data)) ** 2
    pitches = np.fft.rfftfreq(len(data), 1 / rate)
    near = np.abs(pitches - pitch) < 0.03 * pitch
    return float(spectrum[near].sum() / spectrum.sum())


def children() -> set[int]:
    """Processes started by this one that are not collected yet."""
    found: set[int] = set()
    for task in Path("/proc/self/task").iterdir():
        with contextlib.suppress(OSError):  # a thread that ended since it was listed
            found |= {int(pid) for pid in (task / "children").read_text().split()}
    return found


@needs_aplay
@pytest.mark.parametrize("kind", KINDS)
def test_each_call_comes_out_of_the_audio_device_at_its_own_pitch(
    kind: Kind, room: Room, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert APLAY is not None
    (room.bin / "aplay").symlink_to(APLAY)
    recording = tmp_path / "recording.wav"
    device(str(recording), "wav", tmp_path, monkeypatch)
    calls = room.calls()
    calls.play(kind)
    assert calls.wait(10)
    assert power_at(recording, calls.tones.of(kind).pitch) > 0.8
    for other in set(KINDS) - {kind}:
        assert power_at(recording, calls.tones.of(other).pitch) < 0.05
    assert room.silences == 0


@needs_aplay
def test_a_machine_without_an_audio_device_rings_the_bell_instead(
    room: Room, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert APLAY is not None
    (room.bin / "aplay").symlink_to(APLAY)
    settings = tmp_path / "asound.conf"
    settings.write_text("pcm.!default { type hw step 31 }\n")
    monkeypatch.setenv("ALSA_CONFIG_PATH", f"{ALSA}:{settings}")
    calls = room.calls()
    calls.play("now")
    assert calls.wait(10)
    assert room.silences == 1
    assert not calls.available


def test_without_any_player_every_call_rings_the_bell(room: Room) -> None:
    calls = room.calls()
    assert not calls.available
    for count in (1, 2, 3):
        calls.play("coming")
        assert calls.wait(5)
        assert room.silences == count


def test_a_player_that_fails_hands_over_to_the_next_one(room: Room) -> None:
    room.script("pw-play", "exit 1")
    room.script("paplay", "exit 0")
    room.script("aplay", "exit 0")
    calls = room.calls()
    for _ in range(2):
        calls.play("now")
        assert calls.wait(5)
    assert [words[0] for words in room.called] == ["pw-play", "paplay", "paplay"], "the failed one is left alone"
    assert room.silences == 0
    assert calls.available


def test_players_that_all_fail_ring_the_bell_and_are_not_asked_again_at_once(room: Room) -> None:
    room.script("pw-play", "exit 1")
    room.script("aplay", "kill -9 $$")
    calls = room.calls()
    for count in (1, 2, 3):
        calls.play("now")
        assert calls.wait(5)
        assert room.silences == count
    assert [words[0] for words in room.called] == ["pw-play", "aplay"]


def test_a_failed_player_is_tried_again_later(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("purlside.sound.playing.REST", 0.05)
    room.script("aplay", "exit 1")
    calls = room.calls()
    calls.play("now")
    assert calls.wait(5)
    assert room.silences == 1
    room.script("aplay", "exit 0")
    time.sleep(0.06)
    calls.play("now")
    assert calls.wait(5)
    assert room.silences == 1
    assert calls.available


def test_a_player_that_cannot_be_started_counts_as_failed(room: Room) -> None:
    (room.bin / "aplay").write_bytes(b"\x7fELF no program at all")
    (room.bin / "aplay").chmod(0o755)
    calls = room.calls()
    calls.play("now")
    assert calls.wait(5)
    assert room.silences == 1


def test_a_stuck_player_is_ended_and_the_bell_rung(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("purlside.sound.playing.PATIENCE", 0.1)
    room.script("aplay", "exec sleep 60")
    calls = room.calls(Tones(coming=CallTone(660, 0.1)))
    calls.play("coming")
    assert calls.wait(5)
    assert room.silences == 1


@needs_proc
def test_a_flood_of_keys_plays_each_sound_once_more_at_most_and_leaves_no_process(
    room: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("purlside.sound.playing.PATIENCE", 60.0)
    done = room.bin / "done"
    room.script("aplay", f"while [ ! -e '{done}' ]; do sleep 0.02; done")
    before = children()
    calls = room.calls()
    calls.start()
    assert calls.wait(5)
    waits = 0
    for _ in range(500):
        for kind in KINDS:
            begun = time.perf_counter()
            calls.play(kind)
            waits += time.perf_counter() - begun > 0.25
            assert len(children() - before) <= 2, "one player at a time, and the program that one may run"
    done.touch()
    assert calls.wait(10)
    assert room.played == [*KINDS, KINDS[0]], "the first plays all through the flood"
    assert not children() - before
    # A busy machine may hold a call up once or twice; a player would hold up each of them.
    assert waits <= 2, "the caller was made to wait for a player"


def test_a_caller_does_not_wait_for_a_slow_player(room: Room) -> None:
    done = room.bin / "done"
    room.script("aplay", f"while [ ! -e '{done}' ]; do sleep 0.02; done")
    calls = room.calls()
    calls.start()
    assert calls.wait(5)
    calls.play("now")
    calls.speak("crossing row next")
    assert not calls.wait(0.0)
    done.touch()
    assert calls.wait(15)


def test_the_player_cannot_write_over_the_screen_or_take_its_keys(
    room: Room, capfd: pytest.CaptureFixture[str]
) -> None:
    streams = room.log.with_name("streams")
    room.script(
        "aplay", f"echo to the screen; echo complaint >&2; readlink /proc/$$/fd/0 /proc/$$/fd/1 > '{streams}'\nexit 0"
    )
    calls = room.calls()
    calls.play("now")
    assert calls.wait(5)
    assert capfd.readouterr() == ("", "")
    assert streams.read_text().splitlines()[0] == "/dev/null"
    assert room.played == ["now"]


def test_muted_nothing_plays_speaks_or_rings(room: Room) -> None:
    room.script("espeak-ng", "exit 0")
    calls = room.calls()
    calls.muted = True
    calls.play("now")
    calls.speak("crossing row next")
    assert calls.wait(5)
    assert not room.called
    assert room.silences == 0
    calls.muted = False
    calls.play("now")
    assert calls.wait(5)
    assert room.silences == 1


def test_muting_cuts_short_what_plays(room: Room) -> None:
    room.script("aplay", "exec sleep 60")
    calls = room.calls()
    calls.play("now")
    calls.play("finished")
    while not room.called:
        time.sleep(0.005)
    calls.muted = True
    assert calls.wait(1)
    assert room.played == ["now"]
    assert room.silences == 0
    calls.muted = False
    assert calls.available, "a player that was cut short has not failed"


def test_the_environment_can_keep_everything_quiet(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PURLSIDE_SOUND", "off")
    room.script("aplay", "exit 0")
    room.script("espeak-ng", "exit 0")
    calls = room.calls()
    calls.start()
    calls.play("now")
    calls.speak("crossing row next")
    assert calls.wait(1)
    assert not calls.available
    assert not calls.speaks
    assert not room.called
    assert room.silences == 0


def test_an_error_while_ringing_the_bell_does_not_end_the_calls(room: Room, capfd: pytest.CaptureFixture[str]) -> None:
    rings = []

    def bell() -> None:
        rings.append(1)
        raise RuntimeError("the app is gone")

    calls = Calls(unheard=bell, folder=room.sounds)
    for count in (1, 2):
        calls.play("now")
        assert calls.wait(5)
        assert len(rings) == count
    calls.close()
    assert capfd.readouterr() == ("", "")


def test_an_unknown_call_is_refused_where_it_is_made(room: Room) -> None:
    with pytest.raises(ValueError, match="allowed are coming, now, finished"):
        room.calls().play("later")  # type: ignore[arg-type]


@needs_proc
def test_a_player_that_hangs_leaves_no_children(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("purlside.sound.playing.PATIENCE", 0.2)
    room.script("pw-play", f"sleep 61.25 & echo $! > '{room.log}.child'; wait")
    calls = room.calls()
    calls.play("now")
    calls.start()
    child = Path(f"{room.log}.child")
    until = time.monotonic() + 10
    while time.monotonic() < until and not (child.exists() and child.read_text().strip()):
        time.sleep(0.02)
    alive = Path(f"/proc/{child.read_text().strip()}/cmdline")
    while time.monotonic() < until and alive.exists() and b"61.25" in alive.read_bytes():
        time.sleep(0.02)
    assert not alive.exists() or b"61.25" not in alive.read_bytes()


def test_a_sound_is_written_once_and_again_only_when_its_setting_changes(tmp_path: Path) -> None:
    sounds = Sounds(tmp_path / "kept")
    path = sounds.path("now", CallTone(990, 0.5))
    written = path.stat().st_mtime_ns
    assert Sounds(tmp_path / "kept").path("now", CallTone(990, 0.5)) == path
    assert path.stat().st_mtime_ns == written
    other = sounds.path("now", CallTone(880, 0.5))
    coming = sounds.path("coming", CallTone(880, 0.5))
    assert sorted(tmp_path.joinpath("kept").iterdir()) == sorted([coming, other]), "old settings do not pile up"


def test_changed_settings_are_heard_at_the_next_call(room: Room) -> None:
    room.script("aplay", f"cat \"$2\" > '{room.log.with_name('heard.wav')}'")
    calls = room.calls()
    calls.play("now")
    assert calls.wait(5)
    calls.tones = Tones(now=CallTone(1500, 0.4))
    calls.play("now")
    assert calls.wait(5)
    assert power_at(room.log.with_name("heard.wav"), 1500) > 0.8


@needs_proc
def test_a_folder_that_cannot_be_written_does_not_silence_the_calls() -> None:
    assert Sounds(Path("/proc/sounds")).path("now", Tones().now).stat().st_size > 44


def test_a_file_where_the_folder_should_be_does_not_silence_the_calls(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("something else")
    sounds = Sounds(tmp_path / "taken")
    assert sounds.path("now", Tones().now).stat().st_size > 44
    assert sounds.path("now", Tones().now) == sounds.path("now", Tones().now)


def test_a_spoken_call_reaches_the_speech_engine_word_for_word(room: Room) -> None:
    room.script("espeak-ng", "exit 0")
    calls = room.calls()
    assert calls.speaks
    calls.speak("crossing row next, rope, right half in front")
    assert calls.wait(5)
    assert room.called == [["espeak-ng", "crossing row next, rope, right half in front"]]


@pytest.mark.parametrize(
    ("name", "spoken"),
    [
        ("-w stolen.wav", "w stolen.wav"),
        ("--stdin", "stdin"),
        ("rope\x1b]0;title\x07 next", "rope 0;title next"),
        ("rope\nand\tplait\u2028\u202e", "rope and plait"),
        ("[[inpt PHON]] rope", "inpt PHON rope"),
        ("<audio src='x'/>", "audio src='x'/"),
        ("$(reboot); `reboot`", "reboot); `reboot`"),
    ],
)
def test_a_name_out_of_a_plan_is_only_ever_read_aloud(name: str, spoken: str, room: Room) -> None:
    room.script("espeak-ng", "exit 0")
    calls = room.calls()
    calls.speak(name)
    assert calls.wait(5)
    assert room.called == [["espeak-ng", spoken]]


def test_a_text_with_nothing_to_say_starts_nothing_and_a_long_one_is_cut(room: Room) -> None:
    room.script("espeak-ng", "exit 0")
    calls = room.calls()
    for text in ("", " \n", "---", "\x00\x1b[["):
        calls.speak(text)
    assert calls.wait(5)
    assert not room.called
    assert len(utterance("rope " * 1_000_000)) <= SPEECH_LENGTH


def test_a_speech_engine_that_fails_hands_over_to_the_next_and_rings_no_bell(room: Room) -> None:
    room.script("espeak-ng", "exit 1")
    room.script("spd-say", "exit 0")
    calls = room.calls()
    calls.speak("rope")
    assert calls.wait(5)
    assert room.called == [["espeak-ng", "rope"], ["spd-say", "-w", "rope"]]
    room.script("spd-say", "exit 1")
    calls.speak("plait")
    assert calls.wait(5)
    assert not calls.speaks
    assert room.silences == 0


def test_the_tone_comes_before_the_words_and_the_next_tone_cuts_them_short(room: Room) -> None:
    room.script("aplay", "exit 0")
    room.script("espeak-ng", "exec sleep 60")
    calls = room.calls()
    calls.play("coming")
    calls.speak("crossing row next")
    while len(room.called) < 2:
        time.sleep(0.005)
    calls.play("now")
    assert calls.wait(5)
    assert [words[0] for words in room.called] == ["aplay", "espeak-ng", "aplay"]
    assert room.played == ["coming", "now"]
    assert calls.speaks, "an engine that was cut short has not failed"


@needs_espeak
def test_a_spoken_call_comes_out_of_the_audio_device(
    room: Room, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert ESPEAK is not None
    (room.bin / "espeak-ng").symlink_to(ESPEAK)
    recording = tmp_path / "recording.raw"
    # Through a pipe: the engine opens the device once more at its end, which would empty a file.
    device(f"|/bin/cat >> '{recording}'", "raw", tmp_path, monkeypatch)
    calls = room.calls()
    calls.speak("crossing row next, rope, right half in front")
    assert calls.wait(20)
    deadline = time.monotonic() + 5
    while not recording.exists() or recording.stat().st_size < 40_000:
        assert time.monotonic() < deadline, "a second of speech did not arrive"
        time.sleep(0.01)
    heard = np.frombuffer(recording.read_bytes()[:40_000], dtype="<i2").astype(int)
    assert np.abs(heard).max() > 1000
