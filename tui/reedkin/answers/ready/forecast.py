"""The forecast: the chance of enough reeds that can be played in public on a day, and how many blanks to tie for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np

from reedkin.answers.case.still_there import not_counted
from reedkin.answers.circle.beginnings import BlanksBefore
from reedkin.answers.hours_left.outlook import Known, Outlook, before_words
from reedkin.answers.ready import common
from reedkin.answers.ready.past import ENOUGH_OWN, Past, past_of, settled
from reedkin.answers.ready.simulation import Simulation, too_little_played
from reedkin.bench.bench import Bench
from reedkin.bench.orders import orders
from reedkin.domain.figures import date_words, plural
from reedkin.domain.reeds import Reed
from reedkin.domain.words import spelt
from reedkin.errors import InputError
from reedkin.study.latest import latest_of
from reedkin.study.ticks import Tick, no_tick, part
from reedkin.survival.arrays import FloatArray
from reedkin.survival.life_law import MEDIAN_SD

TARGETS = (0.80, 0.90, 0.95)
"""The chances that a plan is made for."""
MOST_BLANKS = 24
"""More blanks than this are not asked of anyone."""
ASKED = (0, 1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 18, 21, 24)
"""The numbers of blanks that the chance is reckoned with."""
LATEST_OF = 16
"""The last day for tying is looked for among so many."""
FEWEST_SHOWN = 3
"""As far as this the chance is reckoned even where fewer blanks suffice, for its course to be seen."""
PATHS = 500
LONGEST = 366
"""Days ahead beyond which nothing is forecast."""
MOST_FOLLOWED = 200
"""So many reeds of the stock are followed at the most, those of which something was written last: nobody plays more,
and a seller's thousands would take the time and the memory of thousands."""
_SELDOM = 0.25
"""A maker who scores fewer of her playings than this is not held to a level."""
_LEANS = 0.25
"""Common practice is named where it makes up so much of what the forecast goes by."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wanted: so many reeds of an instrument on a day, after so many hours of rehearsals (None: as usual)."""

    instrument: str
    reeds: int
    on: date
    rehearsal_hours: float | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """To reach a chance: how many blanks to tie and the last day on which that number suffices; None if even
    MOST_BLANKS tied today would not do. No blanks and no day if today's stock does."""

    chance: float
    blanks: int | None
    by: date | None


@dataclass(frozen=True, slots=True)
class Readiness:
    """
    days          from today to the day.
    level         the score from which a reed counts, None where scores are noted too seldom to ask for one.
    stock         reeds in the case and on the bench today; lent ones do not count.
    promised      reeds of the instrument that are ordered for then or before and not out yet: not taken off.
    chance        of enough with today's stock, 0 to 1.
    expected      how many good ones there will be with today's stock: median and the middle 80%.
    at_least      the chance of at least 0, 1, 2, ... with today's stock.
    by_blanks     the chance with 0, 1, 2, ... blanks tied today.
    hours         that will be played until then: median and the middle 80%.
    into_service  of the maker's own blanks of the instrument: so many of so many that were settled. One that was
                  handed over before it was played here did not come into service.
    served        how many of her reeds of the instrument the forecast follows in service.
    leans         what it leans on beside her own log of this instrument, in sentences.
    left_out      the reeds that are not counted, being unseen or too many, in sentences; none where there are none.
    """

    wish: Wish
    days: int
    level: float | None
    stock: tuple[Reed, ...]
    promised: int
    chance: float
    expected: tuple[float, float, float]
    at_least: tuple[float, ...]
    by_blanks: tuple[float, ...]
    plans: tuple[Plan, ...]
    hours: tuple[float, float, float]
    into_service: tuple[int, int]
    served: int
    leans: tuple[str, ...]
    left_out: tuple[str, ...] = ()


