"""The entry line: always ready, with a ghost of the likely rest, and above it what would be recorded.

What a key does here is done when the key is: what stands on the line is read off the line itself, and nothing waits in
a queue in which later keys could overtake it. Only what is shown may come later.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.geometry import Size
from textual.reactive import Reactive
from textual.suggester import Suggester
from textual.widgets import Input

from reedkin.charts.canvas import Run
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import WIDEST, folded, styled
from reedkin.widgets.visible import Visible

if TYPE_CHECKING:
    from reedkin.grammar.completing.completion import Completion
    from reedkin.grammar.reading import Reading
    from reedkin.grammar.words.tokens import Problem


class WayThere(NamedTuple):
    """Where a line leads: what Enter does, in words, and the doing of it."""

    does: str
    go: Callable[[], object]


@dataclass(frozen=True)
class Behind:
    """What stands behind the line. Reading and completing give None while the log is still being read."""

    read: Callable[[str], Reading | None]
    """None also while the line waits for something else, such as a recording that is still to be heard."""
    wait: Callable[[Callable[[], None]], None]
    """Enter on a line that cannot be read yet: do this when it can be."""
    complete: Callable[[str], Completion | None]
    explain: Callable[[Reading], list[str]]
    foresee: Callable[[Reading | None], None]
    """Another reading stands on the line, or none: show what it would make of its reed."""
    record: Callable[[Reading], None]
    """The line is understood, its questions are answered: record it, and `clear` the line if that was done."""
    look: Callable[[str], None]
    """A tag alone was entered: the maker wants to see that reed."""
    help: Callable[[], None]
    """A question mark on the empty line."""
    leads_to: Callable[[str], WayThere | None]
    """Where a line leads that is nothing to record but the name of a room, as those type it whose terminal or keyboard
    keeps the function keys for itself; None for any other."""
    foot: Callable[[str, float | None], bool]
    """A key on the empty line, and when it was pressed if that is known: whether it is a pedal's, and done."""
    heard: Callable[[str, float], object]
    """Any other key, and when it was pressed: one that is held down tells how soon a key repeats itself."""
    changed: Callable[[str], None]
    """Another text stands on the line."""
    when_free: Callable[[Callable[[], None]], None]
    """Do something, once, when there is time: not between a key and the next."""


class _Ghost(Suggester):
    """The line with its likely rest. Asked anew at each key, since the answer depends on the reed in hand."""

    def __init__(self, complete: Callable[[str], Completion | None]) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self._complete = complete

    async def get_suggestion(self, value: str) -> str | None:
        completion = self._complete(value)
        return value + completion.ghost if completion is not None and completion.ghost else None


