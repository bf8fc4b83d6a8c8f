"""What a pedal did, large: the tag and what was recorded of it, and which reed is in hand now."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget

from reedkin.charts.big import ROWS, big
from reedkin.charts.canvas import Run
from reedkin.domain.columns import cut, fit, fold
from reedkin.domain.literal import literal
from reedkin.widgets.styled import styled


class FootPanel(Widget):
    """Shows a step in two halves, side by side."""

    DEFAULT_CSS = "FootPanel { text-wrap: nowrap; display: none; }"

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._done: tuple[str, Run] | None = None
        self._hand: tuple[str, str] = "", ""

    def show(self, tag: str, done: Run, hand: str, further: str) -> None:
        """Show a tag and what was `done` to it, and the tag of the reed in hand with what comes `further`."""
        self._done, self._hand = (tag, done), (hand, further)
        self.refresh()

    def render(self) -> Content:
        if self._done is None:
            return Content("")
        (tag, done), (hand, further) = self._done, self._hand
        half = max(10, self.size.width // 2 - 1)
        left = [Run(row, done.role) for row in big(tag, half)]
        left += [Run(line, done.role) for line in fold(literal(done.text), half, 2)]
        right = [Run(row, "strong") for row in big(hand, half)]
        right += [Run(line) for line in fold(literal(f"in hand. {further}"), half, 0)]
        lines = [[Run("")]] if self.size.height > ROWS + 2 else []
        for row in range(max(len(left), len(right))):
            one, other = (side[row] if row < len(side) else Run("") for side in (left, right))
            lines.append([Run(fit(one.text, half), one.role), Run("  "), Run(cut(other.text, half), other.role)])
        return styled(lines[: max(1, self.size.height)])
