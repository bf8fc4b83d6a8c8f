"""The last events of a reed, shortly."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from textual.content import Content
from textual.widget import Widget

from reedkin.charts.canvas import Run
from reedkin.domain.figures import ago
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.domain.reeds import Reed


_MOST = 5
"""Rows beyond which the list of reeds needs the room more."""


class Recent(Widget):
    """As many of the last events as fit, the latest first."""

    DEFAULT_CSS = "Recent { text-wrap: nowrap; text-overflow: ellipsis; }"

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._reed: Reed | None = None
        self._now: datetime | None = None

    def show(self, reed: Reed | None, now: datetime | None) -> None:
        """Show the last events of a reed in no more rows than they take."""
        self._reed, self._now = reed, now
        self.styles.height = min(_MOST, len(reed.standing)) if reed is not None else 0
        self.refresh()

    def render(self) -> Content:
        if self._reed is None or self._now is None:
            return Content("")
        from reedkin.domain.describe import describe  # not before the first paint

        lines = []
        for step in list(reversed(self._reed.standing))[: max(0, self.size.height)]:
            what = "" if step.kind == "noted" else describe(step.kind, step.facts)
            note = f" “{step.note}”" if step.note else ""
            text = f"{what}{note}".strip()
            lines.append([Run(f"{ago(step.at, self._now):>11}  ", "faint"), Run(text)])
        return styled(lines)
