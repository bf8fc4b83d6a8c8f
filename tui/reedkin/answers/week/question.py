"""What was made, played and retired in a week, what runs low and what is due?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from reedkin.answers.question import Asked
from reedkin.answers.week.review import WEEK, Review, review, review_as_dict, review_text
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.others import WeekJson


@dataclass(frozen=True, slots=True)
class Week:
    """The review of a week, told `now`."""

    review: Review
    now: datetime

    def to_json(self) -> WeekJson:
        return review_as_dict(self.review)

    def lines(self) -> list[str]:
        return review_text(self.review, self.now)


@dataclass(frozen=True, slots=True)
class WeekQuestion:
    """The days that end with `last`, seven of them unless others are meant."""

    last: date
    days: int = WEEK

    def answer(self, asked: Asked, tick: Tick) -> Week:
        tick(0.1)
        return Week(review(asked.bench, self.last, self.days), asked.bench.clock.now())