def readiness(
    bench: Bench, wish: Wish, seed: int = 1, paths: int = PATHS, tick: Tick = no_tick, blanks: bool = True,
    outlook: Outlook | None = None,
) -> Readiness:  # fmt: skip
    """
    Reckon with today's stock and the maker's own past. The same log, wish and seed give the same answer. Without
    `blanks` it is not asked how many to tie, which takes most of the time. `outlook` spares the log's lives being read
    once more.

    Raises InputError for a day that is past or more than a year ahead, and for a wish for no reeds.
    """
    now = bench.clock.now()
    days = _checked(wish, now)
    outlook = outlook or Outlook.of_bench(bench)
    past, before = past_with_circle(bench, wish.instrument, outlook)
    level = level_of(bench, past)
    stock = stock_of(bench, wish.instrument, outlook)
    to_come = MOST_BLANKS if blanks else 0
    tick(0.1)
    simulation = Simulation(
        past, outlook, wish.instrument, stock, now, days, wish.rehearsal_hours, level, paths, seed, to_come
    )
    ask = _Asking(simulation, wish.reeds)
    tick(0.3)
    counts = ask.counts(0)
    by_blanks = ask.by_blanks(part(tick, 0.3, 0.8)) if blanks else (ask.chance(0),)
    return Readiness(
        wish=wish,
        days=days,
        level=level,
        stock=tuple(stock),
        promised=_promised(bench, wish),
        chance=by_blanks[0],
        expected=_spread(counts),
        at_least=tuple(float(np.mean(counts >= reeds)) for reeds in range(len(stock) + 1)),
        by_blanks=by_blanks,
        plans=ask.plans(by_blanks, now.date(), part(tick, 0.8, 1.0)) if blanks else (),
        hours=_spread(ask.simulation.ahead.totals),
        into_service=_into_service(past),
        served=len(past.services),
        leans=leans_of(past, outlook.known(wish.instrument), level, before),
        left_out=left_out(bench, wish.instrument, outlook),
    )


def stock_of(bench: Bench, instrument: str, outlook: Outlook) -> list[Reed]:
    """The reeds of an instrument in the case and on the bench that are followed, but for those that must be gone."""
    return latest_of(_there(bench, instrument, outlook), MOST_FOLLOWED)


def _there(bench: Bench, instrument: str, outlook: Outlook) -> list[Reed]:
    return [reed for reed in bench.at_work() if reed.instrument == instrument and not outlook.unseen(reed)]


def left_out(bench: Bench, instrument: str, outlook: Outlook) -> tuple[str, ...]:
    """What is left out of the stock and why, in sentences; none where nothing is."""
    gone = [reed for reed in outlook.sight.unseen if reed.instrument == instrument]
    said = [not_counted(gone)] if gone else []
    if (there := len(_there(bench, instrument, outlook))) > MOST_FOLLOWED:
        said.append(
            f"Of {there:,} {spelt(instrument)} reeds at work it follows the {MOST_FOLLOWED} of which something was "
            "written last; with the others there are rather more."
        )
    return tuple(said)


def past_with_circle(bench: Bench, instrument: str, outlook: Outlook) -> tuple[Past, BlanksBefore | None]:
    """What the log tells of an instrument, and what its circle knows of blanks, which stands in where that is thin."""
    past = past_of(bench.reeds(), instrument, bench.clock.now(), [reed.id for reed in outlook.sight.unseen])
    before = outlook.beginnings.blanks(instrument, common.YIELD, common.WORTH)
    if before is not None:
        past = replace(past, usual_blanks=common.common_blanks(before.share, common.WORTH_OF_CIRCLE))
    return past, before


def _checked(wish: Wish, now: datetime) -> int:
    days = (wish.on - now.date()).days
    if days < 0:
        raise InputError(f"{date_words(wish.on)} is past; name a day to come")
    if days > LONGEST:
        raise InputError(f"{date_words(wish.on)} is more than a year ahead; name a day within it")
    if wish.reeds < 1:
        raise InputError("wish for one reed or more")
    if wish.rehearsal_hours is not None and not 0.0 <= wish.rehearsal_hours <= 24.0 * max(days, 1):
        raise InputError(f"{wish.rehearsal_hours:g} hours of rehearsals do not fit into {plural(days, 'day')}")
    return days


def level_of(bench: Bench, past: Past) -> float | None:
    """The score from which a reed counts; None where scores are noted too seldom to ask for one."""
    if past.playings and past.scored_share < _SELDOM:
        return None
    return bench.settings.public


