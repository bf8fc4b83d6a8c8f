"""The reed in hand: what it is in a line, drawn to scale, its measures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.content import Content
from textual.widget import Widget

from reedkin.charts.canvas import Run
from reedkin.domain.columns import columns, fit
from reedkin.domain.describe import duration
from reedkin.domain.literal import literal
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.domain.instruments import Targets
    from reedkin.domain.reeds import Reed, State


class ReedPanel(Widget):
    """One reed, drawn as large as the place allows."""

    DEFAULT_CSS = "ReedPanel { text-wrap: nowrap; }"

    def __init__(self, id: str | None = None, titled: bool = True) -> None:
        super().__init__(id=id)
        self._titled = titled
        self._reed: Reed | None = None
        self._targets: Targets | None = None
        self._beside = ""

    def show(self, reed: Reed | None, targets: Targets | None, beside: str = "") -> None:
        """Show a reed; `beside` is a word at the end of its title."""
        self._reed, self._targets, self._beside = reed, targets, beside
        self.refresh()

    def render(self) -> Content:
        width, height = self.size
        if self._reed is None or self._targets is None or width < 20 or height < 1:
            return Content("")
        lines: list[Sequence[Run]] = [self._title(self._reed, width)] if self._titled else []
        if height - len(lines) >= 3:
            from reedkin.charts.reed import draw_reed  # not before the first paint

            lines += draw_reed(self._reed.now, self._targets, width, height - len(lines))
        return styled(lines)

    def _title(self, reed: Reed, width: int) -> list[Run]:
        from reedkin.bench.trials import ways_of  # not before the first paint

        state = reed.now
        words = [*ways_of(reed), state.instrument, state.stage, *_saved(state)]
        words += [f"lot {state.lot}"] if state.lot else []
        words += [f"shape {state.shape}"] if state.shape else []
        words += [duration(state.minutes_played) + " played"] if state.minutes_played else []
        words += [f"last score {state.score:g}"] if state.score is not None else []
        words += [f"crows {state.crow}"] if state.crow else []
        name = f" {state.name}" if state.name else ""
        thread = f" ({state.thread} thread)" if state.thread else ""
        head = f"{reed.label}{name}{thread}"
        text = "  " + ", ".join(words)
        room = max(0, width - columns(literal(head)) - columns(self._beside) - 1)
        return [Run(head, "strong"), Run(fit(literal(text), room)), Run(f" {self._beside}", "target")]


def _saved(state: State) -> list[str]:
    """What a reed is saved for, and until when."""
    if state.saved_for is None:
        return []
    until = state.saved_until
    return [f"saved for {state.saved_for}" + (f" on {until.day} {until:%b}" if until is not None else "")]
