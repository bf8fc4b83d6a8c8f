"""The truth planted in the simulated lives: how each habit multiplies the hazard of wear."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

EARLY_HOURS = 3.0
"""Playings begun within these first hours of playing count as 'the first hours' of a reed."""

RECENT_HOURS = 48
"""The window, in hours by the clock, of `Effects.recent_hour`."""


@dataclass(frozen=True)
class Planted:
    """One habit and its true effect: `log_hazard_ratio` for each `per` of it."""

    habit: str
    kind: str  # 'making' or 'use'
    per: str
    log_hazard_ratio: float


@dataclass(frozen=True)
class Effects:
    """True log hazard ratios, on the clock of hours played, of every habit the simulator knows.

    A habit in use has the value it had just before the playing in which it acts. 0 is no effect.
    """

    # Habits of making, fixed when service starts.
    overall_mm: float = 0.40
    gouge_hundredth: float = 0.0
    bad_lot: float = 0.70
    wired_before_crow: float = 0.70
    sink_minute: float = 0.0
    first_rest_day: float = 0.0
    clipped_mm: float = 0.0
    tube_use: float = 0.0
    humidity_ten: float = 0.0
    # Habits in use, which change while the reed lives.
    rest_under_day: float = 0.50
    early_longest_half_hour: float = 0.40
    longest_half_hour: float = 0.0
    recent_hour: float = 0.0
    touch_up: float = 0.0
    cleaning: float = 0.0
    performance_share: float = 0.0

    @classmethod
    def none(cls) -> Effects:
        """No habit has any effect."""
        return cls(**{field.name: 0.0 for field in fields(cls)})

    @classmethod
    def only(cls, **effects: float) -> Effects:
        """The named effects and no others."""
        return replace(cls.none(), **effects)

    def truth(self) -> tuple[Planted, ...]:
        """Every habit with its true log hazard ratio, those without effect included."""
        return tuple(
            Planted(field.name, *UNITS[field.name], log_hazard_ratio=getattr(self, field.name))
            for field in fields(self)
        )


UNITS: dict[str, tuple[str, str]] = {
    "overall_mm": ("making", "mm of overall length when tied"),
    "gouge_hundredth": ("making", "0.01 mm of gouge"),
    "bad_lot": ("making", "made from a bad lot (Scenario.bad_lots), against any other"),
    "wired_before_crow": ("making", "wired before it first crowed, against wired later or never"),
    "sink_minute": ("making", "minute the cane took to sink"),
    "first_rest_day": ("making", "day from tying to the first scrape"),
    "clipped_mm": ("making", "mm clipped before service"),
    "tube_use": ("making", "earlier reed on the same tube"),
    "humidity_ten": ("making", "10 % of relative humidity at tying"),
    "rest_under_day": ("use", "less than 24 hours from the end of the last playing to the start of this one"),
    "early_longest_half_hour": ("use", "30 minutes of the longest playing begun in the first 3 hours"),
    "longest_half_hour": ("use", "30 minutes of the longest playing so far"),
    "recent_hour": ("use", "hour played in playings that ended in the 48 hours before"),
    "touch_up": ("use", "scrape or clip since service started"),
    "cleaning": ("use", "cleaning since service started"),
    "performance_share": ("use", "share, 0 to 1, of the playings so far that were performances"),
}
"""Kind and unit of every field of `Effects`."""
