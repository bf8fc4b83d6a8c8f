"""The reeds of the case as rows of a list, and why the marked one stands where it does."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Line, Role, Run
from reedkin.domain.columns import fit
from reedkin.domain.fates import stage_reached
from reedkin.domain.figures import ago, duration, in_line
from reedkin.domain.instruments import short_name
from reedkin.widgets.row_list import Row

if TYPE_CHECKING:
    from reedkin.answers.case.case import InCase
    from reedkin.answers.case.choosing import Suggestion

_PLACE, _TAG, _FOR, _LEFT = 4, 8, 5, 15
_FIXED = _PLACE + _TAG + _FOR + _LEFT + 32
_ROOMY = 24
"""Columns from which a row has room for why it stands there."""


def case_heading(width: int) -> Row:
    """What stands over the columns."""
    head = f"{'':{_PLACE}}{fit('reed', _TAG)}{fit('for', _FOR)}{'played':>7}{'d old':>6}{'form':>6}    {'rested':<9}"
    return [Run(f"{head}{fit('h left', _LEFT)}{'why' if width - _FIXED >= _ROOMY else 'saved for'}", "faint")]


def case_rows(chosen: Sequence[Sequence[Suggestion]], nearly: Sequence[InCase], at: datetime, width: int) -> list[Row]:
    """Instrument by instrument the reeds in the order in which to take them, numbered but for those that are rather not
    to be played; then those that are nearly ready. `at`: when they are to be played."""
    rows: list[Row] = []
    for suggestions in chosen:
        for place, suggestion in enumerate(suggestions, start=1):
            held = suggestion.held
            role: Role = "faint" if held else "strong" if place == 1 else ""
            rows.append(_row("–" if held else f"{place}.", suggestion.one, at, width, role, suggestion.why))
    return [*rows, *(_row("", one, at, width, "faint") for one in nearly)]


def _row(place: str, one: InCase, at: datetime, width: int, role: Role, why: Sequence[str] = ()) -> Row:
    from reedkin.answers.hours_left.outlook import span_words

    reed, room = one.reed, max(width - _FIXED, 0)
    saved = one.saved_for(at.date())
    note = saved if saved is not None else "" if one.ready else "nearly ready"
    if room >= _ROOMY and why:
        note = ", ".join(why)
    way: tuple[str, Role] = (" ↓", "warn") if one.falling else (" ↑", "good") if one.rising else ("  ", "")
    return [
        Run(fit(place, _PLACE), role),
        Run(fit(reed.label, _TAG - 1) + " ", role or "cane"),
        Run(fit(short_name(reed.instrument), _FOR), role),
        Run(f"{duration(60 * one.hours) if one.hours else '–':>7}", role),
        Run(f"{f'{int(one.days)}' if one.age_known else f'{int(one.days)}+':>6}", role),
        Run(f"{in_line(one.score):>6}", role),
        Run(*way),
        Run(f"  {'–' if one.rested is None else ago(one.rested, at):<9}", role),
        Run(fit("–" if one.left is None else span_words(one.left), _LEFT), role),
        Run(fit(note, room).rstrip(), "target" if saved is not None else "faint"),
    ]


def why_line(one: InCase, suggestion: Suggestion | None) -> Line:
    """Why the marked reed is to be played, or rather not."""
    reed = one.reed
    name = f" {reed.now.name}" if reed.now.name else ""
    head = Run(f"{reed.label}{name}: ", "strong")
    if suggestion is None:
        return head, Run(f"not played yet, nearly ready: {stage_reached(reed)}")
    held = Run("rather not: ", "warn") if suggestion.held else Run("")
    return head, held, Run(", ".join(suggestion.why))
