"""A reed's overall length over time and its playability over hours played, one above the other."""

from __future__ import annotations

from datetime import date

from textual.content import Content
from textual.widget import Widget

from reedkin.domain.reeds import Reed
from reedkin.widgets.styled import styled


class LifeCharts(Widget):
    """Both charts of one reed, sharing the height."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._reed: Reed | None = None
        self._today: date | None = None

    def show(self, reed: Reed, today: date) -> None:
        self._reed, self._today = reed, today
        self.refresh()

    def render(self) -> Content:
        width, height = self.size
        if self._reed is None or height < 1:
            return Content("")
        from reedkin.charts.life import life_charts

        return styled(life_charts(self._reed, width, height, self._today))
