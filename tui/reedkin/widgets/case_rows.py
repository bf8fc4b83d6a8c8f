"""The reeds of the case as rows of a list, and why the marked one stands where it does."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Line, Role, Run
from reedkin.domain.columns import columns, fit
from reedkin.domain.fates import stage_reached
from reedkin.domain.figures import ago, duration, in_line
from reedkin.domain.instruments import short_name
from reedkin.widgets.row_list import Row

if TYPE_CHECKING:
    from reedkin.answers.case.case import InCase
    from reedkin.answers.case.choosing import Suggestion

_PLACE, _TAG, _FOR, _PLAYED, _OLD, _FORM, _WAY, _RESTED, _LEFT = 4, 8, 4, 7, 6, 5, 3, 10, 17
"""Columns, each with a blank at least beside the longest that can stand in it: 19 h 08, 18 months, 0.3 (0.1 to 0.8)."""
_FIXED = _PLACE + _TAG + _FOR + _PLAYED + _OLD + _FORM + _WAY + _RESTED + _LEFT
_ROOMY = 24
"""Columns from which a row has room for why it stands there."""


def case_heading(width: int) -> Row:
    """What stands over the columns."""
    head = (
        f"{'':{_PLACE}}{'reed':{_TAG}}{'for':{_FOR}}{'played':>{_PLAYED}}{'d old':>{_OLD}}{'form':>{_FORM}}{'':{_WAY}}"
    )
    last = "why" if width - _FIXED >= _ROOMY else "saved for"
    return [Run(f"{head}{'rested':{_RESTED}}{'h left':{_LEFT}}{last}", "faint")]


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
        note = _as_many(why, room)
    way: tuple[str, Role] = ("↓", "warn") if one.falling else ("↑", "good") if one.rising else ("", "")
    return [
        Run(fit(place, _PLACE), role),
        Run(fit(reed.label, _TAG - 1) + " ", role or "cane"),
        Run(fit(short_name(reed.instrument), _FOR), role),
        Run(f"{duration(60 * one.hours) if one.hours else '–':>{_PLAYED}}", role),
        Run(f"{f'{int(one.days)}' if one.age_known else f'{int(one.days)}+':>{_OLD}}", role),
        Run(f"{in_line(one.score):>{_FORM}}", role),
        Run(f" {way[0]:{_WAY - 1}}", way[1]),
        Run(f"{'–' if one.rested is None else ago(one.rested, at):{_RESTED}}", role),
        Run(fit("–" if one.left is None else span_words(one.left), _LEFT), role),
        Run(fit(note, room).rstrip(), "target" if saved is not None else "faint"),
    ]


def _as_many(reasons: Sequence[str], room: int) -> str:
    """The first of the reasons, as many as there is room for whole; at least one."""
    said = reasons[0]
    for reason in reasons[1:]:
        if columns(f"{said}, {reason}") > room:
            break
        said = f"{said}, {reason}"
    return said


def why_line(one: InCase, suggestion: Suggestion | None) -> Line:
    """Why the marked reed is to be played, or rather not."""
    reed = one.reed
    name = f" {reed.now.name}" if reed.now.name else ""
    head = Run(f"{reed.label}{name}: ", "strong")
    if suggestion is None:
        return head, Run(f"not played yet, nearly ready: {stage_reached(reed)}")
    held = Run("rather not: ", "warn") if suggestion.held else Run("")
    return head, held, Run(", ".join(suggestion.why))
