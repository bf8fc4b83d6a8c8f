"""How long reeds last: the share still in service as they age, what ended them, how they played, in groups."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import events, on, work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal

from reedkin.answers.lives.question import ALL, Lives, LivesQuestion
from reedkin.charts.canvas import Drawing, Run, sentence
from reedkin.domain.reeds import end_is_wear
from reedkin.domain.words import ACCIDENT_CAUSES, spelt
from reedkin.screens.parts.asking import AskingScreen, following
from reedkin.screens.parts.choice import ChoiceScreen
from reedkin.screens.parts.keys import Key, Keys, bindings, enter, rows
from reedkin.widgets.drawn import Draw, Drawn
from reedkin.widgets.group_list import GroupList
from reedkin.widgets.row_list import RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.answers.lives.groups import Group

_VIEWS = ("still serving", "what ended them", "how they play")
_CURVE, _CAUSES, _PLAYABILITY = range(3)
_MOST_CURVES = 5
"""With more curves than these in one chart none can be followed."""
_FEWEST_SCORED = 3
"""A mean score of fewer reeds than these is not drawn."""


class LivesScreen(AskingScreen):
    """The reeds' lives, split by instrument or by a habit of making. The marked group is drawn against all reeds."""

    TITLE = "lives"
    CSS_PATH = "lives.tcss"
    KEYS: ClassVar[Keys] = (
        rows("group"),
        Key({"left": "split(-1)", "right": "split(1)"}, "Split by the thing before, or the next", "split by another"),
        Key({"b": "choose_split"}, "Choose what lives are split by"),
        enter("The reeds of the marked group", "its reeds"),
        Key({"i": "instrument"}, "One instrument, or all"),
        Key({"d": "clock"}, "Hours played or days in service"),
        Key({"v": "view"}, "Still serving, what ended them, how well they play"),
        *AskingScreen.KEYS,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._lives: Lives | None = None
        self._view = _CURVE

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="chosen")
        yield SteadyText(id="became")
        with Horizontal(id="pictures"):
            yield Drawn(id="main")
            yield Drawn(id="beside")
        yield GroupList(id="groups")
        yield SteadyText(id="said")

    # Asking and showing

    def show_log(self) -> None:
        self.show_top()
        choice = self.reedkin.answers.choice
        self.ask(LivesQuestion(choice.by, choice.clock, choice.instrument), self._show_lives)
        self._show_chosen()

    def _show_lives(self, lives: Lives) -> None:
        from reedkin.answers.lives.words import (
            became_of,
            differ,
            hidden_line,
            out_of_view_line,
            split_words,
            untold_line,
            what_is_missing,
        )  # fmt: skip

        self._lives = lives
        clock, grouping = lives.report.clock, lives.report.grouping
        told = [[Run(became_of(lives.outcomes, clock))]] if lives.outcomes.reeds else []
        unsure = (
            untold_line(lives.untold, lives.everyone, clock),
            hidden_line(lives.hidden),
            out_of_view_line(lives.out_of_view),
        )
        for why in unsure:
            if why:
                told.append([Run(why, "warn")])
        self.query_one("#became", SteadyText).update(styled(told))
        missing = what_is_missing(lives.outcomes)
        words = [differ(grouping, len(lives.splits)) if grouping.groups else "", split_words(grouping)]
        said_above = not lives.outcomes.reeds  # in place of the curves
        self.rest("" if said_above else missing or "  ".join(filter(None, words)), "warn" if missing else "")
        self._show_chosen()
        self._show_groups()

    def _show_chosen(self) -> None:
        choice, lives = self.reedkin.answers.choice, self._lives
        by = dict(lives.splits).get(choice.by, choice.by) if lives is not None else choice.by
        self.show_chosen(
            ("v", _VIEWS[self._view]),
            ("d", choice.clock),
            ("i", f"{spelt(choice.instrument)} only" if choice.instrument else "all instruments"),
            ("b", f"by {by.lower()}"),
        )

    @property
    def groups(self) -> list[Group]:
        """The groups in their order, after all reeds together."""
        if self._lives is None or self._lives.everyone is None:
            return []
        return [self._lives.everyone, *self._lives.report.groups]

    def _drawn(self) -> list[Group]:
        """The groups to draw: all of them where they are few, else the marked one against all reeds."""
        groups = self.groups
        if len(groups) <= 2:
            return groups[-1:]
        marked, parts = self._marked(), groups[1:]
        if len(parts) == 2:
            return parts
        if marked.name == ALL:
            largest = sorted(parts, key=lambda group: -group.n)[:_MOST_CURVES]
            return [group for group in parts if group in largest]
        return [marked, groups[0]]

    def _marked(self) -> Group:
        return self.query_one(GroupList).marked(self.groups)

    def _show_groups(self) -> None:
        lives = self._lives
        if lives is None:
            return
        grouping = lives.report.grouping
        self.query_one(GroupList).show_groups(
            self.groups, self._drawn(), lives.rolls, grouping, grouping.by.label.lower()
        )
        self._show_pictures()

    def _show_pictures(self) -> None:
        lives = self._lives
        if lives is None:
            return
        draws: dict[int, Draw] = {
            _CURVE: partial(_draw_curves, self._drawn(), lives),
            _CAUSES: partial(_draw_causes, lives),
            _PLAYABILITY: partial(_draw_playability, [group.name for group in self._drawn()], lives),
        }
        self.query_one("#main", Drawn).show(draws[self._view])
        self.query_one("#beside", Drawn).show(draws[_CURVE if self._view == _CAUSES else _CAUSES])

    @on(RowList.Moved)
    def _moved(self) -> None:
        self._show_groups()

    def on_resize(self, event: events.Resize) -> None:
        self._show_groups()

    # Doing

    def _split_by(self, name: str) -> None:
        self.reedkin.answers.choice.by = name
        self.query_one(GroupList).place = 0
        self.show_log()

    def action_split(self, by: int) -> None:
        if self._lives is not None:
            names = [name for name, _ in self._lives.splits]
            self._split_by(names[(names.index(self.reedkin.answers.choice.by) + by) % len(names)])

    @work
    async def action_choose_split(self) -> None:
        if self._lives is None:
            return
        splits = self._lives.splits
        place = [name for name, _ in splits].index(self.reedkin.answers.choice.by)
        screen = ChoiceScreen("Split the lives by", [label for _, label in splits], place)
        chosen = await self.app.push_screen_wait(screen)
        if chosen is not None:
            self._split_by(splits[chosen][0])

    def action_instrument(self) -> None:
        if self._lives is not None:
            choice = self.reedkin.answers.choice
            choice.instrument = following(choice.instrument, (None, *self._lives.instruments))
            self.show_log()

    def action_view(self) -> None:
        self._view = (self._view + 1) % len(_VIEWS)
        self._show_chosen()
        self._show_pictures()

    @on(RowList.Chosen)
    def _open(self) -> None:
        lives = self._lives
        if lives is None or not self.groups:
            return
        from reedkin.screens.roll import RollScreen

        group = self._marked()
        by = lives.report.grouping.by
        title = group.name if group.name == ALL else f"{by.label.lower()}: {spelt(group.name)}"
        self.app.push_screen(RollScreen(title, by.label, lives.rolls[group.name]))

    def text_twin(self) -> tuple[str, list[str]] | None:
        if self._lives is None or self._lives.everyone is None:
            return None
        lives = self._lives
        return f"lives-by-{lives.report.grouping.by.name}.txt", lives.lines_of(self.groups)


