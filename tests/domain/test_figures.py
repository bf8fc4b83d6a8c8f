"""Days are written for people in one way, wherever they stand."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

import reedkin
from reedkin.domain.figures import date_words, day_and_month, day_words, moment_words, rested

FIFTH = datetime(2026, 11, 5, 9, 4)


def test_a_day_is_written_without_a_nought_before_it() -> None:
    assert date_words(FIFTH) == "5 Nov 2026"
    assert day_words(FIFTH) == "Thu 5 Nov 2026"
    assert day_and_month(FIFTH) == "5 Nov"
    assert (moment_words(FIFTH), moment_words(FIFTH, year=False)) == ("5 Nov 2026 09:04", "5 Nov 09:04")


def test_no_module_writes_days_in_a_way_of_its_own() -> None:
    modules = [path for path in Path(reedkin.__file__).parent.rglob("*.py") if path.name != "figures.py"]
    assert len(modules) > 300
    assert [path.name for path in modules if "%d %b" in path.read_text(encoding="utf-8")] == []


@pytest.mark.parametrize(
    ("now", "said"),
    [(FIFTH, "just played"), (FIFTH.replace(hour=12), "rested 3 h"), (FIFTH.replace(day=8), "rested 3 days")],
)
def test_how_long_a_reed_has_rested(now: datetime, said: str) -> None:
    assert rested(FIFTH, now) == said
