"""The crow's pitch: a note with cents, or Hz, at the player's own A4 (ISO 16: 440 Hz), in equal temperament."""

from __future__ import annotations

import re
from math import log2
from typing import NamedTuple

from reedkin.errors import InputError

STANDARD_A4 = 440.0
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
_NOTE = re.compile(r"([A-Ga-g])(#|b|♯|♭)?(-?\d)?\s*(?:([+-]\s*\d+(?:[.,]\d+)?)\s*(?:c|ct|cents?)?)?")
_HZ = re.compile(r"(\d+(?:[.,]\d+)?)\s*hz", re.IGNORECASE)


class Pitch(NamedTuple):
    """A sounding pitch: either a note (MIDI number) with cents, or a frequency as measured."""

    note: int | None = None
    cents: float = 0.0
    hertz: float | None = None

    def frequency(self, a4: float = STANDARD_A4) -> float:
        """In Hz, with A4 at `a4` Hz."""
        if self.hertz is not None:
            return self.hertz
        assert self.note is not None
        return float(a4 * 2 ** ((self.note - 69 + self.cents / 100) / 12))

    def named(self, a4: float = STANDARD_A4) -> tuple[int, float]:
        """The nearest note (MIDI number) and how many cents above it, with A4 at `a4` Hz."""
        if self.note is not None and abs(self.cents) <= 50:
            return self.note, self.cents
        steps = 69 + 12 * log2(self.frequency(a4) / a4)
        return round(steps), (steps - round(steps)) * 100

    def __str__(self) -> str:
        """As it is kept in the log: "C5 -20c" or "518.5 Hz"."""
        if self.note is None:
            return f"{self.hertz:g} Hz"
        return f"{note_name(self.note)} {self.cents:+g}c" if self.cents else note_name(self.note)


_C5 = 72
"""The MIDI number of the note that reeds usually crow (common practice, no source)."""


def note_name(note: int) -> str:
    """The name of a MIDI note number in scientific pitch notation (60 is C4)."""
    return f"{_NAMES[note % 12]}{note // 12 - 1}"


def parse_pitch(text: str) -> Pitch:
    """Read "C5", "C5 -20c", "Bb4+10" or "518 Hz"; a note without its octave is the one nearest to C5,
    the usual crow: where a reed crows flat, B is B4.

    Raises InputError.
    """
    text = text.strip()
    if match := _HZ.fullmatch(text):
        hertz = float(match[1].replace(",", "."))
        if not 50 <= hertz <= 5000:
            raise InputError(f"{hertz:g} Hz is not the crow of a reed")
        return Pitch(hertz=hertz)
    match = _NOTE.fullmatch(text)
    if match is None:
        raise InputError(f"{text} is not a pitch; write a note such as C5 or C5 -20c, or Hz such as 518 Hz")
    letter, sign, octave, cents = match.groups()
    step = _STEPS[letter.upper()] + (1 if sign in ("#", "♯") else -1 if sign in ("b", "♭") else 0)
    note = _C5 + (step + 5) % 12 - 5 if octave is None else 12 * (int(octave) + 1) + step
    off = float(cents.replace(" ", "").replace(",", ".")) if cents else 0.0
    if abs(off) > 100:
        raise InputError(f"{off:g} cents is more than a semitone; name the nearer note")
    return Pitch(note=note, cents=off)
