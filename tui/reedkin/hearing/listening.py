"""Sound as it comes in: which note it is now, and when it has been steady for long enough."""

from __future__ import annotations

import numpy as np

from reedkin.hearing.crow import Crow, hear
from reedkin.hearing.yin import FloatArray

_NOW_SECONDS = 0.6
_JUDGED_SECONDS = 1.3
"""The steadiest second is looked for in so much of what came last."""
_WHOLE_SECOND = 0.95
_STEADIER_CENTS = 1.0
"""What is worth waiting for."""


class Hearing:
    """What has come in so far (n,), at `rate` samples a second."""

    def __init__(self, rate: float) -> None:
        self.rate = rate
        self._blocks: list[FloatArray] = []
        self._count = 0
        self._before: Crow | None = None

    def add(self, block: FloatArray) -> None:
        """Take in what came next (n,)."""
        self._blocks.append(block)
        self._count += len(block)

    @property
    def seconds(self) -> float:
        return self._count / self.rate

    @property
    def sound(self) -> FloatArray:
        return np.concatenate(self._blocks) if self._blocks else np.zeros(0)

    def last(self, seconds: float) -> Crow | None:
        """The crow in the last of it."""
        return hear(self.sound[-round(seconds * self.rate) :], self.rate)

    def now(self) -> Crow | None:
        """The note that sounds now."""
        return self.last(_NOW_SECONDS)

    def settled(self) -> Crow | None:
        """The crow, once it has been one for a whole second and grows no steadier. To be asked time after time."""
        before, self._before = self._before, self._whole_second()
        now = self._before
        if before is None or now is None or now.spread_cents < before.spread_cents - _STEADIER_CENTS:
            return None
        return min(before, now, key=lambda crow: crow.spread_cents)

    def _whole_second(self) -> Crow | None:
        crow = self.last(_JUDGED_SECONDS) if self.seconds >= 1 else None
        return crow if crow is not None and crow.seconds >= _WHOLE_SECOND else None
