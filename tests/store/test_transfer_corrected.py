"""A file that comes again with corrections: its rows are known by what did not change, and none counts twice."""

from __future__ import annotations

import io
from datetime import datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedkin.bench.bench import Bench
from reedkin.bench.correcting import Corrector, Restated
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Amendment, Event
from reedkin.domain.uid import UidMaker
from reedkin.store.transfer.exporting import reeds_as_text
from reedkin.store.transfer.importing import ImportPlan, plan_import
from reedkin.store.transfer.lineages import Answer
from reedkin.store.transfer.mapping import ColumnMap
from reedkin.store.transfer.read_rows import lines_of, rows_of

CLOCK = FixedClock(datetime(2026, 3, 12, 10, 7, tzinfo=timezone(timedelta(hours=1))))
HEAD = "tag,kind,at,instrument,minutes,score,note"
YEAR = (
    "12,tied,2026-01-05,oboe,,,",
    "12,scraped,2026-01-06,,10,,",
    "12,played,2026-01-08,,45,7,dark",
    "12,played,2026-01-09,,45,,",
    "12,retired,2026-03-01,,,,",
)


def sheet(*rows: str, head: str = HEAD) -> bytes:
    return "\n".join((head, *rows)).encode()


def plan(content: bytes, bench: Bench, answer: Answer | None = None, clock: FixedClock = CLOCK) -> ImportPlan:
    return plan_import(rows_of(lines_of(io.BytesIO(content)), ColumnMap()), bench, UidMaker(), clock, answer)


def taken_in(content: bytes, bench: Bench, answer: Answer | None = None) -> ImportPlan:
    made = plan(content, bench, answer)
    assert not made.faults, made.faults
    assert not made.changed, made.changed
    bench.add(made.records)
    return made


def stands(bench: Bench) -> list[tuple[Any, ...]]:
    return sorted(
        (reed.tag, step.at, step.kind, repr(sorted(step.facts.items())), step.note)
        for reed in bench.reeds()
        for step in reed.standing
    )


@pytest.fixture
def bench() -> Bench:
    made = Bench(CLOCK)
    taken_in(sheet(*YEAR[:4]), made)
    return made


def with_row(place: int, row: str) -> bytes:
    rows = list(YEAR[:4])
    rows[place] = row
    return sheet(*rows)


def test_another_value_of_a_known_row_awaits_an_answer(bench: Bench) -> None:
    made = plan(with_row(2, "12,played,2026-01-08,,50,7,dark"), bench)
    assert made.records == ()
    (told,) = made.changed
    assert (told.line, "minutes 45 min → 50 min" in told.message) == (4, True)
    assert made.repeated == 3


@pytest.mark.parametrize(("answer", "minutes", "playings"), [("replace", 95, 2), ("both", 140, 3), ("log", 90, 2)])
def test_what_becomes_of_it(bench: Bench, answer: Answer, minutes: int, playings: int) -> None:
    corrected = with_row(2, "12,played,2026-01-08,,50,7,dark")
    made = taken_in(corrected, bench, answer)
    now = bench.reeds()[0].now
    assert (now.minutes_played, now.playings) == (minutes, playings)
    assert made.left == (answer == "log")
    if answer != "log":
        assert plan(corrected, bench).records == plan(corrected, bench).changed == ()
        assert plan(sheet(*YEAR[:4]), bench).changed == (), "an older copy takes no correction back"


def test_a_correction_is_an_amendment_that_leaves_the_old_value_to_be_seen(bench: Bench) -> None:
    made = taken_in(with_row(2, "12,played,2026-01-08,,50,7,dark"), bench, "replace")
    (amendment,) = made.records
    assert isinstance(amendment, Amendment)
    assert made.corrected == 1


def test_what_was_corrected_in_the_log_besides_stays(bench: Bench) -> None:
    reed = bench.reeds()[0]
    played = next(reed.of_kind("played"))
    said = Restated(played.at, {**played.facts, "setting": "rehearsal", "score": 8}, played.note)
    bench.add(Corrector(bench, UidMaker()).amend([(played, said)]).records)
    taken_in(with_row(2, "12,played,2026-01-08,,50,7,dark"), bench, "replace")
    facts = next(bench.reeds()[0].of_kind("played")).facts
    assert facts == {"minutes": 50, "score": 8, "setting": "rehearsal"}


def test_a_cell_that_was_emptied_is_a_correction_and_a_column_that_is_gone_is_none(bench: Bench) -> None:
    (told,) = plan(with_row(2, "12,played,2026-01-08,,45,,dark"), bench).changed
    assert "score 7 → none" in told.message
    narrow = sheet("12,played,2026-01-08,45", head="tag,kind,at,minutes")
    assert (plan(narrow, bench).repeated, plan(narrow, bench).changed) == (1, ())


def test_a_day_that_was_corrected_is_known_by_the_rest(bench: Bench) -> None:
    (told,) = plan(with_row(1, "12,scraped,2026-01-07,,10,,"), bench).changed
    assert "6 Jan 2026 12:00 → 7 Jan 2026 12:00" in told.message
    taken_in(with_row(1, "12,scraped,2026-01-07,,10,,"), bench, "replace")
    assert [step.at.day for step in bench.reeds()[0].standing] == [5, 7, 8, 9]


