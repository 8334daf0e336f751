"""The three sounds, as they come out of the settings."""

from __future__ import annotations

import io
import math
import wave
from itertools import combinations, pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from purlside.sound.tones import BEATS, KINDS, LIMITS, RATE, CallTone, Kind, Tones, samples, wav


def signal(kind: Kind, tone: CallTone) -> NDArray[np.float64]:
    return np.array(samples(kind, tone), dtype=np.float64)


def loudest_pitch(data: NDArray[np.float64], rate: int) -> float:
    """Hz of the strongest part of the spectrum, padded to a resolution of about 0.3 Hz."""
    length = 1 << 17
    spectrum = np.abs(np.fft.rfft(data, length))
    return float(np.argmax(spectrum) * rate / length)


def beats(data: NDArray[np.float64]) -> int:
    """How many times the sound starts after silence, in windows of 5 ms."""
    window = RATE // 200
    loud = [float(np.abs(data[i : i + window]).max()) > 100 for i in range(0, len(data) - window, window)]
    return sum(1 for before, here in zip([False, *loud], loud, strict=False) if here and not before)


@pytest.mark.parametrize("kind", KINDS)
def test_each_sound_has_the_pitch_the_settings_ask_for(kind: Kind) -> None:
    for pitch in (180.0, 523.25, 1760.0):
        assert loudest_pitch(signal(kind, CallTone(pitch, 0.9)), RATE) == pytest.approx(pitch, abs=4)


def test_the_sounds_differ_in_pitch_and_in_rhythm() -> None:
    tones = Tones()
    pitches = {kind: loudest_pitch(signal(kind, tones.of(kind)), RATE) for kind in KINDS}
    heard = sorted(pitches.values())
    assert all(high / low > 1.15 for low, high in pairwise(heard))
    # Two with the same beats are further apart.
    for one, other in combinations(KINDS, 2):
        if BEATS[one] == BEATS[other]:
            assert abs(math.log2(pitches[one] / pitches[other])) > 0.5
    assert [beats(signal(kind, tones.of(kind))) for kind in KINDS] == [BEATS[kind] for kind in KINDS] == [1, 2, 3, 2, 1]


def test_the_rhythm_tells_the_sounds_apart_where_the_pitch_is_the_same() -> None:
    assert len({beats(signal(kind, CallTone(700, 0.6))) for kind in KINDS}) == 3


@pytest.mark.parametrize("kind", KINDS)
def test_no_sound_clicks_at_its_ends(kind: Kind) -> None:
    data = signal(kind, CallTone(100, 0.3, 1.0))
    assert abs(data[0]) <= 1
    assert abs(data[-1]) <= 1
    steepest = 2 * np.pi * 100 / RATE * 32_767
    assert np.abs(np.diff(data)).max() <= steepest * 1.1


@pytest.mark.parametrize("kind", KINDS)
def test_length_and_volume_are_those_of_the_settings(kind: Kind) -> None:
    for length in (LIMITS["length"][0], 0.5, 2.0):
        assert len(samples(kind, CallTone(600, length))) / RATE == pytest.approx(length, abs=0.001)
    assert np.abs(signal(kind, CallTone(600, 0.5, 0.25))).max() == pytest.approx(32_767 / 4, rel=0.01)
    assert np.abs(signal(kind, CallTone(600, 0.5, 1.0))).max() <= 32_767
    assert not signal(kind, CallTone(600, 0.5, 0.0)).any()


def test_the_file_is_read_back_by_any_reader_of_wav_as_the_same_sound() -> None:
    tone = Tones().now
    with wave.open(io.BytesIO(wav("now", tone))) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        read = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
    assert np.array_equal(read, signal("now", tone))


@pytest.mark.parametrize(
    ("setting", "value"),
    [
        ("pitch", 99.0),
        ("pitch", 4001),
        ("pitch", float("nan")),
        ("pitch", "660"),
        ("length", 0.0),
        ("length", -1),
        ("length", 60),
        ("length", float("inf")),
        ("volume", -0.1),
        ("volume", 1.01),
        ("volume", True),
        ("volume", None),
    ],
)
def test_a_setting_that_could_not_be_heard_or_would_not_end_is_refused_by_name(setting: str, value: object) -> None:
    settings: dict[str, object] = {"pitch": 660.0, "length": 0.5, "volume": 0.5, setting: value}
    with pytest.raises(ValueError, match=rf"^{setting} is .*; allowed is a number from"):
        CallTone(**settings)  # type: ignore[arg-type]


def test_a_tone_that_is_not_one_and_a_call_that_does_not_exist_are_refused() -> None:
    with pytest.raises(ValueError, match="now is not a tone"):
        Tones(now=990)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="allowed are coming, now, finished"):
        Tones().of("later")  # type: ignore[arg-type]
