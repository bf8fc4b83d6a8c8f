"""The crow of a reed, from its sound: which note, whether in octaves, how steady.

A crow is a note with its octaves, and much air. So the sound is first brought to one sampling rate and to the band in
which reeds crow; then the steadiest second of it is looked for, and asked as a whole how long its period is, before
each of its frames is asked alone. What has no such second (speech, noise, silence) has no note.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reedkin.domain.pitch import STANDARD_A4, Pitch
from reedkin.hearing.yin import FloatArray, differences, first_dip, normalised, refined

RATE = 44100
"""Samples a second that every sound is brought to."""
LOWEST_RATE = 8000
"""Samples a second below which no reed can be heard."""
LOWEST_HZ, HIGHEST_HZ = 180.0, 2200.0
"""The notes that are listened for: from below a bass oboe reed's crow to above an oboe reed's upper octave (common
practice, no source)."""
_BAND_HZ = (120.0, 5000.0)
_WINDOW, _HOP = 2205, 882
_SECOND = 49
"""Frames in the second that is judged: 50 of them begin within it."""
_FEWEST = 15
"""Frames, about a third of a second: less is no crow."""
_SILENCE = 1e-3
"""The root mean square, of a full scale of 1, under which a frame is silent (-60 dB)."""
_LOUD = 0.2
"""A frame is of the crow where it is at least this part as loud as the loudest."""
_REPEATS = 0.68
"""The most that the normalised difference of a second may be, for it to hold a note: half of what is heard may be air,
and noise alone stays above 0.8."""
_FRAME_REPEATS = 0.85
"""The same of one frame, for it to be of the note."""
_SAME_DEPTH = 0.06
_STRAYED_CENTS = 100.0
_TOO_UNSTEADY_CENTS = 45.0
_CENTS_A_POINT = 4.0
_IN_OCTAVES = 0.4
_ALL_IN_OCTAVES = 0.95
"""Where the octaves have all but this, the note itself is not heard: what is below it is a hum of the room."""
_PARTIALS = 10
_PERIODS = 3
"""How many periods of the lowest note a frame is compared over; of higher notes more fit in."""
_MOST_PERIODS = 6
_REACH = 0.06
"""How far, in parts of a period, each multiple is looked for: a semitone."""


@dataclass(frozen=True, slots=True)
class Crow:
    """
    What was heard.

    hertz           the pitch, in Hz: the mean over the steadiest second.
    octave_share    of the energy of the note and its partials, the part that its octaves have (2, 4 and 8 times hertz).
                    A single tone of a reed has about 0.2, as its partials grow weaker.
    spread_cents    the standard deviation of the pitch over that second, in cents.
    repeats         how far it is a note: 1 for a pure one, 0 for noise.
    seconds         how much of the sound this was judged by: a second, where it lasted so long.
    """

    hertz: float
    octave_share: float
    spread_cents: float
    repeats: float
    seconds: float = 1.0

    @property
    def octaves(self) -> bool:
        """Whether it sounds in octaves."""
        return self.octave_share >= _IN_OCTAVES

    @property
    def steadiness(self) -> int:
        """0 to 10: a point less for every four cents of spread (a stated scale, no source)."""
        return max(0, round(10 - self.spread_cents / _CENTS_A_POINT))

    def pitch(self, a4: float = STANDARD_A4) -> Pitch:
        """The nearest note with whole cents, with A4 at `a4` Hz."""
        note, cents = Pitch(hertz=self.hertz).named(a4)
        return Pitch(note=note, cents=float(round(cents)))

    def entry(self, a4: float = STANDARD_A4) -> str:
        """As it is written on the entry line: "crow C5 -20c octaves steady 8"."""
        octaves = " octaves" if self.octaves else ""
        return f"crow {self.pitch(a4)}{octaves} steady {self.steadiness}"


def is_silent(sound: FloatArray) -> bool:
    """Whether nothing in a sound of full scale 1 is loud enough to be listened to."""
    return not len(sound) or float(np.sqrt(np.mean((sound - sound.mean()) ** 2))) < _SILENCE


def hear(sound: FloatArray, rate: float) -> Crow | None:
    """The crow in a sound (n,) of full scale 1 at `rate` samples a second; None where no note stands for long enough.

    Raises ValueError for a rate under LOWEST_RATE.
    """
    if rate < LOWEST_RATE:
        raise ValueError(f"{rate:g} samples a second are too few to hear a reed; at least {LOWEST_RATE}")
    sound = _prepared(np.asarray(sound, dtype=np.float64), rate)
    shortest, slowest = int(RATE / HIGHEST_HZ), int(RATE / LOWEST_HZ) + 2
    longest = _PERIODS * slowest
    difference = differences(sound, _WINDOW, _HOP, longest)
    if len(difference) < _FEWEST:
        return None
    curve = normalised(difference[:, : slowest + 1])
    loud = _loud(sound, len(difference), longest)
    place = _steadiest(curve, loud, shortest)
    if place is None:
        return None
    lag = first_dip(curve[place].mean(axis=0), shortest, _SAME_DEPTH)
    place = _without_breath(curve[:, lag - 1 : lag + 2].min(axis=1), place)
    difference, whole = difference[place], float(curve[place, lag].mean()) if place.stop > place.start else 1.0
    if whole > _REPEATS or len(difference) < _FEWEST:
        return None
    cents = 1200 * np.log2(RATE / _lags(difference, lag))
    middle = float(np.median(cents))
    kept = cents[np.abs(cents - middle) <= _STRAYED_CENTS]
    spread = float(np.std(kept))
    if len(kept) < 0.8 * len(cents) or spread > _TOO_UNSTEADY_CENTS:
        return None
    hertz = float(2 ** (kept.mean() / 1200))
    heard = sound[place.start * _HOP : (place.stop - 1) * _HOP + _WINDOW]
    share = _octave_share(heard, hertz)
    if share > _ALL_IN_OCTAVES:
        hertz *= 2
        share = _octave_share(heard, hertz)
    return Crow(hertz, share, spread, 1 - whole, len(heard) / RATE)


def _prepared(sound: FloatArray, rate: float) -> FloatArray:
    """The band in which reeds crow, at RATE, without clicks at its ends."""
    if not len(sound):
        return sound
    spectrum = np.fft.rfft(sound)
    at = np.fft.rfftfreq(len(sound), 1 / rate)
    spectrum[(at < _BAND_HZ[0]) | (at > _BAND_HZ[1])] = 0
    size = max(1, round(len(sound) * RATE / rate))
    return np.asarray(np.fft.irfft(spectrum, size) * (size / len(sound)))


def _loud(sound: FloatArray, count: int, longest: int) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which of the frames are of the crow, by how loud they are."""
    taken = np.lib.stride_tricks.sliding_window_view(sound, _WINDOW + longest)[::_HOP][:count]
    level = np.sqrt((taken**2).mean(axis=1))
    loud: np.ndarray[tuple[int], np.dtype[np.bool_]] = level >= max(_SILENCE, _LOUD * float(level.max()))
    return loud


