"""Groups of reeds as a list: how long half of each last, how many there are, how many still serve."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Run
from reedkin.charts.legend import mark_of
from reedkin.domain.columns import fit
from reedkin.domain.words import spelt
from reedkin.widgets.row_list import Row, RowList

if TYPE_CHECKING:
    from reedkin.answers.lives.groups import Group, Grouping
    from reedkin.answers.lives.roll import RollEntry
    from reedkin.study.lives import Clock

_HALF = 24
_MOST_SHOWN = 12


class GroupList(RowList):
    """A row for each group, beneath the chart of some of them. It is as high as it has rows, up to a quarter of the
    screen."""

    def show_groups(
        self,
        groups: Sequence[Group],
        drawn: Sequence[Group],
        rolls: Mapping[str, Sequence[RollEntry]],
        grouping: Grouping,
        title: str,
    ) -> None:
        """Show groups of a `grouping`, with the mark of its curve before each that is `drawn`. `title` stands above
        their names, beside how many reeds belong to none because it is not known."""
        width, height = self.screen.size
        self.display = bool(groups)
        self.styles.height = 1 + min(len(groups), max(1, min(height // 4, _MOST_SHOWN)))
        names = [group.name for group in drawn]
        rows = [_row(group, names, rolls.get(group.name, ()), grouping.clock, width) for group in groups]
        self.show(rows, _heading(width, title + (f" ({grouping.unknown} unknown)" if grouping.unknown else "")))

    def marked(self, groups: Sequence[Group]) -> Group:
        """The marked one of these groups, of which there is at least one: the last where there are fewer now."""
        return groups[min(self.place, len(groups) - 1)]


def _heading(width: int, first: str) -> Row:
    name = fit(first, _name_width(width) - 1)
    return [Run(f"  {name} {fit('half of them last', _HALF)}{'reeds':>6}{'worn out':>9}{'serving':>8}", "faint")]


def _row(group: Group, drawn: Sequence[str], roll: Sequence[RollEntry], clock: Clock, width: int) -> Row:
    from reedkin.answers.lives.words import half_last

    mark, role = mark_of(drawn.index(group.name)) if group.name in drawn else (" ", "")
    serving = sum(entry.end == "in service" for entry in roll)
    return [
        Run(f"{mark} ", role),
        Run(fit(spelt(group.name), _name_width(width) - 1) + " "),
        Run(fit(half_last(group.curve, clock), _HALF), "strong"),
        Run(f"{group.n:>6}"),
        Run(f"{group.retired:>9}"),
        Run(f"{serving:>8}", "good" if serving else "faint"),
    ]


def _name_width(width: int) -> int:
    return max(10, min(44, width - _HALF - 29))
