"""What a habit is: something a maker does to some reeds and not, or less, to others."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from reedkin.study.habits.making import Making
from reedkin.study.playings import FloatArray, Playings

Kind = Literal["making", "use"]
Measure = Literal["number", "yes", "category"]


@dataclass(frozen=True, slots=True)
class Habit:
    """
    One habit, in words for people and as a way to reckon it.

    name          what it is called in files and on the command line; never changes.
    label         what it is, as the title of a row.
    per           what is compared: "each extra millimetre tied", "wired rather than not".
    low, high     what a reed with little of it and one with much of it are called.
    kind          'making' if it is settled when service begins or soon after, 'use' if it changes while the reed
                  serves.
    measure       a number, yes (1) or no (0), or a category (words).
    unit, scale   the unit that values are in, and how much of it makes one `per`.
    hours_only    it says how much a reed is played, which of itself makes its days fewer: of no meaning on the clock
                  of days.
    lag_hours     only what was done at least so many playing hours ago counts.
    from_hours    or reeds are compared from so many playing hours on.
    choice        whether the maker can choose it.
    drawn         and whether chance can choose for her, so that a fair trial can be made of it.
    about         how it is reckoned, where that is not plain, in a sentence.
    of_making     the value of a reed by how it was made: a number (yes is 1, no 0), a word, or None where it is not
                  known.
    of_playings   or (n,) the value known before each playing begins; nan where it is not known.
    """

    name: str
    label: str
    per: str
    low: str
    high: str
    kind: Kind
    measure: Measure = "number"
    unit: str = ""
    scale: float = 1.0
    hours_only: bool = False
    lag_hours: float | None = None
    from_hours: float | None = None
    choice: bool = False
    drawn: bool = True
    about: str = ""
    of_making: Callable[[Making], float | str | None] | None = None
    of_playings: Callable[[Playings], FloatArray] | None = None

    def in_unit(self, figure: str) -> str:
        """A figure with the unit that values are in: "60.2 mm", "1 reed", "20%"."""
        if self.unit == "%":
            return f"{figure}%"
        return f"{figure} {self.unit.removesuffix('s') if figure == '1' else self.unit}".rstrip()
