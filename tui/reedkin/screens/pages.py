"""The pages of the maker's week: each one is reckoned whole, as lines for the screen, as text, and with its chart."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from reedkin.bench.bench import Bench
from reedkin.bench.orders import orders, orders_text, with_others, with_others_text
from reedkin.bench.supplies import lots, lots_text, tubes, tubes_text
from reedkin.charts.canvas import Line, Role, Run
from reedkin.domain.columns import fit
from reedkin.domain.describe import plural

if TYPE_CHECKING:
    from reedkin.answers.steady.steadiness import Chart
    from reedkin.answers.yields.costs import Costs
    from reedkin.answers.yields.yields import Yield
    from reedkin.study.study import Study
    from reedkin.study.ticks import Tick

VIEWS = ("week", "yield and cost", "steadiness", "cane and tubes", "orders")
"""What `v` goes through."""
_WEEKS = 520
"""So many weeks one can go back."""
_LABEL = 14
"""Columns of the labels of the week."""
_PRESSING: dict[str, Role] = {"Low": "warn", "Due": "target"}


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

    def answer(self, study: Study, tick: Tick) -> Page:
        assert study.bench is not None
        return _PAGES[self.view](study.bench, self.part, tick)


def _week(bench: Bench, part: int, tick: Tick) -> Page:
    """The last seven days, or seven days so many weeks before."""
    from reedkin.answers.week.review import review, review_text

    tick(0.1)
    now = bench.clock.now()
    days, *text = review_text(review(bench, now.date() - timedelta(weeks=part)), now)
    words = f"{plural(part, 'week')} before" if part else "the last seven days"
    return Page(f"{words}, {days}", _WEEKS, tuple(_labelled(line) for line in text), (days, *text), hang=_LABEL)


def _labelled(line: str) -> Line:
    label, colon, rest = line.partition(": ")
    if not colon:
        return (Run(line),)
    return Run(fit(label, _LABEL), _PRESSING.get(label, "strong")), Run(rest)


def _yield(bench: Bench, part: int, tick: Tick) -> Page:
    """How many blanks come good, by one thing or another; where they die; what a reed takes."""
    from reedkin.answers.yields.costs import costs, costs_text
    from reedkin.answers.yields.yields import BY, where_lost, where_lost_text, yields, yields_text

    reeds = bench.reeds()
    found, lost = yields(reeds, BY[part]), where_lost_text(where_lost(reeds))
    tick(0.3)
    made: list[Costs] = []
    for one in yields(reeds, "instrument"):
        tick(0.5)
        made.append(costs(bench, one.name))
    head = [(Run(_row(BY[part], "came good", "share", "likely (95%)", "on the bench"), "faint"),)] if found else []
    table = [_yield_row(one) for one in found] or [(Run(line),) for line in yields_text(found)]
    after = ["", *lost, "", *costs_text(made)] if found else []
    lines = [*head, *table, *((Run(line, "" if line.startswith(" ") else "strong"),) for line in after)]
    return Page(f"by {BY[part]}", len(BY), tuple(lines), (*yields_text(found, BY[part]), *after))


def _row(*cells: str) -> str:
    name, good, share, limits, still = cells
    return f"{fit(name, 16)}{good:>12}{share:>8}   {fit(limits, 18)}{still:>12}"


def _yield_row(one: Yield) -> Line:
    good = f"{one.good} of {one.settled}" if one.settled else "–"
    share = "–" if one.share is None else f"{one.share:.0%}"
    limits = "" if one.interval is None else f"{one.interval[0]:.0%} to {one.interval[1]:.0%}"
    return (Run(_row(one.name, good, share, limits, str(one.open) if one.open else "")),)


def _steady(bench: Bench, part: int, tick: Tick) -> Page:
    """A measure of an instrument's reeds."""
    from reedkin.answers.steady.steadiness import chart_text, charts

    found: list[Chart] = []
    for instrument in dict.fromkeys(reed.instrument for reed in reversed(bench.reeds()) if not reed.joined):
        tick(0.5)
        found += charts(bench, instrument)
    if not found:
        none = "Nothing is measured yet. To begin: 1 tie oboe 72 gouge 0.59; measure tip 62 heart 58"
        return Page("", 1, ((Run(none),),), (none,))
    one = found[part % len(found)]
    title, *told = chart_text(one)
    lines = tuple((Run(line.strip()),) for line in told)
    chart = one if one.limits is not None else None
    return Page(title, len(found), lines, tuple(line for other in found for line in chart_text(other)), chart)


def _supplies(bench: Bench, part: int, tick: Tick) -> Page:
    """Cane, or tubes."""
    tick(0.1)
    reeds = bench.reeds()
    cane = lots_text(lots(bench, reeds))
    tick(0.5)
    carried = tubes_text(tubes(bench, reeds))
    return Page(("cane", "tubes")[part], 2, _stressed((cane, carried)[part]), (*cane, "", *carried))


def _orders(bench: Bench, part: int, tick: Tick) -> Page:
    """Open orders, those due first on top, then those that are done, the latest first; and reeds that are lent."""
    tick(0.1)
    now = bench.clock.now()
    every = orders(bench)
    still = sorted((one for one in every if one.open), key=lambda one: one.due or date.max)
    over = [one for one in reversed(every) if not one.open]
    text = [*orders_text([*still, *over], now.date()), "", *with_others_text(with_others(bench), now)]
    return Page("", 1, _stressed(text), tuple(text))


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


_PAGES: Sequence[Callable[[Bench, int, Tick], Page]] = (_week, _yield, _steady, _supplies, _orders)