class _Marks(Visible):
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
        # With priority, which is the shortest way from a key to what it does.
        Binding("enter", "submit", "Record the line", show=False, priority=True),
        Binding("backspace", "delete_left", "Delete the character before", show=False, priority=True),
        Binding("tab", "take_ghost", "Complete what is typed", show=False, priority=True),
        Binding("ctrl+p", "earlier(-1)", "Bring back the line before", show=False),
        Binding("ctrl+n", "earlier(1)", "Bring back the line after", show=False),
    ]

    virtual_size = Reactive(Size(0, 0))
    """How far the text goes. Textual's own has the whole screen laid out anew when it changes, so at every key; but the
    place of the line does not go by what stands on it."""

    def __init__(self, behind: Behind, marked: _Marks, changed: Callable[[], None], enter: Callable[[], None]) -> None:
        super().__init__(
            id="field", compact=True, suggester=_Ghost(behind.complete), highlighter=marked, select_on_focus=False
        )
        self.cursor_blink = False  # it always has the focus, and a bench that waits should cost nothing
        self._behind, self._changed, self._enter = behind, changed, enter
        self._last_key = ""
        self.earlier: list[str] = []
        self._place: int | None = None

    def watch_value(self) -> None:
        self._changed()

    async def action_submit(self) -> None:
        self._enter()

    def on_key(self, event: events.Key) -> None:
        before, self._last_key = self._last_key, event.key
        if not self.value and self._behind.foot(event.key, event.time):
            event.stop()
            event.prevent_default()
            return
        self._behind.heard(event.key, event.time)
        if event.key == "ctrl+j":  # a line feed, as where lines are pasted as if they were typed
            event.stop()
            if before != "enter":  # but not the second half of one end of a line
                self._enter()
        elif event.character == "?" and not self.value:
            event.stop()
            event.prevent_default()
            self._behind.help()

    def on_paste(self, event: events.Paste) -> None:
        """Several lines become one entry of several clauses, so that none is lost."""
        event.stop()
        event.prevent_default()
        lines = event.text.replace("\t", " ").splitlines()
        text = lines[0] if len(lines) == 1 else "; ".join(line.strip() for line in lines if line.strip())
        self.replace(text, *self.selection)

    def action_take_ghost(self) -> None:
        completion = self._behind.complete(self.value)
        if completion is None:
            return
        if completion.ghost:
            self.put(self.value + completion.ghost)
        elif completion.options:
            self.put(self.value[: completion.start] + completion.options[0] + " ")

    def action_cursor_right(self, select: bool = False) -> None:
        """At the end of the line, take the ghost: the one that belongs there, whether or not it shows yet."""
        if select or self.cursor_position < len(self.value):
            super().action_cursor_right(select)
        elif (completion := self._behind.complete(self.value)) is not None and completion.ghost:
            self.put(self.value + completion.ghost)

    def put(self, text: str) -> None:
        """Put a text in the place of what stands there, to be gone on with."""
        self.value = text
        self.cursor_position = len(text)

    def action_earlier(self, by: int) -> None:
        if not self.earlier:
            return
        place = len(self.earlier) if self._place is None else self._place
        self._place = max(0, min(len(self.earlier), place + by))
        self.put(self.earlier[self._place] if self._place < len(self.earlier) else "")

    def set_aside(self) -> None:
        """Begin a new line; the one that stands there can be brought back."""
        if self.value.strip():
            self.earlier.append(self.value.strip())
        self._place = None
        self.put("")


