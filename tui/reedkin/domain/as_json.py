"""How values stand in JSON, the same in every answer: moments, hours and what cannot be told. The guide for developers
says the whole convention."""

from __future__ import annotations

from datetime import date, datetime
from math import isfinite
from typing import TypeVar, overload

_Known = TypeVar("_Known", float, float | None)


@overload
def moment(at: date) -> str: ...
@overload
def moment(at: None) -> None: ...
@overload
def moment(at: date | None) -> str | None: ...
def moment(at: date | None) -> str | None:
    """A moment with its offset from UTC, or a day, in ISO 8601; None where there is none."""
    return None if at is None else at.isoformat()


def hours(value: _Known) -> _Known:
    """Hours to less than a second; None where they are not known."""
    return None if value is None else round(value, 4)


def hours_since(then: datetime | None, now: datetime) -> float | None:
    """The hours since a moment; None where there is none."""
    return None if then is None else hours((now - then).total_seconds() / 3600)


def days(value: _Known) -> _Known:
    """Days to about a quarter of an hour; None where they are not known."""
    return None if value is None else round(value, 2)


def finite(value: float | None) -> float | None:
    """A number of statistics as it is; None where it has no end, which JSON cannot say, or is not known."""
    return value if value is not None and isfinite(value) else None