def _promised(bench: Bench, wish: Wish) -> int:
    pressing = (o for o in orders(bench) if o.instrument == wish.instrument and (o.due is None or o.due <= wish.on))
    return sum(order.wanting for order in pressing)


def _into_service(past: Past) -> tuple[int, int]:
    return sum(blank.outcome == "served" for blank in past.blanks), settled(past.blanks)


def _spread(values: FloatArray) -> tuple[float, float, float]:
    middle, low, high = np.quantile(values, (0.5, 0.1, 0.9), method="inverted_cdf")
    return float(middle), float(low), float(high)


def leans_of(past: Past, known: Known, level: float | None, before: BlanksBefore | None) -> tuple[str, ...]:
    """What a forecast leans on beside the maker's own log, in sentences."""
    said = []
    worth = common.WORTH if before is None else common.WORTH_OF_CIRCLE
    blanks = worth / (worth + sum(one.weight for one in (*past.blanks, *past.lent_blanks)))
    lives = min((known.law.spread / (MEDIAN_SD if known.before is None else known.before.spread)) ** 2, 1.0)
    of_blanks = common.YIELD_WORDS
    if before is not None:
        of_blanks = f"your circle of {before.makers} makers, of whose blanks {before.share:.0%} come good,"
    of_lives = common.LIFE_WORDS if known.before is None else before_words(known.before)
    if blanks >= _LEANS:
        said.append(
            f"Few of your blanks are settled: it leans by {blanks:.0%} on {of_blanks} and on {common.DAYS_WORDS}."
        )
    if lives >= _LEANS:
        said.append(
            f"Few of your reeds are worn out: it leans by {lives:.0%} on {of_lives} and on {common.SCORE_WORDS}."
        )
    if past.lent_blanks or (known.helped and known.worn < ENOUGH_OWN):
        said.append("Your reeds for other instruments count in part.")
    if too_little_played(past):
        said.append(f"Too little playing is noted: in its place stand {common.HOURS_WORDS}.")
    if level is None:
        said.append("You seldom note scores: every reed in service is counted as good.")
    return tuple(said)


@dataclass(frozen=True, slots=True)
class _Asking:
    """Questions put to one simulation: how often there are so many reeds with a form of at least `level`."""

    simulation: Simulation
    wanted: int

    def counts(self, blanks: int, tied_in: int = 0) -> FloatArray:
        return self.simulation.good(blanks, tied_in)

    def chance(self, blanks: int, tied_in: int = 0) -> float:
        return float(np.mean(self.counts(blanks, tied_in) >= self.wanted))

    def by_blanks(self, tick: Tick) -> tuple[float, ...]:
        """The chance with 0, 1, 2, ... blanks tied today, up to the highest target or to what is asked of anyone: that
        of the numbers ASKED, and between them as much as lies between. One blank more never makes it worse: where the
        draws say so, it is the chance of fewer."""
        found: list[float] = []
        for blanks in ASKED:
            tick(blanks / MOST_BLANKS)
            before, steps = found[-1:] or [0.0], blanks + 1 - len(found)
            chance = max(self.chance(blanks), *before)
            found += [before[0] + (chance - before[0]) * (n + 1) / steps for n in range(steps)]
            if found[-1] >= TARGETS[-1] and blanks >= FEWEST_SHOWN:
                break
        return tuple(found)

    def plans(self, by_blanks: Sequence[float], today: date, tick: Tick) -> tuple[Plan, ...]:
        found = []
        for place, target in enumerate(TARGETS):
            tick(place / len(TARGETS))
            blanks = next((n for n, chance in enumerate(by_blanks) if chance >= target), None)
            by = today + timedelta(days=self._latest(blanks, target)) if blanks else None
            found.append(Plan(target, blanks, by))
        return tuple(found)

    def _latest(self, blanks: int, target: float) -> int:
        """In how many days tying so many blanks still reaches a chance, to a sixteenth of the time that there is."""
        step = max(self.simulation.days // LATEST_OF, 1)
        low, high = 0, self.simulation.days // step
        while low < high:
            middle = (low + high + 1) // 2
            enough = self.chance(blanks, middle * step) >= target
            low, high = (middle, high) if enough else (low, middle - 1)
        return low * step
