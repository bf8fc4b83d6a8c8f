"""The words behind `engage`: on which day and hour, and whether it is a further engagement or one that is there.

One that is there is known by its day and hour, or by its day where it is the only one then.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from reedkin.bench.bench import Bench
from reedkin.bench.engagements import USUAL_REEDS, Engagement, engagements
from reedkin.domain.facts import FACTS, Value
from reedkin.domain.figures import date_words
from reedkin.domain.instruments import instrument_named
from reedkin.domain.words import spelt
from reedkin.errors import InputError
from reedkin.grammar.beside.unnamed_instrument import taken_for
from reedkin.grammar.when.days import ahead_in, hour_meant
from reedkin.grammar.when.hours import HOUR_IN_FIGURES
from reedkin.grammar.words.measures import is_numeric, measure_at
from reedkin.grammar.words.tokens import Problem, Token

_FROM_TO = re.compile(rf"({HOUR_IN_FIGURES})[-–]({HOUR_IN_FIGURES})")
_OVER = ("yesterday", "last")
"""Words of a day that is over, on which nothing can be engaged any more."""
_LONGEST = 4
"""Words of a length of time."""
_FAR = timedelta(days=730)
"""Further ahead than this a year is likelier a slip."""


@dataclass
class EngagementClause:
    """When an engagement is, the words that are left, and to when it is moved."""

    rest: list[Token] = field(default_factory=list)
    day: date | None = None
    hour: time | None = None
    to_day: date | None = None
    to_hour: time | None = None
    minutes: int | None = None
    problems: list[Problem] = field(default_factory=list)

    @property
    def when(self) -> str:
        """When it is, in words."""
        return _when(self.day, self.hour) if self.day else ""


def read_engagement(head: Token, words: Sequence[Token], now: datetime) -> EngagementClause:
    """Take the day, the hour and what they are moved to out of the words behind `engage`."""
    said, place = EngagementClause(), 0
    while place < len(words):
        token = words[place]
        moved = token.kind == "word" and token.text.lower() == "to" and said.day is not None
        found = ahead_in(_texts(words, place + moved), now)
        if found is not None and (said.day is None or (moved and said.to_day is None)):
            day, hour, doubt, count = found
            last = words[place + moved + count - 1]
            if doubt:
                said.problems.append(Problem(token.start, last.end, doubt, "odd"))
            if moved:
                said.to_day, said.to_hour = day, hour
            else:
                said.day, said.hour = day, hour
            place += moved + count
        elif (count := _lasting(said, words, place)) > 0:
            place += count
        elif _hour(said, token) or (said.rest and _says_reeds(said.rest[-1], token)):
            place += 1
        else:
            said.rest.append(token)
            place += 1
    over = next((token for token in said.rest if token.text.lower().rstrip(",.") in _OVER), None)
    if said.day is None and over is not None:
        said.problems.append(Problem(over.start, over.end, f"{over.text} is over; an engagement is still to come"))
    elif said.day is None:
        last = words[-1] if words else head
        example = "engage 12 March 19:30 eh 3 performance"
        said.problems.append(Problem(head.start, last.end, f"on which day? such as {example}", open=True))
    if head.start == head.end and not any(word.kind == "word" and _tells_reeds(word) for word in said.rest):
        asked = "taken as an engagement to come; if it was played, write how long, such as 2h"
        said.problems.append(Problem(head.start, words[-1].end if words else head.end, asked, "odd"))
    held = said.to_day or said.day
    if held is not None and (why := _odd_day(held, now.date())):
        said.problems.append(Problem(head.start, words[-1].end, why, "odd"))
    return said


def _tells_reeds(word: Token) -> bool:
    """Whether a word tells the instrument, or a number of reeds, or that it is off."""
    return is_numeric(word) or instrument_named(word.text) is not None or word.text == "off"


def _texts(words: Sequence[Token], place: int) -> list[str]:
    quote = next((n for n, token in enumerate(words[place:], place) if token.kind == "quote"), len(words))
    return [token.text for token in words[place:quote]]


def _lasting(said: EngagementClause, words: Sequence[Token], place: int) -> int:
    """How many words tell how long it lasts, with their units: "40 min", "1 h 20 min"; a number alone is of reeds."""
    for count in range(min(_LONGEST, len(words) - place), 0, -1):
        last = words[place + count - 1]
        if last.kind == "word" and last.text[-1:].isalpha() and is_numeric(words[place]):
            try:
                value, taken = measure_at(words[: place + count], place, FACTS["minutes"])
            except InputError:
                continue
            if taken == count:
                said.minutes = int(value)
                return count
    return 0


def _says_reeds(before: Token, token: Token) -> bool:
    """Whether a word is the "reeds" of "3 oboe reeds"."""
    return token.text.lower() in ("reed", "reeds") and instrument_named(before.text) is not None


def _hour(said: EngagementClause, token: Token) -> bool:
    """Take a time that stands by itself: "19:30", "19:30-22:00"."""
    if token.kind != "word" or said.day is None or said.hour is not None:
        return False
    span = _FROM_TO.fullmatch(token.text)
    begin, end = (hour_meant(_with_minutes(part)) for part in span.groups()) if span else (None, None)
    if begin and end:
        said.hour = begin
        said.minutes = (end.hour * 60 + end.minute - begin.hour * 60 - begin.minute) % 1440 or None
        return True
    said.hour = hour_meant(token.text.rstrip(",.;"))
    return said.hour is not None


def _with_minutes(hour: str) -> str:
    """ "10" and "10h30" as 10:00 and 10:30."""
    hours, _, minutes = hour.replace(".", ":").replace("h", ":").partition(":")
    return f"{hours}:{minutes or '00'}"


def _odd_day(day: date, today: date) -> str:
    if day < today:
        return f"{_when(day)} is past: is it meant?"
    return f"{_when(day)} is more than two years ahead: is it meant?" if day > today + _FAR else ""


def _when(day: date, hour: time | None = None) -> str:
    return date_words(day) + (f" {hour:%H:%M}" if hour else "")


@dataclass
class WhichOne:
    """Settles which engagement a clause is about, and puts into its facts what goes without saying."""

    said: EngagementClause
    facts: dict[str, Value]
    bench: Bench
    head: Token
    last: Token

    def settled(self) -> tuple[str, Problem | None]:
        """Which engagement it is ("" is a new one), and what has to be asked, or why it cannot be."""
        day, hour = self.said.day, self.said.hour
        there = [one for one in engagements(self.bench) if not one.off and one.day == day]
        meant = [one for one in there if hour is None or one.hour == hour]
        title = str(self.facts.get("note", "")).casefold()
        if len(meant) > 1 and "instrument" in self.facts:
            meant = [one for one in meant if one.instrument == self.facts["instrument"]] or meant
        if len(meant) > 1 and title and (named := [one for one in meant if one.what.casefold() == title]):
            meant = named
        if len(meant) > 1:
            which = " or ".join(map(_called, meant))
            if len({one.instrument for one in meant}) == len(meant):
                which = " or ".join(spelt(one.instrument) for one in meant)
            return "", self._told(f"which one, {which}? write its hour, or what it is in quotes")
        if meant:
            return self._changed(meant[0])
        if "off" in self.facts or self.said.to_day is not None:
            return "", self._told(f"there is no engagement on {self.said.when}; all of them: reedkin engagements")
        return "", self._new([one for one in there if one.hour is None])

    def _told(self, message: str, odd: bool = False, waiting: bool = False) -> Problem:
        return Problem(self.head.start, self.last.end, message, "odd" if odd else "impossible", waiting)

    def _new(self, without_hour: Sequence[Engagement]) -> Problem | None:
        facts, asked = self.facts, ""
        if "instrument" not in facts:
            instrument = self.bench.headings.latest_instrument()
            if not instrument:
                return self._told(f"for which instrument? such as engage {self.said.when} oboe", waiting=True)
            facts["instrument"] = instrument
            asked = taken_for(instrument, self.bench)
        facts.setdefault("setting", "performance")
        facts.setdefault("reeds", USUAL_REEDS[str(facts["setting"])])
        self._place(self.said.day, self.said.hour)
        if not without_hour:
            return self._told(asked, odd=True) if asked else None
        one = without_hour[0]
        message = f"{_called(one)} is there on that day, without an hour: a further one? to give that one its hour "
        message = f"{message}write engage {_when(one.day)} to {self.said.when}"
        return self._told("; ".join(one for one in (asked, message) if one), odd=True)

    def _changed(self, one: Engagement) -> tuple[str, Problem | None]:
        """What is said of one that is there; a question where it may be a further one that was meant."""
        facts, moved = self.facts, self.said.to_day
        was = {
            "instrument": one.instrument, "reeds": one.reeds, "setting": one.setting, "minutes": one.minutes,
            "note": one.what,
        }  # fmt: skip
        same = all(was.get(name) == value for name, value in facts.items())
        if same and "off" not in facts and moved is None:
            if not facts:
                return "", self._told(f"what about {_called(one)}? such as off, to 13 March, or 4 reeds", waiting=True)
            return "", self._told("that is what it says already")
        self._place(moved or one.day, (self.said.to_hour or one.hour) if moved else one.hour)
        if self.said.hour is None and one.hour is not None and not ("off" in facts or moved):
            message = f"taken for {_called(one)}; for a further one write its hour"
            return one.uid, self._told(message, odd=True)
        return one.uid, None

    def _place(self, day: date | None, hour: time | None) -> None:
        """When it is comes first among the facts, in every statement, so that each tells which one it is about."""
        others = dict(self.facts)
        self.facts.clear()
        if day is not None:
            self.facts["day"] = day.isoformat()
        if hour is not None:
            self.facts["hour"] = f"{hour:%H:%M}"
        self.facts.update(others)


def _called(one: Engagement) -> str:
    """How one of a day is told from the others: "19:30 “second night”"."""
    hour = f"{one.hour:%H:%M} " if one.hour else ""
    return hour + (f"“{one.what}”" if one.what else one.setting)
