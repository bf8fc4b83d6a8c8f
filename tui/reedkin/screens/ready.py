"""Ready by a day: the chance of enough good reeds then, and how many blanks to tie for it, and by when."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType

from reedkin.charts.canvas import Drawing, Run
from reedkin.domain.figures import day_words, plural
from reedkin.domain.words import INSTRUMENTS, spelt
from reedkin.errors import InputError
from reedkin.grammar.when.days import parse_day
from reedkin.screens.parts.asking import AskingScreen, following
from reedkin.screens.parts.keys import Key, Keys, bindings
from reedkin.screens.parts.prompt import PromptScreen
from reedkin.widgets.drawn import Drawn
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.answers.ready import Readiness, Wish


class ReadyScreen(AskingScreen):
    """One question: so many reeds of an instrument on a day. Each key that changes it asks anew."""

    TITLE = "ready"
    CSS_PATH = "ready.tcss"
    KEYS: ClassVar[Keys] = (
        Key({"up": "reeds(1)", "down": "reeds(-1)"}, "One reed more, or fewer", "reeds"),
        Key({"left": "day(-1)", "right": "day(1)"}, "A day earlier, or later", "day"),
        Key({"d": "date"}, "On which day", "date"),
        Key({"h": "hours"}, "Hours of rehearsals before", "hours"),
        Key({"i": "instrument"}, "Another instrument"),
        Key({"s": "season"}, "The season: all engagements, and what to tie for them", "season"),
        Key({"v": "view"}, "The chart, or what the answer goes by", "why"),
        *AskingScreen.KEYS,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._answer: Readiness | None = None

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="chosen")
        yield SteadyText(id="answer")
        yield Drawn(id="chance")
        yield SteadyText(id="basis")
        yield SteadyText(id="said")

    # Asking and showing

    @property
    def today(self) -> date:
        return self.reedkin.clock.now().date()

    @property
    def wish(self) -> Wish:
        """What was asked last, or what to ask at first: the concert that comes next, or in two weeks."""
        choice = self.reedkin.answers.choice
        if choice.wish is None:
            from reedkin.answers.ready.unasked import wish_unasked

            choice.wish = wish_unasked(self.desk.bench)
        if choice.wish.on < self.today:
            choice.wish = replace(choice.wish, on=self.today)
        return choice.wish

    def show_log(self) -> None:
        self.show_top()
        wish = self.wish
        from reedkin.answers.ready.question import ReadyQuestion

        self._show_wish(wish)
        self.ask(ReadyQuestion(wish, self.today), lambda ready: self._show_answer(ready.forecast))
        if self.is_busy:
            self._show_answer(None)

    def _want(self, wish: Wish) -> None:
        self.reedkin.answers.choice.wish = wish
        self.show_log()

    def _show_wish(self, wish: Wish) -> None:
        hours = "rehearsals as usual" if wish.rehearsal_hours is None else f"{wish.rehearsal_hours:g} h of rehearsals"
        self.show_chosen(
            ("↑↓", plural(wish.reeds, "reed")),
            ("i", spelt(wish.instrument)),
            ("d", day_words(wish.on)),
            ("h", hours),
        )

    def _show_answer(self, answer: Readiness | None) -> None:
        from reedkin.answers.ready.telling import basis_lines, chance_lines, plan_lines

        self._answer = answer
        chance, basis = self.query_one("#chance", Drawn), self.query_one("#basis", SteadyText)
        if answer is None:
            chance.show(None)
            basis.update("")
            self.query_one("#answer", SteadyText).update("")
            return
        question, sentence, *stock = chance_lines(answer)
        lines = [[Run(f"{question} "), Run(sentence, "strong")], *([Run(line)] for line in stock)]
        lines += [[Run(line, "strong")] for line in plan_lines(answer)]
        self.query_one("#answer", SteadyText).update(styled(lines))
        chance.show(partial(_draw, answer))
        basis.update(styled([[Run(line, "" if line in answer.leans else "faint")] for line in basis_lines(answer)]))
        at_rest = _at_rest(answer) if len(self.desk.bench) else _NO_REED
        self.rest(at_rest, "warn" if answer.leans else "faint")

    # Doing

    def action_reeds(self, by: int) -> None:
        wish = self.wish
        from reedkin.answers.ready.unasked import MOST_REEDS

        if 1 <= wish.reeds + by <= MOST_REEDS:
            self._want(replace(wish, reeds=wish.reeds + by))

    def action_day(self, by: int) -> None:
        wish = self.wish
        if wish.on + timedelta(days=by) >= self.today:
            self._want(replace(wish, on=wish.on + timedelta(days=by)))

    def action_instrument(self) -> None:
        wish = self.wish
        self._want(replace(wish, instrument=following(wish.instrument, INSTRUMENTS)))

    @work
    async def action_date(self) -> None:
        def check(text: str) -> str | None:
            try:
                day = parse_day(text, self.reedkin.clock)
            except InputError as error:
                return str(error)
            return "that day is past" if day < self.today else None

        title = "On which day? (friday, 12 March, 2026-03-12)"
        text = await self.app.push_screen_wait(PromptScreen(title, check=check))
        if text is not None:
            self._want(replace(self.wish, on=parse_day(text, self.reedkin.clock)))

    @work
    async def action_hours(self) -> None:
        title = "How many hours of rehearsals before? (nothing: as many as usual)"
        text = await self.app.push_screen_wait(PromptScreen(title, check=_hours_problem))
        if text is not None:
            self._want(replace(self.wish, rehearsal_hours=float(text) if text.strip() else None))

    def action_season(self) -> None:
        from reedkin.screens.season import SeasonScreen

        self.app.push_screen(SeasonScreen())

    def action_view(self) -> None:
        self.toggle_class("-basis")

    def text_twin(self) -> tuple[str, list[str]] | None:
        if self._answer is None:
            return None
        from reedkin.answers.ready import readiness_text

        return f"ready-{self._answer.wish.on.isoformat()}.txt", readiness_text(self._answer)


_NO_REED = "No reed is noted: by common practice alone (v). On the bench: 1 join oboe 5h"


def _hours_problem(text: str) -> str | None:
    try:
        hours = float(text) if text.strip() else 0.0
    except ValueError:
        return f"{text} is no number of hours; write 9 or 7.5"
    return None if 0.0 <= hours < 1000.0 else f"{text} hours cannot be; write 9 or 7.5"


def _at_rest(answer: Readiness) -> str:
    if answer.leans:
        return "Your log alone is too thin for this: v tells what else the answer leans on."
    return "From your own log. Each key above asks anew."


def _draw(answer: Readiness, width: int, height: int) -> Drawing:
    from reedkin.charts.answers import chance_drawing

    return chance_drawing(answer, width, height)
