"""The time of day as it is said: "half past eight", "quarter to ten", "7 in the evening", "yesterday evening at 7:30",
"at 0930", "at 20h"; put into figures before it is read.

An hour of twelve of which nothing says whether it was before noon is the one that has passed already; where both have,
or the day is another, the one before noon is taken and the other is asked about.
"""

from __future__ import annotations

import re
from datetime import datetime

HOURS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_PAST = {"quarter": 15, "half": 30, "five": 5, "ten": 10, "twenty": 20, "twenty-five": 25}
_HOUR = rf"(?:1[0-2]|[1-9]|{'|'.join(HOURS)})\b(?![:.]\d)"
_PAST_HOUR = rf"(?:{'|'.join(_PAST)}|\d{{1,2}}(?: min(?:ute)?s?)?) past"
_TO_HOUR = "(?:quarter|five|ten|twenty|twenty-five) to"
SAID_HOUR = rf"(?:(?:{_PAST_HOUR}|{_TO_HOUR}) {_HOUR}|{_HOUR} o'clock)"
"""A pattern of an hour in words: those before the full hour only in words, since "10 to 9" is a span."""
_SAID = re.compile(rf"(?<![\w.,])(?:a )?(?P<said>{SAID_HOUR})")
HOUR_IN_FIGURES = r"\d{1,2}(?:[:.h]\d\d|h)?"
"""As in a span of hours: "19:30-22h"."""
_TWELVE = r"(?:at (?=\d)|(?=\d{1,2}[:.]\d\d))(?P<h>1[0-2]|0?[1-9])(?P<m>[:.][0-5]\d)?(?: o'clock)?"
"""Surely an hour, of twelve: 8 alone may be a score."""
_BEFORE_PART = re.compile(rf"(?<![\d:.]){_TWELVE} (?:in the )?(?P<part>morning|afternoon|evening|at night)$")
_BEHIND_PART = re.compile(rf"(?:\bthis |in the )?\b(?P<part>morning|afternoon|evening|eve|night),? {_TWELVE}$")
_AROUND_DAY = re.compile(
    rf"(?<![\d:.]){_TWELVE} (?P<day>(?:on |last )?(?:yesterday|today|(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*)) "
    r"(?P<part>morning|afternoon|evening|eve|night)$"
)
"""An hour before the day and its part: "at 3 yesterday afternoon"."""
_LAST_NIGHT = re.compile(r"\blast night\b(?=.*\d)")
_OF_24 = re.compile(r"\bat ([01]?\d|2[0-3])(?:h([0-5]\d)?| h(?: ([0-5]\d))?)$")
_MAY_BE_SAID = re.compile(r"\bat |past|\bto\b|o'clock|morning|afternoon|eve|night")
"""What stands in each of these phrases: nearly no line has any, and every word of one is asked about at every key."""
_FOUR_FIGURES = re.compile(r"\bat ([01]\d|2[0-3])([0-5]\d)(?: ?h| ?hrs)?$")


def in_figures(text: str, now: datetime) -> tuple[str, str, bool]:
    """A moment in lower case with its time of day in figures; what else the time may have been, to be asked; and
    whether it is one of twelve hours of which nothing says which half of the day."""
    if _MAY_BE_SAID.search(text) is None:
        return text, "", False
    text = _FOUR_FIGURES.sub(r"at \1:\2", text)
    text = _OF_24.sub(lambda hour: f"at {hour[1]}:{hour[2] or hour[3] or '00'}", text)
    said = _SAID.search(text)
    hour, minute = _hour_and_minute(said["said"]) if said is not None else (0, 0)
    figures = f"{hour}:{minute:02}"
    if said is not None:
        text = text.replace(said[0], figures)
    text = _AROUND_DAY.sub(lambda found: f"{found['day']} {_half(found)}", text)
    halved = _BEHIND_PART.sub(_half, _BEFORE_PART.sub(_half, _LAST_NIGHT.sub("yesterday night", text)))
    if said is None or halved != text or re.search(r"\d ?[ap]\.?m", text):
        return halved, "", False
    early, late = f"{hour % 12}:{minute:02}", f"{hour % 12 + 12}:{minute:02}"
    if text.removeprefix("at ") == figures:
        passed = [at for at in (hour % 12, hour % 12 + 12) if (at, minute) <= (now.hour, now.minute)]
        if len(passed) == 1:
            return f"{passed[0]}:{minute:02}", "", True
    return text.replace(figures, early), f"{said['said']} is taken as {early}; for the other write {late}", True


def _hour_and_minute(said: str) -> tuple[int, int]:
    """ "quarter to ten" as 9 and 45, "8 o'clock" as 8 and 0."""
    *far, way, last = said.split()
    if last == "o'clock":
        far, way, last = ["0"], "past", way
    hour = HOURS.index(last) + 1 if last in HOURS else int(last)
    minutes = _PAST[far[0]] if far[0] in _PAST else int(far[0])
    total = (hour * 60 + (minutes if way == "past" else -minutes)) % (12 * 60)
    return total // 60 or 12, total % 60


def _half(match: re.Match[str]) -> str:
    half = "am" if match["part"] == "morning" else "pm"
    return f"{match['h']}{match['m'] or ''}{half}"
