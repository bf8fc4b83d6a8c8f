"""What a reed at work still has before it, told from the reeds of the same log that came as far."""

from __future__ import annotations

from collections.abc import Mapping

from reedkin.answers.lives.lifespans import Remaining, curves_by_instrument, expected_remaining
from reedkin.bench.bench import Bench
from reedkin.domain.describe import duration
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.study.study import Study
from reedkin.survival import SurvivalCurve


class Outlook:
    """The curves of a log by instrument, on the clock of hours."""

    def __init__(self, study: Study) -> None:
        self._curves: Mapping[str, SurvivalCurve] = curves_by_instrument(study)

    @classmethod
    def of_bench(cls, bench: Bench) -> Outlook:
        """Reads the whole log."""
        return cls(Study.of_bench(bench))

    def remaining(self, reed: Reed) -> Remaining | None:
        """The hours of playing still to be expected, for a reed in service; None for any other, or where no reed of
        its instrument has served."""
        curve = self._curves.get(reed.instrument)
        return expected_remaining(curve, reed.now.hours) if curve is not None and reed.stage == IN_SERVICE else None

    def sentence(self, reed: Reed) -> str:
        """The same in words; empty for a reed that is not in service."""
        if reed.stage != IN_SERVICE:
            return ""
        left = self.remaining(reed)
        others = f"your {reed.instrument} reeds that came to {duration(reed.now.minutes_played)}"
        if left is None or (left.median is None and left.at_least is None):
            return f"left to expect: not known, since none of {others}"
        if left.median is None:
            return f"left to expect: more than can be told yet from {others}"
        return f"left to expect: {_hours(left.median)}{_interval(left)}, as half of {others}"


def _interval(left: Remaining) -> str:
    """The 95% interval in hours."""
    lo = "0" if left.lo is None else f"{left.lo:.0f}"
    hi = "?" if left.hi is None else f"{left.hi:.0f}"
    return f" ({lo} to {hi})"


def _hours(value: float) -> str:
    return duration(value * 60)
