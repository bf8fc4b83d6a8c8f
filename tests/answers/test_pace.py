"""How fast a maker goes, of a log small enough to count by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.answers.logs import BEGUN, Log

from reedkin.study.lives import lives_of
from reedkin.study.pace import Pace, pace_of

NOW = BEGUN + timedelta(days=100)


def test_what_becomes_of_blanks_and_how_much_is_played() -> None:
    """Twelve blanks: six came to serve for ten hours and were worn out, two serve still, three never came good, and one
    is a blank yet, of which nobody can say."""
    logs = [Log(str(tag)) for tag in range(12)]
    for log in logs[:8]:
        log.play(600)
    for log in logs[:6]:
        log.retire()
    for log in logs[8:11]:
        log.retire("never came good")
    reeds = [log.reed() for log in logs]
    pace = pace_of(reeds, lives_of(reeds, NOW), NOW)
    assert pace.serves == pytest.approx(8 / 11)
    assert pace.hours == pytest.approx(80 * 365 / 100)
    assert pace.worn_a_week == pytest.approx(6 / 100 * 7)
    assert pace.wears is None  # nine are gone, too few to say


def test_a_joined_reed_is_no_blank_and_a_young_log_has_no_pace_of_playing() -> None:
    logs = [Log(str(tag)).play(60).retire() for tag in range(10)] + [Log("j", kind="joined").play(60).retire()]
    reeds = [log.reed() for log in logs]
    soon = BEGUN + timedelta(days=20)
    assert pace_of(reeds, lives_of(reeds, soon), soon) == Pace(serves=1.0, wears=1.0)
