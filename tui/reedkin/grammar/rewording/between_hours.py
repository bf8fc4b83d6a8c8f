"""How long something was done, said by two times of day: "19:30-22:00", "from 10 to 11:30", "from 7 to 9pm". It is put
into minutes; the first hour is when it happened."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

from reedkin.domain.clock import Clock
from reedkin.grammar.when.days import When
from reedkin.grammar.when.hours import HOUR_IN_FIGURES
from reedkin.grammar.words.reeds_named import THROUGH
from reedkin.grammar.words.tokens import Token, word_at

_HOUR = re.compile(r"(\d{1,2})(?:([:h.])(\d\d)|(?P<full>h|uhr))? ?(?:([ap])\.?m\.?)?,?")
_SOME_HOURS = 6
"""So many and fewer may be how long something took: "2h to 3h"."""
_BOTH = re.compile(rf"({HOUR_IN_FIGURES}(?:[ap]m)?)[-–]({HOUR_IN_FIGURES}(?:[ap]m)?),?")
_THROUGH = (*THROUGH, "till", "until")
_DAY = 24 * 60


@dataclass(frozen=True, slots=True)
class _Hour:
    """A time of day as minutes since midnight. `sure` says that it can be nothing but a time: 10 alone may be a number;
    `half` is a or p where one was said, `of_24` that the day's hours are counted through."""

    minutes: int
    sure: bool
    half: str
    of_24: bool


def between_hours(
    words: Sequence[Token], clock: Clock, tagged: int = 0
) -> tuple[list[Token], list[tuple[When, int, int]]]:
    """The words with such spans in minutes, over midnight too, and the moments at which they began: the latest such
    hours that have come. Behind the place `tagged` no tags can stand any more, so that "19-20" is hours (0: they
    may)."""
    found: list[Token] = []
    moments: list[tuple[When, int, int]] = []
    place = 0
    while place < len(words):
        span = _span_at(words, place, 0 < tagged < place)
        if span is None:
            found.append(words[place])
            place += 1
            continue
        begin, end, taken = span
        first, last = words[place], words[place + taken - 1]
        found.append(Token(f"{_lasting(begin, end)}min", first.start, last.end))
        moments.append((_began(begin, end, clock), first.start, last.end))
        place += taken
    return found, moments


def _span_at(words: Sequence[Token], place: int, no_tags: bool) -> tuple[_Hour, _Hour, int] | None:
    """The hours between which something lasted that is said from `place` on, and how many words say it."""
    both = _BOTH.fullmatch(word_at(words, place))
    if both is not None:
        begin, end, taken = _hour(both[1]), _hour(both[2]), 1
        if word_at(words, place + 1) in ("am", "pm") and end is not None and not end.half:
            end, taken = _hour(both[2] + word_at(words, place + 1)), 2
        sure = no_tags or (end is not None and (end.sure or (begin is not None and begin.sure)))
    else:
        called = word_at(words, place) in ("from", "between", "since")
        begin, one = _hour_at(words, place + called)
        through = word_at(words, place + called + one) in (*_THROUGH, *(("and",) if called else ()))
        end, other = _hour_at(words, place + called + one + 1) if through else (None, 0)
        taken = called + one + 1 + other
        sure = called or (begin is not None and begin.sure and end is not None and end.sure)
    if begin is None or end is None or not sure or begin == end:
        return None
    return begin, end, taken


def _hour_at(words: Sequence[Token], place: int) -> tuple[_Hour | None, int]:
    """The time of day at `place`, and how many words it takes: "7 pm" and "19 h" take two."""
    apart = word_at(words, place + 1).rstrip(",").replace(".", "") in ("am", "pm", "h", "uhr")
    text = f"{word_at(words, place)}{word_at(words, place + 1)}" if apart else word_at(words, place)
    return _hour(text), 1 + apart


def _hour(text: str) -> _Hour | None:
    match = _HOUR.fullmatch(text)
    if match is None:
        return None
    hours, minutes, half = int(match[1]), int(match[3] or 0), match[5] or ""
    if minutes > 59 or hours > 23 or (half and not 1 <= hours <= 12):
        return None
    if half:
        hours = hours % 12 + 12 * (half == "p")
    sure = match[2] in (":", "h") or bool(half) or (bool(match["full"]) and hours > _SOME_HOURS)
    of_24 = bool(match[2] or match["full"]) or hours > 12 or match[1][0] == "0"
    return _Hour(hours * 60 + minutes, sure, half, of_24)


def _in_one_half(begin: _Hour, end: _Hour) -> _Hour:
    """The first hour, which is of the same half of the day as the second where only that says so: "7 to 9pm"."""
    if not end.half or begin.half or begin.minutes >= _DAY // 2:
        return begin
    later = begin.minutes % (_DAY // 2) + (_DAY // 2) * (end.half == "p")
    return replace(begin, minutes=later - (_DAY // 2) * (later > end.minutes and end.half == "p"), half=end.half)


def _lasting(begin: _Hour, end: _Hour) -> int:
    """Minutes from one to the other, which is the next such hour where nothing says of which half of the day it is."""
    begin = _in_one_half(begin, end)
    day = _DAY if end.of_24 or end.half else _DAY // 2
    return (end.minutes - begin.minutes) % day or day


def _began(begin: _Hour, end: _Hour, clock: Clock) -> When:
    """The latest such hour that has come; an hour of twelve may be either."""
    first = _in_one_half(begin, end)
    now = clock.now()
    midnight = datetime.combine(now.date(), time())
    of_twelve = not (first.of_24 or end.of_24 or first.half)
    hours = {first.minutes, (first.minutes + _DAY // 2) % _DAY} if of_twelve else {first.minutes}
    today = [clock.local(midnight + timedelta(minutes=minutes)) for minutes in sorted(hours)]
    passed = [at for at in today if at <= now]
    at = passed[-1] if passed else clock.local(midnight + timedelta(minutes=max(hours), days=-1))
    doubt = f"taken as from {at:%H:%M} on; for the other half of the day write am or pm" if len(passed) > 1 else ""
    return When(at, doubt=doubt, hour_alone=True, of_twelve=of_twelve, lasting=_lasting(begin, end))
