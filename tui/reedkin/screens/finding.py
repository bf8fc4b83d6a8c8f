"""Finding one's way: some words, what of the help holds them, and Enter does it."""

from __future__ import annotations

from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType

from reedkin.charts.canvas import Run
from reedkin.domain.columns import fit
from reedkin.domain.figures import plural
from reedkin.screens.parts.base import BaseScreen
from reedkin.screens.parts.keys import Key, Keys, bindings
from reedkin.screens.topics import WAYS_WITHIN, Topic, holding, near, topics
from reedkin.widgets.row_list import Row, RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled
from reedkin.widgets.typed import Typed

_OF, _NAME = 16, 20


class FindingScreen(BaseScreen):
    """What is typed narrows the list; the arrows go along it."""

    TITLE = "find in the help"
    CSS_PATH = "finding.tcss"
    AUTO_FOCUS = ""
    KEYS: ClassVar[Keys] = (
        Key({"enter": "do"}, "Go there and do it", "do it"),
        Key({"up": "move(-1)", "down": "move(1)"}, "The line above or below", "line"),
        Key({"escape": "back"}, "Back", "back"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, came_from: BaseScreen) -> None:
        super().__init__()
        self._came_from = came_from
        self._every = topics()
        self._words = Typed()
        self._found: list[Topic] = []

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="find")
        rows = RowList(id="found")
        rows.can_focus = False
        yield rows
        yield SteadyText(id="why")

    def on_mount(self) -> None:
        super().on_mount()
        self._show()

    def on_key(self, event: events.Key) -> None:
        if event.key not in ("up", "down", "enter", "escape") and self._words.key(event):
            event.stop()
            event.prevent_default()
            self._show()

    def on_paste(self, event: events.Paste) -> None:
        self._words.insert(event.text)
        self._show()

    def _show(self) -> None:
        self._found = holding(self._every, self._words.text)
        runs = [Run("/ ", "strong"), *self._words.runs(), Run(f"   {plural(len(self._found), 'line')}", "faint")]
        if not self._found:
            meant = near(self._every, self._words.text)
            runs.append(Run(f"  {'near: ' + ', '.join(meant) if meant else 'nothing is like it'}", "warn"))
        self.query_one("#find", SteadyText).update(styled([runs]))
        self.query_one(RowList).show([_row(topic) for topic in self._found], place=0)
        self._show_whole()

    @on(RowList.Moved)
    def _show_whole(self) -> None:
        """The marked line in full, and what Enter does."""
        topic = self._marked
        lines: list[Row] = []
        if topic is not None:
            lines = [[Run(f"{topic.name}  ", "cane"), Run(topic.said)]]
            lines.append([Run(_does(topic), "faint")])
        self.query_one("#why", SteadyText).update(styled(lines))

    @property
    def _marked(self) -> Topic | None:
        place = self.query_one(RowList).place
        return self._found[place] if 0 <= place < len(self._found) else None

    def action_move(self, by: int) -> None:
        self.query_one(RowList).action_move(by)

    def action_do(self) -> None:
        """Go to the room of the marked line, and do there what its key does."""
        topic = self._marked
        if topic is not None and topic.is_to_read:
            from reedkin.screens.help import HelpScreen

            self.app.switch_screen(HelpScreen(self._came_from, topic.said))
        if topic is None or not topic.room:
            return
        self.reedkin.go(topic.room)
        if topic.line:
            self.reedkin.write(topic.line)
        elif topic.action:
            self.app.call_later(self._do, topic.action)

    async def _do(self, action: str) -> None:
        await self.app.screen.run_action(action)

    def action_back(self) -> None:
        self.app.pop_screen()


def _does(topic: Topic) -> str:
    """What Enter on it does."""
    if topic.is_to_read:
        return "Enter: read it in the help"
    if not topic.room:
        return f"{topic.name} does it wherever one is"
    if topic.line:
        return f"Enter: {topic.line.strip()} on the entry line"
    to = topic.of if topic.of in WAYS_WITHIN and not topic.then else topic.room
    return f"Enter: to {to}" + (f"; there, {topic.then}" if topic.then else "")


def _row(topic: Topic) -> Row:
    return [Run(fit(topic.of, _OF - 1) + " ", "faint"), Run(fit(topic.name, _NAME - 1) + " ", "cane"), Run(topic.said)]
