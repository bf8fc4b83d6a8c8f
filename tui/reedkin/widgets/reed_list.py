"""The list of reeds at work, of which one is in hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from textual import events
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from reedkin.charts.canvas import Role, Run
from reedkin.domain.columns import columns, fit
from reedkin.domain.facts import begins
from reedkin.domain.figures import ago, duration, in_line
from reedkin.domain.words import spelt
from reedkin.widgets.styled import styled
from reedkin.widgets.window import top_of

if TYPE_CHECKING:
    from reedkin.domain.reeds import Reed

_STAGE_ROLES: Mapping[str, Role] = {"blank": "faint", "in progress": "cane", "in service": "good"}
_WHEEL = 3
"""Rows that a turn of the mouse wheel goes along."""


class ReedList(Widget):
    """Shows as many reeds as fit, with the one in hand among them until the mouse wheel looks further: that takes no
    other in hand, since what stands on the entry line is about it. What is recorded of it shows it again."""

    DEFAULT_CSS = "ReedList { text-wrap: nowrap; text-overflow: ellipsis; }"

    @dataclass
    class Picked(Message):
        """A reed was clicked."""

        reed: str

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._reeds: Sequence[Reed] = ()
        self._labels: Mapping[str, str] = {}
        self._hand: str | None = None
        self._recorded = 0
        self._now: datetime | None = None
        self._top = 0
        self._looks_further = False

    def show(self, reeds: Sequence[Reed], hand: Reed | None, now: datetime) -> None:
        """Show these reeds, with `hand` marked as the one in hand."""
        from reedkin.domain.reeds import labels_of  # not before the first paint

        recorded = len(hand.steps) if hand else 0
        taken = hand.id if hand else None
        if (taken, recorded) != (self._hand, self._recorded):
            self._looks_further = False
        self._reeds, self._hand, self._recorded, self._now = reeds, taken, recorded, now
        self._labels = labels_of(reeds)
        self.refresh()

    def label_of(self, reed: Reed) -> str:
        """What a reed is called among those that are shown."""
        return self._labels.get(reed.id, reed.label)

    def render(self) -> Content:
        if not self._reeds or self._now is None or self.size.height < 2:
            return Content("")
        rows = self.size.height - 1
        place = next((i for i, reed in enumerate(self._reeds) if reed.id == self._hand), 0)
        marked = self._top if self._looks_further else place
        self._top = top_of(self._top, marked, len(self._reeds), rows)
        shown = self._reeds[self._top : self._top + rows]
        hidden = len(self._reeds) - len(shown)
        lines = [self._heading(hidden)]
        lines += [self._row(reed, reed.id == self._hand, self._now) for reed in shown]
        return styled(lines)

    def on_click(self, event: events.Click) -> None:
        place = self._top + event.y - 1
        if event.y >= 1 and place < len(self._reeds):
            self.post_message(self.Picked(self._reeds[place].id))

    def on_mouse_scroll_down(self) -> None:
        self._look_further(_WHEEL)

    def on_mouse_scroll_up(self) -> None:
        self._look_further(-_WHEEL)

    def _look_further(self, by: int) -> None:
        self._looks_further = True
        self._top = max(0, min(len(self._reeds) - 1, self._top + by))
        self.refresh()

    def _happened(self) -> int:
        """Columns for what happened last: whatever the other columns leave; none where that is too little."""
        left = self.size.width - 51 - self._named()
        return left if left >= 12 else 0

    def _named(self) -> int:
        """Columns for the tag, with the name behind it as far as there is room."""
        return 8 if self.size.width < 100 else 18

    def _heading(self, hidden: int) -> list[Run]:
        reed, room = f"{'reed':<{self._named()}}", self._happened()
        more = f"({hidden} more)" if hidden else ""
        happened = f"last  {more}" if len(more) + 8 <= room else more  # with two columns clear before the next heading
        text = f"  {reed}{'for':<4}{'stage':<12}{'mm':>7}  {fit(happened, room)}"
        return [Run(f"{text}{'ago':<10}{'score':>6}{'played':>8}", "faint")]

    def _row(self, reed: Reed, in_hand: bool, now: datetime) -> list[Run]:
        from reedkin.domain.describe import describe  # not before the first paint
        from reedkin.domain.instruments import SHORT_NAMES

        state, last = reed.now, reed.last
        what = f"“{last.note}”" if last.kind == "noted" else describe(last.kind, last.facts)
        what = what.replace(f"{last.kind} as {spelt(reed.instrument)}", last.kind)
        width = self._happened()
        if begins(last.kind) and columns(what) >= width:  # what it is made of is told elsewhere
            what = last.kind
        played = duration(state.minutes_played) if state.minutes_played else "–"
        base: Role = "strong" if in_hand else ""
        return [
            Run("▸ " if in_hand else "  ", "target"),
            Run(fit(f"{self.label_of(reed)} {state.name or ''}".rstrip(), self._named() - 1) + " ", base or "cane"),
            Run(f"{SHORT_NAMES.get(state.instrument, '?'):<4}", base),
            Run(f"{state.stage:<12}", base or _STAGE_ROLES.get(state.stage, "")),
            Run(f"{in_line(state.overall_mm):>7}  ", base),
            Run(fit(what, width - 1) + " " if width else "", base or "faint"),
            Run(f"{ago(last.at, now):<10}", base or "faint"),
            Run(f"{in_line(state.score):>6}{played:>8}", base),
        ]
