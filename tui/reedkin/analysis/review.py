"""A week at the bench and on the stand: what was made, what came good, what was retired and why, how much was played,
what runs low and what is due."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from reedkin.analysis.costs import session_minutes
from reedkin.domain.bench import Bench
from reedkin.domain.describe import duration, plural, tag_list
from reedkin.domain.fates import came_good
from reedkin.domain.instruments import SHORT_NAMES
from reedkin.domain.orders import Delivery, Order, deliveries, due, order_as_dict, order_line
from reedkin.domain.reeds import IN_SERVICE, Reed, Step
from reedkin.domain.supplies import Lot, lots
from reedkin.domain.words import SETTINGS

WEEK = 7
LEAST_IN_CASE = 3
"""Fewer reeds than this in service for an instrument in use run low (common practice for a student, no source)."""
IN_USE = timedelta(days=60)
"""An instrument is in use if it was played or tied for so recently."""
UNNAMED = "setting not noted"


@dataclass(frozen=True, slots=True)
class Review:
    """
    The days from `first` to `last`, both counted.

    tied, served, given_up, retired  reeds that were tied, first played, given up before they served, and retired from
                                     service; the last with their causes.
    out, back                        reeds handed over, and reeds that came back.
    minutes                          of playing, by setting, the usual order of settings.
    bench_minutes                    of work sessions.
    low_lots, low_cases              lots of cane that run low; instruments in use with few reeds in service: how many.
    due                              open orders due within a week of `last`, or overdue.
    """

    first: date
    last: date
    tied: tuple[Reed, ...]
    served: tuple[Reed, ...]
    given_up: tuple[Reed, ...]
    retired: tuple[tuple[Reed, str], ...]
    out: tuple[Delivery, ...]
    back: tuple[Delivery, ...]
    minutes: Mapping[str, int]
    bench_minutes: int
    low_lots: tuple[Lot, ...]
    low_cases: Mapping[str, int]
    due: tuple[Order, ...]


def review(bench: Bench, last: date | None = None, days: int = WEEK) -> Review:
    """The review of the days that end with `last`, or with today. What runs low and what is due are as of now."""
    now = bench.clock.now()
    last = last or now.date()
    first = last - timedelta(days=days - 1)
    span = _Span(bench, first, last)
    reeds = bench.reeds()
    return Review(
        first,
        last,
        tuple(r for r in reeds if not r.joined and span.holds(r.begun)),
        tuple(r for r in reeds if not r.joined and (step := r.first("played")) is not None and span.holds(step.at)),
        tuple(r for r in reeds if came_good(r) is False and span.holds(_ended(r))),
        tuple((r, r.now.cause or "") for r in reeds if came_good(r) is not False and span.holds(_ended(r))),
        tuple(d for r in reeds for d in deliveries(r) if span.holds(d.at)),
        tuple(d for r in reeds for d in deliveries(r) if span.holds(d.came_back)),
        _minutes(step for r in reeds for step in r.of_kind("played") if span.holds(step.at)),
        _bench_minutes(bench, span),
        tuple(lot for lot in lots(bench, reeds) if lot.low),
        _low_cases(reeds, now),
        tuple(due(bench)),
    )


@dataclass(frozen=True, slots=True)
class _Span:
    """Whole days by the maker's own clock."""

    bench: Bench
    first: date
    last: date

    def holds(self, at: datetime | None) -> bool:
        return at is not None and self.first <= self.bench.clock.local(at).date() <= self.last


def _ended(reed: Reed) -> datetime | None:
    retired = reed.retirement
    return retired.at if retired is not None else None


def _minutes(steps: Iterable[Step]) -> dict[str, int]:
    found: Counter[str] = Counter()
    for step in steps:
        minutes = step.facts.get("minutes")
        if isinstance(minutes, (int, float)):
            found[str(step.facts.get("setting", UNNAMED))] += int(minutes)
    return {name: found[name] for name in (*SETTINGS, UNNAMED) if found[name]}


