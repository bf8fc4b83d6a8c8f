"""The pages of the maker's week: each one is reckoned whole, as lines for the screen, as text, and with its chart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, TypeVar

from reedkin.charts.canvas import Line, Role, Run
from reedkin.domain.columns import fit
from reedkin.domain.figures import plural
from reedkin.domain.words import spelt

if TYPE_CHECKING:
    from reedkin.answers.question import Asked
    from reedkin.answers.steady.steadiness import Chart
    from reedkin.answers.yields.yields import Yield
    from reedkin.study.ticks import Tick

P = TypeVar("P")

VIEWS = ("week", "yield and cost", "steadiness", "cane and tubes", "orders", "people", "money", "year beside year")
"""What `v` goes through."""
_UNNAMED = ("and", "cost", "year", "beside")
WEEKS = 520
"""So many weeks one can go back."""
_LABEL = 14
"""Columns of the labels of the week."""
_PRESSING: dict[str, Role] = {"Low": "warn", "Unseen": "warn", "Due": "target", "Coming": "target"}


def view_named(name: str) -> int | None:
    """The view that a word names, such as orders or tubes; None for any other word."""
    return next((place for place, view in enumerate(VIEWS) if name in view.split() and name not in _UNNAMED), None)


@dataclass(frozen=True, slots=True)
class Page:
    """
    A page to show.

    part, parts  what the arrows chose, in words, and how many there are to choose from.
    lines, text  what is shown beneath the chart, and the whole page as plain text.
    hang         columns by which a line that is too long goes on further in.
    """

    part: str
    parts: int
    lines: tuple[Line, ...]
    text: tuple[str, ...]
    chart: Chart | None = None
    hang: int = 2


@dataclass(frozen=True, slots=True)
class PageQuestion:
    """A page of the week as of `today`: its view by its place in VIEWS, and the part that the arrows chose."""

    view: int
    part: int
    today: date
    span: tuple[date, date] | None = None
    """Of the week other days than the last seven; the arrows go back by as many."""

    def chosen(self, parts: Sequence[P]) -> P:
        """The part that is meant of these: behind the last comes the first again."""
        return parts[self.part % len(parts)]

    def answer(self, asked: Asked, tick: Tick) -> Page:
        return _PAGES[self.view](asked, self, tick)


def _week(asked: Asked, page: PageQuestion, tick: Tick) -> Page:
    """The last seven days, or seven days so many weeks ago; or other days that were asked for, and as many before."""
    from reedkin.answers.week.question import WeekQuestion

    part, usual = page.part, page.span is None
    first, last = page.span or (page.today - timedelta(days=6), page.today)
    count = (last - first).days + 1
    days, *text = WeekQuestion(last - timedelta(days=count * part), count).answer(asked, tick).lines()
    words = f"{plural(part, 'week')} ago" if usual else f"{plural(count, 'day')}, as many {part} times before"
    if not part:
        words = "the last seven days" if usual else plural(count, "day")
    return Page(f"{words}, {days}", WEEKS, tuple(_labelled(line) for line in text), (days, *text), hang=_LABEL)


def _labelled(line: str) -> Line:
    label, colon, rest = line.partition(": ")
    if not colon:
        return (Run(line),)
    return Run(fit(label, _LABEL), _PRESSING.get(label, "strong")), Run(rest)


def _yield(asked: Asked, page: PageQuestion, tick: Tick) -> Page:
    """How many blanks come good, by one thing or another; where they die; what a reed takes."""
    from reedkin.answers.yields.question import YieldsQuestion
    from reedkin.answers.yields.yields import BY

    by = page.chosen(BY)
    found = YieldsQuestion(by).answer(asked, tick)
    text = tuple(found.lines())
    lines: list[Line] = [(Run(line),) for line in text]
    if found.groups:
        head = (Run(_row(by, "came good", "share", "likely (95%)", "on the bench"), "faint"),)
        beneath = [(Run(line, "" if line.startswith(" ") else "strong"),) for line in found.lines_beneath()]
        lines = [head, *(_yield_row(one) for one in found.groups), *beneath]
    return Page(f"by {by}", len(BY), tuple(lines), text)


def _row(*cells: str) -> str:
    name, good, share, limits, still = cells
    return f"{fit(name, 16)}{good:>12}{share:>8}   {fit(limits, 18)}{still:>12}"


def _yield_row(one: Yield) -> Line:
    good = f"{one.good} of {one.settled}" if one.settled else "–"
    share = "–" if one.share is None else f"{one.share:.0%}"
    limits = "" if one.interval is None else f"{one.interval[0]:.0%} to {one.interval[1]:.0%}"
    return (Run(_row(spelt(one.name), good, share, limits, str(one.open) if one.open else "")),)


def _steady(asked: Asked, page: PageQuestion, tick: Tick) -> Page:
    """A measure of an instrument's reeds."""
    from reedkin.answers.steady.question import SteadyQuestion
    from reedkin.answers.steady.steadiness import chart_text

    every = SteadyQuestion(latest_first=True).answer(asked, tick)
    found = every.charts
    if not found:
        none = "Nothing is measured yet. To begin: 1 tie oboe 72 gouge 0.59; measure tip 66 heart 61"
        return Page("", 1, ((Run(none),),), (none,))
    one = page.chosen(found)
    title, *told = chart_text(one)
    lines = tuple((Run(line.strip()),) for line in told)
    chart = one if one.limits is not None else None
    return Page(title, len(found), lines, tuple(every.lines()), chart)


