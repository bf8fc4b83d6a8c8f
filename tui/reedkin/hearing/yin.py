"""The pitch of a sound that repeats itself: YIN (de Cheveigne & Kawahara 2002, Journal of the Acoustical Society of
America 111:1917-1930), steps 1 to 5, over many frames at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_TOGETHER = 128
"""Frames that are transformed at once: a long recording takes no more memory for it than a short one."""


def differences(sound: FloatArray, window: int, hop: int, longest: int) -> FloatArray:
    """
    The difference function of every frame (equation 6): d(lag) = sum over a window of (x[j] - x[j + lag])^2.

    sound (n,). Frames begin every `hop` samples, and each takes window + longest samples. Returns (frames,
    longest + 1), of no frames where the sound is too short for one.
    """
    taken = window + longest
    if len(sound) < taken:
        return np.empty((0, longest + 1))
    frames = np.lib.stride_tricks.sliding_window_view(sound, taken)[::hop]
    found = np.empty((len(frames), longest + 1))
    for start in range(0, len(frames), _TOGETHER):
        some = slice(start, start + _TOGETHER)
        found[some] = _of_frames(frames[some], window, longest)
    return found


def _of_frames(frames: FloatArray, window: int, longest: int) -> FloatArray:
    """The same of frames (frames, window + longest), by way of their spectra."""
    size = 1 << (frames.shape[1] - 1).bit_length()  # enough: no lag goes past the end of a frame
    spectrum = np.fft.rfft(frames, size, axis=1)
    fixed = np.fft.rfft(frames[:, :window], size, axis=1)
    product = np.fft.irfft(spectrum * fixed.conj(), size, axis=1)[:, : longest + 1]
    squares = np.concatenate((np.zeros((len(frames), 1)), np.cumsum(frames**2, axis=1)), axis=1)
    energy = squares[:, window:] - squares[:, : longest + 1]
    return np.maximum(energy[:, :1] + energy - 2 * product, 0.0)


def normalised(difference: FloatArray) -> FloatArray:
    """The cumulative mean normalised difference (equation 8): 1 at lag 0, near 0 where the sound repeats itself, about
    1 where it is noise or nothing. Takes and returns (frames, lags)."""
    lags = np.arange(1, difference.shape[1])
    total = np.cumsum(difference[:, 1:], axis=1)
    found = np.ones_like(difference)
    np.divide(difference[:, 1:] * lags, total, out=found[:, 1:], where=total > 0)
    return found


def first_dip(curve: FloatArray, shortest: int, tolerance: float) -> int:
    """The lag of the first local minimum of a normalised difference (lags,) from `shortest` on that is as deep as the
    deepest within `tolerance`: a sound repeats itself after two periods as well as after one (step 4, with the
    threshold taken from the sound itself, since a crow is noisy)."""
    inner = curve[shortest:-1]
    dips = np.flatnonzero((inner <= curve[shortest - 1 : -2]) & (inner < curve[shortest + 1 :])) + shortest
    if not len(dips):
        return int(np.argmin(curve[shortest:])) + shortest
    return int(dips[curve[dips] <= curve[dips].min() + tolerance][0])


def refined(difference: FloatArray, lags: NDArray[np.int64]) -> FloatArray:
    """Lags (frames,) to a part of a sample, by a parabola through the difference (frames, lags) around (step 5)."""
    row = np.arange(len(difference))
    before, at, after = (difference[row, lags + by] for by in (-1, 0, 1))
    bend = before - 2 * at + after
    shift = np.divide(before - after, 2 * bend, out=np.zeros_like(bend), where=bend > 0)
    return np.asarray(lags + np.clip(shift, -0.5, 0.5))
