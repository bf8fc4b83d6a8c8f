"""Made crows heard here and by another's pitch tracker: `python -m tests.benchmarks.crow_reference [--count 200]`.

The other is pYIN of librosa (`pip install librosa`), over the same second. Prints how far each is off and how often
each takes another octave.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence

import numpy as np
from tests.hearing.crows import Made

from reedkin.hearing.crow import hear

RATES = (8000, 16000, 22050, 44100, 48000, 96000)


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


def _theirs(one: Made) -> float | None:
    import librosa

    pitch, voiced, _ = librosa.pyin(one.sound(), fmin=180, fmax=2200, sr=one.rate)
    return float(np.median(pitch[voiced])) if voiced.any() else None


def _ours(one: Made) -> float | None:
    heard = hear(one.sound(), one.rate)
    return None if heard is None else heard.hertz


def _told(name: str, crows: Sequence[Made], found: Sequence[float | None], seconds: float) -> str:
    off = np.array([1200 * np.log2(f / one.hertz) for one, f in zip(crows, found, strict=True) if f is not None])
    near = np.abs(off)
    right = np.count_nonzero(near <= 5) / len(crows)
    return (
        f"{name}: {len(off)} of {len(crows)} heard, within 5 cents {right:.1%}, "
        f"half within {np.median(near):.2f} cents, "
        f"another octave {np.count_nonzero(near > 600)}, {seconds / len(crows) * 1000:.0f} ms each"
    )


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--count", type=int, default=200)
    crows = made(options.parse_args().count)
    for name, way in (("ours", _ours), ("librosa's pyin", _theirs)):
        start = time.perf_counter()
        found = [way(one) for one in crows]
        print(_told(name, crows, found, time.perf_counter() - start))


if __name__ == "__main__":
    main()