def _draw_curves(groups: Sequence[Group], lives: Lives, width: int, height: int) -> Drawing:
    from reedkin.answers.lives.words import UNIT, what_is_missing
    from reedkin.charts.groups import as_curve
    from reedkin.charts.survival import survival_chart

    if not groups:
        return sentence(what_is_missing(lives.outcomes), width, height)
    return survival_chart([as_curve(group) for group in groups], width, height, UNIT[lives.report.clock])


def _draw_causes(lives: Lives, width: int, height: int) -> Drawing:
    from reedkin.charts.causes import Ended, causes_table
    from reedkin.charts.scale import step_for

    causes, clock = lives.report.causes, lives.report.clock
    if causes is None or not len(causes.time):
        return sentence("No reed has ended yet.", width, height)
    last = float(causes.time[-1])
    step = step_for(last, 8)
    ages = [step * number for number in range(1, int(last / step + 0.6))]
    ages.append(last)
    rows = [
        Ended(
            f"{cause}, accident" if cause in ACCIDENT_CAUSES else cause,
            count,
            [causes.at(cause, when) for when in ages],
            end_is_wear(cause),
        )
        for cause, count in lives.report.ended.items()
    ]
    ended = [sum(column) for column in zip(*(row.shares for row in rows), strict=True)]
    labels = [f"{when:.3g} {clock[0]}" for when in ages]
    return causes_table(rows, [max(1 - share, 0.0) for share in ended], labels, width, height)


def _draw_playability(names: Sequence[str], lives: Lives, width: int, height: int) -> Drawing:
    from reedkin.answers.lives.words import UNIT
    from reedkin.charts.life import PlaySeries, playability_chart

    series = []
    for name in names:
        bins = [one for one in lives.playability.get(name, ()) if one.reeds >= _FEWEST_SCORED]
        middles = [(one.start + one.end) / 2 for one in bins]
        series.append(PlaySeries(name, middles, [one.mean for one in bins]))
    said = "Late means are of the reeds that lasted: the worst have left."
    note = (Run(said[:width].ljust(width), "faint"),)
    return (*playability_chart(series, width, height - 1, UNIT[lives.report.clock]), note)
