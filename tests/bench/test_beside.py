"""What was said beside the reeds, by itself: what stands, and what is known of each thing; sessions and settings."""

from __future__ import annotations

import pytest
from tests.bench.parts import said, strike

from reedkin.bench.beside import Beside
from reedkin.bench.sessions import WorkSessions
from reedkin.bench.settings import Settings
from reedkin.domain.instruments import starting_targets


def test_later_statements_add_to_the_earlier_in_the_order_in_which_they_were_recorded() -> None:
    beside = Beside([said(2, "lots", "7", pieces=20), said(1, "lots", "7", pieces=40, price=30), said(3, "lots", "8")])
    assert beside.subjects("lots") == {"7": {"pieces": 20, "price": 30}, "8": {}}
    assert [one.uid for one in beside.said("lots")] == ["u001", "u002", "u003"]
    assert beside.said("tubes") == ()


def test_what_is_struck_was_not_said_until_the_strike_is_struck() -> None:
    beside = Beside([said(1, "lots", "7", pieces=40)])
    assert beside.subjects("lots")["7"] == {"pieces": 40}
    beside.add(strike(2, "lots", "u001"))
    assert beside.subjects("lots") == {}
    beside.add(strike(3, "lots", "u002"))
    assert beside.subjects("lots")["7"] == {"pieces": 40}
    assert len(beside.records()) == 3


def test_the_open_session_is_the_latest_if_it_was_not_ended() -> None:
    beside = Beside([said(1, "sessions", "a", started="2026-03-02T09:00:00+00:00", room_c=20.0)])
    sessions = WorkSessions(beside)
    assert sessions.open() == sessions.of("a")
    beside.add(said(2, "sessions", "b", started="2026-03-03T09:00:00+00:00"))
    beside.add(said(3, "sessions", "b", ended="2026-03-03T10:00:00+00:00"))
    assert sessions.open() is None
    ended, forgotten = sessions.of("b"), sessions.of("a")
    assert ended is not None
    assert ended.ended is not None
    assert forgotten is not None
    assert (forgotten.ended, forgotten.room_c) == (None, 20.0)


@pytest.mark.parametrize("uid", [None, "", "nobody's", "half"])
def test_a_session_that_never_began_is_none(uid: str | None) -> None:
    sessions = WorkSessions(Beside([said(1, "sessions", "half", room_c=20.0)]))
    assert sessions.of(uid) is None
    assert sessions.open() is None


def test_settings_are_those_that_were_set_and_else_those_of_the_start() -> None:
    beside = Beside()
    settings = Settings(beside)
    assert settings.facts == {}
    assert settings.a4 == 440  # ISO 16
    assert settings.targets("oboe") == starting_targets("oboe")
    beside.add(said(1, "settings", "maker", a4_hz=442))
    beside.add(said(2, "targets", "oboe", overall_mm=71.5))
    beside.add(said(3, "settings", "somebody else", a4_hz=415))
    assert settings.a4 == 442
    assert settings.targets("oboe").overall_mm == 71.5
    assert settings.targets("oboe").tube_mm == starting_targets("oboe").tube_mm
    assert settings.targets("english horn") == starting_targets("english horn")