def test_a_row_of_which_both_day_and_value_were_corrected_counts_once(bench: Bench) -> None:
    (told,) = plan(with_row(3, "12,played,2026-01-10,,60,,"), bench).changed
    assert "9 Jan 2026 12:00 → 10 Jan 2026 12:00; minutes 45 min → 60 min" in told.message


def test_a_file_that_goes_on_is_no_correction_of_days_it_does_not_speak_of(bench: Bench) -> None:
    made = taken_in(sheet(YEAR[3], "12,played,2026-01-10,,45,,", "12,scraped,2026-01-11,,10,,"), bench)
    assert (made.events, made.repeated, made.gone) == (2, 1, ())


def test_a_row_that_was_taken_out_of_the_file_is_told_and_stays(bench: Bench) -> None:
    made = taken_in(sheet(YEAR[0], *YEAR[2:4]), bench)
    assert [step.kind for step in made.gone] == ["scraped"]
    assert len(bench.reeds()[0].standing) == 4


def test_a_row_put_between_others_of_a_day_takes_its_place_and_changes_none(bench: Bench) -> None:
    day = ["12,scraped,2026-02-01,,10,,", "12,clipped,2026-02-01,,,,", "12,retired,2026-02-01,,,,"]
    head = HEAD + ",clip_mm,cause"
    day = [day[0] + ",,", day[1] + ",0.5,", day[2] + ",,worn"]
    taken_in(sheet(day[0], day[2], head=head), bench)
    for count in range(1, 6):
        more = [day[1].replace("0.5", f"0.{number}") for number in range(1, count + 1)]
        made = taken_in(sheet(day[0], *more, day[2], head=head), bench)
        assert (made.events, made.repeated) == (1, count + 1)
        standing = bench.reeds()[0].standing[-count - 2 :]
        assert [step.kind for step in standing] == ["scraped", *["clipped"] * count, "retired"]
        assert [step.facts.get("clip_mm") for step in standing[1:-1]] == [number / 10 for number in range(1, count + 1)]


def test_a_row_put_between_others_keeps_the_uid_that_it_brings(bench: Bench) -> None:
    head, own = HEAD + ",clip_mm,cause,uid", UidMaker().new()
    scraped, played = "12,scraped,2026-02-01,,10,,,,,", "12,played,2026-02-01,,45,,,,,"
    taken_in(sheet(scraped, played, head=head), bench)
    taken_in(sheet(scraped, f"12,clipped,2026-02-01,,,,,0.5,,{own}", played, head=head), bench)
    assert [step.event.uid for step in bench.reeds()[0].standing if step.kind == "clipped"] == [own]


def test_a_file_that_is_read_on_a_journey_is_the_same_file(bench: Bench) -> None:
    away = FixedClock(datetime(2026, 3, 13, 10, 7, tzinfo=timezone(timedelta(hours=9))))
    there = Bench.of(away, [record for reed in bench.reeds() for record in bench.lineages.records(reed.id)])
    made = plan(sheet(*YEAR[:4]), there, clock=away)
    assert (made.records, made.changed, made.repeated) == ((), (), 4)


def test_a_reed_that_got_another_tag_is_still_known_by_its_old_one(bench: Bench) -> None:
    bench.add(Corrector(bench, UidMaker()).to_tag(bench.reeds()[0], "30").records)
    assert plan(sheet(*YEAR[:4]), bench).repeated == 4
    taken_in(sheet(*YEAR[:4], "12,scraped,2026-01-10,,5,,"), bench)
    taken_in(sheet("30,scraped,2026-01-11,,5,,"), bench)
    (reed,) = bench.reeds()
    assert (reed.tag, len(reed.standing)) == ("30", 6)
    taken_in(sheet("12,tied,2026-02-01,oboe,,,"), bench)  # the tag is free again
    assert [reed.tag for reed in bench.reeds()] == ["30", "12"]


def test_a_correction_that_cannot_be_is_a_fault(bench: Bench) -> None:
    head = HEAD + ",cause"
    taken_in(sheet("12,retired,2026-02-01,,,,,worn", head=head), bench)
    later = sheet(*(row + "," for row in YEAR[:4]), "12,retired,2026-02-02,,,,,worn", head=head)
    earlier = later.replace(b"2026-02-02", b"2026-01-08")
    assert plan(later, bench, "replace").corrected == 1
    assert "could not be" in plan(earlier, bench, "replace").faults[0].message
    rows = [row.replace("2026-01-09", "2026-02-03") + "," for row in YEAR[:4]]
    (fault,) = plan(sheet(*rows, "12,retired,2026-02-01,,,,,worn", head=head), bench, "replace").faults
    assert (fault.line, "it is retired" in fault.message) == (5, True)
    assert len(plan(with_row(0, "12,tied,2026-01-05,kazoo,,,"), bench, "replace").faults) == 1


