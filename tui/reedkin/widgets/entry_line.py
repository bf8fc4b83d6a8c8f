"""The entry line: always ready, with a ghost of the likely rest, and above it what would be recorded."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.suggester import Suggester
from textual.widgets import Input, Static

from reedkin.charts.canvas import Run
from reedkin.widgets.styled import styled
from reedkin.widgets.visible import Visible

if TYPE_CHECKING:
    from reedkin.grammar.completion import Completion
    from reedkin.grammar.reading import Reading
    from reedkin.grammar.tokens import Problem

    # Reading and completing give None while the log is still being read.
    Read = Callable[[str], Reading | None]
    Complete = Callable[[str], Completion | None]
    Explain = Callable[[Reading], list[str]]


class _Ghost(Suggester):
    """The line with its likely rest. Asked anew at each key, since the answer depends on the reed in hand."""

    def __init__(self, complete: Complete) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self._complete = complete

    async def get_suggestion(self, value: str) -> str | None:
        completion = self._complete(value)
        return value + completion.ghost if completion is not None and completion.ghost else None


class _Marked(Visible):
    """Underlines the words that a problem is about."""

    def __init__(self) -> None:
        self.problems: tuple[Problem, ...] = ()

    def highlight(self, text: Text) -> None:
        super().highlight(text)
        for problem in self.problems:
            if not problem.open:
                text.stylize("underline bold", problem.start, problem.end)


class _Field(Input):
    """The line itself. Tab takes the ghost, or the next word that can come here."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "take_ghost", "Complete what is typed", show=False),
        Binding("ctrl+p", "earlier(-1)", "Bring back the line before", show=False),
        Binding("ctrl+n", "earlier(1)", "Bring back the line after", show=False),
    ]

    def __init__(self, complete: Complete, marked: _Marked) -> None:
        super().__init__(
            id="field", compact=True, suggester=_Ghost(complete), highlighter=marked, select_on_focus=False
        )
        self.cursor_blink = False  # it always has the focus, and a bench that waits should cost nothing
        self._complete_line = complete
        self.earlier: list[str] = []
        self._place: int | None = None

    def on_paste(self, event: events.Paste) -> None:
        """Several lines become one entry of several clauses, so that none is lost."""
        event.stop()
        event.prevent_default()
        lines = event.text.replace("\t", " ").splitlines()
        text = lines[0] if len(lines) == 1 else "; ".join(line.strip() for line in lines if line.strip())
        self.replace(text, *self.selection)

    def action_take_ghost(self) -> None:
        completion = self._complete_line(self.value)
        if completion is None:
            return
        if completion.ghost:
            self.value += completion.ghost
        elif completion.options:
            self.value = self.value[: completion.start] + completion.options[0] + " "
        self.cursor_position = len(self.value)

    def action_earlier(self, by: int) -> None:
        if not self.earlier:
            return
        place = len(self.earlier) if self._place is None else self._place
        self._place = max(0, min(len(self.earlier), place + by))
        self.value = self.earlier[self._place] if self._place < len(self.earlier) else ""
        self.cursor_position = len(self.value)

    def forget_place(self) -> None:
        self._place = None


