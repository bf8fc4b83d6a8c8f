"""What a circle says of each habit as rows of a list, its makers drawn in the row."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Canvas, Role, Run
from reedkin.charts.forest import ONE, OWN, forest_row
from reedkin.charts.ratio_scale import put_ticks
from reedkin.domain.columns import fit
from reedkin.widgets.row_list import Row

if TYPE_CHECKING:
    from reedkin.answers.circle.asked_together import TogetherFinding

_END = 32
_FURTHEST = 50.0


def _widths(width: int) -> tuple[int, int]:
    """Columns for what the habit is and for its makers, in rows of this width."""
    left = width - 4 - _END
    forest = max(9, min(41, left - 20))
    return left - forest, forest


def together_heading(width: int) -> Row:
    """What the marks mean and what stands over the columns, the scale of the makers among it."""
    name, forest = _widths(width)
    scale = Canvas(forest, 1)
    put_ticks(scale)
    legend = fit(f"{OWN} you {ONE} others", name + 2)
    return [Run(legend, "faint"), *scale.drawing()[0], Run(f"  {'lives':<9}{'alone':<10}with them", "faint")]


def together_rows(findings: Sequence[TogetherFinding], width: int) -> list[Row]:
    """A row for each habit that others tell of."""
    return [_row(finding, width) for finding in findings]


def _row(finding: TogetherFinding, width: int) -> Row:
    from reedkin.answers.habits.words import MARKS, chance_words

    name, forest = _widths(width)
    role: Role = "faint" if finding.evidence == "unclear" else "strong"
    towards: Role = role if role == "faint" else "warn" if finding.direction == "shorter" else "good"
    seems = finding.direction if finding.evidence != "unclear" else f"{finding.direction}?"
    both = finding.combined
    alone = "–" if finding.own is None or finding.alone is None else chance_words(finding.alone.chance)
    return [
        Run(f"{MARKS[finding.evidence]} ", towards),
        Run(fit(finding.habit.label, name - 1) + " ", "" if role == "faint" else role),
        *forest_row(
            [_ratio(maker.value) for maker in finding.makers],
            None if finding.own is None else _ratio(finding.own.value),
            None if both is None else (_ratio(both.ci[0]), _ratio(both.ci[1])),
            forest,
        ),
        Run(f"  {seems:<9}", towards),
        Run(f"{alone:<10}", "faint"),
        Run(chance_words(finding.chance), role),
    ]


def _ratio(log: float) -> float:
    return math.exp(min(max(log, -_FURTHEST), _FURTHEST))
