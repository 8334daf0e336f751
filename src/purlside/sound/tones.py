"""The sounds of the calls, and of a dial to be set, worked out from settings: no recordings.

They differ in pitch and in rhythm, so that whoever does not hear the pitch
still tells them apart.
"""

from __future__ import annotations

import io
import math
from array import array
from dataclasses import fields
from typing import Literal, get_args

from purlside.values import Value

Kind = Literal["coming", "now", "finished", "shaping", "dial"]
"""What a sound says: the crossing row is ahead, is here, or the panel is done; an edge is shaped; the dial is set."""
KINDS: tuple[Kind, ...] = get_args(Kind)

RATE = 44_100
"""Samples a second. The rate every audio device takes without converting."""
FADE = 0.008
"""Seconds of fading at each end of a beat, at most: without it the edge is heard as a click."""
BEATS: dict[Kind, int] = {"coming": 1, "now": 2, "finished": 3, "shaping": 2, "dial": 1}
"""Beats in each sound."""
GAP = 0.5
"""Silence between two beats, in beats."""
LIMITS = {"pitch": (100.0, 4000.0, " Hz"), "length": (0.1, 3.0, " s"), "volume": (0.0, 1.0, "")}
"""Smallest and largest value of each setting, and its unit."""


class CallTone(Value):
    """One sound: ``pitch`` in Hz, ``length`` in seconds over all its beats,
    ``volume`` from 0 to 1 (the amplitude). Raises ValueError outside the limits."""

    pitch: float
    length: float
    volume: float = 0.6

    def __post_init__(self) -> None:
        for name, (least, most, unit) in LIMITS.items():
            value = getattr(self, name)
            if isinstance(value, bool) or not isinstance(value, (int, float)) or not least <= value <= most:
                raise ValueError(f"{name} is {value!r}; allowed is a number from {least:g} to {most:g}{unit}")


class Tones(Value):
    """The sounds. The default pitches of the first three are a fifth apart, the others well apart from them, all low
    enough to be heard by ears that have lost the highest tones."""

    coming: CallTone = CallTone(660, 0.25)
    now: CallTone = CallTone(990, 0.5)
    finished: CallTone = CallTone(440, 0.9)
    shaping: CallTone = CallTone(550, 0.5)
    dial: CallTone = CallTone(1320, 0.12)

    def __post_init__(self) -> None:
        for field in fields(self):
            if not isinstance(getattr(self, field.name), CallTone):
                raise ValueError(f"{field.name} is not a tone; allowed is CallTone(pitch, length, volume)")

    def of(self, kind: Kind) -> CallTone:
        """Raises ValueError for anything that is not one of them."""
        if kind not in KINDS:
            raise ValueError(f"{kind!r} is not a call; allowed are {', '.join(KINDS)}")
        tone: CallTone = getattr(self, kind)
        return tone


def samples(kind: Kind, tone: CallTone) -> array[int]:
    """The sound as signed 16-bit samples, mono, ``RATE`` a second."""
    beats = BEATS[kind]
    beat = int(RATE * tone.length / (beats + (beats - 1) * GAP))
    gap = array("h", bytes(2 * int(beat * GAP)))
    fade = min(int(RATE * FADE), beat // 3)
    step = 2 * math.pi * tone.pitch / RATE
    loud = 32_767 * tone.volume
    one = array("h", [int(loud * math.sin(step * i)) for i in range(beat)])
    for i in range(fade):
        part = 0.5 - 0.5 * math.cos(math.pi * i / fade)
        one[i] = int(one[i] * part)
        one[-1 - i] = int(one[-1 - i] * part)
    whole = array("h", one)
    for _ in range(beats - 1):
        whole += gap + one
    return whole


def wav(kind: Kind, tone: CallTone) -> bytes:
    """The sound as the content of a WAV file."""
    import wave

    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes(samples(kind, tone).tobytes())
    return file.getvalue()
