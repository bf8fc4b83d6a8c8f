"""A week at the bench and on the stand: what was made, what came good, what was retired and why, how much was played,
what runs low, what is due and what is to be played."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from reedkin.answers.case.still_there import which
from reedkin.answers.orders.telling import delivery_as_dict, order_as_dict, order_line
from reedkin.answers.yields.costs import session_minutes
from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import Delivery, deliveries
from reedkin.bench.engagements import Engagement, engagement_as_dict, to_come
from reedkin.bench.orders import Order, due
from reedkin.bench.supplies import Lot, Tube, lots, tubes
from reedkin.domain import as_json
from reedkin.domain.clock import Clock
from reedkin.domain.describe import played_so_far
from reedkin.domain.fates import came_good, good_from
from reedkin.domain.figures import day_words, duration, plural, tag_list, weekday_words
from reedkin.domain.instruments import short_name
from reedkin.domain.known import minutes_played, word
from reedkin.domain.reeds import IN_SERVICE, Reed, Step
from reedkin.domain.words import SETTINGS, spelt
from reedkin.study.unseen import sight_of

if TYPE_CHECKING:
    from reedkin.contract.others import EndedReedJson, WeekJson

WEEK = 7
LEAST_IN_CASE = 3
"""Fewer reeds than this in service for an instrument in use run low (common practice for a student, no source)."""
LEAST_FREE = 2
"""Fewer free tubes than this for an instrument in use run low."""
IN_USE = timedelta(days=60)
"""An instrument is in use if it was played or tied for so recently, a lot if a reed was tied of it."""
_LONGEST, _MOST_NAMED = 31, 20
"""Days of which each reed is named, and so many reeds as are named of more days."""
UNNAMED = "setting not noted"


@dataclass(frozen=True, slots=True)
class Review:
    """
    The days from `first` to `last`, both counted.

    joined                           reeds that were in use before the log began.
    tied, came_good                  reeds that were tied, and that proved good: played, or scored well.
    given_up, retired                reeds that were given up before they came good, and retired from service, each
                                     with its cause.
    out, back                        reeds handed over, and reeds that came back.
    minutes                          of playing, by setting, the usual order of settings.
    bench_minutes                    of work sessions.
    low_cases, low_tubes             instruments in use with few reeds in service, or few tubes free: how many.
    low_lots                         lots of cane in use that run low, or that ran out in these days.
    unseen                           reeds at work that must be gone, though nobody wrote it down.
    due                              open orders due within a week, or overdue.
    coming                           engagements within a week.

    What runs low, is unseen, is due and is coming is so today, and is not told of days that are past.
    """

    first: date
    last: date
    joined: tuple[Reed, ...]
    tied: tuple[Reed, ...]
    came_good: tuple[Reed, ...]
    given_up: tuple[tuple[Reed, str], ...]
    retired: tuple[tuple[Reed, str], ...]
    out: tuple[Delivery, ...]
    back: tuple[Delivery, ...]
    minutes: Mapping[str, int]
    bench_minutes: int
    low_cases: Mapping[str, int]
    low_tubes: Mapping[str, int]
    low_lots: tuple[Lot, ...]
    unseen: tuple[Reed, ...]
    due: tuple[Order, ...]
    coming: tuple[Engagement, ...]
    clock: Clock


def review(bench: Bench, last: date | None = None, days: int = WEEK) -> Review:
    """The review of the days that end with `last`, or with today."""
    now = bench.clock.now()
    last = last or now.date()
    first = last - timedelta(days=days - 1)
    span = _Span(bench, first, last)
    reeds = bench.reeds()
    ended = [reed for reed in reeds if reed.retirement is not None and span.holds(reed.retirement.at)]
    current = last >= now.date()
    in_use = _in_use(reeds, now) if current else ()
    return Review(
        first,
        last,
        tuple(r for r in reeds if r.joined and span.holds(r.begun)),
        tuple(r for r in reeds if not r.joined and span.holds(r.begun)),
        tuple(r for r in reeds if span.holds(good_from(r))),
        tuple((r, r.now.cause or "") for r in ended if came_good(r) is False),
        tuple((r, r.now.cause or "") for r in ended if came_good(r) is not False),
        tuple(d for r in reeds for d in deliveries(r) if span.holds(d.at)),
        tuple(d for r in reeds for d in deliveries(r) if span.holds(d.came_back)),
        _minutes(step for r in reeds for step in r.of_kind("played") if span.holds(step.at)),
        _bench_minutes(bench, span),
        _low_cases(reeds, in_use),
        _low_tubes(tubes(bench, reeds), in_use),
        tuple(lot for lot in lots(bench, reeds) if _runs_low(lot, now) or _ran_out(lot, span)) if current else (),
        sight_of(bench).unseen if current else (),
        tuple(due(bench)) if current else (),
        tuple(e for e in to_come(bench) if (e.day - now.date()).days <= WEEK) if current else (),
        bench.clock,
    )


@dataclass(frozen=True, slots=True)
class _Span:
    """Whole days by the maker's own clock."""

    bench: Bench
    first: date
    last: date

    def holds(self, at: datetime | None) -> bool:
        return at is not None and self.first <= self.bench.clock.local(at).date() <= self.last


