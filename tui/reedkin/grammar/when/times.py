"""When the clauses of a line happened: mostly all at one time, wherever it is said; where several give times that
cannot be one, each at its own ("7 p 19-20; 8 p 20-21"), and a day that is said once is that of all of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from typing import NamedTuple

from reedkin.domain.clock import Clock
from reedkin.grammar.when.days import When, together
from reedkin.grammar.when.moments import Moment
from reedkin.grammar.words.tokens import Problem


class Times(NamedTuple):
    """The time of the whole line, or else that of each clause; and what is wrong or to be asked."""

    common: When | None
    each: tuple[When | None, ...]
    problems: tuple[Problem, ...] = ()


def times(said: Sequence[Sequence[Moment]], at: When | None, clock: Clock) -> Times:
    """The times that the clauses say in words, each its own, beside that behind an @, which is of the whole line."""
    own = [_folded(of_one, None, clock) for of_one in said]
    alone = [when for when, _ in own]
    clear = all(problem.severity == "odd" for _, found in own for problem in found)
    if len({when for when in alone if when is not None}) > 1 and clear:
        each = _with_the_day(alone, at, clock)
        if each is not None:
            return Times(None, tuple(each), tuple(_doubts(each, said)))
    common, problems = _folded([moment for of_one in said for moment in of_one], at, clock)
    return Times(common, (None,) * len(said), tuple(problems))


def _doubts(each: Sequence[When], said: Sequence[Sequence[Moment]]) -> Iterator[Problem]:
    """What else the times may have been, to be asked where they are said."""
    for when, of_one in zip(each, said, strict=True):
        if when.doubt and of_one:
            yield Problem(of_one[0][1], of_one[-1][2], when.doubt, "odd")


def _folded(moments: Sequence[Moment], when: When | None, clock: Clock) -> tuple[When | None, list[Problem]]:
    """One time out of all that are said, a day and an hour apart among them, and what is wrong with them."""
    problems: list[Problem] = []
    for moment, start, end in moments:
        both = together(when, moment, clock) if when is not None and when != moment else moment
        if both is None:
            problems.append(Problem(start, end, "the time is given twice; say for each of these things when it was"))
        elif both.doubt and both.doubt != (when.doubt if when is not None else ""):
            problems.append(Problem(start, end, both.doubt, "odd"))
        when = replace(both, span=(start, end)) if both is not None else when
    return when, problems


def _with_the_day(own: Sequence[When | None], at: When | None, clock: Clock) -> list[When] | None:
    """The clauses' own times, an hour alone on the one day that is said; None where one has no time, or the day of an
    hour may be one of several."""
    days = [when for when in (*own, at) if when is not None and not when.hour_alone]
    day = replace(days[0], whole_day=True) if days and len({when.at.date() for when in days}) == 1 else None
    each: list[When] = []
    for when in own:
        if (when is None or (when.hour_alone and days)) and day is None:
            return None
        if at is not None and (at.hour_alone or not (at.whole_day or at.part) or (when and not when.hour_alone)):
            return None
        if day is None or (when is not None and not when.hour_alone):
            said = when
        else:
            said = together(day, when, clock) if when is not None else day
        if said is None:
            return None
        each.append(said)
    return each if days else _in_order(each)


def _in_order(hours: list[When]) -> list[When]:
    """Hours of which no day is said: what is told later did not happen a day before, so all are of the earliest day
    where they else would."""
    if all(one.at <= other.at for one, other in pairwise(hours)):
        return hours
    first = min(when.at.date() for when in hours)
    if all(when.at.date() == first for when in hours):
        backwards = "the hours run backwards; if they do not, write am or pm with each"
        return [replace(when, doubt=backwards) for when in hours]
    doubt = f"all of it is taken for {first:%A}, since one of the hours is still to come today; else write the day"
    return [replace(when, at=datetime.combine(first, when.at.timetz()), doubt=doubt) for when in hours]
