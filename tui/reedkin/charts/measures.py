"""A reed's measures in words, for where a drawing cannot be."""

from __future__ import annotations

from reedkin.domain.describe import mm, plural
from reedkin.domain.instruments import Targets
from reedkin.domain.literal import literal
from reedkin.domain.reeds import State, Wire


def measures_line(state: State, targets: Targets) -> str:
    """The measures in mm from the butt, on two lines: those the maker aims at with their targets, and the others that
    are known."""
    return " · ".join(_aimed(state, targets)) + "\n" + " · ".join(_others(state))


def _aimed(state: State, targets: Targets) -> list[str]:
    tied = f", tied {mm(state.tied_mm, unit=False)}" if state.tied_mm not in (None, state.overall_mm) else ""
    return [
        _against("overall", state.overall_mm, targets.overall_mm) + tied,
        _against("tip from", state.tip_from_mm, targets.tip_from_mm),
        _against("heart from", state.heart_from_mm, targets.heart_from_mm),
        _against("tube", state.tube_mm, targets.tube_mm),
    ]


def _against(name: str, value: float | None, target: float) -> str:
    aim = mm(target, unit=False)
    return f"{name} ? (target {aim})" if value is None else f"{name} {mm(value)} (target {aim})"


def _others(state: State) -> list[str]:
    lengths = (
        ("blade", state.blade_mm),
        ("heart", state.heart_mm),
        ("tip", state.tip_mm),
        ("tubing", state.tubing_mm),
        ("opening", state.opening_mm),
        ("width", state.width_mm),
        ("gouge", state.gouge_mm),
    )
    words = [f"{name} {mm(value)}" for name, value in lengths if value is not None]
    if state.wire is not None:
        words.append(_wire(state.wire))
    if state.crow:
        words.append(f"crow {literal(state.crow)}")
    return words or ["nothing else measured"]


def _wire(wire: Wire) -> str:
    known = (
        f"{wire.gauge_awg} awg" if wire.gauge_awg else "",
        literal(wire.material or ""),
        plural(wire.turns, "turn") if wire.turns else "",
        f"at {mm(wire.from_butt_mm)}" if wire.from_butt_mm is not None else "",
    )
    return " ".join(("wire", *filter(None, known)))
