"""Trials as rows of a list, and one of them in lines: its two ways, what it says. What became of the reeds of each way
is shown only where it was `opened`: to see it before the trial is due is to look."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reedkin.charts.canvas import Line, Run
from reedkin.domain.columns import columns, fit
from reedkin.domain.describe import tag_list
from reedkin.widgets.row_list import Row

if TYPE_CHECKING:
    from reedkin.answers.trials.comparison import Comparison

_NAME = 12
_WIDEST_WAY = 28
_HEADINGS = ("tied", "to make", "serving", "worn", "other", "never")


def trial_heading() -> Row:
    """What stands over the columns."""
    return [Run(f"{fit('trial', _NAME)}where it stands", "faint")]


def trial_row(one: Comparison, width: int) -> Row:
    """A trial, where it stands, and its ways as far as there is room."""
    from reedkin.answers.trials.words import state, what

    where = state(one)
    room = max(10, width - _NAME - 6 - columns(where))
    return [
        Run(f"{fit(one.trial.name, _NAME - 1)} ", "strong"),
        Run(f"{where}  ", "good" if one.due else "cane" if one.trial.running else "faint"),
        Run(fit(what(one.trial), room)),
    ]


def arm_lines(one: Comparison, opened: bool) -> list[Line]:
    """The two ways with their numbers."""
    from reedkin.answers.trials.words import arm_numbers

    wide = min(_WIDEST_WAY, max(columns(arm.way) for arm in one.arms))
    told = _columns(_HEADINGS) if opened else f"{_HEADINGS[0]:>8}   tied and not played yet: to be made so"
    lines: list[Line] = [(Run(" " * wide + told, "faint"),)]
    for arm in one.arms:
        told = _columns(arm_numbers(arm)) if opened else f"{arm.assigned:>8}   {tag_list(arm.to_make) or '–'}"
        lines.append((Run(fit(arm.way, wide), "strong"), Run(told)))
    return lines


def _columns(cells: tuple[object, ...]) -> str:
    return "".join(f"{cell!s:>8}" for cell in cells)


def told_lines(one: Comparison, opened: bool) -> list[Line]:
    """What a trial says, or how much it still takes."""
    from reedkin.answers.trials.words import (
        INTENTION,
        MOST_FIND,
        finding,
        look_warning,
        need_lines,
        progress,
        uneven,
        verdict,
    )

    far = progress(one)
    lines: list[Line] = [(Run(f"{far[0].upper()}{far[1:]}.", "faint"),)]
    if opened and one.effect is not None:
        lines += [(Run(look_warning(one), "warn"),)] if one.is_look else []
        lines.append((Run(finding(one)),))
        lines += [(Run(verdict(one), "strong"),)] if one.due else []
        lines += [(Run(uneven(one), "warn"),)] if uneven(one) else []
        return [*lines, (Run(INTENTION, "faint"),)]
    lines.append((Run(verdict(one) if one.effect is not None else finding(one)),))
    lines += [(), (Run(MOST_FIND, "faint"),), *((Run(f"  {line}"),) for line in need_lines(one))]
    if one.effect is None:
        return lines
    return [*lines, (), (Run("Enter", "strong"), Run(" looks at how the ways compare so far. Each look is counted."))]
