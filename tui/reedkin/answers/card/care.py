"""The card that goes with a reed handed over: what it is, and how to look after it."""

from __future__ import annotations

from textwrap import wrap

from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import deliveries
from reedkin.domain.cautions import DEFER, LOOSE, MOULD, SHARED, WIRE
from reedkin.domain.columns import cut
from reedkin.domain.figures import duration, mm
from reedkin.domain.reeds import Reed

WIDTH = 60
"""Columns of a card."""

# Common practice, no source.
CARE = (
    "Soak it a few minutes in a little clean water before you play; not overnight.",
    "Play it in: a quarter of an hour at a time in the first days.",
    "Let it dry in a case with air, tip up, and rest it a day where you can: play several by turns.",
    "Keep fingers off the tip. Clean it with water now and then.",
)


def care_card(reed: Reed, bench: Bench, width: int = WIDTH) -> list[str]:
    """The card as plain lines of at most `width` columns, to print and put in the box."""
    out = next((one for one in deliveries(reed)[-1:] if one.came_back is None), None)
    title = f"{reed.instrument.capitalize()} reed {reed.label}"
    if reed.now.name:
        title += f", {reed.now.name}"
    facts = [f"for {out.to}" if out is not None and out.to else "", *_facts(reed)]
    lines = [cut(title, width), "-" * min(len(title), width)]
    lines += _wrapped(", ".join(fact for fact in facts if fact), width, "")
    lines.append("")
    for advice in CARE:
        lines += _wrapped(advice, width, "- ")
    lines.append("")
    for caution in _cautions(reed):
        lines += _wrapped(caution, width, "! ")
    when = out.at if out is not None else bench.clock.now()
    return [*lines, "", *_wrapped(DEFER, width, ""), "", f"{when.day} {when:%B %Y}"]


def _facts(reed: Reed) -> list[str]:
    state = reed.now
    return [
        f"{mm(state.overall_mm)} long" if state.overall_mm is not None else "",
        f"on a tube of {mm(state.tube_mm)}" if state.tube_mm is not None else "",
        f"{state.thread} thread" if state.thread else "",
        "wired" if state.wire else "",
        f"crows {state.crow}" if state.crow else "",
        f"tied {reed.begun.day} {reed.begun:%B %Y}" if not reed.joined else "",
        f"played {duration(state.minutes_played)}" if state.minutes_played else "new",
    ]


def _cautions(reed: Reed) -> list[str]:
    return [*([WIRE] if reed.now.wire else []), LOOSE, SHARED, MOULD]


def _wrapped(text: str, width: int, mark: str) -> list[str]:
    return wrap(text, width, initial_indent=mark, subsequent_indent=" " * len(mark)) if text else []
