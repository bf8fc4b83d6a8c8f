"""The maker's week: what was made and played, what runs low and what is due; and by turns what blanks yield and cost,
how steady the hand is, cane and tubes, orders, people, money, this year beside the last."""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import BindingType

from reedkin.charts.canvas import Drawing, Line, Run
from reedkin.domain.figures import plural
from reedkin.errors import InputError
from reedkin.grammar.when.spans import parse_span
from reedkin.screens.pages import VIEWS, WEEKS, Page, PageQuestion
from reedkin.screens.parts.keys import Key, Keys, bindings
from reedkin.screens.parts.paged import PagedScreen
from reedkin.screens.parts.prompt import PromptScreen
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import folded, styled

if TYPE_CHECKING:
    from reedkin.answers.steady.steadiness import Chart


_SUPPLIES = VIEWS.index("cane and tubes")
_OTHER_ROWS, _LEAST_BENEATH = 8, 10
"""Rows of a screen that are not the page's, or are left free; rows beneath a page that another is worth beginning
in."""


class WeekScreen(PagedScreen):
    """A page at a time. `v` turns to the next view, the arrows choose what of it is shown."""

    TITLE = "week"
    CSS_PATH = ["parts/paged.tcss", "week.tcss"]
    KEYS: ClassVar[Keys] = (
        Key({"v": "view"}, ", ".join(VIEWS).capitalize(), f"or 1-{len(VIEWS)} view"),
        Key({str(place + 1): f"to_view({place})" for place in range(len(VIEWS))}, "One of these by its number"),
        # The page under the focus would else take the arrows to scroll sideways.
        Key(
            {"left": "part(1)", "right": "part(-1)"},
            "The week before, or after; another thing to tell by", "part of it", priority=True,
        ),
        Key({"d": "days"}, "Of the week: other days than seven", "days"),
        Key({"up": "", "down": ""}, "Scroll", "scroll"),
        *PagedScreen.KEYS,
        Key({"l": "labels"}, "Labels for the tubes, as a sheet to print"),
    )  # fmt: skip
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, view: int = 0) -> None:
        super().__init__()
        self._view = view
        self._part = 0
        self._page: Page | None = None
        self._span: tuple[date, date] | None = None
        self._beneath: list[tuple[str, Page]] = []
        """The views that follow, where a tall screen has room for them beneath."""

    # Asking and showing

    def show_log(self) -> None:
        self.show_top()
        self.rest("l: labels for the tubes, to print" if self._view == _SUPPLIES else "")
        self._show_page(None)
        self.ask(PageQuestion(self._view, self._part, self.reedkin.clock.now().date(), self._span), self._show_page)

    def _show_page(self, page: Page | None) -> None:
        self._page, self._beneath = page, []
        which = f" {VIEWS[self._view]} ({self._view + 1} of {len(VIEWS)})  "
        shown = [Run("v", "strong"), Run(which, "target")]
        if page is not None:
            shown += [Run("←→ " if page.parts > 1 else "", "strong"), Run(page.part, "target")]
        self.query_one("#chosen", SteadyText).update(styled([shown]))
        self.show_lines()
        self.chart.display = page is not None and page.chart is not None
        self.set_class(self.chart.display, "-charted")
        self.chart.show(partial(_draw, page.chart) if page is not None and page.chart is not None else None)
        self.query_one("#page").scroll_home(animate=False)
        self._fill_up()

    def folded_lines(self, width: int) -> list[Line]:
        """The page, and those that stand beneath it."""
        lines = folded(self._page.lines, width, self._page.hang) if self._page is not None else []
        for name, page in self._beneath:
            part = f", {page.part}" if page.part else ""
            head = (Run("── ", "faint"), Run(f"{name}{part} ", "strong"), Run("─" * 24, "faint"))
            lines += [(), head, *folded(page.lines, width, page.hang)]
        return lines

    def _fill_up(self) -> None:
        """Where a tall screen has room left beneath a page without a chart, show the view that follows there, too."""
        if self._page is None or self._page.chart is not None or len(self._beneath) == len(VIEWS) - 1:
            return
        free = self.size.height - _OTHER_ROWS - len(self.folded_lines(self.room))
        if self.has_class("-tall") and free >= _LEAST_BENEATH:
            view = (self._view + 1 + len(self._beneath)) % len(VIEWS)
            self.ask(PageQuestion(view, 0, self.reedkin.clock.now().date()), partial(self._add, VIEWS[view]))

    def _add(self, name: str, page: Page) -> None:
        self._beneath.append((name, page))
        self.show_lines()
        self._fill_up()

    # Doing

    def action_view(self) -> None:
        self.action_to_view((self._view + 1) % len(VIEWS))

    def action_to_view(self, view: int) -> None:
        self._view, self._part = view, 0
        self.show_log()

    def action_part(self, by: int) -> None:
        """The weeks go back to the left; of all else there is a next and a previous one, round and round."""
        self._part = max(0, min(WEEKS - 1, self._part + by)) if self._view == 0 else self._part - by
        self.show_log()

    @work
    async def action_days(self) -> None:
        def check(text: str) -> str | None:
            try:
                parse_span(text, self.reedkin.clock)
            except InputError as error:
                return str(error) if text.strip() else None
            return None

        title = "Which days? (30 days, october, 2026, 1 sep to 30 nov; nothing: the last seven)"
        text = await self.app.push_screen_wait(PromptScreen(title, check=check))
        if text is not None:
            self._span = parse_span(text, self.reedkin.clock) if text.strip() else None
            self._view = self._part = 0
            self.show_log()

    @work
    async def action_labels(self) -> None:
        from reedkin.answers.card.labels import tube_label
        from reedkin.bench.supplies import tubes
        from reedkin.screens.parts.printing import KINDS, labels_as_file

        desk = self.reedkin.desk
        found = [] if desk is None else [tube for tube in tubes(desk.bench) if not tube.gone]
        if not found:
            self.say("No tube is noted: 1 tie eh 60 tube T4 notes one.", "warn")
            return
        await self.put_into_file(
            f"Labels of {plural(len(found), 'tube')}: into which file? ({KINDS})", "tubes.html",
            lambda suffix: labels_as_file(suffix, [tube_label(tube) for tube in found]),
        )  # fmt: skip

    def text_twin(self) -> tuple[str, list[str]] | None:
        if self._page is None:
            return None
        return f"{VIEWS[self._view].replace(' ', '-')}.txt", list(self._page.text)


def _draw(chart: Chart, width: int, height: int) -> Drawing:
    from reedkin.charts.answers import steadiness_drawing

    return steadiness_drawing(chart, width, height)
