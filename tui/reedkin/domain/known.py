"""What an event's facts say, by type: the one way of taking a number or a word out of them. A log can hold what no
checks have seen, so a fact of another type than it should be is not known."""

from __future__ import annotations

from reedkin.domain.facts import FACTS, Facts

_LONGEST = FACTS["minutes"].high or 0


def as_number(value: object) -> float | None:
    """A value as a number; None where it is none, such as a word, or true and false."""
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None


def number(facts: Facts, name: str) -> float | None:
    """The number that a fact is; None where it is not known."""
    return as_number(facts.get(name))


def whole(facts: Facts, name: str) -> int | None:
    """The whole number that a fact is, or lies just above; None where it is not known."""
    value = as_number(facts.get(name))
    return None if value is None else int(value)


def word(facts: Facts, name: str) -> str | None:
    """The word that a fact is; None where it is not known."""
    value = facts.get(name)
    return value if isinstance(value, str) else None


def minutes_played(facts: Facts) -> int | None:
    """
    The whole minutes of a playing; None where they are missing, or cannot be: less than one, or more than a day has.

    A playing of unknown length counts for no hours anywhere, and the reed's life is in view only up to it.
    """
    value = facts.get("minutes")
    if type(value) is int and 1 <= value <= _LONGEST:
        return value
    if not isinstance(value, (int, float)) or FACTS["minutes"].impossible(value):
        return None
    return int(value)
