"""The diary in words: each line as it stands, and what became of those that were moved, amended and struck."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.answers.diary import words
from reedkin.answers.diary.diary import Diary, DiaryLine, diary_of
from reedkin.bench.correcting import Correction, Corrector
from reedkin.domain.figures import moment_words
from reedkin.domain.reeds import Step


def _line(diary: Diary, kind: str, place: int = 0) -> DiaryLine:
    return [line for line in diary.lines if line.steps and line.steps[0].kind == kind][place]


def _correct(maker: Maker, plan: Correction) -> None:
    assert plan.ready, plan.errors
    maker.bench.add(plan.records)


def _steps(maker: Maker, kind: str) -> Iterable[Step]:
    return _line(diary_of(maker.bench), kind).steps


def test_the_whole_as_plain_text() -> None:
    """Days are parted by an empty row; a line names its reeds, itself by eight signs and how many more it has, its
    note; one of something beside the reeds names none."""
    maker = Maker("1-3 tie oboe 72 @3 nov", '1-2 scrape tip 10m "too thick" @3 nov', "lot 7 tube cane 11 mm")
    said = [re.sub(r"[0-9a-f]{8}", "00000000", line) for line in words.diary_text(diary_of(maker.bench))]
    assert said == [
        "Wed 25 Nov 2026",
        "  10:09  00000000  lot 7: tube cane diameter 11 mm",
        "",
        "Tue 3 Nov 2026",
        "  12:00  00000000+1  1, 2: scraped tip, 10 min  “too thick”",
        "  12:00  00000000+2  1–3: tied as oboe, 72 mm",
    ]


def test_what_is_said_of_an_order_tells_which_it_is() -> None:
    maker = Maker("order Ann 2 oboe", "order Ben 1 oboe", "order Ann/1 done", "order Ann 3 eh", "order Ann/2 by 3 dec")
    diary = diary_of(maker.bench)
    assert [words.what(line, diary) for line in diary.lines] == [
        "order Ann/2 (3 English horn reeds): by 3 Dec 2026", "order Ann: 3 English horn reeds",
        "order Ann/1 (2 oboe reeds): done", "order Ben: 1 oboe reed", "order Ann: 2 oboe reeds",
    ]  # fmt: skip
    assert len(diary.holding("ann 2 done").lines) == 1


def test_a_note_alone_is_told_as_one() -> None:
    maker = Maker("1 tie oboe 72", 'note "buzzes"')
    assert words.what(_line(diary_of(maker.bench), "noted"), diary_of(maker.bench)) == "note  “buzzes”"


def test_what_names_a_line_is_the_end_of_its_first_uid_and_how_many_more_it_has() -> None:
    maker = Maker("1-2 tie oboe 72", "lot 7 tube cane 11 mm")
    beside, tied = diary_of(maker.bench).lines
    assert beside.said is not None
    assert words.name_of(beside) == beside.said.uid[-8:]
    assert words.name_of(tied) == f"{tied.steps[0].event.uid[-8:]}+1"
    alone, _ = words.events_of(tied)
    assert words.name_of(alone) == tied.steps[0].event.uid[-8:]
    assert words.events_of(alone) == [alone]
    assert words.corrected(beside, diary_of(maker.bench)) == ""


def test_a_line_that_was_moved_says_where_to_and_the_other_where_from() -> None:
    maker = Maker("1-2 tie oboe 72", "5-6 tie oboe 72", "1-2 clip .5")
    _correct(
        maker, Corrector(maker.bench, maker.uids).to_reeds(_steps(maker, "clipped"), [maker.reed("5"), maker.reed("6")])
    )
    diary = diary_of(maker.bench)
    told = {words.labels(line, diary): line for line in diary.lines if line.steps[0].kind == "clipped"}
    assert (words.gone(told["1, 2"], diary), words.corrected(told["1, 2"], diary)) == ("moved to 5, 6", "")
    assert (words.gone(told["5, 6"], diary), words.corrected(told["5, 6"], diary)) == ("", "moved from 1, 2")
    # Of reeds that the log does not know nothing is told.
    unknown = Diary(diary.lines, {})
    assert words.gone(told["1, 2"], unknown) == "struck"
    assert words.corrected(told["5, 6"], unknown) == "moved from "
    shown = [line for line in words.diary_text(diary) if "[" in line]
    assert [line.partition("[")[2] for line in shown] == ["moved from 1, 2]", "moved to 5, 6]"]


def test_a_line_that_was_struck_says_so() -> None:
    maker = Maker("1 tie oboe 72", "clip .5")
    _correct(maker, Corrector(maker.bench, maker.uids).strike(_steps(maker, "clipped")))
    diary = diary_of(maker.bench)
    line = _line(diary, "clipped")
    assert words.gone(line, diary) == "struck"
    assert words.diary_as_dict(diary)["events"] == [words._event_as_dict(_line(diary, "tied").steps[0], diary)]


def test_a_line_that_was_given_another_day_says_which_it_had_last() -> None:
    maker = Maker("1 tie oboe 72 @1 nov", "clip .5")
    for day in (date(2026, 11, 20), date(2026, 11, 22)):
        maker.clock.forward(minutes=1)
        _correct(maker, Corrector(maker.bench, maker.uids).to_day(_steps(maker, "clipped"), day))
        diary = diary_of(maker.bench)
        before = {20: NOW + timedelta(minutes=1), 22: NOW + timedelta(minutes=1, days=-5)}[day.day]
        assert words.corrected(_line(diary, "clipped"), diary) == f"was {moment_words(before, year=False)}"


@pytest.mark.parametrize(
    ("day", "said"), [(date(2026, 11, 3), "Tue 3 Nov 2026"), (date(2026, 11, 24), "Tue 24 Nov 2026")]
)
def test_a_day(day: date, said: str) -> None:
    assert words.day_words(day) == said
