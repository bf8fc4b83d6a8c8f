"""What the log says of each habit as rows of a list, the interval drawn in the row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Canvas, Role, Run
from reedkin.charts.interval import interval_row
from reedkin.charts.ratio_scale import put_ticks, ratio_column
from reedkin.domain.columns import fit
from reedkin.widgets.row_list import Row

if TYPE_CHECKING:
    from reedkin.answers.habits.report import Finding, Untried

_END = 27
_WIDE = 100
_MORE = 37
_LONGER, _SHORTER = "◂ longer", "shorter ▸"
_ROOM_FOR_ALL = 48
"""Columns of an interval that have room for the numbers of its scale as well."""
_NAME, _LEAST, _MOST = 32, 21, 81
"""Columns that the longest names of habits take; the fewest and the most of an interval."""
_SHORT_NAME, _SEEMS = 16, 10
"""Columns of a name that still tells something; of what lives seem to be."""


def _widths(width: int) -> tuple[int, int]:
    """Columns for what the habit is and for its interval, in rows of this width: none for the latter where a row has no
    room for both."""
    left = width - 4 - _END - (_MORE if width >= _WIDE else 0)
    if left < _SHORT_NAME + _LEAST:
        return max(1, width - 4 - _SEEMS), 0
    name = min(left - _LEAST, max(_NAME, left // 3))
    return name, min(left - name, _MOST)


def finding_heading(width: int) -> Row:
    """What the marks mean and what stands over the columns, the scale of the interval among it."""
    name, interval = _widths(width)
    legend = fit("● clear ◐ leaning ○ unclear", name + 2)
    if not interval:
        return [Run(f"{legend}  lives", "faint")]
    scale = Canvas(interval, 1)
    middle = ratio_column(1.0, interval)
    if interval >= _ROOM_FOR_ALL:
        put_ticks(scale)
    else:
        scale.put(middle, 0, "│", "faint")
    scale.put(middle - 1 - len(_LONGER), 0, _LONGER, "faint")
    scale.put(middle + 2, 0, _SHORTER, "faint")
    more = f"   {'as fast':>8}{'worn out':>10}{'more to settle':>16}" if width >= _WIDE else ""
    return [Run(legend, "faint"), *scale.drawing()[0], Run(f"  {'lives':<9}{'by':>5}  {'matters':<9}{more}", "faint")]


def finding_rows(findings: Sequence[Finding], untried: Sequence[Untried], width: int) -> list[Row]:
    """A row for each habit: those that the log tells of, then those that it cannot tell of."""
    return [*(_told(finding, width) for finding in findings), *(_untold(one, width) for one in untried)]


def _told(finding: Finding, width: int) -> Row:
    from reedkin.answers.habits.report import label_of, times
    from reedkin.answers.habits.words import MARKS, by_hours, chance_words, more_to_settle

    name, interval = _widths(width)
    effect, evidence = finding.effect, finding.evidence
    role: Role = "faint" if evidence == "unclear" else "strong"
    towards: Role = role if role == "faint" else "warn" if finding.direction == "shorter" else "good"
    seems = finding.direction if evidence != "unclear" else f"{finding.direction}?"
    row = [
        Run(f"{MARKS[evidence]} ", towards),
        Run(fit(label_of(finding.habit, effect), name - 1) + " ", "" if role == "faint" else role),
        *(interval_row(effect.hazard_ratio, effect.lo, effect.hi, interval, MARKS[evidence]) if interval else ()),
        Run(f"  {seems:<8}", towards),
        Run(f"{by_hours(finding):>6}", role),
        Run(f"  {chance_words(finding.chance):<9}", role),
    ]
    if width >= _WIDE:
        row.append(
            Run(f"   {times(effect.hazard_ratio):>7}×{effect.retired:>10}{more_to_settle(finding):>16}", "faint")
        )
    return row


def _untold(one: Untried, width: int) -> Row:
    name, _ = _widths(width)
    return [Run("– ", "faint"), Run(fit(one.habit.label, name - 1) + " ", "faint"), Run("cannot be told yet", "faint")]
