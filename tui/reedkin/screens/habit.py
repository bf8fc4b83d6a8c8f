"""One habit closely: the lives of the reeds split on it, alone and beside other habits."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import BindingType

from reedkin.answers.habits.question import OneHabitAnswer, OneHabitQuestion
from reedkin.charts.canvas import Drawing, Line, Run, sentence
from reedkin.domain.figures import plural
from reedkin.screens.parts.asking import AskingScreen
from reedkin.screens.parts.choice import SeveralScreen
from reedkin.screens.parts.keys import Key, Keys, bindings, enter, rows
from reedkin.screens.roll import RollScreen
from reedkin.widgets.drawn import Drawn
from reedkin.widgets.group_list import GroupList
from reedkin.widgets.row_list import RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.answers.lives.groups import Group

_MOST_CURVES = 4


class HabitScreen(AskingScreen):
    """One habit by its name. It can be adjusted for others; Enter shows the reeds of the marked group."""

    TITLE = "habit"
    CSS_PATH = "habit.tcss"
    KEYS: ClassVar[Keys] = (
        rows("group"),
        enter("The reeds of the marked group", "its reeds"),
        Key({"a": "adjust"}, "Adjust for other habits"),
        Key({"l": "by_lot"}, "Compare only reeds of one cane lot, or of all"),
        Key({"d": "clock"}, "Hours played or days in service"),
        *AskingScreen.KEYS,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, name: str) -> None:
        super().__init__()
        self._habit = name
        self._beside: tuple[str, ...] = ()
        self._answer: OneHabitAnswer | None = None

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="chosen")
        yield SteadyText(id="told")
        yield Drawn(id="curves")
        yield GroupList(id="groups")
        yield SteadyText(id="age")
        yield SteadyText(id="said")

    # Asking and showing

    def show_log(self) -> None:
        self.show_top()
        clock = self.reedkin.answers.choice.clock
        self.ask(OneHabitQuestion(self._habit, clock, self._beside), self._show_habit)
        self._show_chosen()

    def _show_chosen(self) -> None:
        others = [name for name in self._beside if name != "lot"]
        chosen = [
            ("d", "hours played" if self.reedkin.answers.choice.clock == "hours" else "days in service"),
            ("a", f"adjusted for {plural(len(others), 'habit')}" if others else "not adjusted"),
        ]
        if self._habit != "lot":
            chosen.append(("l", "within one lot" if "lot" in self._beside else "all lots together"))
        self.show_chosen(*chosen)

    def _show_habit(self, answer: OneHabitAnswer) -> None:
        from reedkin.answers.habits.words import ACROSS, NOT_CAUSE
        from reedkin.answers.lives.words import split_words

        first, self._answer = self._answer is None, answer
        one = answer.one
        if first and one.alone is not None:  # where there are many, the one that is told of need not be in sight
            self.query_one(GroupList).place = next(
                (place for place, group in enumerate(self.groups) if group.name == one.alone.word), 0
            )
        self.query_one("#told", SteadyText).update(styled(_told(answer)))
        lines = [] if one.by_age is None else [one.by_age.words]
        lines += [f"{split_words(one.grouping)}."] if one.grouping.split else []
        lines += [ACROSS] if one.habit.kind == "use" else []
        self.query_one("#age", SteadyText).update(styled([[Run(line)] for line in lines]))
        self.rest(NOT_CAUSE)
        self._show_groups()

    @property
    def groups(self) -> tuple[Group, ...]:
        return self._answer.one.grouping.groups if self._answer is not None else ()

    def _drawn(self) -> list[Group]:
        """The groups to draw: all where they are few, else the marked one and the largest others."""
        if len(self.groups) <= _MOST_CURVES:
            return list(self.groups)
        marked = self._marked()
        largest = sorted(self.groups, key=lambda group: (group is not marked, -group.n))[:_MOST_CURVES]
        return [group for group in self.groups if group in largest]

    def _marked(self) -> Group:
        return self.query_one(GroupList).marked(self.groups)

    def _show_groups(self) -> None:
        answer = self._answer
        if answer is None:
            return
        drawn = self._drawn()
        self.query_one(GroupList).show_groups(self.groups, drawn, answer.rolls, answer.one.grouping, "group")
        self.query_one(Drawn).show(partial(_draw, drawn, answer))

    @on(RowList.Moved)
    def _moved(self) -> None:
        self._show_groups()

    def on_resize(self, event: events.Resize) -> None:
        self._show_groups()

    # Doing

    def action_by_lot(self) -> None:
        if self._answer is None or self._habit == "lot":
            return
        beside = [name for name in self._beside if name != "lot"]
        self._beside = tuple(beside) if "lot" in self._beside else (*beside, "lot")
        self.show_log()

    @work
    async def action_adjust(self) -> None:
        if self._answer is None:
            return
        others = self._answer.others
        marked = [place for place, (name, _) in enumerate(others) if name in self._beside]
        labels = [label for _, label in others]
        chosen = await self.app.push_screen_wait(SeveralScreen("Adjust for which other habits?", labels, marked))
        if chosen is not None:
            self._beside = tuple(others[place][0] for place in chosen)
            self.show_log()

    @on(RowList.Chosen)
    def _open(self) -> None:
        answer = self._answer
        if answer is not None and self.groups:
            group, habit = self._marked(), answer.one.habit
            title = f"{habit.label.lower()}: {group.name}"
            self.app.push_screen(RollScreen(title, habit.label, answer.rolls[group.name]))

    def text_twin(self) -> tuple[str, list[str]] | None:
        if self._answer is None:
            return None
        return f"habit-{self._habit}.txt", self._answer.lines()


def _told(answer: OneHabitAnswer) -> list[Line]:
    from reedkin.answers.habits.words import about, adjusted_words, said_of

    one = answer.one
    lines: list[Line] = []
    if one.alone is None:
        lines.append((Run(f"{one.habit.label}: ", "strong"), Run(f"the log cannot tell, {one.untold}.", "warn")))
    else:
        said, further = said_of(one, answer.finding)
        lines += [(Run(said, "strong"),), *((Run(line),) for line in further)]
    lines += [(Run(words, "target"),) for words in adjusted_words(one)]
    return [*lines, (Run(about(one.habit), "faint"),)] if about(one.habit) else lines


def _draw(groups: list[Group], answer: OneHabitAnswer, width: int, height: int) -> Drawing:
    from reedkin.answers.lives.words import UNIT
    from reedkin.charts.groups import as_curve
    from reedkin.charts.survival import survival_chart

    if not groups:
        return sentence("No reed that served has this noted, so there is nothing to split.", width, height)
    curves = [as_curve(group) for group in groups]
    if answer.one.habit.kind == "use":
        # Reeds leave a group whenever the habit changes, so that marks of it would hide the curve.
        curves = [replace(curve, censored=()) for curve in curves]
    return survival_chart(curves, width, height, UNIT[answer.one.clock])