def _bench_minutes(bench: Bench, span: _Span) -> int:
    sessions = (bench.session(uid) for uid in bench.subjects("sessions"))
    return round(sum(session_minutes(s) for s in sessions if s is not None and span.holds(s.started)))


def _low_cases(reeds: Iterable[Reed], now: datetime) -> dict[str, int]:
    in_use: dict[str, int] = {}
    for reed in reeds:
        if not reed.void and now - reed.last.at <= IN_USE:
            in_use.setdefault(reed.instrument, 0)
    for reed in reeds:
        if reed.stage == IN_SERVICE and reed.instrument in in_use and not reed.void:
            in_use[reed.instrument] += 1
    return {instrument: count for instrument, count in in_use.items() if count < LEAST_IN_CASE}


def review_text(found: Review, now: datetime) -> list[str]:
    """The review in plain lines."""
    lines = [f"{_day(found.first)} to {_day(found.last)}", *_made(found), *_played(found), *_low(found)]
    lines += [f"Due: {order_line(order, now.date())}" for order in found.due]
    return lines if len(lines) > 1 else [*lines, "Nothing was noted."]


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def _made(found: Review) -> Iterator[str]:
    if found.bench_minutes:
        yield f"At the bench: {duration(found.bench_minutes)}"
    for words, reeds in (("Tied", found.tied), ("Came good", found.served), ("Given up", found.given_up)):
        if reeds:
            yield f"{words}: {_by_instrument(reeds)}"
    for reed, cause in found.retired:
        yield f"Retired: {reed.label} ({reed.instrument}), {cause or 'no cause noted'}, {_life(reed)}"
    for delivery in found.out:
        to = f" to {delivery.to}" if delivery.to else ""
        yield f"Out: {delivery.reed.label} {delivery.terms or 'handed over'}{to}"
    for delivery in found.back:
        yield f"Back: {delivery.reed.label}" + (f", {delivery.why}" if delivery.why else "")


def _life(reed: Reed) -> str:
    return f"after {duration(reed.now.minutes_played)}" if reed.now.minutes_played else "never played"


def _by_instrument(reeds: Iterable[Reed]) -> str:
    groups: dict[str, list[str]] = {}
    for reed in reeds:
        groups.setdefault(SHORT_NAMES.get(reed.instrument, reed.instrument), []).append(reed.label)
    return ", ".join(f"{len(labels)} {name} ({tag_list(labels)})" for name, labels in groups.items())


def _played(found: Review) -> Iterator[str]:
    if found.minutes:
        parts = ", ".join(f"{name} {duration(minutes)}" for name, minutes in found.minutes.items())
        yield f"Played: {duration(sum(found.minutes.values()))}: {parts}"


def _low(found: Review) -> Iterator[str]:
    for instrument, count in found.low_cases.items():
        yield f"Low: {f'only {count}' if count else 'no'} {instrument} reed{'' if count == 1 else 's'} in service"
    for lot in found.low_lots:
        yield f"Low: lot {lot.name}, {plural(lot.pieces_left or 0, 'piece')} left"


def review_as_dict(found: Review) -> dict[str, object]:
    """The review as JSON takes it."""
    return {
        "from": found.first.isoformat(),
        "to": found.last.isoformat(),
        "tied": [reed.label for reed in found.tied],
        "came_good": [reed.label for reed in found.served],
        "given_up": [reed.label for reed in found.given_up],
        "retired": [
            {"tag": reed.label, "cause": cause or None, "hours": round(reed.now.hours, 4)}
            for reed, cause in found.retired
        ],
        "out": [{"tag": d.reed.label, "to": d.to, "terms": d.terms} for d in found.out],
        "back": [{"tag": d.reed.label, "why": d.why} for d in found.back],
        "minutes": dict(found.minutes),
        "bench_minutes": found.bench_minutes,
        "low_lots": [{"lot": lot.name, "pieces_left": lot.pieces_left} for lot in found.low_lots],
        "low_cases": dict(found.low_cases),
        "due": [order_as_dict(order) for order in found.due],
    }
