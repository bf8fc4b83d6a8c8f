"""The reed in hand: what it is in a line, drawn to scale, its measures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from textual.content import Content
from textual.timer import Timer
from textual.widget import Widget

from reedkin.charts.canvas import Run
from reedkin.domain.columns import columns, fit
from reedkin.domain.figures import day_and_month, duration
from reedkin.domain.literal import literal
from reedkin.domain.words import spelt
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.domain.instruments import Targets
    from reedkin.domain.reeds import Reed, State


_REST_SECONDS = 0.15
"""Without a key for so long, the hand rests."""


class Foreseen(NamedTuple):
    """A reed as it is about to be."""

    label: str
    state: State
    targets: Targets


class ReedPanel(Widget):
    """One reed, drawn as large as the place allows."""

    DEFAULT_CSS = "ReedPanel { text-wrap: nowrap; }"

    def __init__(self, id: str | None = None, titled: bool = True) -> None:
        super().__init__(id=id)
        self._titled = titled
        self._reed: Reed | None = None
        self._targets: Targets | None = None
        self._beside = ""
        self._ahead: Foreseen | None = None
        self._next: Foreseen | None = None
        self._resting: Timer | None = None

    def show(self, reed: Reed | None, targets: Targets | None, beside: str = "") -> None:
        """Show a reed; `beside` is a word at the end of its title."""
        self._reed, self._targets, self._beside = reed, targets, beside
        self.refresh()

    def foresee(self, ahead: Foreseen | None) -> None:
        """Show a reed as it is about to be, in place of the one that is shown, once the hand rests: a drawing takes
        longer than a key may. None at once forgets it."""
        if self._resting is not None:
            self._resting.stop()
        self._next = ahead
        if ahead is None:
            self.look_ahead()
        else:
            self._resting = self.set_timer(_REST_SECONDS, self.look_ahead)

    def look_ahead(self) -> None:
        """Show what was foreseen last."""
        if self._next != self._ahead:
            self._ahead = self._next
            self.refresh()

    def render(self) -> Content:
        width, height = self.size
        ahead, reed, targets = self._ahead, self._reed, self._targets
        if ahead is not None:
            label, state, targets = ahead
        elif reed is not None:
            label, state = reed.label, reed.now
        if (ahead is None and reed is None) or targets is None or width < 20 or height < 1:
            return Content("")
        beside = self._beside if ahead is None else "as it will be"
        ways = _ways(reed) if ahead is None and reed is not None else []
        lines: list[Sequence[Run]] = [_title(label, state, ways, beside, width)] if self._titled else []
        if height - len(lines) >= 3:
            from reedkin.charts.reed import draw_reed  # not before the first paint

            lines += draw_reed(state, targets, width, height - len(lines))
        return styled(lines)


def _ways(reed: Reed) -> list[str]:
    from reedkin.bench.trials import ways_of  # not before the first paint

    return ways_of(reed)


def _title(label: str, state: State, ways: Sequence[str], beside: str, width: int) -> list[Run]:
    words = [*ways, spelt(state.instrument), state.stage, *_saved(state)]
    words += [f"lot {state.lot}"] if state.lot else []
    words += [f"shape {state.shape}"] if state.shape else []
    words += [duration(state.minutes_played) + " played"] if state.minutes_played else []
    words += [f"last score {state.score:g}"] if state.score is not None else []
    words += [f"crows {state.crow}"] if state.crow else []
    name = f" {state.name}" if state.name else ""
    thread = f" ({state.thread} thread)" if state.thread else ""
    head = f"{label}{name}{thread}"
    text = "  " + ", ".join(words)
    room = max(0, width - columns(literal(head)) - columns(beside) - 1)
    return [Run(head, "strong"), Run(fit(literal(text), room)), Run(f" {beside}", "target")]


def _saved(state: State) -> list[str]:
    """What a reed is saved for, and until when."""
    if state.saved_for is None:
        return []
    until = state.saved_until
    return [f"saved for {state.saved_for}" + (f" on {day_and_month(until)}" if until is not None else "")]
