"""Files of a circle for the tests."""

from __future__ import annotations

from typing import Any

from reedkin.store.circle.shares import DEFINITIONS, FORMAT, VERSION, HabitShare, LivesShare, Share, TrialShare

TRIAL = "0123456789abcdef" * 2


def habit(
    value: float = 0.34, se: float = 0.25, name: str = "tied_mm", clock: str = "hours", **more: Any
) -> HabitShare:
    """What a maker gives of a habit."""
    given: dict[str, Any] = {"reeds": 40, "retired": 30, "spread": 0.8, "quarters": (60.0, 61.0), **more}
    return HabitShare(name, clock, value, se, **given)  # type: ignore[arg-type]


def share(maker: int = 1, habits: tuple[HabitShare, ...] | None = None, **more: Any) -> Share:
    """What a maker gives; another number is another maker."""
    given: dict[str, Any] = {
        "reeds": 40, "retired": 30, "joined": 2,
        "marks": tuple(f"{maker:06x}{number:06x}" for number in range(24)),
        "lives": (LivesShare("oboe", 38, 29, (8, 12, 17)),),
        "habits": (habit(), habit(0.3, 0.26, clock="days")) if habits is None else habits,
        "trials": (TrialShare(TRIAL, f"{maker:012x}", (12, 12), (11, 12), (8, 9), 1.6, 4.0),),
        **more,
    }  # fmt: skip
    return Share(FORMAT, VERSION, "0.1.0", DEFINITIONS, **given)
