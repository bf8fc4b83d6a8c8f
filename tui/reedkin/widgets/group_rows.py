"""Groups of reeds as rows of a list: how long half of them last, how many there are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Run
from reedkin.charts.legend import mark_of
from reedkin.domain.columns import fit
from reedkin.widgets.row_list import Row

if TYPE_CHECKING:
    from reedkin.answers.lives.groups import Group
    from reedkin.answers.lives.roll import RollEntry
    from reedkin.study.lives import Clock

_HALF = 24


def rows_for(height: int) -> int:
    """How many groups are shown at once beneath a chart on a screen of this height."""
    return max(1, min(height // 4, 12))


def group_heading(width: int, first: str = "group") -> Row:
    """What stands over the columns."""
    text = (
        f"  {fit(first, _name_width(width))}{fit('half of them last', _HALF)}{'reeds':>6}{'worn out':>9}{'serving':>8}"
    )
    return [Run(text, "faint")]


def group_rows(
    groups: Sequence[Group], drawn: Sequence[str], rolls: Mapping[str, Sequence[RollEntry]], clock: Clock, width: int
) -> list[Row]:
    """A row for each group, with the mark of its curve if it is among the `drawn`."""
    from reedkin.answers.lives.words import half_last

    rows: list[Row] = []
    for group in groups:
        mark, role = mark_of(drawn.index(group.name)) if group.name in drawn else (" ", "")
        serving = sum(entry.end == "in service" for entry in rolls.get(group.name, ()))
        rows.append(
            [
                Run(f"{mark} ", role),
                Run(fit(group.name, _name_width(width) - 1) + " "),
                Run(fit(half_last(group.curve, clock), _HALF), "strong"),
                Run(f"{group.n:>6}"),
                Run(f"{group.retired:>9}"),
                Run(f"{serving:>8}", "good" if serving else "faint"),
            ]
        )
    return rows


def _name_width(width: int) -> int:
    return max(10, min(44, width - _HALF - 29))
