"""Calendars: what takes place when, as RFC 5545 has it; what a calendar read again changes; those made to do harm."""

from __future__ import annotations

import time
from datetime import UTC, date, datetime, timedelta, timezone
from importlib import import_module
from pathlib import Path

import pytest
from tests.domain.maker import Maker

from reedkin.bench.engagements import engagement_line, engagements, to_come
from reedkin.bench.titles import Titles
from reedkin.domain.clock import FixedClock
from reedkin.errors import InputError
from reedkin.store.calendars.blocks import LARGEST, LONGEST_LINE, read_text
from reedkin.store.calendars.occurrences import EventFault, Occurrence, occurrences
from reedkin.store.calendars.planning import CalendarPlan, plan_calendar

BERLIN = ";TZID=Europe/Berlin"
YEAR = (date(1997, 1, 1), date(1998, 12, 31))
NEW_YORK = FixedClock(datetime(1997, 1, 1, tzinfo=timezone(timedelta(hours=-4))))


def event(uid: str, title: str, start: str, *more: str) -> str:
    return "\n".join(("BEGIN:VEVENT", f"UID:{uid}", f"SUMMARY:{title}", f"DTSTART{start}", *more, "END:VEVENT"))


def calendar(tmp_path: Path, *parts: str, head: str = "X-WR-CALNAME:Choir") -> Path:
    path = tmp_path / "choir.ics"
    whole = ("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//x//y//EN", head, *parts, "END:VCALENDAR", "")
    path.write_text("\n".join(whole), encoding="utf-8")
    return path


def taking_place(
    path: Path, first: date = YEAR[0], last: date = YEAR[1], clock: FixedClock = NEW_YORK
) -> tuple[list[Occurrence], list[EventFault]]:
    return occurrences(read_text(path), lambda title: True, first, last, clock)


@pytest.mark.parametrize(
    ("rule", "days"),
    [
        # RFC 5545, section 3.8.5.3, whose examples all begin on 2 or 5 September 1997, 9:00 in New York.
        ("19970902T090000\nRRULE:FREQ=DAILY;COUNT=10", [(9, n) for n in range(2, 12)]),
        ("19970902T090000\nRRULE:FREQ=DAILY;INTERVAL=10;COUNT=5", [(9, 2), (9, 12), (9, 22), (10, 2), (10, 12)]),
        (
            "19970902T090000\nRRULE:FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH",
            [(9, n) for n in (2, 4, 9, 11, 16, 18, 23, 25, 30)] + [(10, 2)],
        ),
        (
            "19970905T090000\nRRULE:FREQ=MONTHLY;COUNT=4;BYDAY=1FR",
            [(9, 5), (10, 3), (11, 7), (12, 5)],
        ),
        (
            "19970902T090000\nEXDATE;TZID=America/New_York:19970902T090000\n"
            "RRULE:FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13;UNTIL=19981201T000000Z",
            [(2, 13), (3, 13), (11, 13)],
        ),
        ("19970902T090000\nRDATE;TZID=America/New_York:19970904T090000", [(9, 2), (9, 4)]),
    ],
)
def test_recurring_events(tmp_path: Path, rule: str, days: list[tuple[int, int]]) -> None:
    found, faults = taking_place(calendar(tmp_path, event("1", "concert", f";TZID=America/New_York:{rule}")))
    assert not faults
    assert [(one.day.month, one.day.day) for one in found] == days
    assert len({one.recurrence for one in found}) == len(days)


def test_a_rule_keeps_its_hour_when_the_clocks_change(tmp_path: Path) -> None:
    """Nine o'clock in New York is 13:00 in UTC in October, and 14:00 in November."""
    path = calendar(tmp_path, event("1", "x", ";TZID=America/New_York:19971025T090000", "RRULE:FREQ=DAILY;COUNT=2"))
    found, _ = taking_place(path, clock=FixedClock(datetime(1997, 1, 1, tzinfo=UTC)))
    assert [f"{one.hour:%H:%M}" for one in found] == ["13:00", "14:00"]