class EntryLine(Vertical):
    """Reads while one types, and hands on what is to be recorded. Keeps the text until told to `clear`."""

    DEFAULT_CSS = """
    EntryLine { height: auto; }
    EntryLine > #said { height: 3; padding: 0 1; }
    EntryLine > Horizontal { height: 1; }
    EntryLine #prompt { width: auto; color: $primary; text-style: bold; }
    EntryLine #field { width: 1fr; background: $background; color: $foreground; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Clear the line", show=False)]

    def __init__(self, behind: Behind, id: str | None = None) -> None:
        super().__init__(id=id)
        self._behind = behind
        self._marked = _Marks()
        self._field = _Field(behind, self._marked, self._typed, self.enter)
        self._asked = False
        """Whether what stands on the line was asked about, so that another Enter records it."""
        self._unread = False
        """Whether it has changed since what is said above it was said."""

    def compose(self) -> ComposeResult:
        yield SteadyText(id="said")
        with Horizontal():
            yield SteadyText(id="prompt")
            yield self._field

    # From outside

    @property
    def text(self) -> str:
        return self._field.value

    def focus_line(self) -> None:
        self._field.focus()

    def put(self, text: str) -> None:
        """Put a text on the line, to be gone on with; what is said above it stays."""
        self._field.put(text)
        self._unread = False

    def keep(self, text: str) -> None:
        """Keep a text with the lines that can be brought back."""
        self._field.earlier.append(text)

    def clear(self) -> None:
        """The line was recorded: begin a new one; what is said above it stays."""
        self._field.set_aside()
        self._unread = False
        self._marked.problems = ()
        self._behind.foresee(None)

    def set_prompt(self, text: str) -> None:
        self.query_one("#prompt", SteadyText).update(styled([[Run(f" {text} ▸ ", "cane")]]))

    def say(self, *lines: Run) -> None:
        """Show lines above the entry line, until something is typed."""
        self._unread = False
        said = self.query_one("#said", SteadyText)
        said.update(styled(folded([[line] for line in lines], said.content_size.width or WIDEST)))

    def reread(self) -> None:
        """Read the line anew: the reed in hand or the time has changed."""
        if self.text.strip() and not self._asked:
            self._show(self._behind.read(self.text))

    # While typing

    def _typed(self) -> None:
        self._asked, self._unread = False, True
        self._behind.changed(self.text)
        self._behind.when_free(self._read_on)

    def _read_on(self) -> None:
        """Say above the line what stands on it now."""
        if self._unread:
            self._unread = False
            self._show(self._behind.read(self.text))

    def _show(self, reading: Reading | None) -> None:
        if reading is None:
            return
        self._behind.foresee(reading)
        in_a_word = not reading.line.endswith(" ")
        offered = in_a_word and any(p.half_typed or _is_word(p, reading.line) for p in reading.questions if p.offer)
        questions = [p for p in reading.questions if not (p.offer and offered)]
        as_typed = reading.line == self.text  # and not with what was heard in place of what names it
        self._marked.problems = (*reading.errors, *questions) if as_typed else ()
        lines: list[Run] = []
        shown = [p for p in reading.errors if not p.open]
        if reading.lone_tag is not None and in_a_word:
            self._marked.problems = ()
            said = f"Enter shows the whole life of {reading.lone_tag}; or go on, such as {reading.example}"
            lines.append(Run(said, "faint"))
        elif reading.errors and (way := self._behind.leads_to(reading.line)) is not None:
            self._marked.problems = ()
            lines.append(Run(f"Enter {way.does}", "faint"))
        elif shown:
            lines.append(Run(f"✗ {shown[0].message}", "error"))
        elif reading.errors or offered:
            completion = self._behind.complete(reading.line)
            options = completion.options if completion is not None else ()
            told = [p for p in reading.errors if not p.half_typed]
            if told and (not options or not in_a_word):
                lines.append(Run(told[0].message, "faint"))
            if options:
                lines.append(Run("  ".join(options), "faint"))
        else:
            lines += [Run(text) for text in self._behind.explain(reading)]
            if any(p.open for p in questions) and reading.line[-1:].isalpha():
                completion = self._behind.complete(reading.line)
                if completion is not None and completion.options:  # nothing is asked about a name half typed
                    lines.append(Run("  ".join(completion.options), "faint"))
                    questions = [p for p in questions if not p.open]
        self.say(*_fitting(lines, [Run(f"? {p.message}", "warn") for p in questions if not shown]))
        self._field.refresh()

    # Enter and Escape

    def enter(self) -> None:
        """Do what Enter does."""
        if not self.text:
            self._behind.foot("enter", None)
        if not self.text.strip():
            return
        reading = self._behind.read(self.text)
        if reading is None:
            self._behind.wait(self.enter)
        elif reading.lone_tag is not None:
            self._behind.look(reading.lone_tag)
        elif reading.errors and (way := self._behind.leads_to(reading.line)) is not None:
            self.clear()
            self.say()
            way.go()
        elif reading.errors:
            wrong = next((p for p in reading.errors if not p.open), reading.errors[0])
            self._mark([wrong], reading)
            self.say(Run(f"✗ {wrong.message}", "error"))
        elif reading.questions and not self._asked:
            self._asked = True
            asked = reading.questions[:2]
            self._mark(asked, reading)
            self.say(
                *[Run(f"? {p.message}", "warn") for p in asked],
                Run("Enter again records it as it is; Escape goes back to the line.", "strong"),
            )
        elif reading.ready:
            self._behind.record(reading)

    def _mark(self, problems: Sequence[Problem], reading: Reading) -> None:
        """Underline what is said of a line that was entered, also where it ends there."""
        as_typed = reading.line == self.text
        self._marked.problems = tuple(replace(p, open=False) for p in problems) if as_typed else ()
        self._field.refresh()

    def action_leave(self) -> None:
        if self._asked:
            self._asked = False
            self.reread()
        elif self.text:
            self._field.set_aside()


def _is_word(problem: Problem, line: str) -> bool:
    """Whether a problem is about the word that is being typed, and no other."""
    return problem.end >= len(line) and " " not in line[problem.start :].strip()


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
