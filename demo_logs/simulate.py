"""Logs of an invented double-reed maker, made from a seed, with known truth about what wears her reeds.

`python -m demo_logs.simulate` prints what the ready-made scenarios hold.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from random import Random

from demo_logs.maker import bench, playing
from demo_logs.maker.diary import Diary, Row
from demo_logs.maker.effects import Effects, Planted
from demo_logs.maker.manner import PLAIN, Manner
from demo_logs.maker.reed import SimReed
from demo_logs.maker.supplies import Cane, Orders, Tags, Tubes
from demo_logs.maker.town import DAY, season
from demo_logs.maker.trade import BASS, DAMORE, WEAR_CAUSES
from demo_logs.maker.workshop import Workshop

LAST_EVENING = date(2026, 11, 21)
"""The day on which the ready-made scenarios end."""

DEMO = Effects(first_rest_day=-0.26, bad_lot=1.3, wired_before_crow=0.4, rest_under_day=0.3)
"""What is true of the reeds of the demo logs: blanks that rest longer last longer, and a bad lot does not last."""

EVEN, THICKER = 0.4, 0.04
"""In the demo logs she ties to about a quarter of a millimetre, and gouges a bad lot so many mm thicker. Common
practice, no source."""

FOLLOW_DAYS = 28
"""How long a run without an end date goes on after its last blank is finished or given up."""

ORDERS_A_DAY = 0.011

ROWS_A_WEEK = 49.0
"""About how many events she writes a week, over the year."""

SCALED_LOSS = 0.44
"""Share of blanks lost in scaled logs: more than usual, for about 4,000 reeds in 100,000 events."""


@dataclass(frozen=True)
class Life:
    """What is true of one reed, which the log may not know. Minutes of playing, those before the log included.

    `cause` is None for a reed not retired; `served` is whether it was ever played.
    """

    tag: str
    bearer: int
    instrument: str
    entry: int
    minutes: int
    served: bool
    cause: str | None


@dataclass(frozen=True)
class Scenario:
    """A log as plain rows in order of time, and the truth behind it."""

    rows: list[Row]
    sessions: list[Row]
    lots: list[Row]
    tubes: list[Row]
    orders: list[Row]
    effects: Effects
    bad_lots: frozenset[str]
    lives: tuple[Life, ...]
    start: date
    end: date

    @property
    def truth(self) -> tuple[Planted, ...]:
        """Every habit the simulator knows with its true log hazard ratio."""
        return self.effects.truth()


def simulate(
    seed: int,
    reeds: int | None = 60,
    effects: Effects | None = None,
    start: date = date(2025, 9, 1),
    *,
    end: date | None = None,
    joined: int = 6,
    loss: float = 0.35,
    case: float = 5.5,
    touch_ups_follow_failing: bool = True,
    rare: bool = False,
    gaps: float = 0.03,
    max_rows: int | None = None,
    manner: Manner = PLAIN,
    scatter: float = 1.0,
    bad_thicker: float = 0.0,
    alike: float = 0.8,
) -> Scenario:
    """Simulate a maker from `start` on.

    `reeds`: how many blanks she ties in all; None for as many as she needs until `end`. Without `end` the log goes on
    for some weeks after the last blank. `effects`: the planted truth, by default `Effects()`. `joined`: reeds in her
    case when the log begins (at most 10). `loss`: the share of blanks that never serve. `case`: how many reeds of each
    instrument she likes to have in service or coming. `touch_ups_follow_failing`: whether a failing reed is scraped
    and clipped more, which has no effect of its own. `rare`: whether she also makes a few reeds for oboe d'amore and
    bass oboe. `gaps`: about how often a fact is not noted. `max_rows`: stop after so many rows. `manner`: how
    she treats reeds for what they show. `scatter`: how unevenly she ties, 1 being so that half a millimetre either way
    is nothing much. `bad_thicker`: by how many mm she gouges a bad lot thicker, since its cane is soft. `alike`: where
    her manner has batches, how far the lives of one evening all differ.

    Raises ValueError if neither `reeds`, `end` nor `max_rows` ends the run.
    """
    if reeds is None and end is None and max_rows is None:
        raise ValueError("give reeds, end or max_rows: without one of them the run has no end")
    rng = Random(f"{seed} life")
    shop = Workshop(
        rng, Diary(Random(f"{seed} words"), gaps), effects or Effects(), reeds, loss, case,
        touch_ups_follow_failing, Tags(), Tubes(), Cane(Random(f"{seed} cane")), Orders(rng),
        manner, start.toordinal(), scatter, bad_thicker, alike,
    )  # fmt: skip
    last = _run(shop, start.toordinal(), end.toordinal() if end else None, joined, rare, max_rows)
    return _scenario(shop, start, date.fromordinal(last), max_rows)


def _run(shop: Workshop, start: int, end: int | None, joined: int, rare: bool, max_rows: int | None) -> int:
    """Live through the days; returns the last one."""
    shop.diary.wait_until(start * DAY)
    bench.evening(shop, start, joining=joined, pressed=True)
    day = finished = start
    rare_done: set[tuple[str, int]] = set()
    while day != end and (max_rows is None or len(shop.diary.rows) < max_rows):
        day += 1
        _day(shop, day, None if end is None else end - day, rare_done if rare else None)
        if shop.limit is None or shop.tied < shop.limit or shop.drying():
            finished = day
        if end is None and day - finished >= FOLLOW_DAYS:
            break
    return day


def _day(shop: Workshop, day: int, days_left: int | None, rare_done: set[tuple[str, int]] | None) -> None:
    """One day. Shortly before the end of a run she ties again and takes an order, so that both are under way."""
    rng = shop.rng
    shop.diary.wait_until(day * DAY)
    if rng.random() < ORDERS_A_DAY or days_left == 9:
        shop.orders.place(day, rng.randrange(3, 7))
    playing.take_back(shop, day)
    slots = playing.slots(day, rng)
    for slot in slots:
        playing.play_slot(shop, slot, day)
    if slots and (days_left == 0 or all(slot.setting != "performance" for slot in slots)):
        rare = "" if rare_done is None else _rare_tonight(day, rare_done)
        held = bench.evening(shop, day, rare=rare, pressed=days_left in (0, 4))
        if rare_done is not None and held and rare:
            rare_done.add((rare, season(day)))
    playing.note_something(shop)


def _rare_tonight(day: int, done: set[tuple[str, int]]) -> str:
    """The rare instrument that is due for a few reeds, once a season; '' if none."""
    month = date.fromordinal(day).month
    for instrument, wanted in ((DAMORE, 10), (BASS, 2)):
        if month == wanted and (instrument, season(day)) not in done:
            return instrument
    return ""


def _scenario(shop: Workshop, start: date, end: date, max_rows: int | None) -> Scenario:
    rows, sessions = shop.diary.rows, shop.diary.sessions
    if max_rows is not None and len(rows) > max_rows:
        rows = rows[:max_rows]
        kept = {row.get("session") for row in rows}
        sessions = [session for session in sessions if session["session"] in kept]
    return Scenario(
        rows, sessions, shop.cane.lots, shop.tubes.bought, shop.orders.placed, shop.effects,
        frozenset(shop.cane.bad), tuple(_life(reed) for reed in shop.reeds), start, end,
    )  # fmt: skip


def _life(reed: SimReed) -> Life:
    return Life(
        reed.tag, reed.bearer, reed.instrument, reed.entry, reed.minutes, reed.joined or reed.playings > 0, reed.cause
    )


def first_month(seed: int = 169) -> Scenario:
    """A maker's first month with a log: a dozen new reeds, and four from her case."""
    return simulate(
        seed, reeds=None, effects=DEMO, start=date(2026, 10, 21), end=LAST_EVENING, joined=4, case=2.0, scatter=EVEN
    )