class EntryLine(Vertical):
    """Reads while one types; posts `Entered` when a line is to be recorded. Keeps the text until told to `clear`."""

    DEFAULT_CSS = """
    EntryLine { height: auto; }
    EntryLine > #said { height: 3; padding: 0 1; }
    EntryLine > Horizontal { height: 1; }
    EntryLine #prompt { width: auto; color: $primary; text-style: bold; }
    EntryLine #field { width: 1fr; background: $background; color: $foreground; }
    """

    @dataclass
    class Entered(Message):
        """The line is understood, its questions are answered: record it."""

        reading: Reading

    @dataclass
    class Looked(Message):
        """A tag alone was entered: the maker wants to see that reed."""

        tag: str

    @dataclass
    class Changed(Message):
        """What stands on the line."""

        text: str

    class HelpWanted(Message):
        """A question mark on the empty line."""

    def __init__(self, read: Read, complete: Complete, explain: Explain, id: str | None = None) -> None:
        super().__init__(id=id)
        self._read, self._explain = read, explain
        self._marked = _Marked()
        self._field = _Field(complete, self._marked)
        self._asked: str | None = None
        self._complete = complete
        self.reading: Reading | None = None

    def compose(self) -> ComposeResult:
        yield Static(id="said")
        with Horizontal():
            yield Static(id="prompt")
            yield self._field

    # From outside

    @property
    def text(self) -> str:
        return self._field.value

    def focus_line(self) -> None:
        self._field.focus()

    def put(self, text: str) -> None:
        """Put a text on the line, to be gone on with; what is said above it stays."""
        with self.prevent(Input.Changed):
            self._field.value = text
        self._field.cursor_position = len(text)
        self.post_message(self.Changed(text))

    def clear(self) -> None:
        """The line was recorded: begin a new one."""
        if self.text.strip():
            self._field.earlier.append(self.text.strip())
        self._field.forget_place()
        self._asked = None
        with self.prevent(Input.Changed):
            self._field.value = ""
        self.post_message(self.Changed(""))
        self.reading = None
        self._marked.problems = ()

    def set_prompt(self, text: str) -> None:
        self.query_one("#prompt", Static).update(styled([[Run(f" {text} ▸ ", "cane")]]))

    def say(self, *lines: Run) -> None:
        """Show lines above the entry line, until something is typed."""
        self.query_one("#said", Static).update(styled([[line] for line in lines]))

    def reread(self) -> None:
        """Read the line anew: the reed in hand or the time has changed."""
        if self.text.strip():
            self._show(self._read(self.text))

    # While typing

    @on(Input.Changed, "#field")
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self._asked = None
        self.post_message(self.Changed(event.value))
        if event.value == "?":
            self._field.value = ""
            self.post_message(self.HelpWanted())
        else:
            self._show(self._read(event.value))

    def _show(self, reading: Reading | None) -> None:
        self.reading = reading
        if reading is None:
            return
        self._marked.problems = (*reading.errors, *reading.questions)
        lines: list[Run] = []
        shown = [p for p in reading.errors if not p.open]
        in_a_word = not reading.line.endswith(" ")
        if reading.lone_tag is not None and in_a_word:
            said = f"Enter shows the whole life of {reading.lone_tag}; or go on, such as {reading.lone_tag} scrape 10m"
            lines.append(Run(said, "faint"))
        elif shown:
            lines.append(Run(f"✗ {shown[0].message}", "error"))
        elif reading.errors:
            completion = self._complete(reading.line)
            options = completion.options if completion is not None else ()
            if not options or not in_a_word:
                lines.append(Run(reading.errors[0].message, "faint"))
            if options:
                lines.append(Run("  ".join(options), "faint"))
        else:
            lines += [Run(text) for text in self._explain(reading)]
        self.say(*_fitting(lines, [Run(f"? {p.message}", "warn") for p in reading.questions if not shown]))
        self._field.refresh()

    # Enter and Escape

    @on(Input.Submitted, "#field")
    def _enter(self, event: Input.Submitted) -> None:
        event.stop()
        reading = self._read(self.text)
        self.reading = reading
        if not self.text.strip():
            return
        if reading is None:
            self.say(Run("The log is still being read: Enter again in a moment.", "faint"))
        elif reading.errors:
            if reading.lone_tag is not None:
                self.post_message(self.Looked(reading.lone_tag))
                return
            self.say(Run(f"✗ {reading.errors[0].message}", "error"))
        elif reading.questions and self._asked != self.text:
            self._asked = self.text
            self.say(
                *[Run(f"? {p.message}", "warn") for p in reading.questions[:2]],
                Run("Enter again records it as it is; Escape goes back to the line.", "strong"),
            )
        elif reading.ready:
            self.post_message(self.Entered(reading))

    def key_escape(self) -> None:
        if self._asked is not None:
            self._asked = None
            self._show(self.reading)
        elif self.text:
            self._field.earlier.append(self.text)
            self._field.forget_place()
            self._field.value = ""


def _fitting(understood: Sequence[Run], asked: Sequence[Run], room: int = 3) -> list[Run]:
    """As many lines as there is room for. What is asked comes before what is understood anyway, of which what is left
    out is counted."""
    asked = asked[: room - 1]
    kept = room - len(asked)
    left = len(understood) - kept
    if left <= 0:
        return [*understood, *asked]
    if kept == 1:
        return [Run(f"{len(understood)} things, first {understood[0].text}"), *asked]
    return [*understood[: kept - 1], Run(f"… and {left + 1} more", "faint"), *asked]