def _minutes(steps: Iterable[Step]) -> dict[str, int]:
    found: Counter[str] = Counter()
    for step in steps:
        found[word(step.facts, "setting") or UNNAMED] += minutes_played(step.facts) or 0
    return {name: found[name] for name in (*SETTINGS, UNNAMED) if found[name]}


def _bench_minutes(bench: Bench, span: _Span) -> int:
    return round(sum(session_minutes(one) for one in bench.sessions.latest_first() if span.holds(one.started)))


def _in_use(reeds: Iterable[Reed], now: datetime) -> Sequence[str]:
    """The instruments for which something was done lately."""
    return list(dict.fromkeys(reed.instrument for reed in reeds if not reed.void and now - reed.last.at <= IN_USE))


def _low_cases(reeds: Iterable[Reed], in_use: Sequence[str]) -> dict[str, int]:
    serving = Counter(reed.instrument for reed in reeds if reed.stage == IN_SERVICE and not reed.void)
    return {instrument: serving[instrument] for instrument in in_use if serving[instrument] < LEAST_IN_CASE}


def _low_tubes(found: Iterable[Tube], in_use: Sequence[str]) -> dict[str, int]:
    """Of a maker who names her tubes: without a free one she cannot tie."""
    here = [tube for tube in found if not tube.gone]
    free = Counter(tube.instrument for tube in here if tube.free)
    named = {tube.instrument for tube in here}
    return {one: free[one] for one in in_use if one in named and free[one] < LEAST_FREE}


def _runs_low(lot: Lot, now: datetime) -> bool:
    """Of a lot that is in use, or of which no reed was tied yet: what is left of one given up years ago is no news, and
    after ten years there are dozens."""
    return lot.low and (not lot.reeds or now - max(reed.begun for reed in lot.reeds) <= IN_USE)


def _ran_out(lot: Lot, span: _Span) -> bool:
    return lot.spent and any(span.holds(reed.begun) for reed in lot.reeds)


def review_text(found: Review, now: datetime) -> list[str]:
    """The review in plain lines."""
    lines = [span_words(found.first, found.last, now.date()), *_made(found), *_played(found), *_low(found)]
    if found.unseen:
        lines.append(f"Unseen: {which(found.unseen)}: still there? Nothing was written for long, so not counted on")
    lines += [f"Due: {order_line(order, now.date())}" for order in found.due]
    lines += [f"Coming: {_engaged(one)}" for one in found.coming]
    if len(lines) > 1:
        return lines
    current = found.last >= now.date()
    return [*lines, "Nothing was noted.", *([_BEGIN] if current else [])]


def _engaged(one: Engagement) -> str:
    """ "Fri 27 Nov 19:30, 2 oboe reeds, performance, second night"."""
    when = f"{weekday_words(one.day)} {one.hour:%H:%M}" if one.hour is not None else weekday_words(one.day)
    return ", ".join(part for part in (when, one.asks, one.what) if part)


_BEGIN = "What is entered on the bench is summed up here, such as 1 tie oboe 72, or p 45 8."


def span_words(first: date, last: date, today: date) -> str:
    """Days in words: "Thu 19 Nov to Wed 25 Nov", with the year where they are not all of this one."""
    if first.year == last.year == today.year:
        return f"{weekday_words(first)} to {weekday_words(last)}" if first != last else weekday_words(first)
    return f"{day_words(first)} to {day_words(last)}" if first != last else day_words(first)


