"""What a drawing of a reed shows: where each of its parts is, and which of that was measured."""

from __future__ import annotations

from dataclasses import dataclass

from reedkin.charts.canvas import Role
from reedkin.charts.reed_shape import Shape, shape_of
from reedkin.charts.thread import winding
from reedkin.domain.instruments import Targets
from reedkin.domain.reeds import State


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the reed in mm from the butt, and whether it was measured; if not, it is where the maker aims."""

    mm: float
    sure: bool

    @classmethod
    def of(cls, known: float | None, otherwise: float) -> Spot:
        return cls(otherwise, False) if known is None else cls(known, True)


@dataclass(frozen=True, slots=True)
class ReedPlan:
    """The parts of a reed from butt to tip. `tied_mm` is its length before anything was clipped, at least as long as
    it is now; `tubing_mm` is 0 without tubing; `winding` are the colours of its thread."""

    shape: Shape
    tube: Spot
    heart: Spot
    tip: Spot
    overall: Spot
    tied_mm: float
    wire: Spot | None
    tubing_mm: float
    winding: tuple[Role, ...] = ("thread",)

    @property
    def clipped_mm(self) -> float:
        """What was taken off since it was tied; 0 where the length is not known."""
        return self.tied_mm - self.overall.mm if self.overall.sure else 0


def plan_of(state: State, targets: Targets) -> ReedPlan:
    """What is known of a reed, and the targets where nothing is."""
    tube = Spot.of(state.tube_mm, targets.tube_mm)
    overall = Spot.of(state.overall_mm, targets.overall_mm)
    above_thread = tube.mm + (targets.heart_from_mm - targets.tube_mm) / 4
    return ReedPlan(
        shape=shape_of(state.instrument, state.width_mm),
        tube=tube,
        heart=Spot.of(state.heart_from_mm, targets.heart_from_mm),
        tip=Spot.of(state.tip_from_mm, targets.tip_from_mm),
        overall=overall,
        tied_mm=max(state.tied_mm or 0, overall.mm),
        wire=None if state.wire is None else Spot.of(state.wire.from_butt_mm, above_thread),
        tubing_mm=state.tubing_mm or 0,
        winding=winding(state.thread),
    )
