"""One simulated reed: what the log can know of it, and the hidden course of its life."""

from __future__ import annotations

from dataclasses import dataclass, field

from demo_logs.maker.trade import Profile

DRYING, READY, SERVICE, AWAY, GONE = "drying", "ready", "service", "away", "gone"

LIFE_SHAPE = 2.5
"""Shape of the Weibull baseline: the hazard of wear grows with hours played to the power 1.5."""


@dataclass(slots=True, eq=False)
class SimReed:
    """A reed. Lengths in mm, playing in whole minutes, days as ordinals, times in local minutes.

    Its life is drawn once, as an amount of wear (`wear_at_end`, exponential with mean 1); every minute played adds
    baseline hazard x exp(effects) to `wear`, and the reed is done in the minute where the two meet. That is the
    hazard model itself, and it gives the reed a hidden condition: `worn_share`, from 0 when new to 1 at the end.
    """

    tag: str
    bearer: int
    profile: Profile
    begun: int  # day
    overall: float
    quality: float
    wear_at_end: float
    pace: int  # minutes that its first playings are kept under
    state: str = DRYING
    tied_overall: float | None = None
    tube: str = ""
    # the way to service
    fate_stage: int | None = None  # the stage of work at which the blank is given up
    stages: list[list[str]] = field(default_factory=list)
    stage: int = 0
    due: int = 0  # day of the next stage
    order: str = ""
    # making habits
    gouge: float = 0.0
    bad_lot: bool = False
    lot: str = ""
    wired: bool = False
    crowed: bool = False
    wired_before_crow: bool = False
    sink: int = 0
    first_rest: int = 0
    clipped: float = 0.0
    tube_use: int = 0
    humidity: float = 45.0
    # its life
    log_rate: float = 0.0
    entry: int = 0
    minutes: int = 0
    wear: float = 0.0
    rested_since: int = 0  # local time at the end of the last playing, or when it was finished
    last_playing: int | None = None  # local time at the end of the last playing that the log knows
    recent: list[tuple[int, int]] = field(default_factory=list)  # (even time at its end, minutes)
    longest: int = 0
    early_longest: int = 0
    playings: int = 0
    performances: int = 0
    touch_ups: int = 0
    cleanings: int = 0
    scores: list[float] = field(default_factory=list)  # of its playings
    back: int = 0  # day on which a lent reed comes back
    cause: str | None = None

    @property
    def instrument(self) -> str:
        return self.profile.instrument

    @property
    def of_late(self) -> float | None:
        """The mean of its last two scores."""
        return sum(self.scores[-2:]) / len(self.scores[-2:]) if self.scores else None

    @property
    def joined(self) -> bool:
        return self.tied_overall is None

    @property
    def worn_share(self) -> float:
        return self.wear / self.wear_at_end
