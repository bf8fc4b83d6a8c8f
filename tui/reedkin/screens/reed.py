"""A reed's whole life: what it is made of, every event in order, the drawing, its length and playability over time.

Events are amended and struck here; the history is kept as text or as events in a file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical

from reedkin.answers.hours_left.question import OutlookQuestion
from reedkin.answers.question import Asked
from reedkin.answers.reed.history import HistoryRow
from reedkin.answers.reed.question import ReedQuestion, WholeLife
from reedkin.charts.canvas import Run
from reedkin.domain.events import Place
from reedkin.domain.paths import in_a_name
from reedkin.domain.reeds import IN_SERVICE, Reed, Step
from reedkin.screens.parts.correcting import CORRECTED, ELSEWHERE, CorrectingScreen
from reedkin.screens.parts.correction_box import CorrectionBox, Marked
from reedkin.screens.parts.keeping import KINDS, reed_as_file
from reedkin.screens.parts.keys import Key, Keys, along, bindings
from reedkin.screens.parts.prompt import PromptScreen
from reedkin.study.ticks import no_tick
from reedkin.widgets.life_charts import LifeCharts
from reedkin.widgets.reed_panel import ReedPanel
from reedkin.widgets.row_list import Row, RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.answers.hours_left.outlook import Outlook


class ReedScreen(CorrectingScreen):
    """One reed. Typing a digit asks for another tag."""

    TITLE = "reed"
    CSS_PATH = "reed.tcss"
    AUTO_FOCUS = ""
    KEYS: ClassVar[Keys] = (
        Key({"0-9": ""}, "Another reed: the first digit of its tag", "reed"),
        *CORRECTED,
        Key({"c": "charts"}, "Charts or history, where both do not fit", "charts"),
        Key({"g": "card"}, "The care card that goes with it, as a page to print", "card"),
        Key({"p": "to_file"}, "Put the history in a file: text, a page to print, or its events", "file"),
        Key({"escape": "back"}, "Back", "back"),
        *ELSEWHERE,
        Key({"y": "copy"}, "Copy the history to the clipboard", "copy"),
        Key({"slash": "ask_tag"}, "Another reed by its tag"),
        Key({"left": "bearer(-1)", "right": "bearer(1)"}, "The reed that bore this tag before, or after"),
        *along("event", "first event", "last"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, reed: str) -> None:
        super().__init__()
        self._shown = reed
        self._charts = False

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="made")
        yield SteadyText(id="outlook")
        yield ReedPanel(id="drawing", titled=False)
        with Horizontal(id="life"):
            rows = RowList(id="history")
            rows.can_focus = False
            yield rows
            with Vertical(id="charts"):
                yield LifeCharts(id="charts-drawn")
        yield CorrectionBox(self.corrected, id="box")
        yield SteadyText(id="said")

    @property
    def reed(self) -> Reed | None:
        """The reed as it is now; None where the log has none of this id."""
        bench = self.desk.bench
        return bench.reed(self._shown) if self._shown in bench else None

    def show(self, reed: str) -> None:
        """Show another reed in this one's place."""
        self._shown = reed
        self.show_log(last=True)

    # Showing

    def _life(self, reed: Reed) -> WholeLife:
        """Asked at once and not in a thread, since the next key may be about one of its events."""
        return ReedQuestion(reed.id).answer(Asked(self.desk.bench), no_tick)

    def show_log(self, last: bool = False) -> None:
        self.show_top()
        reed, desk = self.reed, self.desk
        if reed is None:
            return
        life = self._life(reed)
        lines = [*life.made, life.service]
        self.query_one("#made", SteadyText).update(
            styled([[Run(t, "strong" if not i else "")] for i, t in enumerate(lines)])
        )
        targets = desk.bench.settings.targets(reed.instrument) if not reed.void else None
        self.query_one(ReedPanel).show(reed, targets)
        history = self.query_one(RowList)
        first_time = last or not history.has_rows
        place = len(life.rows) - 1 if first_time else None
        history.show([_row(row) for row in life.rows], _HEADING, place, about=[step.event.uid for step in reed.steps])
        self.query_one(LifeCharts).show(reed, desk.bench.clock.now().date())
        self.query_one("#outlook", SteadyText).update("")
        if reed.stage == IN_SERVICE:
            self.ask(OutlookQuestion(), self._show_outlook)
        if first_time:
            self.call_after_refresh(self.show_cut_off)

    def _show_outlook(self, outlook: Outlook) -> None:
        """What is left to expect."""
        reed = self.reed
        said = outlook.sentence(reed) if reed is not None else ""
        self.query_one("#outlook", SteadyText).update(styled([[Run(said, "target")]]))

    # Doing

    def _marked(self) -> Step | None:
        reed = self.reed
        place = self.query_one(RowList).place
        return reed.steps[place] if reed is not None and 0 <= place < len(reed.steps) else None

    def marked(self) -> Marked | None:
        step = self._marked()
        return Marked((Place(step.event.reed, step.event.uid),)) if step is not None else None

    def was_corrected(self, changed: set[str]) -> None:
        self.show_log()

    def action_charts(self) -> None:
        self._charts = not self._charts
        self.set_class(self._charts, "-charts")

    @work
    async def action_to_file(self) -> None:
        reed = self.reed
        if reed is None:
            return
        name = f"reed-{in_a_name(reed.label)}.txt"
        title = f"Into which file? ({KINDS}, .csv or .jsonl its events)"
        await self.put_into_file(
            title, name, lambda suffix: reed_as_file(suffix, reed, self.desk.bench, self._life(reed).text())
        )

    @work
    async def action_card(self) -> None:
        """The card that goes with the reed, as a page to print."""
        reed = self.reed
        if reed is None:
            return
        from reedkin.answers.card.care import care_card
        from reedkin.screens.parts.printing import KINDS, cards_as_file

        asked = f"The care card of {reed.label}: into which file? ({KINDS})"
        name = f"card-{in_a_name(reed.label)}.html"
        await self.put_into_file(asked, name, lambda suffix: cards_as_file(suffix, [care_card(reed, self.desk.bench)]))

    def text(self) -> list[str]:
        return [] if self.reed is None else list(self._life(self.reed).text())

    # Other reeds

    def typed(self, event: events.Key) -> bool:
        begun = event.character if event.character is not None and event.character.isdecimal() else ""
        if begun:
            self._ask_other(begun)
        return bool(begun)

    def action_ask_tag(self) -> None:
        self._ask_other("")

    @work(exclusive=True, group="tag")
    async def _ask_other(self, begun: str) -> None:
        desk = self.desk

        def check(text: str) -> str | None:
            return None if desk.bench.find(text.strip()) is not None else f"there is no reed {text.strip()}"

        tag = await self.app.push_screen_wait(
            PromptScreen("Which reed? (12/1 is the first that bore 12)", begun, check)
        )
        found = desk.bench.find(tag.strip()) if tag else None
        if found is not None:
            self.show(found.id)

    def action_bearer(self, by: int) -> None:
        reed = self.reed
        if reed is None:
            return
        bearers = self.desk.bench.tags.bearers(reed.tag)
        place = bearers.index(reed.id) + by if reed.id in bearers else -1
        if 0 <= place < len(bearers):
            self.show(bearers[place])

    def action_back(self) -> None:
        self.app.pop_screen()


_HEADING: Row = [Run("when               what", "faint")]


def _row(row: HistoryRow) -> Row:
    runs = [Run(f"{row.when}  ", "faint"), Run(f"{row.gone}: " if row.gone else "", "warn")]
    runs.append(Run(row.what, "faint" if row.struck else ""))
    runs.append(Run(f"  {row.length}" if row.length else "", "target"))
    runs.append(Run(f"  {row.hours}" if row.hours else "", "good"))
    runs.append(Run(row.note))
    runs.append(Run(f"  {'; '.join(row.corrections)}" if row.corrections else "", "warn"))
    runs.append(Run(f"  {row.room}" if row.room else "", "faint"))
    return runs
