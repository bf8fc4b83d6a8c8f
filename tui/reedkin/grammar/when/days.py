"""When it happened, in the ways in which people write it: "10:30", "yesterday 18:00", "last tuesday", "18th october",
"15.10.", "15/10/2026", "7.30pm", "this morning", "2h ago", "2026-03-12T18:00".

What can be two moments is no guess: "18.10", a day or a time, is an error that names both; "10/11", which is taken as
day and month, says so.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from difflib import get_close_matches
from functools import lru_cache
from typing import NamedTuple

from reedkin.domain.clock import Clock
from reedkin.domain.figures import date_words
from reedkin.domain.words import MONTHS
from reedkin.errors import InputError
from reedkin.grammar.when.hours import HOURS, SAID_HOUR, in_figures

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_PARTS = {"morning": (9, 12), "afternoon": (15, 18), "evening": (20, 24), "eve": (20, 24), "night": (22, 24)}
"""The parts of a day: the hour that stands for one of which no hour is known, and the hour at which it ends."""

_CLOCK = (
    r"(?:(?P<h12>1[0-2]|0?[1-9])(?:[:.h](?P<m12>[0-5]\d))? ?(?P<half>[ap])\.?m\.?"
    r"|(?P<h>[01]?\d|2[0-3])[:.h](?P<m>[0-5]\d)|(?P<full>[01]?\d|2[0-3]) ?(?:o'clock|uhr|h)|(?P<word>noon|midday))"
)
_ALONE = re.compile(rf"(?:at )?{_CLOCK}\.?")
_BEHIND = re.compile(rf"(?P<day>.*?),? (?:at )?{_CLOCK}\.?")
_BEFORE = re.compile(rf"(?:at )?{_CLOCK},? (?:on )?(?P<day>.*)")
_PART = re.compile(r"(?P<day>.*?),? ?(?:in the )?(?P<part>morning|afternoon|evening|eve|night)\.?")
_DAY_OR_TIME = re.compile(r"(?:at |on )?(\d{1,2})\.(\d\d)")
_AGO = re.compile(
    r"-?(?:(\d{1,5})\s*w(?:eeks?)?)?\s*(?:(\d{1,5})\s*d(?:ays?)?)?"
    r"\s*(?:(\d{1,5})\s*h(?:(?:ou)?rs?)?)?\s*(?:and )?(?:(\d{1,6})\s*m(?:in(?:s|utes?)?)?)?"
)
_DATE = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th|\.)?\s*(?:of )?([a-z]+)\.?,?(?:\s+(\d{4}))?"
    r"|([a-z]+)\.?\s+(\d{1,2})(?:st|nd|rd|th)?(?:,?\s+(\d{4}))?"
)
_ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th)")
_FIGURES = re.compile(r"(\d{1,2})(?:\.(\d{1,2})(?:\.(\d{4}|\d\d)?)?|([/-])(\d{1,2})(?:\4(\d{4}|\d\d))?)")
_YEARS = range(1900, 2200)
"""Other years are slips, and near the ends of the calendar no offset can be had."""
_PASSED_LATELY = timedelta(days=60)
"""A day to come that passed so lately may have been meant itself."""
LONGEST_MOMENT = 8
"""Words: "the 18th of october 2025 at 7.30 pm"."""
_HELP = "write @10:30, @yesterday 18:00 or @12 March"


class TwoMeaningsError(InputError):
    """What was written can be two moments; the message names both."""


@dataclass(frozen=True, slots=True)
class When:
    """A moment with its offset. `whole_day` says that no time of day was given: it is then noon, or today the present
    moment; with `part`, only a part of the day was; with `hour_alone`, no day was, and with `of_twelve` it may be
    before or after noon. `doubt` is what else may have been meant, to be asked."""

    at: datetime
    whole_day: bool = False
    part: str = ""
    doubt: str = ""
    hour_alone: bool = False
    of_twelve: bool = False
    span: tuple[int, int] | None = field(default=None, compare=False)
    """Where the line says it, to be marked; none where only the clock does."""
    lasting: int = 0
    """Where it was said until when it lasted, the minutes from one hour to the other."""

    @property
    def until(self) -> datetime | None:
        """The end of the day, or of its part, where no hour was given."""
        if self.part:
            return self.at.replace(hour=0, minute=0, second=0) + timedelta(hours=_PARTS[self.part][1])
        midnight = self.at.replace(hour=0, minute=0, second=0, microsecond=0)
        return midnight + timedelta(days=1) if self.whole_day else None


class _DayMeant(NamedTuple):
    day: datetime
    doubt: str = ""


def parse_when(text: str, clock: Clock) -> When:
    """Read a moment. A day without a year is the latest that has passed. Raises InputError, and TwoMeaningsError."""
    now = clock.now()
    text, doubt, of_twelve = in_figures(" ".join(text.lower().replace("’", "'").split()).rstrip(",:;!"), now)
    said = _parsed(text, clock, now)
    return replace(said, doubt=said.doubt or doubt, of_twelve=True) if of_twelve else said


def _parsed(text: str, clock: Clock, now: datetime) -> When:
    """A moment whose time of day is in figures. Raises InputError, and TwoMeaningsError."""
    if text in ("now", "just now", "today", "today."):
        return When(now)
    if moment := _iso(text):
        return _on(moment, "t" not in text and ":" not in text, clock)
    if (text.endswith(" ago") or text.startswith("-")) and (match := _ago(text.removesuffix(" ago"), now)):
        return match
    _refuse_two(text, now)
    if said := _day(text, now):
        return _on(said.day, True, clock, said.doubt)
    if (match_ := _PART.fullmatch(text)) and (when := _part_of(match_["day"], match_["part"], clock)):
        return when
    if text == "tonight":
        return When(clock.local(datetime.combine(now.date(), time(20))), part="evening")
    if (match_ := _ALONE.fullmatch(text)) and (at := _time(match_)):
        return replace(_on(datetime.combine(now.date(), at), False, clock), hour_alone=True)
    for pattern in (_BEHIND, _BEFORE):
        match_ = pattern.fullmatch(text)
        at = _time(match_) if match_ else None
        if match_ and at and (said := _day(match_["day"], now)):
            return _on(datetime.combine(said.day, at), False, clock, said.doubt)
    raise InputError(f"{text or '@'} is not a time known here; {_HELP}")


_TO_COME = ("next", "in", "coming", "soon")
_CALENDAR = ("yesterday", "today", "tomorrow", *DAYS, *MONTHS)


def no_moment(text: str) -> str:
    """What to say of words behind an @ that are no moment."""
    if not text:
        return f"when? {_HELP}"
    words = [word.strip(",.") for word in text.lower().split()]
    if words[0] in _TO_COME:
        return f"{text}: write the day itself, such as @12 March; what is still to come is no event yet"
    for word in words:
        if word.isalpha() and word not in _CALENDAR and (near := get_close_matches(word, _CALENDAR, 1, 0.75)):
            return f"{text}: did you mean {near[0]}?"
    return f"{text} is no day or time; {_HELP}"


def together(one: When, other: When, clock: Clock) -> When | None:
    """One moment out of a day and an hour that are said apart: "yesterday played 45 min at 19:00". None where both give
    a day, or both an hour."""
    day, hour = (other, one) if one.hour_alone else (one, other)
    if day.hour_alone or not hour.hour_alone or not (day.whole_day or day.part):
        return None
    later = day.part not in ("", "morning") and hour.at.hour < 12
    at = datetime.combine(day.at.date(), time(hour.at.hour + 12 * later, hour.at.minute))
    doubt = "" if day.part else hour.doubt
    if hour.of_twelve and not day.part:
        doubt = f"{hour.at:%H:%M} is taken; for the other half of the day write am or pm"
    return When(clock.local(at), doubt=day.doubt or doubt, lasting=hour.lasting)


def parse_day(text: str, clock: Clock) -> date:
    """Read a day that something is to happen on: without a year, the next to come. Raises InputError."""
    return day_meant(text, clock.now())[0]


def day_meant(text: str, now: datetime) -> tuple[date, str]:
    """The day to come, counted from `now`, that something is to happen on; and what else may have been meant, to be
    asked. Raises InputError."""
    text = " ".join(text.lower().split()).rstrip(",;!")
    today = now.replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
    try:
        return date.fromisoformat(text), ""
    except ValueError:
        said = _day(text.removeprefix("next ").removeprefix("this "), today, ahead=True)
    if said is None or said.day.year not in _YEARS:
        raise InputError(f"{text} is not a day known here; write 12 March, friday or 2026-03-12")
    past = _day(text, today)
    if past is not None and weekday_named(text) is None and past.day < today <= past.day + _PASSED_LATELY < said.day:
        gone, due = map(date_words, (past.day, said.day))
        return said.day.date(), f"{gone} has passed: is {due} meant? if not, write the year"
    return said.day.date(), said.doubt


def ahead_in(words: Sequence[str], now: datetime) -> tuple[date, time | None, str, int] | None:
    """The day to come that the first of `words` give, the time of it if they give one, what else may have been meant,
    and how many words they are: "12 March 19:30", "on friday at 7.30pm", "today noon"."""
    for count in range(min(LONGEST_MOMENT, len(words)), 0, -1):
        text = " ".join(words[:count]).lower().replace("tonight", "today").rstrip(",:;!").removeprefix("on ")
        for day, at in _day_and_time(text):
            try:
                return *day_meant(day, now)[:1], at, day_meant(day, now)[1], count
            except InputError:
                continue
    return None


def _day_and_time(text: str) -> Iterator[tuple[str, time | None]]:
    """The ways in which a text may be a day, or a day and a time."""
    yield text, None
    for pattern in (_BEHIND, _BEFORE):
        match = pattern.fullmatch(text)
        if match and match["day"] and (at := _time(match)):
            yield match["day"].rstrip(","), at


def hour_meant(text: str) -> time | None:
    """The time of day that a word gives: "19:30", "7.30pm"; None where it may be something else."""
    match = _ALONE.fullmatch(text.lower())
    return _time(match) if match and (":" in text or match["half"] or match["word"]) else None


def moment_in(words: Sequence[str], clock: Clock) -> tuple[When, int] | None:
    """The moment that the first of `words` surely give without an @, and how many they are. What may as well be a
    number ("24.11", "10:30") is none."""
    first = words[0].lower().rstrip(",.:") if words else ""
    if not first or not (first[0].isdecimal() or opens_moment(first)):
        return None
    for count in range(min(LONGEST_MOMENT, len(words)), 0, -1):
        text = " ".join(words[:count]).lower().rstrip(",:;!")
        if _is_sure(text) or _is_sure(in_figures(text, clock.now())[0]):
            try:
                return parse_when(text, clock), count
            except InputError:
                continue
    return None


def opens_moment(word: str) -> bool:
    """Whether a day or a time can begin with a word that is no number."""
    return word in _OPENERS or _begins_day(word)


_VAGUE = re.compile(
    r"(?:(?:the )?(?:last|this|past|previous) (?:week|weekend|month|year|season)|(?:the )?other day|a while ago|"
    r"(?:a few|some|several) (?:days|weeks|months) ago)[.,]?"
)


def vague_in(words: Sequence[str]) -> int:
    """How many of the first words say when and name no day: "last week", "the other day"."""
    counts = range(min(4, len(words)), 1, -1)
    return next((count for count in counts if _VAGUE.fullmatch(" ".join(words[:count]).lower())), 0)


def _begins_day(word: str) -> bool:
    return weekday_named(word) is not None or month_named(word) is not None


_SHORT_DAYS = "|".join((*DAYS, "mon|tues?|weds?|thu|thurs?|fri|sat|sun"))
_SHORT_MONTHS = "|".join(month[:3] for month in MONTHS)
_SURE = re.compile(
    r"^(?:on |the |last )*(?:yesterday|today|tonight|tomorrow|day before yesterday)\b|\b(?:this|last|in the) "
    rf"(?:morning|afternoon|evening|night)$|^(?:on |last )*(?:{_SHORT_DAYS})\b|"
    rf"\d[a-z.]* (?:of )?(?:{_SHORT_MONTHS})[a-z]*|"
    rf"^\d{{1,2}}(?:{_SHORT_MONTHS})[a-z]*\b|^(?:on |the )*(?:{_SHORT_MONTHS})[a-z]*\.? \d|"
    r"\d ?[ap]\.?m\b|\bago$|^\d{4}-\d\d-\d\d|^(?:on )?\d{1,2}\.\d{1,2}\.(?!\d{3}\b)|\d/\d{1,2}/\d\d|"
    r"\d-\d{1,2}-\d{4}|^at \d{1,2}[:.h]\d\d|^(?:on )?the \d{1,2}(?:st|nd|rd|th)$|^(?:on )?\d{1,2}(?:st|nd|rd|th)$|"
    rf"^just now\b|"
    rf"o'clock|\buhr$|^(?:at )?(?:noon|midday)$|^yest\b|^at (?:[01]\d|2[0-3])[0-5]\d\b|^(?:at )?{SAID_HOUR}\b"
)
"""What makes a phrase a moment that can be nothing else behind a verb."""


@lru_cache(maxsize=4096)
def _is_sure(text: str) -> bool:
    return _SURE.search(text) is not None


_OPENERS = frozenset((
    "yesterday", "today", "tonight", "tomorrow", "this", "last", "on", "at", "the", "noon", "midday", "half", "in",
    "a", "an", "just", "yest", "quarter", "twenty", "twenty-five", *HOURS,
))  # fmt: skip


def _refuse_two(text: str, now: datetime) -> None:
    """Raise TwoMeaningsError for "18.10", which can be a day or a time."""
    match = _DAY_OR_TIME.fullmatch(text)
    if match is None or text.startswith("at ") or int(match[1]) > 23 or int(match[2]) > 59:
        return
    day = _date(int(match[1]), int(match[2]), 2000)
    if day is not None and not text.startswith("on "):
        said = f"{match[1]}.{match[2]}"
        raise TwoMeaningsError(
            f"{said} could be the day {day.day} {day:%B} or the time {match[1]}:{match[2]}; "
            f"write @{said}. or @{match[1]}:{match[2]}"
        )


def _time(match: re.Match[str]) -> time | None:
    """The time of day that the groups of `_CLOCK` give."""
    if match["word"]:
        return time(12)
    if match["half"]:
        return time(int(match["h12"]) % 12 + (12 if match["half"] == "p" else 0), int(match["m12"] or 0))
    return time(int(match["full"])) if match["full"] else time(int(match["h"]), int(match["m"]))


def _part_of(day: str, part: str, clock: Clock) -> When | None:
    """A part of a day: "this morning", "yesterday evening"; "last night" is that of yesterday."""
    now = clock.now()
    if day == "last" and part == "night":
        said: _DayMeant | None = _DayMeant(datetime.combine(now.date(), time()) - timedelta(days=1))
    elif day in ("this", "today", "in the", ""):
        said = _DayMeant(datetime.combine(now.date(), time())) if day else None
    else:
        said = _day(day, now)
    if said is None:
        return None
    at = clock.local(datetime.combine(said.day, time(_PARTS[part][0])))
    started = clock.local(datetime.combine(said.day, time(4)))
    return When(now if started <= now < at else at, part=part, doubt=said.doubt)


def _on(moment: datetime, whole_day: bool, clock: Clock, doubt: str = "") -> When:
    """A moment, in local time unless it says otherwise; of a whole day its noon, of today what has passed of it."""
    if moment.year not in _YEARS:
        raise InputError(f"{moment.year} is not a year known here; {_HELP}")
    now = clock.now()
    if whole_day and moment.date() == now.date():
        return When(now, doubt=doubt)
    if whole_day:
        moment = moment.replace(hour=12)
    return When(moment if moment.tzinfo is not None else clock.local(moment), whole_day, doubt=doubt)


def _iso(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text.upper().replace(" ", "T") if ":" in text else text)
    except ValueError:
        return None


def _ago(text: str, now: datetime) -> When | None:
    text = text.replace("half an hour", "30m")
    text = " ".join(_counted(word) for word in text.split(" "))
    match = _AGO.fullmatch(text)
    if match is None or not any(match.groups()):
        return None
    weeks, days, hours, minutes = (int(g or 0) for g in match.groups())
    then = now - timedelta(weeks=weeks, days=days, hours=hours, minutes=minutes)
    return When(then) if then.year in _YEARS else None


def _counted(word: str) -> str:
    """A number word in figures."""
    if word in ("a", "an"):
        return "1"
    return str(HOURS.index(word) + 1) if word in HOURS else word


def _day(text: str, now: datetime, ahead: bool = False) -> _DayMeant | None:
    """The day that words mean: the latest such day before today, or the next after it where one looks `ahead`."""
    today = now.replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
    text = text.removeprefix("on ").removeprefix("the ").rstrip(",")
    if text in ("today", "tomorrow"):
        return _DayMeant(today + timedelta(days=text == "tomorrow"))
    if not ahead and text == "day before yesterday":
        return _DayMeant(today - timedelta(days=2))
    if len(text) > 2 and "yesterday".startswith(text.removesuffix(".")) and not ahead:
        return _DayMeant(today - timedelta(days=1))
    weekday = weekday_named(text.removeprefix("last ").removesuffix("."))
    if weekday is not None:
        back = (today.weekday() - weekday) % 7
        return _DayMeant(today + timedelta(days=7 - back if ahead else -(back or 7)))
    first, _, rest = text.partition(" ")
    if len(first.rstrip(".,")) > 2 and weekday_named(first.rstrip(".,")) is not None and rest[:1].isalnum():
        another = weekday_named(rest.partition(" ")[0].rstrip(".,")) is not None  # "mon, tue"
        return None if another else _day(rest, now, ahead)  # "monday 23 november"
    if (match := _FIGURES.fullmatch(text)) is not None:
        return _in_figures(match, today, ahead)
    if match := _ORDINAL.fullmatch(text):
        return _of_month(int(match[1]), today, ahead)
    match = _DATE.fullmatch(text)
    if match is None:
        return None
    number, name, year = (match[1], match[2], match[3]) if match[1] else (match[5], match[4], match[6])
    month = month_named(name)
    if month is None:
        return None
    found = _date(int(number), month, int(year)) if year else _nearest(int(number), month, today, ahead)
    return _DayMeant(found) if found is not None else None


@lru_cache(maxsize=1024)
def weekday_named(text: str) -> int | None:
    """The day of the week that a word names or is short for."""
    text = {"weds": "wed", "thurs": "thu", "thur": "thu", "tues": "tue"}.get(text, text)
    found = [i for i, name in enumerate(DAYS) if len(text) > 1 and name.startswith(text)]
    return found[0] if len(found) == 1 else None


@lru_cache(maxsize=1024)
def month_named(name: str) -> int | None:
    """The month that a word names or is short for."""
    name = "sep" if name == "sept" else name
    found = [i for i, month in enumerate(MONTHS, 1) if len(name) > 2 and month.startswith(name)]
    return found[0] if len(found) == 1 else None


def _in_figures(match: re.Match[str], today: datetime, ahead: bool) -> _DayMeant | None:
    """ "15.10.", "15/10/2026": day and month; month and day only where it can be nothing else. Apart by hyphens only
    with a year: "7-9" is reeds."""
    first, dotted, dotted_year, mark, second, marked_year = match.groups()
    year = dotted_year or marked_year
    if mark == "-" and not year:
        return None
    day, month = int(first), int(dotted or second)
    doubt = ""
    if mark == "/" and month > 12 >= day:
        day, month = month, day
    elif mark == "/" and max(day, month) <= 12 and day != month and (other := _date(month, day, 2000)) is not None:
        taken = f"{match[0]} is taken as {day} {MONTHS[month - 1].title()}"
        doubt = f"{taken}; for {month} {other:%B} write {month} {other:%b}"
    if month > 12:
        return None
    if year:
        found = _date(day, month, int(year) + (2000 if len(year) == 2 else 0))
    else:
        found = _nearest(day, month, today, ahead)
    return _DayMeant(found, doubt) if found is not None else None


def _of_month(day: int, today: datetime, ahead: bool) -> _DayMeant | None:
    """The latest (or the next) day of a month with this number: "the 18th"."""
    year, month = today.year, today.month
    for _ in range(12):
        found = _date(day, month, year)
        if found is not None and (found >= today if ahead else found <= today):
            return _DayMeant(found)
        month += 1 if ahead else -1
        year, month = (year + 1, 1) if month > 12 else (year - 1, 12) if month < 1 else (year, month)
    return None


def _date(day: int, month: int, year: int) -> datetime | None:
    try:
        return datetime(year, month, day)
    except ValueError:
        return None


def _nearest(day: int, month: int, today: datetime, ahead: bool) -> datetime | None:
    """The latest such day that is not to come, or the next that has not passed; 29 February may be eight years off."""
    days = (_date(day, month, today.year + (years if ahead else -years)) for years in range(9))
    return next((d for d in days if d is not None and (d >= today if ahead else d <= today)), None)
