"""Trials as rows of a list, and one of them in lines: its two ways, what it says, and what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reedkin.charts.canvas import Line, Run
from reedkin.domain.columns import columns, fit
from reedkin.domain.figures import tag_list
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
        Run(f"{fit(one.trial.label, _NAME - 1)} ", "strong"),
        Run(f"{where}  ", "good" if one.over else "cane" if one.trial.running else "faint"),
        Run(fit(what(one.trial), room)),
    ]


def arm_lines(one: Comparison) -> list[Line]:
    """The two ways with their numbers, and which reeds are to be made so."""
    from reedkin.answers.trials.words import arm_numbers

    wide = min(_WIDEST_WAY, max(columns(arm.way) for arm in one.arms))
    lines: list[Line] = [(Run(" " * wide + _columns(_HEADINGS), "faint"),)]
    lines += [(Run(fit(arm.way, wide), "strong"), Run(_columns(arm_numbers(arm)))) for arm in one.arms]
    to_make = [f"“{arm.way}” {tag_list(arm.to_make)}" for arm in one.arms if arm.to_make]
    return [*lines, (Run(f"To make: {'; '.join(to_make)}"),)] if to_make else lines


def _columns(cells: tuple[object, ...]) -> str:
    return "".join(f"{cell!s:>8}" for cell in cells)


def told_lines(one: Comparison) -> list[Line]:
    """What a trial says: how far the ways differ, how sure that is, and what to do now."""
    from reedkin.answers.circle.trial_words import circle_lines
    from reedkin.answers.trials.words import (
        INTENTION,
        MOST_FIND,
        finding,
        need_lines,
        past_the_draw,
        progress,
        sure,
        uneven,
        verdict,
    )

    far = progress(one)
    lines: list[Line] = [(Run(f"{far[0].upper()}{far[1:]}.", "faint"),), (Run(finding(one)),)]
    lines += [(Run(sure(one)),)] if sure(one) else []
    lines.append((Run(verdict(one), "strong"),))
    lines += [(Run(said, "warn"),) for said in (uneven(one), past_the_draw(one)) if said]
    if one.circle is not None:
        lines += [(Run(line, "target"),) for line in circle_lines(one.trial, one.circle)]
    if one.effect is None:
        return [*lines, (), (Run(MOST_FIND, "faint"),), *((Run(f"  {line}"),) for line in need_lines(one))]
    return [*lines, (Run(INTENTION, "faint"),)]
