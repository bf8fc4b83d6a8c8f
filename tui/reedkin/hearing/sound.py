"""Sound from a WAV file (RIFF, Microsoft and IBM 1991), as numbers between -1 and 1."""

from __future__ import annotations

import io
import wave
from pathlib import Path

import numpy as np

from reedkin.errors import InputError
from reedkin.hearing.crow import LOWEST_RATE
from reedkin.hearing.yin import FloatArray

LONGEST_SECONDS = 30
"""What is read of a recording; a crow takes one."""
_HELP = "save it as WAV, 16 bit PCM"


def read_wav(path: Path) -> tuple[FloatArray, int]:
    """The first seconds of a recording, all channels taken together (n,), and its samples a second.

    Takes PCM of 8, 16, 24 and 32 bit. Raises InputError for what cannot be read as that.
    """
    try:
        with wave.open(str(path), "rb") as file:
            rate, width, channels = file.getframerate(), file.getsampwidth(), file.getnchannels()
            raw = file.readframes(min(file.getnframes(), LONGEST_SECONDS * rate))
    except OSError as error:
        raise InputError(f"{path}: {error.strerror or error}") from error
    except (wave.Error, EOFError) as error:
        raise InputError(f"{path} is no recording that can be read here ({error or 'cut short'}); {_HELP}") from error
    if width not in (1, 2, 3, 4) or not channels or not LOWEST_RATE <= rate <= 400_000:
        raise InputError(f"{path}: {8 * width} bit at {rate} samples a second cannot be read here; {_HELP}")
    whole = np.frombuffer(raw[: len(raw) // (width * channels) * width * channels], dtype=np.uint8)
    return _numbers(whole, width).reshape(-1, channels).mean(axis=1), rate


def as_wav(sound: FloatArray, rate: float) -> bytes:
    """A sound (n,) of full scale 1 as the bytes of a WAV file, 16 bit PCM."""
    samples = np.round(np.clip(sound, -1, 1) * 32767).astype("<i2")
    whole = io.BytesIO()
    with wave.open(whole, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(round(rate))
        file.writeframes(samples.tobytes())
    return whole.getvalue()


def _numbers(raw: np.ndarray[tuple[int], np.dtype[np.uint8]], width: int) -> FloatArray:
    """PCM samples of `width` bytes, little-endian, as numbers between -1 and 1; those of one byte have no sign."""
    if width == 1:
        return (raw.astype(np.float64) - 128) / 128
    high = np.zeros((len(raw) // width, 4), dtype=np.uint8)
    high[:, 4 - width :] = raw.reshape(-1, width)
    return high.view("<i4")[:, 0] / 2.0**31