def _steadiest(curve: FloatArray, loud: np.ndarray[tuple[int], np.dtype[np.bool_]], shortest: int) -> slice | None:
    """The second, or what there is of one, of loud frames that repeats itself best with one period."""
    best, deepest = None, np.inf
    edges = np.flatnonzero(np.diff(np.concatenate(([False], loud, [False])).astype(np.int8)))
    for start, stop in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        length = min(_SECOND, stop - start)
        if length < _FEWEST:
            continue
        total = np.concatenate((np.zeros((1, curve.shape[1])), np.cumsum(curve[start:stop], axis=0)))
        depth = ((total[length:] - total[:-length]) / length)[:, shortest:].min(axis=1)
        at = int(np.argmin(depth))
        if depth[at] < deepest:
            best, deepest = slice(start + at, start + at + length), float(depth[at])
    return best


def _without_breath(repeats: FloatArray, place: slice) -> slice:
    """The longest part of a second whose frames repeat themselves (the normalised difference of each, (frames,)): the
    breath before and after the note may be as loud. A frame is taken as most of the five around it are."""
    noted = (repeats[place] < _FRAME_REPEATS).astype(np.float64)
    most = np.convolve(noted, np.ones(5), "same") > 2
    edges = np.flatnonzero(np.diff(np.concatenate(([False], most, [False])).astype(np.int8)))
    runs = list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))
    start, stop = max(runs, key=lambda run: run[1] - run[0], default=(0, 0))
    return slice(place.start + start, place.start + stop)


def _lags(difference: FloatArray, lag: int) -> FloatArray:
    """The period of each frame, in samples: from near that of all together, to near each of its multiples, by which the
    error is divided."""
    row, lags = np.arange(len(difference)), np.full(len(difference), float(lag))
    multiple = 1
    while multiple * lag * 1.06 + 2 < difference.shape[1] and multiple <= _MOST_PERIODS:
        reach = max(2, round(lag * _REACH))
        around = np.round(lags * multiple).astype(np.int64)[:, None] + np.arange(-reach, reach + 1)
        around = np.clip(around, 1, difference.shape[1] - 2)
        best = difference[row[:, None], around].argmin(axis=1)
        lags = refined(difference, around[row, best]) / multiple
        multiple += 1
    return lags


def _octave_share(sound: FloatArray, hertz: float) -> float:
    """Of the energy of the partials of a note, the part of its octaves. What lies between the partials is air, and is
    taken off."""
    power = np.abs(np.fft.rfft(sound * np.hanning(len(sound)))) ** 2
    width = RATE / len(sound)
    air = float(np.median(power[int(_BAND_HZ[0] / width) : int(_BAND_HZ[1] / width)])) / np.log(2)
    found = {}
    for partial in range(1, _PARTIALS + 1):
        if partial * hertz * 1.03 > _BAND_HZ[1]:
            break
        near = power[int(partial * hertz * 0.97 / width) : int(partial * hertz * 1.03 / width) + 2]
        found[partial] = max(0.0, float((near - air).sum()))
    total = sum(found.values())
    return sum(found.get(octave, 0.0) for octave in (2, 4, 8)) / total if total > 0 else 0.0