def test_times_of_other_zones_of_none_and_whole_days(tmp_path: Path) -> None:
    zone = (
        "BEGIN:VTIMEZONE\nTZID:Nowhere\nBEGIN:STANDARD\nDTSTART:19700101T000000\nTZOFFSETFROM:+0300\n"
        "TZOFFSETTO:+0300\nEND:STANDARD\nEND:VTIMEZONE"
    )
    path = calendar(
        tmp_path, zone,
        event("1", "a", ":19970301T120000Z", "DURATION:PT90M"),
        event("2", "b", ";TZID=Nowhere:19970302T120000", "DTEND;TZID=Nowhere:19970302T130000"),
        event("3", "c", ":19970303T193000"),
        event("4", "d", ";VALUE=DATE:19970304"),
        event("5", "e", ":19970305T023000Z"),
    )  # fmt: skip
    found, faults = taking_place(path)
    assert not faults
    assert [(o.title, o.day.day, f"{o.hour:%H:%M}" if o.hour else "", o.minutes) for o in found] == [
        ("a", 1, "08:00", 90), ("b", 2, "05:00", 60), ("c", 3, "19:30", None), ("d", 4, "", None),
        ("e", 4, "22:30", None),
    ]  # fmt: skip


SERIES = ("RRULE:FREQ=WEEKLY;COUNT=4",)


@pytest.mark.parametrize(
    ("change", "days"),
    [
        (event("1", "y", ":19970910T190000", "RECURRENCE-ID:19970909T190000"), ["2x", "10y", "16x", "23x"]),
        (
            event("1", "x", ":19970909T190000", "RECURRENCE-ID:19970909T190000", "STATUS:CANCELLED"),
            ["2x", "16x", "23x"],
        ),
        (
            event("1", "y", ":19970910T190000", "RECURRENCE-ID;RANGE=THISANDFUTURE:19970909T190000"),
            ["2x", "10y", "17y", "24y"],
        ),
        # Of two versions of a series the later one counts.
        (event("1", "z", ":19970902T190000", "SEQUENCE:2", "RRULE:FREQ=WEEKLY;COUNT=2"), ["2z", "9z"]),
    ],
)
def test_a_series_that_was_changed(tmp_path: Path, change: str, days: list[str]) -> None:
    found, faults = taking_place(calendar(tmp_path, event("1", "x", ":19970902T190000", *SERIES), change))
    assert not faults
    assert sorted((f"{one.day.day}{one.title}" for one in found), key=lambda one: int(one[:-1])) == days


def test_a_calendar_that_calls_off_calls_off_all(tmp_path: Path) -> None:
    path = calendar(tmp_path, event("1", "x", ":19970902T190000"), head="METHOD:CANCEL")
    assert taking_place(path) == ([], [])


# Faults and harm


@pytest.mark.parametrize(
    ("part", "says"),
    [
        (event("1", "x", ":garbage"), "garbage"),
        (event("1", "x", ";TZID=Foo/Bar:19970902T190000"), "its time zone Foo/Bar is not known here"),
        (event("1", "x", ":19970902T190000", "RRULE:FREQ=FOO"), "DAILY"),
        (event("1", "x", ":19970902T190000", "RRULE:FREQ=SECONDLY;COUNT=1000000"), "recurs within a day"),
        (event("1", "x", ":19970902T190000", "RRULE:FREQ=DAILY;BYHOUR=1,2,3"), "recurs within a day"),
        ("BEGIN:VEVENT\nUID:1\nSUMMARY:x\nEND:VEVENT", "no day"),
    ],
)
def test_a_faulty_event_is_told_with_its_line_and_the_others_are_read(tmp_path: Path, part: str, says: str) -> None:
    good = [event(f"good{n}", "fine", ":19970903T190000") for n in range(5)]
    found, faults = taking_place(calendar(tmp_path, *good[:3], part, *good[3:]))
    assert [one.title for one in found] == ["fine"] * 5
    assert [fault.line for fault in faults] == [20]
    assert says in faults[0].message


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"tag,kind\n1,tied\n", "is no calendar"),
        (b"\xff\xfe\x00", "not in UTF-8"),
        (b"", "is no calendar"),
        (b"BEGIN:VCALENDAR\n" * 20, "nested so deep"),
        (b"BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:" + b"x" * LONGEST_LINE + b"\nEND:VEVENT\n", "line 3: UID is longer"),
        (b"BEGIN:VCALENDAR\n" + b"BEGIN:VEVENT\nEND:VEVENT\n" * 50_001, "more than 50000 events"),
        (b" " * (LARGEST + 1), "larger than 20 MB"),
        (b"BEGIN:VCALENDAR\nBEGIN:VTIMEZONE\nRRULE:FREQ=SECONDLY\n", "line 3: a time zone changes by the year"),
    ],
)
def test_what_is_no_calendar_is_refused(tmp_path: Path, raw: bytes, says: str) -> None:
    path = tmp_path / "x.ics"
    path.write_bytes(raw)
    with pytest.raises(InputError, match=says):
        read_text(path)


