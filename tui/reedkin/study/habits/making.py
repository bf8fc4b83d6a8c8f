"""How a reed was made, as habits of making read it: what was logged before its service began."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from reedkin.domain.facts import WORK
from reedkin.domain.reeds import State, Step
from reedkin.study.lives import Life


@dataclass(frozen=True, slots=True)
class Making:
    """
    life          the life that came of it.
    work          the events before service, by kind.
    humidity_pct  relative humidity in the room when it was tied; None if not known.
    tube_uses     earlier reeds of this log on the same tube; None if the tube is not known.
    """

    life: Life
    work: Mapping[str, Sequence[Step]]
    humidity_pct: float | None = None
    tube_uses: int | None = None

    @classmethod
    def of(cls, life: Life, humidity_pct: float | None = None, tube_uses: int | None = None) -> Making:
        """How a life's reed was made, with what its own events do not tell."""
        work: dict[str, list[Step]] = {}
        for step in life.making:
            work.setdefault(step.kind, []).append(step)
        return cls(life, work, humidity_pct, tube_uses)

    @property
    def state(self) -> State:
        """What the reed was when service began."""
        return self.life.state

    @property
    def logged(self) -> bool:
        """Whether the work on it was logged: without, that no wire is noted does not mean that there was none."""
        return not self.life.reed.joined and any(kind in WORK for kind in self.work)

    def steps(self, kind: str) -> Sequence[Step]:
        """The events of a kind, in order."""
        return self.work.get(kind, ())

    def first(self, kind: str) -> Step | None:
        steps = self.steps(kind)
        return steps[0] if steps else None

    def days_to(self, step: Step | None) -> float | None:
        """Days from tying to an event."""
        tied = self.first("tied")
        return None if tied is None or step is None else days_between(tied.at, step.at)


def days_between(start: datetime, end: datetime) -> float:
    """Days from one moment to another; none if the dates are the wrong way about."""
    return max((end - start).total_seconds() / 86400, 0.0)


def if_logged(value: Callable[[Making], float | None]) -> Callable[[Making], float | None]:
    """The same, but not known for a reed on which no work was logged."""
    return lambda making: value(making) if making.logged else None
