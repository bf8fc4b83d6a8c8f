"""What was played on each of several days: "19 p 60 mon-fri", "p 45 @mon, tue and thu", "19 p 1h 14-16 sep", "p 30
every day last week". It is parted into one for each day, so that a week of which nothing was written takes one line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from itertools import pairwise

from reedkin.domain.clock import Clock
from reedkin.errors import InputError
from reedkin.grammar.when.days import month_named, parse_when, weekday_named
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.tokens import Token
from reedkin.grammar.words.verbs import BY_LETTER, BY_WORD, in_full, verbs_beginning

_SAID = re.compile(r"(?P<daily>(?:every|each) day |daily )?(?P<lead>@ |on |from )?(?P<days>.+?)[.,]?")
_AND = re.compile(r",? (?:and|&|\+) |, ?| ")
_TO = re.compile(r" ?[-–] ?| (?:to|till|until|through|thru) ")
_DATES = re.compile(r"(?P<days>\d[\d ,&–-]*(?:(?:and|to) [\d ,]+)*)(?: |(?<=\d))(?P<month>[a-z]+\.?(?: \d{4})?)")
_SPAN = re.compile(r"\d+-\d+")
_MOST = 31
_FAR = 5
"""So many days from a day of the week to the next in a list that goes back in the week are no list: "fri, thu"."""
_OF_PLAYING = tuple(word for slot in BY_WORD["play"].slots for word in slot.words)


def each_day(whole: Sequence[Token], clock: Clock) -> list[list[Token]]:
    """The words between two semicolons, once for each of the days that they end with; once as they are where they tell
    of no playing or of something else as well, or of no more than a day."""
    end = len(whole)
    while end and whole[end - 1].kind == "quote":
        end -= 1
    verb = _playing(whole)
    if verb is None:
        return [list(whole)]
    for start in range(verb + 2, end):  # behind how long; "rehearsal 7-9 dec" is to come
        said = _SAID.fullmatch(" ".join(token.text.lower() for token in whole[start:end]))
        if said is None:
            continue
        led = said["lead"] is not None and (verb > 0 or said["lead"] != "on ")  # p 60 on 7 8 nov: reed 7
        days = _days(said["days"], said["daily"] is not None, led, clock)
        if days and not any(token.kind == "at" for token in whole[:start]):
            begin, stop = whole[start].start, whole[end - 1].end
            at = Token("@", begin, begin, "at")
            return [[*whole[:start], at, Token(f"{day}", begin, stop), *whole[end:]] for day in days]
    return [list(whole)]


def _playing(whole: Sequence[Token]) -> int | None:
    """Where the verb of a playing stands, if it is the first verb and no other is behind it."""
    found = None
    for place, token in enumerate(whole):
        text = plain(token.text.lower()) if token.kind == "word" else ""
        if found is None and (fits := verbs_beginning(text)):
            if [verb.kind for verb in fits] != ["played"]:
                return None
            found = place
        elif found is not None and not any(word.startswith(text) for word in _OF_PLAYING):
            other = in_full(text) or BY_LETTER.get(text)
            if other is not None and other.kind != "played":
                return None
    return found


def _days(text: str, daily: bool, led: bool, clock: Clock) -> list[date]:
    """The days that a text lists, two or more, ascending and none to come; none where it is no such list, or may be
    other numbers and a day: "p 45 7 8 sep". `daily` and `led` say what stands before it."""
    today = clock.now().date()
    if text == "last week" and daily:
        return [today - timedelta(days=today.weekday() + 7 - n) for n in range(7)]
    if (dates := _DATES.fullmatch(text)) and month_named(dates["month"].split(" ")[0].rstrip(".")):
        numbers = _TO.sub("-", dates["days"].strip())
        return _of_a_month(numbers, dates["month"], clock) if led or daily or _SPAN.fullmatch(numbers) else []
    first_and_last = _weekdays(_TO.split(text))
    if len(first_and_last) == 2:
        first, last = first_and_last
        return _latest([*range(first, last + 1 if last > first else last + 8)], today)
    return _latest(_weekdays(_AND.split(text)), today)


def _weekdays(words: Iterable[str]) -> list[int]:
    """The days of the week that words name; none where one names none."""
    found = [weekday_named(word.removesuffix(".")) for word in words]
    return [] if None in found else [day for day in found if day is not None]


def _latest(weekdays: Sequence[int], today: date) -> list[date]:
    """The latest days of the week in this order, the last of them today or before."""
    if any(second < first and second + 7 - first >= _FAR for first, second in pairwise(weekdays)):
        return []
    found: list[date] = []
    for weekday in reversed(weekdays):
        before = today if not found else found[0] - timedelta(days=1)
        found.insert(0, before - timedelta(days=(before.weekday() - weekday) % 7))
    return found if len(found) > 1 and found[-1] - found[0] < timedelta(days=7) else []


def _of_a_month(text: str, month: str, clock: Clock) -> list[date]:
    numbers: list[int] = []
    for piece in _AND.split(text):
        ends = [int(end) for end in _TO.split(piece) if end.isdecimal()]
        numbers += range(ends[0], ends[-1] + 1) if ends else []
    if len(numbers) < 2 or numbers != sorted(set(numbers)) or numbers[-1] > _MOST:
        return []
    try:
        last = parse_when(f"{numbers[-1]} {month}", clock).at.date()
    except InputError:
        return []
    return [last.replace(day=number) for number in numbers]
