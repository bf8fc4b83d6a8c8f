"""Made crows heard here and by another's pitch tracker: `python -m tests.benchmarks.crow_reference [--count 200]`.

Each is written as a recording of some depth and number of channels, and read again. The other is pYIN of librosa (`pip
install librosa`), over the same sound; without it only ours is told. Prints how many are within 5 cents of what was
made, how far off they are, how often each takes another octave, and how often ours says rightly whether it crows in
octaves.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from tests.hearing.crows import FloatArray, Made, write_wav

from reedkin.hearing.crow import Crow, hear
from reedkin.hearing.sound import read_wav

RATES = (8000, 16000, 22050, 44100, 48000, 96000)
BITS = (8, 16, 24, 32)

Sound = tuple[FloatArray, int]


def made(count: int) -> list[Made]:
    """Crows of every kind, evenly over an octave up and down from A4."""
    chance = np.random.default_rng(7)
    return [
        Made(
            hertz=440 * 2 ** float(chance.uniform(-1, 1)),
            octaves=bool(chance.integers(2)),
            noise_db=float(chance.uniform(0, 20)),
            wobble_cents=float(chance.uniform(0, 20)),
            rate=int(chance.choice(RATES)),
            seed=seed,
        )
        for seed in range(count)
    ]


def recorded(crows: Sequence[Made]) -> list[Sound]:
    """The same as recordings have them: of every depth, every other one in stereo."""
    with TemporaryDirectory() as folder:
        take = Path(folder) / "take.wav"
        return [
            read_wav(write_wav(take, one.sound(), one.rate, BITS[place % 4], 1 + place % 2))
            for place, one in enumerate(crows)
        ]


def _theirs(sound: FloatArray, rate: int) -> float | None:
    import librosa

    pitch, voiced, _ = librosa.pyin(sound, fmin=180, fmax=2200, sr=rate)
    return float(np.median(pitch[voiced])) if voiced.any() else None


def _told(name: str, crows: Sequence[Made], found: Sequence[float | None], seconds: float) -> str:
    off = np.array([1200 * np.log2(f / one.hertz) for one, f in zip(crows, found, strict=True) if f is not None])
    near = np.abs(off)
    right = np.count_nonzero(near <= 5) / len(crows)
    return (
        f"{name}: {len(off)} of {len(crows)} heard, within 5 cents {right:.1%}, "
        f"half within {np.median(near):.2f} cents, "
        f"another octave {np.count_nonzero(near > 600)}, {seconds / len(crows) * 1000:.0f} ms each"
    )


def _timed(
    name: str, crows: Sequence[Made], sounds: Sequence[Sound], way: Callable[[FloatArray, int], float | None]
) -> None:
    start = time.process_time()
    found = [way(*sound) for sound in sounds]
    print(_told(name, crows, found, time.process_time() - start))


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--count", type=int, default=200)
    crows = made(options.parse_args().count)
    sounds = recorded(crows)
    heard: list[Crow | None] = []

    def ours(sound: FloatArray, rate: int) -> float | None:
        heard.append(hear(sound, rate))
        return heard[-1].hertz if heard[-1] is not None else None

    _timed("ours", crows, sounds, ours)
    right = sum(crow is not None and crow.octaves == one.octaves for crow, one in zip(heard, crows, strict=True))
    print(f"ours: in octaves or not, rightly {right / len(crows):.1%}")
    if find_spec("librosa") is not None:
        _timed("librosa's pyin", crows, sounds, _theirs)


if __name__ == "__main__":
    main()
