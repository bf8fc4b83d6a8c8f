"""What would be given to a circle of makers, all of it, and the file of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import BindingType

from reedkin.answers.circle.share_question import Giving, ShareQuestion
from reedkin.charts.canvas import Run
from reedkin.domain.columns import fit
from reedkin.domain.paths import here, named_path
from reedkin.errors import ReedkinError
from reedkin.screens.parts.asking import AskingScreen
from reedkin.screens.parts.keys import Key, Keys, bindings, rows
from reedkin.screens.parts.prompt import ConfirmScreen, PromptScreen
from reedkin.widgets.row_list import Row, RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.store.circle.shares import HabitShare
    from reedkin.study.habits import Habit

_NAME = 30


class ShareScreen(AskingScreen):
    """All that would be given, a row a habit; the marked one in words. Nothing is written before she says so."""

    TITLE = "give to a circle"
    CSS_PATH = "share.tcss"
    KEYS: ClassVar[Keys] = (
        rows("habit"),
        Key({"w": "write"}, "Write the file for your circle", "write the file"),
        *AskingScreen.KEYS,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._giving: Giving | None = None

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="why")
        yield SteadyText(id="whole")
        yield RowList(id="habits")
        yield SteadyText(id="told")
        yield SteadyText(id="said")

    def show_log(self) -> None:
        self.show_top()
        self.ask(ShareQuestion(), self._show_giving)

    def _show_giving(self, giving: Giving) -> None:
        from reedkin.answers.circle.giving_words import GETS, NEVER, by_habit, whole_lines

        self._giving = giving
        self.rest("All of this goes into one small file, rounded, and nothing else. w writes it.")
        self.query_one("#why", SteadyText).update(styled([[Run(NEVER, "good")], [Run(GETS, "faint")]]))
        self.query_one("#whole", SteadyText).update(styled([[Run(line)] for line in whole_lines(giving.share)]))
        habits = by_habit(giving.share)
        told = self.query_one(RowList)
        told.display = bool(habits)
        told.show([_row(*one) for one in habits], _heading())
        self._tell()

    @on(RowList.Moved)
    def _tell(self) -> None:
        from reedkin.answers.circle.giving_words import by_habit, habit_words

        habits = [] if self._giving is None else by_habit(self._giving.share)
        place = self.query_one(RowList).place
        said = "No habit yet: of none the log can tell with five reeds on either side."
        if place < len(habits):
            said = habit_words(*habits[place])
        self.query_one("#told", SteadyText).update(styled([[Run(said)]]))

    @work
    async def action_write(self) -> None:
        from reedkin.store.circle.shares import write_share

        giving = self._giving
        if giving is None:
            return
        given = await self.app.push_screen_wait(PromptScreen("Into which file?", here("circle.json")))
        if given is None:
            return
        try:
            path = named_path(given)
            if path.exists():
                over = ConfirmScreen(f"There is a file {path} already. Replace it?", "Such as what you gave before.")
                if path.resolve() == self.desk.log.path.resolve():
                    raise ReedkinError(f"{path} is the log itself. Name another file.")
                if not await self.app.push_screen_wait(over):
                    return
            write_share(path, giving.share)
        except ReedkinError as error:
            self.rest(f"✗ {error}", "error")
            return
        self.rest(f"✓ Written to {path}. Give it to the others as you like.", "good")

    def text_twin(self) -> tuple[str, list[str]] | None:
        if self._giving is None:
            return None
        from reedkin.answers.circle.giving_words import all_lines

        return "given.txt", all_lines(self._giving.share)


def _heading() -> Row:
    return [Run(f"{'times as fast':<{_NAME}}{'hours':>7}{'days':>7}{'worn':>7}{'reeds':>7}  your middle half", "faint")]


def _row(habit: Habit, clocks: dict[str, HabitShare]) -> Row:
    from reedkin.answers.circle.giving_words import ratio

    one = next(iter(clocks.values()))
    low, high = (f"{quarter:g}" for quarter in one.quarters)
    middle = "" if habit.measure == "yes" else f"{low} to {high} {habit.unit}".rstrip()
    said = f"{ratio(clocks.get('hours')):>7}{ratio(clocks.get('days')):>7}{one.retired:>7}{one.reeds:>7}  {middle}"
    return [Run(f"{fit(habit.label, _NAME - 1)} "), Run(said)]
