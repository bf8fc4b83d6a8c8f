"""Numbers, lengths, times and tags as they are written for people, everywhere alike."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime


def mm(value: float | None, unit: bool = True) -> str:
    """A length in mm for people; a dash where it is not known."""
    if value is None:
        return "–"
    return f"{round(value, 2):g}{' mm' if unit else ''}"


def in_line(value: float | None) -> str:
    """A number for a column of a table, with one decimal in every row: "61.0", "7.5"; a dash where it is not
    known."""
    return "–" if value is None else f"{value:.1f}"


def duration(minutes: float) -> str:
    """Minutes in words: "45 min", "1 h 20", "12 h"."""
    whole = round(minutes)
    if whole < 60:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest:02d}" if rest else f"{hours} h"


def ago(then: datetime, now: datetime) -> str:
    """How long ago, shortly: "now", "5 min", "3 h", "2 days", "4 months"."""
    seconds = (now - then).total_seconds()
    if seconds < -59:
        return "to come"
    for size, name in ((86400 * 365.25, "year"), (86400 * 30.44, "month"), (86400, "day")):
        if seconds >= (2 * size if name != "day" else size):
            count = int(seconds // size)
            return f"{count} {name}{'s' if count != 1 else ''}"
    if seconds >= 3600:
        return f"{int(seconds // 3600)} h"
    return f"{int(seconds // 60)} min" if seconds >= 60 else "now"


def past(then: datetime, now: datetime) -> str:
    """When something was: "just now", "5 min ago", "to come"."""
    word = ago(then, now)
    return {"now": "just now", "to come": word}.get(word, f"{word} ago")


def rested(played: datetime, now: datetime) -> str:
    """How long a reed has lain since it was played: "rested 3 h", "just played"."""
    word = ago(played, now)
    return "just played" if word == "now" else f"rested {word}"


def day_words(day: date) -> str:
    """A day with its weekday: "Tue 24 Nov 2026"."""
    return f"{day:%a} {date_words(day)}"


def weekday_words(day: date) -> str:
    """The same of a year that is plain: "Tue 24 Nov"."""
    return f"{day:%a} {day_and_month(day)}"


def day_and_hour(at: datetime) -> str:
    """A moment with its weekday: "Tue 24 Nov 2026 10:04"."""
    return f"{day_words(at)} {at:%H:%M}"


def date_words(day: date) -> str:
    """A day without its weekday: "5 Nov 2026"."""
    return f"{day.day} {day:%b %Y}"


def day_and_month(day: date) -> str:
    """A day of a year that is plain: "5 Nov"."""
    return f"{day.day} {day:%b}"


def moment_words(at: datetime, year: bool = True) -> str:
    """A day with its hour: "5 Nov 2026 10:04"."""
    return f"{date_words(at) if year else day_and_month(at)} {at:%H:%M}"


def tag_list(tags: Iterable[str]) -> str:
    """Tags shortly: "143–148, 150"."""
    runs: list[list[str]] = []
    for tag in tags:
        if runs and _follows(runs[-1][-1], tag):
            runs[-1].append(tag)
        else:
            runs.append([tag])
    return ", ".join(f"{r[0]}–{r[-1]}" if len(r) > 2 else ", ".join(r) for r in runs)


def _follows(one: str, other: str) -> bool:
    """Whether a tag is the number after another, written alike ("09" and "10", but not "9" and "010")."""
    both = one.isdecimal() and other.isdecimal() and max(len(one), len(other)) < 10
    return both and str(int(one) + 1).zfill(len(one)) == other


def plural(count: int, one: str, many: str = "") -> str:
    """ "1 reed", "3 reeds", "6,163 lines"."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"
