"""A question in one line, a question of yes or no, and the question into which file something goes."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import App, ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from reedkin.charts.canvas import Run
from reedkin.domain.paths import here, named_path
from reedkin.errors import ReedkinError
from reedkin.screens.parts.keeping import suffix_of
from reedkin.screens.parts.keys import DO, LEAVE, Key, Keys, aside, bindings
from reedkin.store.disk.files import write_new
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled
from reedkin.widgets.visible import Visible

Check = Callable[[str], str | None]


class PromptScreen(ModalScreen[str | None]):
    """Asks for a line. `check` says what is wrong with it, or None; what was typed stays until it is right. A message
    that begins with "?" is a question: Enter again says yes to it."""

    CSS_PATH = "prompt.tcss"
    KEYS: ClassVar[Keys] = (DO, LEAVE)
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, title: str, text: str = "", check: Check = lambda text: None) -> None:
        super().__init__()
        self._title, self._text, self._check = title, text, check
        self._asked = ""

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            yield Static(styled([[Run(line, "strong")] for line in self._title.splitlines()]))
            yield Input(self._text, id="answer", compact=True, select_on_focus=False, highlighter=Visible())
            yield SteadyText(styled([aside(self.KEYS)]), id="said")

    def on_mount(self) -> None:
        answer = self.query_one("#answer", Input)
        answer.focus()
        answer.cursor_position = len(answer.value)

    @on(Input.Submitted)
    def _enter(self, event: Input.Submitted) -> None:
        wrong = self._check(event.value)
        if wrong is None or (wrong.startswith("?") and self._asked == event.value):
            self.dismiss(event.value)
            return
        self._asked = event.value
        ask = [[Run("Enter again does it all the same.", "strong")]] if wrong.startswith("?") else []
        role = Run(wrong, "warn") if wrong.startswith("?") else Run(f"✗ {wrong}", "error")
        self.query_one("#said", SteadyText).update(styled([[role], *(ask or [aside((LEAVE,))])]))

    @on(Input.Changed)
    def _typed(self) -> None:
        self._asked = ""

    def action_leave(self) -> None:
        self.dismiss(None)


class ConfirmScreen(ModalScreen[bool]):
    """Asks yes or no; nothing but y or Enter is yes."""

    CSS_PATH = "prompt.tcss"
    KEYS: ClassVar[Keys] = (
        Key({"y,enter": "answer(True)"}, "Yes", "yes"),
        Key({"n,escape": "answer(False)"}, "No", "no"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, question: str, more: str = "") -> None:
        super().__init__()
        self._question, self._more = question, more

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            lines = [[Run(self._question, "strong")], [Run(self._more)] if self._more else []]
            yield Static(styled([*lines, aside(self.KEYS)]))

    def action_answer(self, yes: bool) -> None:
        self.dismiss(yes)


async def put_into_file(app: App[None], asked: str, name: str, made: Callable[[str], str]) -> Run | None:
    """Ask into which new file, offering `name`, and write what is made for its suffix. Returns what is to be said of
    that; None where no file was named."""
    given = await app.push_screen_wait(PromptScreen(asked, here(name)))
    if given is None:
        return None
    try:
        path = write_new(named_path(given), made(suffix_of(given)))
    except ReedkinError as error:
        return Run(f"✗ {error}", "error")
    return Run(f"✓ Written to {path}", "good")
