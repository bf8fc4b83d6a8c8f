"""The case: which reed to play, in a reasoned order for an occasion, and how each reed is."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from typing import TYPE_CHECKING, ClassVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import BindingType

from reedkin.charts.canvas import Run
from reedkin.domain.figures import plural, weekday_words
from reedkin.domain.words import OFF, spelt
from reedkin.errors import InputError, ReedkinError
from reedkin.grammar.when.days import parse_day
from reedkin.screens.parts.asking import AskingScreen, following
from reedkin.screens.parts.keys import Key, Keys, bindings, enter, rows
from reedkin.screens.parts.prompt import PromptScreen
from reedkin.screens.rooms import BENCH
from reedkin.widgets.case_rows import case_heading, case_rows, why_line
from reedkin.widgets.reed_panel import ReedPanel
from reedkin.widgets.row_list import RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import WIDEST, styled

if TYPE_CHECKING:
    from reedkin.answers.case.case import InCase
    from reedkin.answers.case.choosing import Suggestion
    from reedkin.answers.case.question import Case

_EVENING = time(19)
"""When one plays on a day to come."""
_EMPTY: tuple[Run, ...] = (
    Run("The case is empty. ", "strong"),
    Run("A reed is in it from its first playing on, and nearly so once it has crowed: "),
    Run("1 join oboe 5h score 8", "cane"), Run(" puts one in that you have played already."),
)  # fmt: skip
_OTHER_ROWS, _LEAST_DRAWN = 10, 8
"""Rows of a tall screen that are neither the list's nor the drawing's; the fewest that a drawing wants."""
_NAMED = 5
"""So many unseen reeds are named in a row."""
_WEIGHTS = "To let rest count twice, on the bench: set weight rested 2 (or good, lasting)"


class CaseScreen(AskingScreen):
    """The reeds in service, in the order in which to take them, then those that have crowed. Enter opens a reed."""

    TITLE = "case"
    CSS_PATH = "case.tcss"
    KEYS: ClassVar[Keys] = (
        rows("reed"),
        enter("The life of the marked reed", "open"),
        Key({"o": "occasion"}, "For practice, a rehearsal or a performance", "occasion"),
        Key({"d": "day"}, "On which day", "day"),
        Key({"i": "instrument"}, "One instrument, or all"),
        Key({"s": "save"}, "Save the marked reed for an occasion, or no longer", "save"),
        *AskingScreen.KEYS,
        Key({"l": "labels"}, "Labels for these reeds, as a sheet to print", "labels"),
        Key({"u": "unseen"}, "Reeds unseen for long: the line that retires them, to look at and record"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._case: Case | None = None
        self._instrument: str | None = None

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="chosen")
        yield RowList(id="case")
        yield SteadyText(id="why")
        yield ReedPanel(id="drawn")
        yield SteadyText(id="said")

    # Asking and showing

    def show_log(self) -> None:
        self.show_top()
        self._show_choice()
        from reedkin.answers.case.question import CaseQuestion

        self.ask(CaseQuestion(self.at), self._show_answer)

    def _show_answer(self, answer: Case) -> None:
        self._case = self._as_chosen(answer)
        self._show_rest()
        self._show_case()

    def _show_rest(self) -> None:
        """What stands beneath: reeds that must be gone are asked about, as long as there are any."""
        if self._case is not None and self._case.gone:
            from reedkin.answers.case.still_there import which

            self.rest(f"Still there? {which(self._case.gone, _NAMED)}: unseen for long. u: they are gone", "warn")
        else:
            self.rest(_WEIGHTS if self._case is not None and self._case.every else "")

    def _as_chosen(self, answer: Case) -> Case:
        """The case for the occasion, the day and the instrument of this moment; the log need not be asked for them."""
        occasion = self.reedkin.answers.choice.occasion
        return replace(answer, at=self.at, occasion=occasion, instrument=self._instrument)

    def _show_choice(self) -> None:
        from reedkin.answers.case.choosing import in_words

        choice = self.reedkin.answers.choice
        day = "today" if choice.day is None else weekday_words(choice.day)
        self.show_chosen(
            ("o", f"for {in_words(choice.occasion)}"),
            ("d", day),
            ("i", f"{spelt(self._instrument)} only" if self._instrument else "all instruments"),
        )

    @property
    def at(self) -> datetime:
        """When the reeds are to be played: now, to the minute, or in the evening of the day that was named."""
        clock, day = self.reedkin.clock, self.reedkin.answers.choice.day
        now = clock.now().replace(second=0, microsecond=0)
        return now if day is None or day <= now.date() else clock.local(datetime.combine(day, _EVENING))

    @property
    def instruments(self) -> list[str]:
        """Those of the reeds in the case, the one played last first."""
        return self._case.instruments if self._case is not None else []

    def _orders(self) -> list[list[Suggestion]]:
        """The order for each instrument that is looked at."""
        if self._case is None:
            return []
        wanted = self.instruments if self._instrument is None else [self._instrument]
        return [self._case.order(instrument) for instrument in wanted]

    def _show_case(self, place: int | None = None) -> None:
        if self._case is None:
            return
        width = min(self.size.width, WIDEST) - 4
        rows = case_rows(self._orders(), self._case.nearly, self._case.at, width)
        instruments = [one.reed.instrument for one, _ in self._order()]
        apart = [at for at in range(1, len(instruments)) if instruments[at] != instruments[at - 1]]
        about = [one.reed.id for one, _ in self._order()]
        self.query_one(RowList).show(rows, case_heading(width) if rows else None, place, apart, about)
        self._share_out(1 + len(rows) + len(apart))
        self._show_why()

    def _share_out(self, wanted: int) -> None:
        """Give the list no more rows than it has, and what is left to the drawing of the marked reed, if that is
        enough for one."""
        room = self.size.height - _OTHER_ROWS
        drawn = bool(self._order()) and room - wanted >= _LEAST_DRAWN
        self.query_one("#drawn").display = drawn
        self.query_one(RowList).styles.height = wanted if drawn else "1fr"

    def _order(self) -> list[tuple[InCase, Suggestion | None]]:
        """The reeds in the order of the rows."""
        suggested = [(one.one, one) for suggestions in self._orders() for one in suggestions]
        return [*suggested, *((one, None) for one in (self._case.nearly if self._case is not None else []))]

    @property
    def marked(self) -> tuple[InCase, Suggestion | None] | None:
        order, place = self._order(), self.query_one(RowList).place
        return order[place] if 0 <= place < len(order) else None

    def _show_why(self) -> None:
        marked = self.marked
        lines = [_EMPTY if marked is None else why_line(*marked)]
        if any(one.left is not None and one.left.usual for one, _ in self._order()):
            from reedkin.answers.hours_left.outlook import usual_words

            lines += [(Run(line, "faint"),) for line in usual_words(one.left for one, _ in self._order())]
        self.query_one("#why", SteadyText).update(styled(lines))
        if marked is not None:
            reed = marked[0].reed
            self.query_one(ReedPanel).show(reed, self.desk.bench.settings.targets(reed.instrument))

    @on(RowList.Moved)
    def _moved(self) -> None:
        self.say()
        self._show_why()

    def on_resize(self, event: events.Resize) -> None:
        self._show_case()

    # Doing

    def _choose_anew(self) -> None:
        self._show_choice()
        if self._case is not None:
            self._case = self._as_chosen(self._case)
        self._show_rest()
        self._show_case(place=0)

    def action_occasion(self) -> None:
        from reedkin.answers.case.choosing import OCCASIONS

        choice = self.reedkin.answers.choice
        choice.occasion = following(choice.occasion, OCCASIONS)
        self._choose_anew()

    def action_instrument(self) -> None:
        self._instrument = following(self._instrument, (None, *self.instruments))
        self._choose_anew()

    @work
    async def action_day(self) -> None:
        desk = self.desk

        def check(text: str) -> str | None:
            try:
                day = parse_day(text, desk.clock)
            except InputError as error:
                return str(error)
            return "that day is past" if day < desk.clock.now().date() else None

        text = await self.app.push_screen_wait(
            PromptScreen("On which day? (today, tomorrow, friday, 12 March)", check=check)
        )
        if text is not None:
            day: date = parse_day(text, desk.clock)
            self.reedkin.answers.choice.day = day if day > desk.clock.now().date() else None
            self._choose_anew()

    @work
    async def action_save(self) -> None:
        marked, desk = self.marked, self.desk
        if marked is None:
            return
        reed = marked[0].reed

        def line(text: str) -> str:
            text = text.strip()
            return f"{reed.tag} save {f'for {text}' if text and text != OFF else OFF}"

        def check(text: str) -> str | None:
            reading = desk.read(line(text))
            if reading.errors:
                return reading.errors[0].message
            return f"? {reading.questions[0].message}" if reading.questions else None

        title = f"Save {reed.label} for what? (the recital on 12 March; {OFF}: it is free again)"
        text = await self.app.push_screen_wait(PromptScreen(title, check=check))
        if text is None:
            return
        try:
            desk.record(desk.read(line(text)))
        except ReedkinError as error:
            self.say(f"✗ {error}", "error")
            return
        self.show_log()

    def action_unseen(self) -> None:
        """Go to the bench with the line on it that retires the reeds that are unseen for long."""
        from reedkin.answers.case.still_there import gone_line

        if self._case is not None and self._case.gone:
            line = gone_line(self._case.gone)
            self.reedkin.go(BENCH.name)
            self.reedkin.write(line)

    @work
    async def action_labels(self) -> None:
        from reedkin.answers.card.labels import reed_label
        from reedkin.screens.parts.printing import KINDS, labels_as_file

        reeds = [one.reed for one, _ in self._order()]
        if not reeds:
            return
        await self.put_into_file(
            f"Labels of {plural(len(reeds), 'reed')}: into which file? ({KINDS})", "labels.html",
            lambda suffix: labels_as_file(suffix, [reed_label(reed) for reed in reeds]),
        )  # fmt: skip

    @on(RowList.Chosen)
    def _open(self) -> None:
        marked = self.marked
        if marked is not None:
            self.reedkin.show_reed(marked[0].reed.id)

    def text_twin(self) -> tuple[str, list[str]] | None:
        if self._case is None or not self._case.every:
            return None
        from reedkin.answers.case.choosing import choosing_text

        occasion, day = self.reedkin.answers.choice.occasion, self._case.at.date()
        lines = [line for order in self._orders() for line in (*choosing_text(order, occasion, day), "")]
        return f"case-{occasion}.txt", [*lines, *self._case.table()]
