"""Crows made for the tests: the note, the octaves, the air and the wobble are known."""

from __future__ import annotations

import wave
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Made:
    """A crow to be made. noise_db: the note's power over the air's. wobble_cents: how far it goes up and down, six
    times a second."""

    hertz: float = 523.251
    octaves: bool = True
    noise_db: float = 20.0
    wobble_cents: float = 0.0
    seconds: float = 2.0
    rate: int = 44100
    seed: int = 1

    def sound(self) -> FloatArray:
        chance = np.random.default_rng(self.seed)
        at = np.arange(round(self.seconds * self.rate)) / self.rate
        bent = self.hertz * 2 ** (self.wobble_cents / 1200 * np.sin(2 * np.pi * 6 * at))
        phase = 2 * np.pi * np.cumsum(bent) / self.rate
        note = np.zeros_like(at)
        for partial in range(1, 12):
            if partial * self.hertz * 1.02 < self.rate / 2:
                size = partial**-1.2
                if self.octaves and partial in (2, 4):
                    size *= chance.uniform(2.0, 3.5)
                note += size * np.sin(partial * phase + chance.uniform(0, 2 * np.pi))
        air = chance.normal(size=len(at)) * np.sqrt(np.mean(note**2) / 10 ** (self.noise_db / 10))
        swell = np.minimum(1, np.minimum(at, self.seconds - at) / 0.15)
        whole = (note + air) * np.maximum(swell, 0)
        return np.asarray(0.5 * whole / np.abs(whole).max())


def speech(seconds: float = 3.0, rate: int = 16000, seed: int = 1) -> FloatArray:
    """Like speech: pulses of a gliding voice through two resonances, in syllables with silences and hisses between."""
    chance = np.random.default_rng(seed)
    parts, made = [], 0.0
    while made < seconds:
        long = chance.uniform(0.1, 0.35)
        at = np.arange(round(long * rate)) / rate
        start, end = chance.uniform(90, 260, 2)
        phase = np.cumsum(start + (end - start) * at / long) / rate
        pulses = np.diff(np.floor(phase), prepend=0.0)
        for formant in (chance.uniform(300, 800), chance.uniform(1000, 2300)):
            ring = np.exp(-at[: rate // 50] * 300) * np.sin(2 * np.pi * formant * at[: rate // 50])
            pulses = np.convolve(pulses, ring)[: len(at)]
        hiss = chance.normal(size=round(chance.uniform(0.03, 0.1) * rate)) * 0.05
        size = np.abs(pulses).max() or 1.0
        parts += [pulses / size * np.hanning(len(at)), hiss, np.zeros(round(chance.uniform(0, 0.08) * rate))]
        made = sum(len(part) for part in parts) / rate
    return np.asarray(0.5 * np.concatenate(parts))


def write_wav(path: Path, sound: FloatArray, rate: int, bits: int = 16, channels: int = 1) -> Path:
    """Write PCM with the standard library's own writer."""
    whole = np.repeat(sound[:, None], channels, axis=1).ravel()
    if bits == 8:
        raw = np.round(whole * 127 + 128).astype(np.uint8).tobytes()
    else:
        scaled = np.round(whole * (2.0 ** (bits - 1) - 1)).astype("<i4")
        raw = scaled.view(np.uint8).reshape(-1, 4)[:, : bits // 8].tobytes()
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(bits // 8)
        file.setframerate(rate)
        file.writeframes(raw)
    return path