@pytest.mark.parametrize(
    ("rule", "found"),
    [
        ("RRULE:FREQ=DAILY", 31),
        ("RRULE:FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TH", 4),
        ("RRULE:FREQ=YEARLY", 1),
        ("RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=1000000", None),
        ("RRULE:FREQ=WEEKLY;COUNT=99999999999;BYDAY=MO,TU,WE,TH,FR,SA,SU", None),
        ("RRULE:FREQ=DAILY;COUNT=1000000", None),
    ],
)
def test_what_recurs_since_the_year_1_is_reckoned_or_refused_at_once(
    tmp_path: Path, rule: str, found: int | None
) -> None:
    path, span = calendar(tmp_path, event("1", "x", ":00010115T190000", rule)), (date(2026, 1, 1), date(2026, 1, 31))
    import_module("ical.calendar_stream")  # which alone takes a second of a busy machine
    begun = time.process_time()
    if found is None:
        with pytest.raises(InputError, match="what recurs in it is more than can be gone through"):
            taking_place(path, *span)
    else:
        assert len(taking_place(path, *span)[0]) == found
    assert time.process_time() - begun < 2


def test_a_title_cannot_steer_a_terminal_and_what_is_no_engagement_is_not_looked_at(tmp_path: Path) -> None:
    birthdays = [event(f"b{n}", "birthday", ":16040229T000000", "RRULE:FREQ=YEARLY") for n in range(300)]
    path = calendar(tmp_path, *birthdays, event("1", "concert \x1b[31mred" + "!" * 9_999, ":19970902T190000"))
    found, faults = occurrences(read_text(path), lambda title: "concert" in title, *YEAR, NEW_YORK)
    assert not faults
    assert [len(one.title) for one in found] == [200]


# What a calendar changes


@pytest.fixture
def maker() -> Maker:
    return Maker("1-3 tie eh 60")


def read_in(maker: Maker, path: Path, **words: dict[str, object]) -> CalendarPlan:
    plan = plan_calendar(path, maker.bench, words)  # type: ignore[arg-type]
    maker.bench.add(plan.records(maker.bench, maker.uids))
    return plan


def counts(plan: CalendarPlan) -> tuple[int, int, int, int]:
    return len(plan.new), len(plan.changed), len(plan.off), plan.same


def concert(hour: str = "19", title: str = "Concert", uid: str = "1", day: str = "20261220") -> str:
    return event(uid, title, f"{BERLIN}:{day}T{hour}3000", f"DTEND{BERLIN}:{day}T{hour}5900")


REHEARSALS = event("2", "Oboe rehearsal", f"{BERLIN}:20261201T100000", "RRULE:FREQ=DAILY;COUNT=3")


def test_read_twice_it_adds_nothing(maker: Maker, tmp_path: Path) -> None:
    path = calendar(tmp_path, concert(), REHEARSALS)
    assert counts(read_in(maker, path)) == (4, 0, 0, 0)
    assert [engagement_line(one) for one in to_come(maker.bench)] == [
        *(f"{day} Dec 2026 10:00   1 oboe reed, rehearsal  Oboe rehearsal" for day in ("Tue 1", "Wed 2", "Thu 3")),
        "Sun 20 Dec 2026 19:30  2 English horn reeds, performance, 29 min  Concert",
    ]
    again = plan_calendar(path, maker.bench, {})
    assert (counts(again), again.said) == ((0, 0, 0, 4), {})


