"""From rows to records: the reed that a row means, what is judged, what is passed over."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Strike, table_of
from reedkin.domain.uid import UidMaker
from reedkin.errors import InputError
from reedkin.store.log import Log
from reedkin.store.transfer.importing import ImportPlan, plan_import, rows_to_records
from reedkin.store.transfer.rows import NumberedRow

CLOCK = FixedClock(datetime(2026, 3, 12, 10, 7, tzinfo=timezone(timedelta(hours=1))))


def row(tag: str, kind: str, at: str, **facts: Any) -> dict[str, Any]:
    return {"tag": tag, "kind": kind, "at": at, **facts}


def tied(tag: str, at: str, **facts: Any) -> dict[str, Any]:
    return row(tag, "tied", at, **{"instrument": "oboe", **facts})


def plan(*rows: dict[str, Any], bench: Bench | None = None) -> ImportPlan:
    numbered = [NumberedRow(number, one) for number, one in enumerate(rows, 1)]
    return plan_import(numbered, Bench(CLOCK) if bench is None else bench, UidMaker(), CLOCK)


def bench_of(*rows: dict[str, Any]) -> Bench:
    made = plan(*rows)
    assert not made.faults
    return Bench.of(CLOCK, made.records)


def kinds(bench: Bench, tag: str) -> list[str]:
    reed = bench.find(tag)
    assert reed is not None
    return [step.kind for step in reed.standing]


# Reeds by tag and time


def test_a_tag_is_used_again_after_its_reed_retired() -> None:
    bench = bench_of(
        tied("5", "2026-01-01"), row("5", "retired", "2026-01-20", cause="worn"),
        tied("5", "2026-01-21"), row("5", "scraped", "2026-01-22"),
    )  # fmt: skip
    assert kinds(bench, "5/1") == ["tied", "retired"]
    assert kinds(bench, "5/2") == ["tied", "scraped"]


def test_rows_may_come_in_any_order() -> None:
    rows = [tied("5", "2026-01-01T10:00"), row("5", "scraped", "2026-01-02T10:00"),
            row("5", "retired", "2026-01-20T10:00", cause="worn"), tied("5", "2026-01-21T10:00")]  # fmt: skip
    assert {r.uid for r in plan(*rows).records} == {r.uid for r in plan(*reversed(rows)).records}
    assert kinds(bench_of(*reversed(rows)), "5/1") == ["tied", "scraped", "retired"]


def test_days_without_a_time_keep_the_order_of_the_file() -> None:
    day = "2026-01-05"
    rows = [tied("5", day), row("5", "scraped", day), row("5", "clipped", day, clip_mm=1),
            row("5", "played", day, minutes=5), row("5", "retired", day, cause="worn")]  # fmt: skip
    expected = ["tied", "scraped", "clipped", "played", "retired"]
    assert kinds(bench_of(*rows), "5") == expected
    later = tied("6", "2026-02-01")
    assert kinds(bench_of(later, *reversed(rows)), "5") == expected  # the newest stands first here


def test_two_rows_that_say_the_same_are_two_events() -> None:
    once = row("5", "played", "2026-01-05", minutes=30)
    reed = bench_of(tied("5", "2026-01-01"), once, once).find("5")
    assert reed is not None
    assert reed.now.minutes_played == 60


def test_a_reed_of_the_log_goes_on() -> None:
    bench = bench_of(tied("5", "2026-01-01", overall_mm=72))
    more = plan(row("5", "clipped", "2026-01-02", clip_mm=0.5), bench=bench)
    bench.add(more.records)
    reed = bench.find("5")
    assert reed is not None
    assert reed.now.overall_mm == 71.5
    assert len(bench) == 1


def test_the_bearer_at_the_time_is_meant_and_not_the_one_now() -> None:
    bench = bench_of(
        tied("5", "2026-01-01"), row("5", "retired", "2026-01-20", cause="worn"), tied("5", "2026-01-21"),
    )  # fmt: skip
    bench.add(plan(row("5", "played", "2026-01-10", minutes=10), bench=bench).records)
    assert kinds(bench, "5/1") == ["tied", "played", "retired"]
    bench.add(plan(row("5/1", "noted", "2026-02-01", note="looked at it again"), bench=bench).records)
    assert kinds(bench, "5/1") == ["tied", "played", "retired", "noted"]


@pytest.mark.parametrize(
    ("rows", "what"),
    [
        ([row("5", "scraped", "2026-01-01")], "there is no reed 5"),
        ([tied("5", "2026-01-01"), row("5,6", "scraped", "2026-01-02")], "write a row for each"),
        ([row("5", "scraped", "2026-01-01"), tied("5", "2026-02-01")], "begun only on 1 Feb 2026, in line 2"),
        ([tied("5", "2026-01-01"), tied("5", "2026-02-01")], "the tag is borne"),
        ([tied("5,6", "2026-01-01")], "cannot be a tag"),
        ([tied("5", "2026-01-01"), row("5/2", "scraped", "2026-01-02")], "there is no reed 5/2"),
        ([tied("5", "2026-01-01"), row("5", "retired", "2026-01-02", cause="worn"),
          row("5", "played", "2026-01-03", minutes=5)], "it is retired"),
        ([tied("5", "2026-01-01", overall_mm=72), row("5", "clipped", "2026-01-02", clip_mm=500)], "clip"),
        ([tied("5", "2026-01-01", tube_mm=47, overall_mm=72), row("5", "clipped", "2026-01-02", clip_mm=30)], "42 mm"),
        ([tied("5", "2026-01-01"), row("5", "clipped", "2026-01-02")], "needs clip or overall length"),
        ([tied("5", "2026-01-01"), row("5", "scraped", "2026-01-02", cause="worn")], "does not belong"),
        ([row("5", "tied", "2026-01-01")], "tied needs instrument"),
        ([tied("5", "2026-01-01", instrument="kazoo")], "kazoo is not one of"),
        ([tied("5", "1026-01-01")], "before 1900"),
        ([tied("5", "3500-01-01")], "after 2999"),
        ([tied("5", "9999-12-31T23:59:59-14:00")], "after 2999"),
        ([tied("5", "yesterday")], "not a time"),
        ([tied("5", "2026-01-01", overall_mm=True)], "is a number"),
        ([tied("5", "2026-01-01", overall_mm="long")], "long is not a measure"),
        ([tied("5", "2026-01-01", overall_mm="1e400")], "more than can be"),
        ([tied("5", "2026-01-01"), row("5", "played", "2026-01-02", minutes="9" * 20)], "more than can be"),
        ([tied("5", "2026-01-01", lot=[1])], "lot is text"),
        ([tied("", "2026-01-01")], "tag (which reed) missing"),
        ([tied("5", "2026-01-01", session="a", room_c=500)], "room must be between"),
        ([tied("5", "2026-01-01", session="a", session_start="soon")], "session_start soon is not a time"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_fault_with_its_line(rows: list[dict[str, Any]], what: str) -> None:
    made = plan(*rows)
    assert not made.records
    (fault,) = made.faults
    assert what in fault.message
    assert fault.line == (1 if "begun only" in what else len(rows))


def test_a_reed_whose_beginning_is_at_fault_is_complained_of_once() -> None:
    made = plan(tied("5", "soon"), row("5", "scraped", "2026-01-02"), row("5", "clipped", "2026-01-03", clip_mm=1))
    assert [fault.line for fault in made.faults] == [1]


def test_an_event_that_the_log_s_own_ones_rule_out_is_a_fault() -> None:
    bench = bench_of(tied("5", "2026-01-01"), row("5", "played", "2026-02-01", minutes=10))
    (fault,) = plan(row("5", "retired", "2026-01-15", cause="worn"), bench=bench).faults
    assert "could not be" in fault.message


def test_odd_values_are_questions_and_are_imported() -> None:
    made = plan(tied("5", "2026-01-01", overall_mm=72), row("5", "clipped", "2026-01-02", clip_mm=5))
    assert made.events == 2
    assert [(question.line, "is much" in question.message) for question in made.questions] == [(2, True)]
    assert plan(tied("5", "2027-01-01")).questions


def test_a_length_far_from_the_target_of_its_instrument_is_a_question() -> None:
    (question,) = plan(tied("5", "2026-01-01", overall_mm=60)).questions
    assert question.message.endswith("60 mm for oboe: your target is 72 mm")


# Words and measures


def test_cells_are_read_as_the_entry_line_reads_them() -> None:
    bench = bench_of(
        tied("5", "2026-01-01", instrument="eh", overall_mm="60,5", gouge_mm="0.02 in", sink_min="1h20"),
        row("5", "crowed", "2026-01-02", crow="c5 -20", octaves="yes"),
        row("5", "scraped", "2026-01-03", where="Tip; heart", minutes="10 min"),
        row("5", "sell", "2026-01-04", to="quartet"),
    )
    reed = bench.find("5")
    assert reed is not None
    made, crowed, scraped, sold = (dict(step.facts) for step in reed.standing)
    assert made["instrument"] == "english horn"
    assert (made["overall_mm"], made["gouge_mm"], made["sink_min"]) == (60.5, pytest.approx(0.508), 80)
    assert crowed == {"crow": "C5 -20c", "octaves": True}
    assert scraped["minutes"] == 10
    assert sold == {"terms": "sold", "to": "quartet"}


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("2026-01-05T10:30:00+02:00", "2026-01-05T10:30:00+02:00"),
        ("2026-01-05T10:30:00Z", "2026-01-05T10:30:00+00:00"),
        ("2026-01-05 10:30", "2026-01-05T10:30:00+01:00"),
        ("2026-01-05", "2026-01-05T12:00:00+01:00"),
        ("5.1.2026", "2026-01-05T12:00:00+01:00"),
        ("5.1.2026 8:05", "2026-01-05T08:05:00+01:00"),
    ],
)
def test_times(text: str, iso: str) -> None:
    reed = bench_of(tied("5", text)).find("5")
    assert reed is not None
    assert reed.begun.isoformat() == iso


# Sessions


def test_a_session_that_is_only_named_lasts_from_its_first_event_to_its_last() -> None:
    bench = bench_of(
        tied("5", "2026-01-01T10:00", session="evening", room_c=20, knife_fresh="yes"),
        row("5", "scraped", "2026-01-01T11:00", session="evening", humidity_pct="45 %"),
    )
    reed = bench.find("5")
    assert reed is not None
    first, second = (bench.sessions.of(step.event.session) for step in reed.standing)
    assert first == second
    assert first is not None
    assert first.ended is not None
    assert (first.started.hour, first.ended.hour) == (10, 11)
    assert (first.room_c, first.humidity_pct, first.knife_fresh) == (20, 45, True)
    assert bench.sessions.open() is None


def test_conditions_without_a_session_are_of_one_session_a_day() -> None:
    made = plan(
        tied("5", "2026-01-01T10:00", room_c=20), tied("6", "2026-01-01T11:00", room_c=20),
        tied("7", "2026-01-02T10:00", room_c=21), tied("8", "2026-01-02T10:30"),
    )  # fmt: skip
    assert made.sessions == 2


def test_a_session_of_more_than_a_day_is_asked_about() -> None:
    made = plan(tied("5", "2026-01-01", session="a"), row("5", "scraped", "2026-01-04", session="a"))
    assert [question.line for question in made.questions] == [1]


# Twice


def test_the_same_rows_again_are_passed_over_and_new_ones_taken() -> None:
    rows = [tied("5", "2026-01-01", session="a"), row("5", "scraped", "2026-01-02", session="b")]
    bench = bench_of(*rows)
    made = plan(*rows, row("5", "clipped", "2026-01-03", clip_mm=1, session="c"), bench=bench)
    assert (made.events, made.sessions, made.repeated) == (1, 1, 2)


def test_what_was_struck_does_not_come_back() -> None:
    rows = [tied("5", "2026-01-01"), row("5", "scraped", "2026-01-02")]
    records = plan(*rows).records
    strikes = [Strike(UidMaker().new(), table_of(r), r.uid, CLOCK.now(), "e", correction=True) for r in records]
    bench = Bench.of(CLOCK, [*records, *strikes])
    made = plan(*rows, bench=bench)
    assert (made.events, made.repeated, made.struck, made.faults) == (0, 0, 2, ())


def test_what_was_taken_back_comes_again_as_it_is_told_now(tmp_path: Path) -> None:
    """A spreadsheet that was taken in wrongly is taken back, and taken in once more."""
    with Log(tmp_path / "log.jsonl", CLOCK) as log:
        for facts in ({"note": "8"}, {"score": 8}, {"score": 8}):
            rows = [tied("5", "2026-01-01", session="a"), row("5", "played", "2026-01-02", minutes=5, **facts)]
            made = plan(*rows, bench=log.bench)
            assert (made.events, made.sessions, made.repeated, made.faults, made.changed) == (2, 1, 0, (), ())
            log.write(made.records)
            assert plan(*rows, bench=log.bench).repeated == 2
            log.take_back()


def test_a_uid_that_stands_twice_with_other_content_is_a_fault() -> None:
    uid = UidMaker().new()
    one = tied("5", "2026-01-01", uid=uid)
    assert plan(one, one).repeated == 1
    (fault,) = plan(one, tied("6", "2026-01-01", uid=uid)).faults
    assert (fault.line, "line 1" in fault.message) == (2, True)


# In memory


def test_rows_in_memory_are_as_if_typed_then_and_never_by_chance() -> None:
    rows = [tied("5", "2026-01-01T10:00:00+01:00", session="s1")]
    start = "2026-01-01T09:50:00+01:00"
    sessions = [{"session": "s1", "start": start, "end": None, "room_c": 20.5, "knife_fresh": False}]
    records = rows_to_records(rows, CLOCK, sessions)
    assert records == rows_to_records(rows, CLOCK, sessions)
    assert all(record.entry == record.uid for record in records)
    bench = Bench.of(CLOCK, records)
    session = bench.sessions.open()
    assert session is not None
    assert (session.room_c, session.knife_fresh, session.ended) == (20.5, False, None)
    with pytest.raises(InputError, match="row 1: there is no reed 6") as told:
        rows_to_records([row("6", "scraped", "2026-01-01"), row("7", "scraped", "2026-01-01")], CLOCK)
    assert "row 2" in str(told.value)