def _made(found: Review) -> Iterator[str]:
    """What was made and what came of it: of more days than a month in numbers, since nobody reads so many tags."""
    many = len(found.tied) + len(found.retired) > _MOST_NAMED
    if many and (found.last - found.first).days > _LONGEST:
        yield from _made_in_numbers(found)
        return
    if found.bench_minutes:
        yield f"At the bench: {duration(found.bench_minutes)}"
    for words, reeds in (("Joined", found.joined), ("Tied", found.tied), ("Came good", found.came_good)):
        if reeds:
            yield f"{words}: {_by_instrument(reeds)}"
    for cause, given_up in _by_cause(found.given_up).items():
        yield f"Given up: {_by_instrument(given_up)}, {cause}"
    for reed, cause in found.retired:
        yield f"Retired: {reed.label} ({spelt(reed.instrument)}), {cause or 'no cause noted'}, {_life(reed)}"
    for delivery in found.out:
        to = f" to {delivery.to}" if delivery.to else ""
        yield f"Out: {delivery.reed.label} {delivery.terms or 'handed over'}{to}"
    for delivery in found.back:
        yield f"Back: {delivery.reed.label}" + (f", {delivery.why}" if delivery.why else "")


def _made_in_numbers(found: Review) -> Iterator[str]:
    if found.bench_minutes:
        yield f"At the bench: {duration(found.bench_minutes)}"
    for words, reeds in (("Joined", found.joined), ("Tied", found.tied), ("Came good", found.came_good)):
        if reeds:
            yield f"{words}: {_counted(short_name(reed.instrument) for reed in reeds)}"
    for words, ended in (("Given up", found.given_up), ("Retired", found.retired)):
        if ended:
            yield f"{words}: {_counted(cause or 'no cause noted' for _, cause in ended)}"
    if found.out:
        yield f"Out: {_counted(one.terms or 'handed over' for one in found.out)}"
    if found.back:
        yield f"Back: {len(found.back)}"


def _counted(words: Iterable[str]) -> str:
    """ "41 eh, 46 ob", the most first."""
    return ", ".join(f"{count} {word}" for word, count in Counter(words).most_common())


def _by_cause(given_up: Iterable[tuple[Reed, str]]) -> dict[str, list[Reed]]:
    groups: dict[str, list[Reed]] = {}
    for reed, cause in given_up:
        groups.setdefault(cause or "no cause noted", []).append(reed)
    return groups


def _life(reed: Reed) -> str:
    minutes = reed.now.minutes_played
    if minutes:
        return played_so_far(reed, minutes) if reed.of_unknown_age else f"after {duration(minutes)}"
    return "no playing noted" if reed.joined else "never played"


def _by_instrument(reeds: Iterable[Reed]) -> str:
    groups: dict[str, list[str]] = {}
    for reed in reeds:
        groups.setdefault(short_name(reed.instrument), []).append(reed.label)
    return ", ".join(f"{len(labels)} {name} ({tag_list(labels)})" for name, labels in groups.items())


def _played(found: Review) -> Iterator[str]:
    if found.minutes:
        parts = ", ".join(f"{name} {duration(minutes)}" for name, minutes in found.minutes.items())
        yield f"Played: {duration(sum(found.minutes.values()))}: {parts}"


def _low(found: Review) -> Iterator[str]:
    for instrument, count in found.low_cases.items():
        yield f"Low: {_only(count, f'{spelt(instrument)} reed')} in service"
    for instrument, count in found.low_tubes.items():
        yield f"Low: {_only(count, f'{spelt(instrument)} tube')} free"
    for lot in found.low_lots:
        yield f"Low: lot {lot.name}, {plural(lot.pieces_left, 'piece') if lot.pieces_left else 'nothing'} left"


def _only(count: int, what: str) -> str:
    return f"only {plural(count, what)}" if count else f"no {what}"


def review_as_dict(found: Review) -> WeekJson:
    """The review as JSON takes it."""
    return {
        "from": as_json.moment(found.first),
        "to": as_json.moment(found.last),
        "tied": [reed.label for reed in found.tied],
        "came_good": [reed.label for reed in found.came_good],
        "given_up": [_ended_as_dict(reed, cause) for reed, cause in found.given_up],
        "retired": [_ended_as_dict(reed, cause) for reed, cause in found.retired],
        "out": [delivery_as_dict(delivery) for delivery in found.out],
        "back": [delivery_as_dict(delivery) for delivery in found.back],
        "minutes": dict(found.minutes),
        "bench_minutes": found.bench_minutes,
        "low_cases": dict(found.low_cases),
        "low_tubes": dict(found.low_tubes),
        "low_lots": [{"lot": lot.name, "pieces_left": lot.pieces_left} for lot in found.low_lots],
        "unseen": [reed.label for reed in found.unseen],
        "due": [order_as_dict(order) for order in found.due],
        "coming": [engagement_as_dict(one, found.clock) for one in found.coming],
    }


def _ended_as_dict(reed: Reed, cause: str) -> EndedReedJson:
    return {
        "tag": reed.label,
        "instrument": reed.instrument,
        "cause": cause or None,
        "hours_played": as_json.hours(reed.now.hours),
    }