def test_what_changed_is_changed_and_what_is_gone_is_called_off_and_comes_back(maker: Maker, tmp_path: Path) -> None:
    read_in(maker, calendar(tmp_path, concert(), REHEARSALS))
    fewer = REHEARSALS.replace("COUNT=3", "COUNT=3\nEXDATE;TZID=Europe/Berlin:20261202T100000")
    assert counts(read_in(maker, calendar(tmp_path, concert("20", "Gala concert"), fewer))) == (0, 1, 1, 2)
    assert [(one.day.day, one.what) for one in to_come(maker.bench)] == [
        (1, "Oboe rehearsal"), (3, "Oboe rehearsal"), (20, "Gala concert"),
    ]  # fmt: skip
    assert counts(read_in(maker, calendar(tmp_path, concert("20", "Gala concert"), REHEARSALS))) == (1, 0, 0, 3)
    assert len(to_come(maker.bench)) == len(engagements(maker.bench)) == 4


def test_what_the_maker_changed_stays_until_the_calendar_says_otherwise_of_that(maker: Maker, tmp_path: Path) -> None:
    read_in(maker, calendar(tmp_path, concert(), concert(uid="3", day="20261224")))
    maker.type("engage 20 dec 4", "engage 24 dec off")
    assert counts(read_in(maker, calendar(tmp_path, concert("20"), concert(uid="3", day="20261224")))) == (0, 1, 0, 1)
    (one,) = to_come(maker.bench)
    assert engagement_line(one) == "Sun 20 Dec 2026 20:30  4 English horn reeds, performance, 29 min  Concert"


def test_engagements_of_another_calendar_and_past_ones_stay(maker: Maker, tmp_path: Path) -> None:
    maker.type("engage friday 19:30 eh")
    read_in(maker, calendar(tmp_path, concert(day="20261126"), concert(uid="2", day="20261224")))
    maker.clock.forward(days=2)
    assert counts(read_in(maker, calendar(tmp_path, concert(uid="2", day="20261224")))) == (0, 0, 0, 1)
    assert len([one for one in engagements(maker.bench) if not one.off]) == 3


def test_another_calendar_of_the_same_name_is_refused_and_can_be_named(maker: Maker, tmp_path: Path) -> None:
    read_in(maker, calendar(tmp_path, concert()))
    other = calendar(tmp_path, concert(uid="other"))
    with pytest.raises(InputError, match="none of the 1 engagements of the calendar Choir is in it"):
        plan_calendar(other, maker.bench, {})
    assert counts(plan_calendar(other, maker.bench, {}, name="Quartet")) == (1, 0, 0, 0)


def test_words_of_titles_are_remembered_and_can_be_changed(maker: Maker, tmp_path: Path) -> None:
    path = calendar(tmp_path, concert(title="Brahms requiem, concert"), concert(uid="3", title="Coffee"))
    mass = {"requiem": {"instrument": "oboe", "reeds": 3}}
    plan = read_in(maker, path, **mass)
    assert [(t.title, t.meaning.words if t.meaning else None) for t in plan.titles] == [
        ("Brahms requiem, concert", ("requiem", "concert")), ("Coffee", None),
    ]  # fmt: skip
    assert counts(plan_calendar(path, maker.bench, {})) == (0, 0, 0, 1)
    maker.type("calendar requiem eh 2", "calendar coffee oboe 1 lesson")
    assert counts(read_in(maker, path)) == (1, 1, 0, 0)
    maker.type("calendar coffee nothing")
    assert counts(read_in(maker, path)) == (0, 0, 1, 1)


def test_where_nothing_tells_the_instrument_it_is_asked(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="--word 'concert=oboe 2 performance'"):
        plan_calendar(calendar(tmp_path, concert()), Maker().bench, {})


@pytest.mark.parametrize(
    ("title", "engaged"),
    [("Tie 2 oboe blanks", False), ("No English horn blanks to tie any more", False), ("Blank verse, oboe", True)],
)
def test_what_is_to_be_tied_comes_back_from_a_telephone_as_no_engagement(title: str, engaged: bool) -> None:
    assert (Titles(Maker().bench).meaning(title) is not None) is engaged
