"""A bench for another thread: what was known when it was taken, whatever is recorded meanwhile."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Event, Strike, table_of

NOW = datetime(2026, 11, 25, 10, tzinfo=UTC)


def event(number: int, reed: int, kind: str, tag: str = "1", **facts: float | str) -> Event:
    at = NOW - timedelta(days=30) + timedelta(minutes=number)
    return Event(f"u{number:03d}", f"u{reed:03d}", kind, tag, at, at, f"e{number}", facts)


def tied_twice() -> Bench:
    """A bench with two reeds that bore the tag 1."""
    bench = Bench(FixedClock(NOW))
    bench.add([event(0, 0, "tied", instrument="oboe"), event(1, 0, "retired", cause="worn")])
    bench.add([event(2, 2, "tied", instrument="oboe")])
    return bench


def test_a_snapshot_knows_what_the_bench_knew() -> None:
    bench = tied_twice()
    make = bench.snapshot()
    bench.add([event(3, 2, "played", minutes=30), event(4, 4, "tied", "2", instrument="oboe")])
    taken = make()
    assert [reed.label for reed in taken.reeds()] == ["1/1", "1"]
    assert taken.reed("u002").now.minutes_played == 0
    assert len(bench) == 3
    assert bench.reed("u002").now.minutes_played == 30


def test_what_was_struck_and_amended_is_so_in_the_snapshot_too() -> None:
    bench = tied_twice()
    retired = event(1, 0, "retired", cause="worn")
    bench.add([Strike("u009", table_of(retired), retired.uid, NOW, "e9")])
    taken = bench.snapshot()()
    assert [reed.stage for reed in taken.reeds()] == [reed.stage for reed in bench.reeds()]
    assert [reed.id for reed in taken.at_work()] == [reed.id for reed in bench.at_work()] == ["u000", "u002"]


def test_lineages_read_in_a_snapshot_are_taken_over_if_nothing_was_recorded_since() -> None:
    bench = tied_twice()
    taken = bench.snapshot()()
    read = taken.reed("u002")
    bench.take_over(taken)
    assert bench.reed("u002") is read


def test_lineages_that_are_out_of_date_are_not_taken_over() -> None:
    bench = tied_twice()
    taken = bench.snapshot()()
    taken.reeds()
    bench.add([event(3, 2, "played", minutes=30)])
    bench.take_over(taken)
    assert bench.reed("u002").now.minutes_played == 30


def test_a_snapshot_that_is_read_changes_nothing_in_the_bench() -> None:
    bench = tied_twice()
    before = bench.changes
    taken = bench.snapshot()()
    taken.add([event(3, 2, "played", minutes=30)])
    assert bench.changes == before
    assert bench.reed("u002").now.minutes_played == 0
    assert taken.changes == before + 1
