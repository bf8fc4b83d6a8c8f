"""The diary: what was done, day by day, of all reeds; narrowed by words, and corrected."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import BindingType

from reedkin.answers.diary.diary import Diary, DiaryLine, DiaryQuestion, renewed
from reedkin.answers.diary.words import diary_text, events_of
from reedkin.charts.canvas import Run
from reedkin.domain.figures import day_words, plural
from reedkin.domain.paths import here, named_path
from reedkin.errors import ReedkinError
from reedkin.grammar.when.days import parse_when
from reedkin.screens.parts.correcting import CorrectingScreen
from reedkin.screens.parts.correction_box import CorrectionBox, Marked
from reedkin.screens.parts.keeping import KINDS, as_file
from reedkin.screens.parts.keys import Key, Keys, along, bindings
from reedkin.screens.parts.prompt import PromptScreen
from reedkin.store.log import Log
from reedkin.widgets.diary_rows import DiaryRows
from reedkin.widgets.row_list import RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled
from reedkin.widgets.typed import Typed

if TYPE_CHECKING:
    from reedkin.bench.bench import Bench


class DiaryScreen(CorrectingScreen):
    """All lines, newest first; those that hold the words that are looked for. `/` begins to type them."""

    TITLE = "diary"
    CSS_PATH = "diary.tcss"
    AUTO_FOCUS = ""
    KEYS: ClassVar[Keys] = (
        Key({"slash": "find"}, "Find words: notes, tags, names, lots, people, kinds", "find"),
        *CorrectingScreen.KEYS,
        Key({"g": "go_to_day"}, "Go to a day", "go to"),
        Key({"enter": "open"}, "Open a line of several reeds into its events; of one, its life", "open"),
        Key({"escape": "back"}, "All lines again; or back", "back"),
        Key({"p": "to_file"}, "Put the lines that are shown in a file: text, a picture, or a page to print", "file"),
        Key({"y": "copy"}, "Copy the lines that are shown to the clipboard", "copy"),
        Key({"u": "unite"}, "Take in what the log of another computer holds"),
        Key({"left": "day(1)", "right": "day(-1)"}, "The day before, or after"),
        *along("line", "newest line", "oldest"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._diary: Diary | None = None
        self._of: tuple[Bench, int] | None = None
        self._shown = Diary((), {})
        self._words = Typed()
        self._day: Typed | None = None
        self._finding = False
        self._opened: set[tuple[str, str]] = set()

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="find")
        rows = RowList(id="lines")
        rows.can_focus = False
        yield rows
        yield CorrectionBox(self.corrected, id="box")
        yield SteadyText(id="said")

    @property
    def _rows(self) -> RowList:
        return self.query_one(RowList)

    @work
    async def action_unite(self) -> None:
        """Merge another log into this one, then show one by one what does not go together."""
        from reedkin.screens.conflicts import ConflictScreen
        from reedkin.store.merging.uniting import refuse_same, unite

        other = str(self.reedkin.other_log or here("laptop.jsonl"))
        given = await self.app.push_screen_wait(PromptScreen("Which log of another computer?", other))
        if given is None:
            return
        log = self.desk.log
        try:
            path = named_path(given)
            refuse_same(path, log.path)
            with Log(path, log.clock, read_only=True) as theirs:
                done = unite(log, theirs)
        except (ReedkinError, OSError) as error:
            self.tell_of(Run(f"✗ {error}", "error"))
            return
        if done.conflicts:
            await self.app.push_screen_wait(ConflictScreen(log, done.conflicts))
        self.show_log()
        self.notify(" ".join(done.lines()))

    # Showing

    def show_log(self) -> None:
        self.show_top()
        desk = self.desk
        if self._of != (desk.bench, desk.bench.changes):
            self._show_find("reading the log …" if self._diary is None else "")
            self.ask(DiaryQuestion(), self._show_diary)

    def _show_diary(self, diary: Diary) -> None:
        desk, line = self.desk, self._line()
        self._diary, self._of = diary, (desk.bench, desk.bench.changes)
        self._show_found(_key(line) if line is not None else None)
        self.renew_cut_off()
        self._get_ready()

    @work(thread=True, exclusive=True, group="ready")
    def _get_ready(self) -> None:
        """Have what is looked through made before a word is typed. The diary is not handed over: Textual describes a
        worker by the repr of what it is given, which of 100,000 lines takes seconds."""
        if self._diary is not None:
            self._diary.get_ready()

    def _show_lines(self, at: tuple[str, str] | None = None) -> None:
        """Show the lines that are asked for, and what of the marked one does not fit."""
        self._show_found(at)
        self.show_cut_off()

    def _show_found(self, at: tuple[str, str] | None) -> None:
        """Show the lines that hold the words; `at` is the line to mark, else the mark stays in its place."""
        if self._diary is None:
            self._show_find()
            return
        found = self._diary.holding(self._words.text)
        if self._opened:
            lines = tuple(
                one for line in found.lines for one in (events_of(line) if _key(line) in self._opened else (line,))
            )
            found = Diary(lines, found.reeds)
        self._shown = found
        place = None
        if at is not None:
            place = next((n for n, line in enumerate(found.lines) if at in _keys(line)), None)
        self._rows.show(DiaryRows(found), place=place)
        self._show_find()

    def _show_find(self, doing: str = "") -> None:
        count = len(self._shown.lines)
        held = f"{plural(count, 'line')}" if self._diary is not None else doing or "reading the log …"
        runs = [Run("/", "strong"), Run(" find  ", "faint")]
        if self._day is not None:
            runs = [
                Run("g", "strong"),
                Run(" to the day  ", "faint"),
                *self._day.runs(),
                Run(f"   {self._about_day()}"),
            ]
        elif self._finding:
            runs += [*self._words.runs(), Run(f"   {held}; Enter: to the lines, Esc: all again", "faint")]
        elif self._words.text:
            runs += [Run(self._words.text, "cane"), Run(f"   {held}; Esc: all again", "faint")]
        else:
            runs += [Run(held, "faint")]
        if self._diary is not None and not count:
            runs.append(
                Run(
                    "  Nothing holds these words."
                    if self._words.text
                    else "  Nothing yet: what is entered on the bench (F2) stands here.",
                    "warn",
                )
            )
        self.query_one("#find", SteadyText).update(styled([runs]))

    def show_progress(self, doing: str, share: float) -> None:
        self._show_find(f"{doing}  {100 * share:3.0f}%")

    # Taken away

    def text(self) -> list[str]:
        return list(diary_text(self._shown))

    @work
    async def action_to_file(self) -> None:
        title = f"Into which file? ({KINDS})"
        await self.put_into_file(title, "diary.txt", lambda suffix: as_file(suffix, "reedkin: diary", self.text(), ()))

    # Correcting

    def _line(self) -> DiaryLine | None:
        place = self._rows.place
        return self._shown.lines[place] if 0 <= place < len(self._shown.lines) else None

    def marked(self) -> Marked | None:
        line = self._line()
        return Marked(line.places, line.said) if line is not None else None

    def was_corrected(self, changed: set[str]) -> None:
        desk, line = self.desk, self._line()
        if self._diary is None:
            return
        diary = renewed(self._diary, desk.bench, changed)
        self._diary, self._of = diary, (desk.bench, desk.bench.changes)
        self._show_lines(_key(line) if line is not None else None)
        self._get_ready()

    # Keys

    def typed(self, event: events.Key) -> bool:
        if self._day is not None:
            return self._typed_day(self._day, event)
        if not self._finding or event.key in ("up", "down", "pageup", "pagedown", "ctrl+z"):
            return False
        if event.key in ("enter", "escape"):
            self._finding = False
            if event.key == "escape":
                self._words = Typed()
            self._show_lines()
        elif self._words.key(event):
            self._rows.place = 0
            self._show_lines()
        return True

    def on_paste(self, event: events.Paste) -> None:
        super().on_paste(event)
        if self._finding and not self.box.is_open:
            event.stop()
            self._words.insert(event.text)
            self._show_lines()

    def _typed_day(self, day: Typed, event: events.Key) -> bool:
        if event.key in ("enter", "escape"):
            self._day = None
        elif day.key(event):
            self._to_day(day)
        self._show_find()
        return True

    def _to_day(self, typed: Typed) -> None:
        if not typed.text.strip():
            return
        try:
            day = parse_when(typed.text, self.desk.clock).at.date()
        except ReedkinError:
            return  # not a day yet; the line says so
        self._rows.action_move(self._shown.place_of(day) - self._rows.place)

    def _about_day(self) -> str:
        """How what was typed is understood as a day."""
        typed = self._day
        if typed is None or not typed.text.strip():
            return "tuesday, 12 march, 2026-03-12"
        try:
            return day_words(parse_when(typed.text, self.desk.clock).at.date())
        except ReedkinError as error:
            return str(error)

    def action_find(self) -> None:
        self._finding = True
        self._show_find()

    def action_go_to_day(self) -> None:
        self._day = Typed()
        self._show_find()

    def action_day(self, by: int) -> None:
        """To the first line of the day before (1) or after (-1)."""
        lines, place = self._shown.lines, self._rows.place
        if not lines:
            return
        day = lines[place].day
        while 0 <= place + by < len(lines) and lines[place].day == day:
            place += by
        if lines[place].day != day:
            self._rows.action_move(self._shown.place_of(lines[place].day) - self._rows.place)

    def action_open(self) -> None:
        line = self._line()
        if line is None or not line.steps:
            return
        if len(line.steps) > 1:
            self._opened.add(_key(line))
            self._show_lines(_key(line))
        else:
            self.reedkin.show_reed(line.steps[0].event.reed)

    def action_back(self) -> None:
        line = self._line()
        if self._words.text or self._opened:
            self._words = Typed()
            self._opened.clear()
            self._show_lines(_key(line) if line is not None else None)
        else:
            self.app.pop_screen()


def _key(line: DiaryLine) -> tuple[str, str]:
    """What tells a line from all others: its entry and its first event."""
    first = line.steps[0].event.uid if line.steps else line.said.uid if line.said is not None else ""
    return line.entry, first


def _keys(line: DiaryLine) -> set[tuple[str, str]]:
    """The keys that any of its events would have by itself."""
    return {_key(line), *((line.entry, step.event.uid) for step in line.steps)}
