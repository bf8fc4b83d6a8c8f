"""Will there be enough good reeds on a day?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from reedkin.answers.hours_left.outlook import Outlook
from reedkin.answers.question import Asked
from reedkin.answers.ready.forecast import Readiness, Wish, readiness
from reedkin.answers.ready.telling import readiness_as_dict, readiness_text
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.ahead import ReadyJson


@dataclass(frozen=True, slots=True)
class Ready:
    """The forecast, and the seed of the chances that it was drawn from."""

    forecast: Readiness
    seed: int

    def to_json(self) -> ReadyJson:
        return {**readiness_as_dict(self.forecast), "seed": self.seed}

    def lines(self) -> list[str]:
        return readiness_text(self.forecast)


@dataclass(frozen=True, slots=True)
class ReadyQuestion:
    """Will there be enough good reeds on a day, reckoned on the day `today`? Another `seed` is another draw of the same
    chances."""

    wish: Wish
    today: date
    seed: int = 1

    def answer(self, asked: Asked, tick: Tick) -> Ready:
        forecast = readiness(
            asked.bench, self.wish, self.seed, tick=tick, outlook=Outlook(asked.study, asked.bench.circle)
        )
        return Ready(forecast, self.seed)