def _supplies(asked: Asked, page: PageQuestion, tick: Tick) -> Page:
    """Cane, or tubes."""
    from reedkin.answers.cane.question import CaneQuestion
    from reedkin.answers.tubes.question import TubesQuestion

    cane = CaneQuestion(ends=True).answer(asked, tick).lines()
    carried = TubesQuestion(ends=True).answer(asked, tick).lines()
    part, text = page.chosen((("cane", cane), ("tubes", carried)))
    return Page(part, 2, _stressed(text), (*cane, "", *carried))


def _orders(asked: Asked, page: PageQuestion, tick: Tick) -> Page:
    """Open orders, those due first on top, then those that are done, the latest first; and reeds that are lent."""
    from reedkin.answers.orders.question import OrdersQuestion
    from reedkin.bench.accounts import owed_text

    found = OrdersQuestion().answer(asked, tick)
    text = [*replace(found, orders=found.by_due(), lent=(), accounts=()).lines(), "", *found.lent_lines()]
    text += owed_text(found.accounts)
    return Page("", 1, _stressed(text), tuple(text))


def _people(asked: Asked, page: PageQuestion, tick: Tick) -> Page:
    """Everybody who ordered, has or had reeds; or one of them, with all that is known."""
    from reedkin.answers.people.question import PeopleQuestion

    every = PeopleQuestion().answer(asked, tick)
    parts, one = 1 + len(every.people), page.chosen((None, *every.people))
    if one is None:
        text = every.lines()
        return Page("everybody" if every.people else "", parts, _stressed(text), tuple(text))
    text = replace(every, people=(one,), whole=True).lines()
    return Page(one.name, parts, _stressed(text), tuple(text))


def _money(asked: Asked, page: PageQuestion, tick: Tick) -> Page:
    """What came in and went out by month and year, and what is owed."""
    from reedkin.answers.money.question import MoneyQuestion

    text = MoneyQuestion().answer(asked, tick).lines()
    return Page("", 1, _stressed(text), tuple(text))


def _years(asked: Asked, page: PageQuestion, tick: Tick) -> Page:
    """This year, or season, up to today beside the same days of the one before: what changed on top."""
    from reedkin.answers.years.question import YearsQuestion
    from reedkin.domain.periods import PERIODS

    period = page.chosen(PERIODS)
    found = YearsQuestion(period, page.today).answer(asked, tick)
    review = [_labelled(line) for line in found.review.lines()[1:]]
    lines: list[Line] = [(Run(found.sum(), "strong"),)]
    if found.compared:
        lines.append((Run(_years_row("", found.name, found.name_before, "change"), "faint"),))
    instrument = ""
    for one in found.changed_first():
        if one.instrument != instrument:
            instrument = one.instrument
            lines.append((Run(spelt(instrument), "target"),))
        row = _years_row(f" {one.what}", one.here, one.then, "yes" if one.changed else "no")
        lines.append((Run(row, "strong" if one.changed else ""),))
    if found.compared:
        lines.append((Run("In brackets what it may well be, since so few weeks and reeds tell of it.", "faint"),))
    return Page(
        f"this {period} up to today", len(PERIODS), (*lines, (Run(""),), *review), tuple(found.lines()), hang=_LABEL
    )


def _years_row(what: str, here: str, then: str, said: str) -> str:
    return f"{fit(what, 25)} {fit(here, 21)} {fit(then, 21)} {said}".rstrip()


def _stressed(text: Sequence[str]) -> tuple[Line, ...]:
    """Lines of which those that are not indented stand out by what they begin with."""
    lines: list[Line] = []
    for line in text:
        name, colon, rest = line.partition(": ")
        if line.startswith(" ") or not colon:
            lines.append((Run(line),))
        else:
            lines.append((Run(name + colon, "strong"), Run(rest)))
    return tuple(lines)


_PAGES: Sequence[Callable[[Asked, PageQuestion, Tick], Page]] = (
    _week,
    _yield,
    _steady,
    _supplies,
    _orders,
    _people,
    _money,
    _years,
)
