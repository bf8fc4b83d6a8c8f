"""Groups of reeds as the curves that the survival chart draws."""

from __future__ import annotations

from reedkin.answers.lives.groups import Group
from reedkin.charts.survival import SurvivalGroup


def as_curve(group: Group) -> SurvivalGroup:
    """The curve of a group, to be drawn."""
    curve = group.curve
    return SurvivalGroup(
        group.name,
        curve.time.tolist(),
        curve.survival.tolist(),
        curve.lo.tolist(),
        curve.hi.tolist(),
        curve.median,
        curve.censored.tolist(),
        curve.start,
        curve.last_observed,
    )
