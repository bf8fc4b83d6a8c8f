"""The season: every engagement with its chance, and what to tie in which week; a change of the plan shows at once."""

from __future__ import annotations

from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import BindingType

from reedkin.charts.canvas import Drawing, Line, Run
from reedkin.domain.figures import day_and_month, plural
from reedkin.domain.instruments import short_name
from reedkin.domain.paths import here, named_path
from reedkin.errors import ReedkinError
from reedkin.screens.parts.asking import following
from reedkin.screens.parts.keys import Key, Keys, bindings
from reedkin.screens.parts.paged import PagedScreen
from reedkin.screens.parts.prompt import PromptScreen
from reedkin.widgets.styled import folded

if TYPE_CHECKING:
    from reedkin.answers.season.question import Given, Season

_LEVELS = (0.8, 0.9, 0.95)


class SeasonScreen(PagedScreen):
    """The weeks above, the engagements beneath. The plan is the best that was found until she changes a week of it."""

    TITLE = "season"
    CSS_PATH = ["parts/paged.tcss", "season.tcss"]
    KEYS: ClassVar[Keys] = (
        Key({"left": "week(-1)", "right": "week(1)"}, "The week before, or after", "week", priority=True),
        Key({"plus,equals_sign": "blanks(1)", "minus": "blanks(-1)"}, "Tie a blank more, or fewer, in the week", "tie"),
        Key({"i": "instrument"}, "Another instrument"),
        Key({"l": "level"}, "The chance that each is to reach: 80, 90 or 95%"),
        Key({"b": "best"}, "The best plan again, in place of your own"),
        Key({"c": "calendar"}, "What to tie as a calendar, in .ics", "calendar"),
        Key({"up": "", "down": ""}, "Scroll"),
        *PagedScreen.KEYS,
    )  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._found: Season | None = None
        self._given: Given | None = None
        self._reach = _LEVELS[1]
        self._week = 0
        self._instrument = 0

    # Asking and showing

    def show_log(self) -> None:
        self.show_top()
        answers, today = self.reedkin.answers, self.reedkin.clock.now().date()
        if not answers.holds_for(self.desk.bench):
            self._found = None
        from reedkin.answers.season.question import SeasonQuestion

        self._show_chosen()
        self.ask(SeasonQuestion(today, reach=self._reach, given=self._given, drawn=self._found), self._show_season)

    def _show_season(self, found: Season) -> None:
        self._found = found
        self._week = min(self._week, found.weeks - 1)
        self.chart.display = bool(found.chances)
        self.chart.show(partial(_draw, found, self._marked))
        self.chart.styles.height = 1 + 5 * min(len(found.stock), 2)
        self._show_chosen()
        self.show_lines()
        self.rest(_at_rest(found), "warn" if found.short() else "faint")

    @property
    def _marked(self) -> tuple[str, int] | None:
        names = self._names
        return (names[self._instrument % len(names)], self._week) if names else None

    @property
    def _names(self) -> list[str]:
        return list(self._found.stock) if self._found is not None else []

    def _show_chosen(self) -> None:
        chosen = [("l", f"to reach {self._reach:.0%}")]
        if (marked := self._marked) is not None and self._found is not None:
            tied = self._blanks.get(marked, 0)
            first = self._found.today + timedelta(weeks=marked[1])
            week = f"week of {day_and_month(first)}"
            short = short_name(marked[0])
            chosen += [("←→", week), ("i", short), ("+-", f"tie {plural(tied, 'blank')}")]
        self.show_chosen(*chosen, ("b", "your own plan" if self._given is not None else "the best plan"))

    def folded_lines(self, width: int) -> list[Line]:
        return folded(_lines(self._found), width) if self._found is not None else []

    # Doing

    @property
    def _blanks(self) -> dict[tuple[str, int], int]:
        """What is planned: how many blanks of an instrument in a week."""
        given = self._given if self._given is not None else self._found.plan if self._found is not None else ()
        return {(name, week): blanks for name, week, blanks in given}

    def action_week(self, by: int) -> None:
        if self._found is not None:
            self._week = max(0, min(self._found.weeks - 1, self._week + by))
            self._show_again()

    def action_instrument(self) -> None:
        self._instrument += 1
        self._show_again()

    def _show_again(self) -> None:
        if self._found is not None:
            self.chart.show(partial(_draw, self._found, self._marked))
            self._show_chosen()

    def action_blanks(self, by: int) -> None:
        found, marked = self._found, self._marked
        if found is None or marked is None:
            return
        planned = self._blanks
        others = sum(count for (name, week), count in planned.items() if week == marked[1] and name != marked[0])
        wanted = planned.get(marked, 0) + by
        if wanted < 0 or wanted + others > found.most:
            self.say(
                f"At most {plural(found.most, 'blank')} in a week; set blanks {found.most + 2} changes it.", "warn"
            )
            return
        planned[marked] = wanted
        self._given = tuple(sorted((name, week, count) for (name, week), count in planned.items() if count))
        self.show_log()

    def action_level(self) -> None:
        self._reach = following(self._reach, _LEVELS)
        self.show_log()

    def action_best(self) -> None:
        self._given = None
        self.show_log()

    # To a file

    def text_twin(self) -> tuple[str, list[str]] | None:
        if self._found is None:
            return None
        from reedkin.charts.canvas import plain

        drawn = plain(_draw(self._found, None, 79, 11)).splitlines() if self._found.chances else []
        return "season.txt", [*drawn, *self._found.lines()]

    @work
    async def action_calendar(self) -> None:
        found = self._found
        if found is None or not found.tie:
            self.say("Nothing is to be tied.")
            return
        given = await self.app.push_screen_wait(PromptScreen("Into which calendar file?", here("tie.ics")))
        if given is None:
            return
        from reedkin.store.calendars.writing import write_tyings

        days = [(one.by, one.instrument, one.blanks) for one in found.tie]
        try:
            path = write_tyings(named_path(given), days, self.reedkin.clock.now(), self.desk.log.path)
        except ReedkinError as error:
            self.say(f"✗ {error}", "error")
            return
        self.say(f"✓ Written to {path}", "good")


def _lines(found: Season) -> list[Line]:
    from reedkin.answers.season.telling import HEADING, NONE_TO_COME, basis_lines, chance_lines, short_lines, tie_lines

    if not found.chances:
        return [(Run(NONE_TO_COME),)]
    plan: list[Line] = [(Run(line, "strong"),) for line in tie_lines(found)]
    short: list[Line] = [(Run(line, "warn"),) for line in short_lines(found)]
    rows: list[Line] = [
        (Run(line, "warn" if one.planned < found.reach else ""),)
        for one in found.chances
        for line in chance_lines(one, found.reach)
    ]
    basis: list[Line] = [(Run(line, "faint"),) for line in basis_lines(found)]
    return [*short, *plan, (Run(HEADING, "faint"),), *rows, *basis]


def _at_rest(found: Season) -> str:
    if not found.chances:
        return "Engagements are entered on the bench."
    if found.short():
        return f"! {plural(len(found.short()), 'engagement')} of {len(found.chances)} short; + ties more in a week."
    return f"● performance  ○ other. Each of {plural(len(found.chances), 'engagement')} reaches {found.reach:.0%}."


def _draw(found: Season, marked: tuple[str, int] | None, width: int, height: int) -> Drawing:
    from reedkin.charts.season import season_drawing

    return season_drawing(found, width, height, marked)