def three_seasons(seed: int = 80) -> Scenario:
    """From September 2024, when the log began, to an evening in the third season, with work under way."""
    return simulate(
        seed, reeds=None, effects=DEMO, start=date(2024, 9, 2), end=LAST_EVENING, rare=True,
        scatter=EVEN, bad_thicker=THICKER,
    )  # fmt: skip


def scaled(events: int, seed: int = 1) -> Scenario:
    """A log of exactly so many events, begun so long ago that it is over before `LAST_EVENING`.

    It is cut off within its last day, so `lives` may be some hours ahead of `rows`.
    """
    weeks = events / ROWS_A_WEEK + 12  # some more, as a summer may fall into a short log
    start = LAST_EVENING.toordinal() - round(7 * weeks)
    return simulate(seed, reeds=None, start=date.fromordinal(start), max_rows=events, rare=True, loss=SCALED_LOSS)


def describe(scenario: Scenario) -> str:
    """What a scenario holds, as text."""
    lives = [life for life in scenario.lives if life.served]
    new = [life for life in scenario.lives if not life.entry]
    causes = Counter(life.cause or "not retired" for life in lives)
    kinds = Counter(row["kind"] for row in scenario.rows)
    hours = sorted(life.minutes / 60 for life in lives if life.cause in WEAR_CAUSES)
    lines = [
        f"{scenario.start} to {scenario.end}: {len(scenario.rows)} events, {len(scenario.sessions)} sessions",
        f"{len(scenario.lives)} reeds, {len(lives)} served; of new blanks {_share(new)} never did",
        "lives ended by wear, hours at the 5th, 50th and 95th of 100: "
        + ", ".join(f"{hours[int(q * (len(hours) - 1))]:.1f}" for q in (0.05, 0.5, 0.95)),
        "ends of those that served: " + ", ".join(f"{cause} {n}" for cause, n in causes.most_common()),
        "events: " + ", ".join(f"{kind} {n}" for kind, n in kinds.most_common()),
    ]
    return "\n".join(lines)


def _share(lives: list[Life]) -> str:
    ended = sum(1 for life in lives if not life.served and life.cause)
    return f"{100 * ended / len(lives):.0f} %"


if __name__ == "__main__":
    for name, scenario in (("first month", first_month()), ("three seasons", three_seasons())):
        print(f"{name}\n{describe(scenario)}\n")
