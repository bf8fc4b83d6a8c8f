"""A reed's whole life: what it is made of, every event in order, the drawing, its length and playability over time.

Events are amended and struck here; the history is kept as text or as events in a file.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from reedkin.answers.hours_left.question import OutlookQuestion
from reedkin.answers.reed.history import HistoryRow, headline, history_rows, history_text, made_of, service
from reedkin.charts.canvas import Run
from reedkin.domain.events import Place
from reedkin.domain.paths import here, named_path
from reedkin.domain.reeds import IN_SERVICE, Reed, Step
from reedkin.errors import ReedkinError
from reedkin.screens.base import Keys
from reedkin.screens.correcting import CorrectingScreen, CorrectionBox, Marked
from reedkin.screens.prompt import PromptScreen
from reedkin.store.files import write_new
from reedkin.widgets.life_charts import LifeCharts
from reedkin.widgets.reed_panel import ReedPanel
from reedkin.widgets.row_list import Row, RowList
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.answers.hours_left.outlook import Outlook


class ReedScreen(CorrectingScreen):
    """One reed. Typing a digit asks for another tag."""

    TITLE = "reed"
    CSS_PATH = "reed.tcss"
    AUTO_FOCUS = ""
    KEYS: ClassVar[Keys] = (
        ("0-9", "another"), ("e", "amend"), ("x", "strike"), ("d", "day"), ("m", "reed"), ("t", "tag"),
        ("c", "charts"), ("p", "file"), ("Esc", "back"),
    )  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "move(-1)", "The event above or below", show=False),
        Binding("down,j", "move(1)", "The event above or below", show=False),
        Binding("pageup", "page(-1)", "Further up or down", show=False),
        Binding("pagedown", "page(1)", "Further up or down", show=False),
        Binding("home", "move(-1000000)", "The first event, or the last", show=False),
        Binding("end", "move(1000000)", "The first event, or the last", show=False),
        Binding("c", "charts", "Charts or history, where both do not fit", show=False),
        Binding("p", "to_file", "Put the history in a file", show=False),
        Binding("slash", "ask_tag", "Another reed by its tag; a digit begins one", show=False),
        Binding("left", "bearer(-1)", "The reed that bore this tag before, or after", show=False),
        Binding("right", "bearer(1)", "The reed that bore this tag before, or after", show=False),
        Binding("escape", "back", "Back", show=False),
    ]

    def __init__(self, reed: str) -> None:
        super().__init__()
        self._shown = reed
        self._charts = False

    def compose_body(self) -> ComposeResult:
        yield Static(id="made")
        yield Static(id="outlook")
        yield ReedPanel(id="drawing", titled=False)
        with Horizontal(id="life"):
            rows = RowList(id="history")
            rows.can_focus = False
            yield rows
            with Vertical(id="charts"):
                yield LifeCharts(id="charts-drawn")
        yield CorrectionBox(self.corrected, id="box")
        yield Static(id="said")

    @property
    def reed(self) -> Reed | None:
        """The reed as it is now; None where the log has none of this id."""
        desk = self.desk
        return desk.bench.reed(self._shown) if desk is not None and self._shown in desk.bench else None

    def show(self, reed: str) -> None:
        """Show another reed in this one's place."""
        self._shown = reed
        self.show_log(last=True)

    # Showing

    def show_log(self, last: bool = False) -> None:
        self.show_top()
        reed, desk = self.reed, self.desk
        if reed is None or desk is None:
            return
        lines = [headline(reed), *made_of(reed, desk.bench), service(reed, desk.bench)]
        self.query_one("#made", Static).update(
            styled([[Run(t, "strong" if not i else "")] for i, t in enumerate(lines)])
        )
        targets = desk.bench.settings.targets(reed.instrument) if not reed.void else None
        self.query_one(ReedPanel).show(reed, targets)
        rows = history_rows(reed, desk.bench)
        history = self.query_one(RowList)
        first_time = last or not history.has_rows
        history.show([_row(row) for row in rows], _HEADING, len(rows) - 1 if first_time else None)
        self.query_one(LifeCharts).show(reed)
        self.query_one("#outlook", Static).update("")
        if reed.stage == IN_SERVICE:
            self.ask(OutlookQuestion(), self._show_outlook)
        if first_time:
            self.call_after_refresh(self._show_cut_off)

    def on_resize(self) -> None:
        self.call_after_refresh(self._show_cut_off)

    @on(RowList.Moved)
    def _show_cut_off(self) -> None:
        """What of the marked event does not fit in its row; the screen may be left by now."""
        for rows in self.query(RowList):
            rest = rows.cut_off if rows.display else ""
            self._say(Run(f"… {rest}" if rest else "", "faint"))

    def _show_outlook(self, outlook: Outlook) -> None:
        """What is left to expect."""
        reed = self.reed
        said = outlook.sentence(reed) if reed is not None else ""
        self.query_one("#outlook", Static).update(styled([[Run(said, "target")]]))

    def show_failure(self, error: ReedkinError) -> None:
        self._say(Run(f"✗ {error}", "error"))

    def _say(self, *runs: Run) -> None:
        self.query_one("#said", Static).update(styled([runs]))

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

    def tell_of(self, *runs: Run) -> None:
        self._say(*runs)

    def action_charts(self) -> None:
        self._charts = not self._charts
        self.set_class(self._charts, "-charts")

    @work
    async def action_to_file(self) -> None:
        reed, desk = self.reed, self.desk
        if reed is None or desk is None:
            return
        name = f"reed-{reed.label.replace('/', '-')}.txt"
        title = "Into which file? (.txt is the history to print, .csv or .jsonl its events)"
        given = await self.app.push_screen_wait(PromptScreen(title, here(name)))
        if given is None:
            return
        try:
            path = write_new(named_path(given), self._as_text(reed, Path(given).suffix))
        except ReedkinError as error:
            self._say(Run(f"✗ {error}", "error"))
            return
        self._say(Run(f"✓ Written to {path}", "good"))

    def _as_text(self, reed: Reed, suffix: str) -> str:
        desk = self.desk
        assert desk is not None
        if suffix in (".csv", ".jsonl"):
            from reedkin.store.transfer.exporting import reeds_as_text

            return reeds_as_text([reed], desk.bench, suffix.removeprefix("."))
        return "\n".join(history_text(reed, desk.bench)) + "\n"

    # Other reeds

    def typed(self, event: events.Key) -> bool:
        begun = event.character if event.character is not None and event.character.isdecimal() else ""
        if begun:
            self._ask_other(begun)
        return bool(begun)

    def action_move(self, by: int) -> None:
        self.query_one(RowList).action_move(by)

    def action_page(self, by: int) -> None:
        self.query_one(RowList).action_page(by)

    def action_ask_tag(self) -> None:
        self._ask_other("")

    @work(exclusive=True, group="tag")
    async def _ask_other(self, begun: str) -> None:
        desk = self.desk
        if desk is None:
            return

        def check(text: str) -> str | None:
            return None if desk.bench.find(text.strip()) is not None else f"there is no reed {text.strip()}"

        tag = await self.app.push_screen_wait(
            PromptScreen("Which reed? (12/1 is the first that bore 12)", begun, check)
        )
        found = desk.bench.find(tag.strip()) if tag else None
        if found is not None:
            self.show(found.id)

    def action_bearer(self, by: int) -> None:
        reed, desk = self.reed, self.desk
        if reed is None or desk is None:
            return
        bearers = desk.bench.tags.bearers(reed.tag)
        place = bearers.index(reed.id) + by if reed.id in bearers else -1
        if 0 <= place < len(bearers):
            self.show(bearers[place])

    def action_back(self) -> None:
        self.app.pop_screen()


_HEADING: Row = [Run("when              what", "faint")]


def _row(row: HistoryRow) -> Row:
    runs = [Run(f"{row.when}  ", "faint"), Run(f"{row.gone}: " if row.gone else "", "warn")]
    runs.append(Run(row.what, "faint" if row.struck else ""))
    runs.append(Run(f"  {row.length}" if row.length else "", "target"))
    runs.append(Run(f"  {row.hours} in all" if row.hours else "", "good"))
    runs.append(Run(row.note))
    runs.append(Run(f"  {'; '.join(row.corrections)}" if row.corrections else "", "warn"))
    runs.append(Run(f"  {row.room}" if row.room else "", "faint"))
    return runs
