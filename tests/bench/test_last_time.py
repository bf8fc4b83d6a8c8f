"""What was done the last time, by itself: on the same instrument, and not the taking off of anything."""

from __future__ import annotations

from tests.bench.parts import Parts, event

from reedkin.bench.last_time import LOOK_BACK, LastTime
from reedkin.domain.events import Event


def last_time(*lineages: list[Event], over: tuple[str, ...] = ()) -> LastTime:
    parts = Parts(*lineages, over=over)
    return LastTime(parts.headings, parts.lineages, parts.whereabouts)


def shelf() -> LastTime:
    return last_time(
        [event(1, "u001", "tied", instrument="oboe"), event(5, "u001", "wired", gauge_awg=28)],
        [event(2, "u002", "tied", instrument="oboe"), event(4, "u002", "wired", gauge_awg=26),
         event(6, "u002", "wired", wire="off")],
        [event(3, "u003", "tied", instrument="english horn"), event(7, "u003", "wired", gauge_awg=30)],
    )  # fmt: skip


def test_it_is_the_latest_on_this_instrument_and_no_taking_off() -> None:
    last = shelf()
    assert last.facts("wired", "oboe") == {"gauge_awg": 28}
    assert last.facts("wired", "english horn") == {"gauge_awg": 30}
    assert last.facts("wired", "bass oboe") is None
    assert last.facts("tubed", "oboe") is None


def test_a_further_event_is_the_last_if_it_is_later_and_can_be_repeated() -> None:
    last = shelf()
    last.facts("wired", "oboe")
    last.add(event(8, "u003", "wired", gauge_awg=24))  # of an english horn
    last.add(event(0, "u001", "wired", gauge_awg=22))  # recorded before
    last.add(event(9, "u001", "wired", wire="off"))
    assert last.facts("wired", "oboe") == {"gauge_awg": 28}
    last.add(event(10, "u001", "wired", gauge_awg=25))
    assert last.facts("wired", "oboe") == {"gauge_awg": 25}


def test_the_taking_off_of_tubing_is_no_last_time() -> None:
    last = last_time([
        event(1, "u001", "tied", instrument="oboe"), event(2, "u001", "tubed", tubing_mm=5),
        event(3, "u001", "tubed", tubing_mm=0),
    ])  # fmt: skip
    assert last.facts("tubed", "oboe") == {"tubing_mm": 5}


def test_only_the_latest_reeds_and_those_alive_are_looked_at() -> None:
    many = [
        [event(3 * n, f"u{3 * n:03d}", "tied", instrument="oboe"), event(3 * n + 1, f"u{3 * n:03d}", "wired", turns=n)]
        for n in range(LOOK_BACK + 1)
    ]
    many[0] += [event(999, "u000", "wired", turns=7)]
    every = tuple(events[0].reed for events in many)
    assert last_time(*many, over=every).facts("wired", "oboe") == {"turns": LOOK_BACK}
    assert last_time(*many, over=every[1:]).facts("wired", "oboe") == {"turns": 7}
