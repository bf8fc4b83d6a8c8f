"""The lines of the diary as rows of a list."""

from __future__ import annotations

from collections.abc import Sequence
from typing import overload

from reedkin.answers.diary.diary import Diary
from reedkin.answers.diary.words import corrected, gone, labels, what
from reedkin.charts.canvas import Role, Run
from reedkin.domain.figures import day_words
from reedkin.widgets.row_list import Row

_DAY_WIDTH = 17


class DiaryRows(Sequence[Row]):
    """The rows of a diary, each made when it is shown. The day stands in its first row, and in the first that shows."""

    def __init__(self, diary: Diary) -> None:
        self.diary = diary

    def __len__(self) -> int:
        return len(self.diary.lines)

    @overload
    def __getitem__(self, place: int) -> Row: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[Row]: ...
    def __getitem__(self, place: int | slice) -> Row | Sequence[Row]:
        if isinstance(place, slice):
            shown = range(len(self))[place]
            return [self._row(one, dated=one == shown.start) for one in shown]
        return self._row(place, dated=True)

    def _row(self, place: int, dated: bool) -> Row:
        lines = self.diary.lines
        line = lines[place]
        dated = dated or place == 0 or lines[place - 1].day != line.day
        goes_on = not dated and lines[place - 1].entry == line.entry and lines[place - 1].at == line.at
        mark = corrected(line, self.diary)
        role: Role = "faint" if line.struck or not line.steps else ""
        return [
            Run(f"{day_words(line.day) if dated else '':{_DAY_WIDTH}}", "strong"),
            Run(f"{'·' if goes_on else f'{line.at:%H:%M}':5}  ", "faint"),
            Run(f"{labels(line, self.diary)}: " if line.steps else "", "faint" if line.struck else "target"),
            Run(f"{gone(line, self.diary)}: " if line.struck else "", "warn"),
            Run(what(line, self.diary), role),
            Run(f"  {mark}" if mark else "", "warn"),
        ]
