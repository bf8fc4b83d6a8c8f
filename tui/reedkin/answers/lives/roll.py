"""Reeds one by one, with what the log knows of their lives: the list behind a number."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reedkin.answers.lives.whole import how_gone
from reedkin.domain.words import ACCIDENT_CAUSES
from reedkin.study.habits import Habit
from reedkin.study.lives import MINUTES_IN, Life
from reedkin.study.study import Study


@dataclass(frozen=True, slots=True)
class RollEntry:
    """
    One reed: its id, what it is called, and its instrument.

    value   what the habit was for it, in words; '' where it is not known.
    hours   played in all, `days` served since it was first played (None if it joined in use).
    end     what became of it: the cause of its end, or where it is.
    ended   whether it was retired for wear, which is what counts as the end of a life.
    """

    reed: str
    label: str
    instrument: str
    value: str
    hours: float
    days: float | None
    end: str
    ended: bool


def roll(study: Study, ids: Sequence[str], habit: Habit | None = None) -> tuple[RollEntry, ...]:
    """The reeds with these ids, those that lasted longest first; with the value that a habit had for each."""
    chosen = set(ids)
    values = {} if habit is None else _values(study, habit)
    entries = [_entry(life, values.get(place, "")) for place, life in enumerate(study.lives) if life.reed.id in chosen]
    return tuple(sorted(entries, key=lambda entry: (-entry.hours, entry.reed)))


def _entry(life: Life, value: str) -> RollEntry:
    days = None if life.entry else (life.played[-1].following - life.played[0].start) / MINUTES_IN["days"]
    hours = life.minutes / MINUTES_IN["hours"]
    return RollEntry(life.reed.id, life.reed.label, life.instrument, value, hours, days, became(life), life.worn_out)


def became(life: Life) -> str:
    """What became of a reed, in words."""
    if life.worn_out:
        return str(life.cause)
    if life.cause is not None:
        return f"{life.cause}, accident" if life.cause in ACCIDENT_CAUSES else life.cause
    return life.reed.stage if life.reed.at_work and not life.unseen else how_gone(life)


def _values(study: Study, habit: Habit) -> dict[int, str]:
    """By place among the lives, the value of a habit; of one that changes, the last that is known."""
    rows = study.rows_for(habit, "hours")
    if habit.measure == "category":
        words = study.words(habit, rows)
        return {int(life): str(word) for life, word in zip(rows.life, words, strict=True) if word}
    numbers = study.numbers(habit, rows)
    known = ~np.isnan(numbers)
    pairs = list(zip(rows.life[known].tolist(), numbers[known].tolist(), strict=True))
    if habit.measure == "yes" and habit.kind == "use":
        every, yes = Counter(life for life, _ in pairs), Counter(life for life, number in pairs if number)
        return {life: f"{yes[life]} of {count}" for life, count in every.items()}
    return {life: value_words(habit, number) for life, number in pairs}


def value_words(habit: Habit, number: float) -> str:
    """A value of a habit that is no category: "60 mm", "wired"."""
    if habit.measure == "yes":
        return habit.high if number else habit.low
    digits = 0 if abs(number) >= 100 else 1 if abs(number) >= 10 and habit.unit != "mm" else 2
    return habit.in_unit(f"{round(number, digits):g}")