def test_the_beginning_of_a_reed_can_be_corrected(bench: Bench) -> None:
    taken_in(with_row(0, "12,tied,2026-01-05,english horn,,,"), bench, "replace")
    taken_in(with_row(0, "12,tied,2026-01-04,english horn,,,"), bench, "replace")
    (reed,) = bench.reeds()
    assert (reed.instrument, reed.begun.day, len(reed.standing)) == ("english horn", 4, 4)


def test_the_room_of_a_session_can_be_corrected() -> None:
    head, bench = "tag,kind,at,instrument,session,room_c", Bench(CLOCK)
    rows = ["5,tied,2026-01-05T10:00,oboe,a,20", "6,tied,2026-01-05T11:00,oboe,a,20"]
    taken_in(sheet(*rows, head=head), bench)
    warmer = sheet(*(row.removesuffix("20") + "22" for row in rows), head=head)
    (told,) = plan(warmer, bench).changed
    assert (told.line, "room 20 °C → 22 °C" in told.message) == (2, True)
    assert plan(warmer, bench, "log").left == 1
    made = taken_in(warmer, bench, "replace")
    assert (made.corrected, made.sessions, made.repeated) == (1, 0, 2)
    session = bench.sessions.of(bench.reeds()[0].steps[0].event.session)
    assert session is not None
    assert session.room_c == 22
    for again in (warmer, sheet(*rows, head=head)):
        assert (plan(again, bench).changed, plan(again, bench).records) == ((), ())


# Rows with an identifier of their own


def test_an_identifier_of_the_source_knows_its_row_whatever_else_changed() -> None:
    bench, head = Bench(CLOCK), "uid,tag,kind,at,instrument,minutes"
    taken_in(sheet("a1,5,tied,2026-01-05,oboe,", "a2,5,played,2026-01-06,,30", head=head), bench)
    made = taken_in(sheet("a1,5,tied,2026-01-05,oboe,", "a2,5,played,2026-01-07,,35", head=head), bench, "replace")
    assert (made.corrected, made.events) == (1, 0)
    (played,) = bench.reeds()[0].of_kind("played")
    assert (played.at.day, played.facts["minutes"]) == (7, 35)


def test_what_stands_in_several_rows_identifies_none() -> None:
    bench, head = Bench(CLOCK), "uid,tag,kind,at,instrument,minutes"
    rows = ["7,7,tied,2026-01-05,oboe,", "7,7,played,2026-01-06,,30", "7,7,played,2026-01-07,,40"]
    taken_in(sheet(*rows, head=head), bench)
    made = taken_in(sheet(*rows, "7,7,played,2026-01-08,,50", head=head), bench)
    assert (made.events, made.repeated) == (1, 3)


def test_an_export_that_was_edited_corrects_by_its_uids(bench: Bench) -> None:
    exported = reeds_as_text(bench.reeds(), bench, "csv")
    edited = exported.replace("2026-01-09T12:00:00+01:00", "2026-01-10T12:00:00+01:00").encode()
    made = taken_in(edited, bench, "replace")
    assert (made.corrected, made.repeated) == (1, 3)
    assert plan(exported.encode(), bench).repeated == 4, "the older export"
    lines = exported.splitlines()
    (fault,) = plan("\n".join([*lines[:2], lines[2].replace("12,", "13,", 1)]).encode(), bench).faults
    assert "reedkin move" in fault.message
    (fault,) = plan("\n".join([lines[0], lines[1].replace("12,", "13,", 1)]).encode(), bench).faults
    assert "reedkin retag 12 13" in fault.message
    (fault,) = plan("\n".join([*lines[:2], lines[2].replace("scraped", "cleaned", 1)]).encode(), bench).faults
    assert "reedkin strike" in fault.message


# Whatever was changed


@st.composite
def two_copies(draw: st.DrawFn) -> tuple[list[str], list[str]]:
    """A file, and the same later: cells corrected, rows put in anywhere."""
    event = st.builds(
        lambda kind, day, value: f"{kind},2026-01-{day:02},,{value},,",
        st.sampled_from(["played", "scraped", "soaked"]), st.integers(6, 9), st.integers(1, 4),
    )  # fmt: skip
    before = ["5,tied,2026-01-05,oboe,,,", *("5," + one for one in draw(st.lists(event, max_size=8)))]
    after = list(before)
    for place in draw(st.lists(st.integers(1, 8), max_size=3)):
        if place < len(after):
            cells = after[place].split(",")
            cells[4] = str(draw(st.integers(1, 9)))
            after[place] = ",".join(cells)
    for row in draw(st.lists(event, max_size=3)):
        after.insert(draw(st.integers(1, len(after))), "5," + row)
    return before, after


@given(copies=two_copies())
def test_a_corrected_file_leaves_what_it_would_have_made_by_itself(copies: tuple[list[str], list[str]]) -> None:
    before, after = copies
    one, two = Bench(CLOCK), Bench(CLOCK)
    taken_in(sheet(*before), one)
    taken_in(sheet(*after), one, "replace")
    taken_in(sheet(*after), two)
    assert stands(one) == stands(two)
    assert sum(isinstance(record, Event) for record in plan(sheet(*after), one).records) == 0
    assert plan(sheet(*after), one).changed == ()
