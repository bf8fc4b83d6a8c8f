"""Fair trials: which ones there are, what chance assigned, how the two ways compare so far, and what to do now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.message import Message

from reedkin.answers.question import Asked
from reedkin.bench.bench import Bench
from reedkin.bench.borrowed import Borrowed
from reedkin.charts.canvas import Drawing, Run
from reedkin.domain.paths import here, in_a_name, named_path
from reedkin.errors import ReedkinError
from reedkin.grammar.writing import word_for
from reedkin.screens.parts.asking import AskingScreen
from reedkin.screens.parts.keys import Key, Keys, bindings, rows
from reedkin.screens.parts.prompt import ConfirmScreen, PromptScreen
from reedkin.study.ticks import Cancelled
from reedkin.widgets.drawn import Drawn
from reedkin.widgets.row_list import RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled
from reedkin.widgets.trial_rows import arm_lines, told_lines, trial_heading, trial_row

if TYPE_CHECKING:
    from reedkin.answers.trials.comparison import Arm, Comparison

_START = "trial start "
_NONE_YET: tuple[Run, ...] = (
    Run("No trial yet. ", "strong"),
    Run("A trial settles what the log alone cannot, such as whether to wire before or after the first clip: you name "
        "two ways, and chance says which of them each reed gets that you tie. "),
    Run("n", "strong"), Run(" starts one."),
)  # fmt: skip
_MOST_ROWS = 4


class TrialsScreen(AskingScreen):
    """The trials of the log, the latest first, and how the ways of the marked one compare."""

    TITLE = "trials"
    CSS_PATH = "trials.tcss"
    KEYS: ClassVar[Keys] = (
        rows("trial"),
        Key({"n": "start"}, "Start a trial", "start one"),
        Key({"e": "end"}, "End the marked trial: no more reeds are assigned", "end it"),
        Key({"i": "join"}, "Take in a trial of a circle from its file: you draw by a chance of your own", "take in"),
        Key({"g": "give"}, "Write the file by which others take in the marked trial of a circle"),
        *AskingScreen.KEYS,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    @dataclass
    class Compared(Message):
        """The trials of a log that was `borrowed` were compared."""

        found: Sequence[Comparison]
        borrowed: Borrowed

    def __init__(self, line: str = "") -> None:
        """`line`: the entry of a trial to be started at once, which she can still change; none if empty."""
        super().__init__()
        self._line = line
        self._found: Sequence[Comparison] | None = None
        self._compared_of: tuple[Bench, int] | None = None
        """The log, and how often it had changed, when they were found."""

    def compose_body(self) -> ComposeResult:
        yield RowList(id="trials")
        with Vertical(id="one"):
            yield SteadyText(id="arms")
            yield Drawn(id="curves")
            yield SteadyText(id="told")
        yield SteadyText(id="said")

    # Reckoning

    def show_log(self) -> None:
        self.show_top()
        desk = self.desk
        if (desk.bench, desk.bench.changes) == self._compared_of:
            return
        if self._reckoning is not None:
            self._reckoning.cancel()
        self._reckoning = self._compare(Borrowed(desk.bench))
        self.tell_progress()

    @work(thread=True, group="reckoning")
    def _compare(self, borrowed: Borrowed) -> None:
        tick = self._ticker("Reading the trials")
        from reedkin.answers.trials.question import TrialsQuestion

        try:
            asked = Asked(borrowed.bench())
            found = TrialsQuestion().answer(asked, tick).found
        except Cancelled:
            return
        except ReedkinError as error:
            self.post_message(self.Failed(error))
            return
        self.post_message(self.Compared(found, borrowed))

    @on(Compared)
    def _compared(self, message: Compared) -> None:
        desk = self.desk
        if desk.bench is not message.borrowed.of or not message.borrowed.give_back():
            return
        if self._reckoning is not None:
            self._reckoning = None
            self._found, self._compared_of = message.found, (desk.bench, desk.bench.changes)
            self.say()
            self._show_trials()

    # Showing

    @property
    def marked(self) -> Comparison | None:
        place = self.query_one(RowList).place
        return self._found[place] if self._found and place < len(self._found) else None

    def _show_trials(self) -> None:
        if self._found is None:
            return
        rows, found = self.query_one(RowList), self._found
        rows.display = bool(found)
        rows.styles.height = 1 + min(len(found), _MOST_ROWS)
        about = [one.trial.uid for one in found]
        rows.show([trial_row(one, self.size.width) for one in found], trial_heading(), about=about)
        self._show_marked()

    def _show_marked(self) -> None:
        one = self.marked
        curves = self.query_one("#curves", Drawn)
        if one is None:
            self.query_one("#arms", SteadyText).update(styled([_NONE_YET] if self._found is not None else []))
            self.query_one("#told", SteadyText).update(styled([]))
            curves.show(None)
            return
        tells = one.effect is not None
        self.query_one("#arms", SteadyText).update(styled(arm_lines(one)))
        curves.show(partial(_curves, one.arms) if tells else None)
        curves.display = tells
        self.query_one("#told", SteadyText).update(styled(told_lines(one)))

    @on(RowList.Moved)
    def _moved(self) -> None:
        self.rest("")
        self._show_marked()

    def on_resize(self, event: events.Resize) -> None:
        self._show_trials()

    def text_twin(self) -> tuple[str, list[str]] | None:
        from reedkin.answers.trials.words import comparison_lines

        one = self.marked
        if one is None:
            return None
        return f"trial-{in_a_name(one.trial.label)}.txt", comparison_lines(one)

    # Doing

    def on_mount(self) -> None:
        if self._line:
            self.action_start()

    @work
    async def action_start(self) -> None:
        desk = self.desk

        def check(text: str) -> str | None:
            reading = desk.read(text)
            if reading.errors:
                return reading.errors[0].message
            if not text.startswith(_START):
                return f"a trial is started with {_START.strip()}; all else is recorded on the bench"
            return f"? {reading.questions[0].message}" if reading.questions else None

        title = "A name, one way or another, whose reeds, and how many are to be worn out, such as\n"
        title += "trial start wire before or after eh for 40\nWith `for the circle` behind it others take it in too."
        line = await self.app.push_screen_wait(PromptScreen(title, self._line or _START, check))
        self._line = ""
        more = " g writes its file for the others." if line is not None and "circle" in line else ""
        self._record(line, f"It has started: each reed tied from now on is assigned a way, on the bench.{more}")

    @work
    async def action_join(self) -> None:
        from reedkin.answers.circle.trial_files import joining_line
        from reedkin.store.circle.trial_files import read_trial_file

        given = await self.app.push_screen_wait(PromptScreen("From which file?", here("")))
        if given is None:
            return
        try:
            line = joining_line(read_trial_file(named_path(given)))
        except ReedkinError as error:
            self.rest(f"✗ {error}", "error")
            return
        self._record(line, "You are in it: each reed tied from now on is drawn for you alone, and counts with theirs.")

    @work
    async def action_give(self) -> None:
        from reedkin.answers.circle.trial_files import file_of, usual_name
        from reedkin.store.circle.trial_files import write_trial

        one = self.marked
        if one is None or not one.trial.of_circle:
            self.say("That is a trial of your own alone; one for a circle is started with for the circle.", "warn")
            return
        asked = PromptScreen("Into which file, for the others?", here(usual_name(one.trial)))
        given = await self.app.push_screen_wait(asked)
        if given is None:
            return
        try:
            path = write_trial(named_path(given), file_of(one.trial))
        except ReedkinError as error:
            self.rest(f"✗ {error}", "error")
            return
        self.rest(f"✓ Written to {path}. Each who takes it in draws by a chance of her own.", "good")

    @work
    async def action_end(self) -> None:
        one = self.marked
        if one is None or not one.trial.running:
            self.say("That trial has ended." if one is not None else "", "warn")
            return
        from reedkin.answers.trials.words import progress

        asked = ConfirmScreen(
            f"End trial {one.trial.label}? Reeds tied from now on are assigned no more.", progress(one)
        )
        if await self.app.push_screen_wait(asked):
            self._record(
                f"trial end {word_for('trial', one.trial.label)}", "It has ended; its reeds live on, and count."
            )

    def _record(self, line: str | None, done: str) -> None:
        if line is None:
            return
        desk = self.desk
        reading = desk.read(line)
        try:
            if reading.errors:
                raise ReedkinError(reading.errors[0].message)
            desk.record(reading)
        except ReedkinError as error:
            self.rest(f"✗ {error}", "error")
            return
        self.rest(f"✓ {done}", "good")
        self.show_log()


def _curves(arms: Sequence[Arm], width: int, height: int) -> Drawing:
    from reedkin.answers.lives.groups import Group
    from reedkin.charts.groups import as_curve
    from reedkin.charts.survival import survival_chart

    groups = [Group(arm.way, arm.assigned, arm.worn, arm.curve, arm.reeds) for arm in arms if arm.curve is not None]
    return survival_chart([as_curve(group) for group in groups], width, height)
