"""`reedkin season`."""

from __future__ import annotations

import sys
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from reedkin.store.calendars.writing import tying_uid, write_tyings
from reedkin.store.reading.lines import header_line
from tests.cli.conftest import CommandLine


@pytest.fixture
def season(run: CommandLine) -> CommandLine:
    run.enter("1-2 join oboe 2h score 9", "1-2 play 45 9", 'engage 26 march 19:30 2 "second night"')
    return run


def test_the_answer_and_a_calendar_of_it(season: CommandLine, tmp_path: Path) -> None:
    from ical.calendar_stream import IcsCalendarStream  # takes a second, which each worker would pay at the top

    file = tmp_path / "tie.ics"
    found = season.done("season", "--reach", "95%", "--most", "3", "--ics", str(file), "--json").json
    (one,) = found["engagements"]
    assert (one["at"], one["what"], one["instrument"]) == ("2026-03-26T19:30:00+01:00", "second night", "oboe")
    assert (found["reach"], found["most_in_a_week"]) == (0.95, 3)
    assert found["tie"]
    events = IcsCalendarStream.calendar_from_ics(file.read_text(encoding="utf-8")).events
    assert [(event.dtstart.isoformat(), event.summary) for event in events] == [
        (tie["by"], f"Tie {tie['blanks']} oboe blank{'s' * (tie['blanks'] > 1)}") for tie in found["tie"]
    ]
    text = season.done("season", "--reach", "95", "--most", "3").out
    assert "Thu 26 Mar 2026 19:30 2 ob  performance" in text
    assert "At most 3 blanks in a week (as you ask); to change it: set blanks 5." in text


def test_a_later_file_moves_what_an_earlier_one_told_and_cancels_the_rest(tmp_path: Path) -> None:
    from ical.calendar_stream import IcsCalendarStream

    file, now, log = tmp_path / "tie.ics", datetime(2026, 11, 25, 10, tzinfo=UTC), tmp_path / "log.jsonl"
    log.write_bytes(header_line("one", "2026-11-25T10:00:00+00:00"))

    def told(later: int, *tyings: tuple[date, str, int]) -> list[tuple[str, int | None, str, str]]:
        written = write_tyings(file, tyings, now + timedelta(hours=later), log)
        events = IcsCalendarStream.calendar_from_ics(written.read_text(encoding="utf-8")).events
        return [(one.uid, one.sequence, one.dtstart.isoformat(), one.status or "") for one in events]

    first = told(0, (date(2026, 12, 1), "oboe", 3), (date(2026, 12, 9), "oboe", 2), (date(2026, 12, 9), "bass oboe", 1))
    second = told(1, (date(2026, 12, 4), "oboe", 3))
    third = told(2)
    assert [uid for uid, *_ in first] == [
        tying_uid(log.read_bytes().strip(), *which) for which in (("oboe", 1), ("oboe", 2), ("bass oboe", 1))
    ]
    gone = ("2026-11-25", "CANCELLED")
    days = [(uid, day, state) for uid, _, day, state in second]
    assert days == [(first[0][0], "2026-12-04", ""), (first[1][0], *gone), (first[2][0], *gone)]
    assert {uid for uid, *_ in third} == {uid for uid, *_ in first}
    log.write_bytes(header_line("another", "2026-11-25T10:00:00+00:00"))
    assert told(3, (date(2026, 12, 4), "oboe", 3))[0][0] not in {uid for uid, *_ in first}
    assert [one[0][1] for one in (first, second, third)] == [29926680, 29926740, 29926800]


def test_how_many_blanks_a_week_has_can_be_set(season: CommandLine) -> None:
    season.enter("set blanks 2", f'engage 20 march 2 "{"a very long title " * 6}"')
    assert season.done("season", "--json").json["most_in_a_week"] == 2
    lines = season.done("season").out.splitlines()
    assert "At most 2 blanks in a week (as you set it); to change it: set blanks 4." in lines
    assert max(map(len, lines)) <= 80
    assert "    a very long title a very" in season.done("season").out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--reach", "much"), "much is no percentage; write --reach 90"),
        (("--reach", "100"), "100% cannot be planned for"),
        (("--until", "2026-01-01"), "is past; name a day to come"),
        (("--most", "0"), "0 blanks in a week cannot be"),
    ],
)
def test_what_cannot_be_is_told(season: CommandLine, words: tuple[str, ...], says: str) -> None:
    ran = season("season", *words)
    assert ran.code == 2
    assert says in ran.err


def test_where_the_library_is_missing_the_calendar_is_not_written(
    season: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "ical.calendar", None)
    ran = season("season", "--ics", str(tmp_path / "tie.ics"))
    assert ran.code == 2
    assert "A calendar is written by the library ical, which is not there" in ran.err
