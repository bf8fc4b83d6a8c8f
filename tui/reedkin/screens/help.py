"""Help: the keys of the screen one came from, every verb with an example, the cautions of the bench."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.events import Resize
from textual.widgets import Static

from reedkin.charts.canvas import Role, Run
from reedkin.domain.cautions import ALL, DEFER
from reedkin.domain.columns import columns, fit, fold
from reedkin.domain.meaning import NUMBERS
from reedkin.grammar.words.verbs import VERBS, said_as
from reedkin.grammar.words.vocabulary import takes
from reedkin.screens.parts.base import BaseScreen
from reedkin.screens.parts.keys import Key, Keys, bindings
from reedkin.screens.rooms import COMMON, QUIT
from reedkin.screens.topics import GRAMMAR
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import WIDEST, styled

_SHAPE = '[reeds] verb facts [; verb facts ...] [@when] ["note"]'
_INDENT = "  "
_LEFT = 12
"""Columns for what stands before a text."""


class HelpScreen(BaseScreen):
    """Leaves with Escape, F1 or q."""

    TITLE = "help"
    CSS_PATH = "help.tcss"
    KEYS: ClassVar[Keys] = (
        Key({"slash": "find"}, "Find a word in all of the help; Enter does what is found", "find"),
        Key({"up": "", "down": ""}, "Scroll", "scroll"),
        Key({"escape,f1,question_mark,q": "back"}, "Back", "back"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, came_from: BaseScreen, at: str = "") -> None:
        """`at` is a text that is scrolled to."""
        super().__init__()
        self._came_from, self._at = came_from, at

    def compose_body(self) -> ComposeResult:
        with VerticalScroll(id="pages"):
            yield SteadyText(id="lines")

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one("#pages").focus()

    def on_resize(self, event: Resize) -> None:
        lines = _Lines(max(30, min(event.size.width, WIDEST) - 5))  # 2 on either side and the bar for scrolling
        self._write(lines)
        for page in self.query("#lines").results(Static):  # none if the screen is left by now
            page.update(styled(lines.out))
        if self._at in lines.places:
            self.call_after_refresh(self._scroll_down_to, lines.places[self._at])

    def _scroll_down_to(self, line: int) -> None:
        for pages in self.query("#pages"):
            pages.scroll_to(y=line, animate=False)

    def action_find(self) -> None:
        from reedkin.screens.finding import FindingScreen

        self.app.switch_screen(FindingScreen(self._came_from))

    def action_back(self) -> None:
        self.app.pop_screen()

    def _write(self, lines: _Lines) -> None:
        lines.heading(f"Keys: {self._came_from.TITLE}", first=True)
        for key in self._came_from.KEYS:
            lines.item(key.in_full, key.help)
        lines.item("", "  ".join(f"{key.in_full} {key.foot}" for key in (*COMMON, QUIT)))
        lines.heading("The entry line")
        lines.item("", _SHAPE, "strong")
        for left, said in GRAMMAR:
            lines.item(left, said)
        lines.heading("Verbs, each with an example and the facts it takes")
        for verb in VERBS:
            lines.item(verb.word, verb.example)
            lines.item("", takes(verb), "faint")
            if also := said_as(verb):
                lines.item("", f"also: {', '.join(also)}", "faint")
        lines.heading("What the numbers mean")
        for term, said in NUMBERS:
            lines.paragraph(term, said)
        lines.heading("Cautions")
        for caution in ALL:
            lines.paragraph("", caution)
        lines.paragraph("", DEFER)


class _Lines:
    """Lines of help, folded at a width."""

    def __init__(self, width: int) -> None:
        self.width = width
        self.out: list[list[Run]] = []
        self.places: dict[str, int] = {}
        """In which line each paragraph begins, by its text."""

    def heading(self, text: str, first: bool = False) -> None:
        self.out += [] if first else [[]]
        self.out.append([Run(text, "strong")])

    def item(self, left: str, said: str, role: Role = "") -> None:
        """A text with a word before it."""
        folded = fold(said, self.width - len(_INDENT) - _LEFT, 0)
        if columns(left) >= _LEFT:
            self.out.append([Run(f"{_INDENT}{left}", "cane")])
            left = ""
        for place, line in enumerate(folded):
            self.out.append([Run(f"{_INDENT}{fit('' if place else left, _LEFT)}", "cane"), Run(line, role)])

    def paragraph(self, term: str, said: str) -> None:
        """A text that begins with a term and whose further lines are set in."""
        self.places[said] = len(self.out)
        first, *further = fold(f"{term} {said}".strip(), self.width - len(_INDENT), len(_INDENT))
        self.out.append([Run(f"{_INDENT}{term}", "cane"), Run(first.removeprefix(term))])
        self.out += [[Run(f"{_INDENT}{line}")] for line in further]
