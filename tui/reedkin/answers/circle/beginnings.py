"""What the circle knows of lives and of blanks: where a log that is new begins, in the place of common practice."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from reedkin.answers.circle.gathering import Circle, files_if_any, gathered
from reedkin.answers.circle.marks import marks_of
from reedkin.store.circle.shares import LivesShare
from reedkin.study.lives import Life

FEWEST_MAKERS = 2
"""What one other maker alone has is no common practice."""


@dataclass(frozen=True, slots=True)
class LivesBefore:
    """What is believed of a maker's lives on an instrument: half last `half` hours, with the standard deviation of the
    logarithm `spread`, going by so many other makers."""

    half: float
    spread: float
    makers: int


@dataclass(frozen=True, slots=True)
class BlanksBefore:
    """The share of a maker's blanks that comes good, going by `settled` blanks of so many other makers."""

    share: float
    settled: int
    makers: int


class Beginnings:
    """What the files in a `folder` (None: there is none) say before a log does, whose own `lives` count by themselves.
    They are read when first asked for."""

    def __init__(self, folder: Path | None, lives: Iterable[Life] = ()) -> None:
        self._folder, self._lives = folder, lives

    @cached_property
    def _circle(self) -> Circle:
        files = files_if_any(self._folder)
        return gathered(files, marks_of(self._lives)) if files else Circle(())

    def lives(self, instrument: str) -> LivesBefore | None:
        """Of an instrument; None where too few others tell of it."""
        told = [one for one in self._of(instrument) if one.left_after[1] is not None]
        if len(told) < FEWEST_MAKERS:
            return None
        from reedkin.survival.others_lives import median_of_one_more

        half, spread = median_of_one_more([one.left_after[1] or 0 for one in told], [one.retired for one in told])
        return LivesBefore(half, spread, len(told))

    def blanks(self, instrument: str, usual: float, worth: float) -> BlanksBefore | None:
        """Of an instrument; `usual` is what is believed otherwise, worth so many blanks."""
        told = [one.blanks for one in self._of(instrument) if one.blanks is not None]
        if len(told) < FEWEST_MAKERS:
            return None
        from reedkin.survival.others_lives import share_of_one_more

        good, settled = [good for good, _ in told], [settled for _, settled in told]
        return BlanksBefore(share_of_one_more(good, settled, usual, worth), sum(settled), len(told))

    def _of(self, instrument: str) -> list[LivesShare]:
        every = (one for member in self._circle.members for one in member.share.lives)
        return [one for one in every if one.instrument == instrument]
