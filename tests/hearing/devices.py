"""Microphones made for the tests."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.hearing.crows import FloatArray


def put_in(monkeypatch: pytest.MonkeyPatch, made: str) -> None:
    """Have the process that captures sound find a device of the tests' own."""
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parent / "no_device"))
    monkeypatch.setenv("MADE_SOUND", made)


def that_hears(monkeypatch: pytest.MonkeyPatch, folder: Path, sound: FloatArray, more: float = 5) -> None:
    """A device that hears this sound (n,), at 44100 samples a second, and so many seconds of silence."""
    sound = np.concatenate([sound, np.zeros(round(more * 44100))])
    path = folder / "made.f4"
    path.write_bytes((2 * sound).astype(np.dtype("<f4")).tobytes())  # both channels together are half as loud
    put_in(monkeypatch, str(path))
