"""What do reeds at work still have before them?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reedkin.answers.hours_left.outlook import Outlook
    from reedkin.answers.question import Asked
    from reedkin.study.ticks import Tick


@dataclass(frozen=True, slots=True)
class OutlookQuestion:
    """What do reeds at work still have before them?"""

    def answer(self, asked: Asked, tick: Tick) -> Outlook:
        from reedkin.answers.hours_left.outlook import Outlook

        return Outlook(asked.study, asked.bench.circle)
