"""Engagements: entered, changed, moved, called off, taken back; and what cannot be is told."""

from __future__ import annotations

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.bench.correcting import Corrector
from reedkin.bench.engagements import (
    ENGAGEMENTS,
    engagement_as_dict,
    engagement_line,
    engagements,
    next_in_public,
    to_come,
)
from reedkin.domain.events import Statement, Strike
from reedkin.grammar.completing.completion import complete
from reedkin.grammar.preview import preview
from reedkin.grammar.reading import read


@pytest.fixture
def maker() -> Maker:
    """English horn and oboe, the oboe last; one engagement. Today is Wednesday, 25 November 2026."""
    return Maker("1-4 tie eh 60", "5 tie oboe 72", 'engage 12 March 19:30 eh 3 performance "second night"')


def lines(maker: Maker) -> list[str]:
    return [engagement_line(one) for one in to_come(maker.bench)]


def test_as_it_is_entered(maker: Maker) -> None:
    (one,) = engagements(maker.bench)
    assert engagement_line(one) == (
        "Fri 12 Mar 2027 19:30  3 English horn reeds, performance  second night"
    )  # fmt: skip
    told = engagement_as_dict(one, maker.bench.clock)
    assert (told["at"], told["what"]) == ("2027-03-12T19:30:00+01:00", "second night")
    assert (told["instrument"], told["reeds"], told["setting"]) == ("english horn", 3, "performance")


@pytest.mark.parametrize(
    ("line", "is_then"),
    [
        ("engage friday", "Fri 27 Nov 2026        2 oboe reeds, performance"),
        ("engage on friday at 7.30pm rehearsal", "Fri 27 Nov 2026 19:30  1 oboe reed, rehearsal"),
        ("engaged tomorrow 10:00-12:30 eh rehearsal", "Thu 26 Nov 2026 10:00  1 English horn reed, rehearsal, 2 h 30"),
        ('engage 3 oboe reeds on 12 dec 19.30 recital "x"', "Sat 12 Dec 2026 19:30  3 oboe reeds, performance  x"),
        ("engage tonight 20:00 practice 40 min", "Wed 25 Nov 2026 20:00  oboe, practice, 40 min"),
        ("engage 9:30 friday eh 1h20", "Fri 27 Nov 2026 09:30  2 English horn reeds, performance, 1 h 20"),
        ("e 24.12. 18:00 oboe 2 brahms requiem", "Thu 24 Dec 2026 18:00  2 oboe reeds, performance  brahms requiem"),
    ],
)
def test_as_she_writes_it(maker: Maker, line: str, is_then: str) -> None:
    maker.type(line)
    assert is_then in lines(maker)


@pytest.mark.parametrize(
    ("line", "says", "is_then"),
    [
        ("engage 12 March 19:30 4", "Fri 12 Mar 2027 19:30 “second night”: 4 reeds (was 3 reeds)", "4 English horn"),
        (
            "engage 12 March to 13 March 20:00",
            "“second night”: moved to Sat 13 Mar 2027 20:00",
            "Sat 13 Mar 2027 20:00",
        ),
        ("engage 12 March to 14 March", "moved to Sun 14 Mar 2027 19:30", "Sun 14 Mar 2027 19:30"),
        ('engage 12 March 19:30 "gala"', "“second night”: “gala”", "gala"),
        ("engage 12 March 19:30 rehearsal oboe", "oboe (was English horn), rehearsal (was performance)", "rehearsal"),
        ("engage 12 March off", "“second night”: called off", ""),
    ],
)
def test_one_that_is_there_is_changed(maker: Maker, line: str, says: str, is_then: str) -> None:
    assert says in preview(read(line, maker.bench), maker.bench)[0]
    (said,) = maker.type(line)
    assert is_then in "".join(lines(maker))
    assert len(engagements(maker.bench)) == 1
    maker.bench.add([Strike(maker.uids.new(), ENGAGEMENTS, said.uid, NOW, maker.uids.new())])
    assert "3 English horn reeds, performance  second night" in lines(maker)[0]


def test_a_day_may_have_several(maker: Maker) -> None:
    maker.type("engage 12 March 10:00 eh rehearsal")
    assert [line[16:21] for line in lines(maker)] == ["10:00", "19:30"]
    which = read("engage 12 March off", maker.bench).errors[0].message
    assert which == "which one, 10:00 rehearsal or 19:30 “second night”? write its hour, or what it is in quotes"
    maker.type('engage 12 March off "second night"')
    assert [line[16:21] for line in lines(maker)] == ["10:00"]


def test_the_next_in_public_is_the_first_for_which_reeds_are_wanted(maker: Maker) -> None:
    assert next_in_public(maker.bench, within=90) is None
    maker.type("engage 26 nov oboe rehearsal", "engage 27 nov oboe 0; engage 28 nov oboe; engage 29 nov oboe 4")
    maker.type("engage 28 nov off")
    found = next_in_public(maker.bench, within=4)
    assert found is not None
    assert (found.day.day, found.reeds) == (29, 4)
    assert next_in_public(maker.bench, within=3) is None


def test_what_may_be_a_further_one_is_asked(maker: Maker) -> None:
    (question,) = read("engage 12 March 4", maker.bench).questions
    assert question.message == "taken for 19:30 “second night”; for a further one write its hour"
    maker.type("engage friday")
    (question,) = read("engage friday 19:30", maker.bench).questions
    assert "a further one? to give that one its hour write engage 27 Nov 2026 to 27 Nov 2026 19:30" in question.message


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("engage", "on which day? such as engage 12 March 19:30 eh 3 performance"),
        ("engage eh 3", "on which day?"),
        ("engage 31 feb", "on which day?"),
        ("engage 13 March off", "there is no engagement on 13 Mar 2027"),
        ("engage 12 March 19:30 3", "that is what it says already"),
        ("engage 12 March 19:30", "what about 19:30 “second night”? such as off, to 13 March, or 4 reeds"),
        ("engage friday 7 800 reeds", "reeds is given twice"),
        ("engage friday 800", "reeds must be between 0 reeds and 100 reeds"),
        ("1 engage friday", "engage is not said of a reed"),
        ("engage friday 19:30; engage friday 19:30", "one line says once what is on 27 Nov 2026 19:30"),
    ],
)
def test_what_cannot_be_is_told(maker: Maker, line: str, says: str) -> None:
    assert any(says in error.message for error in read(line, maker.bench).errors)


@pytest.mark.parametrize(
    ("line", "asks"),
    [
        ("engage 2020-01-01 eh", "1 Jan 2020 is past: is it meant?"),
        ("engage 2031-01-01 eh", "1 Jan 2031 is more than two years ahead: is it meant?"),
        ("engage 12/3/2027 10:00", "12/3/2027 is taken as 12 March"),
        ("engage friday 50", "50 reeds is much"),
        ("engage 10 oct", "10 Oct 2026 has passed: is 10 Oct 2027 meant?"),
    ],
)
def test_what_is_odd_is_asked(maker: Maker, line: str, asks: str) -> None:
    assert any(asks in question.message for question in read(line, maker.bench).questions)


def test_without_a_reed_the_instrument_is_asked() -> None:
    errors = read("engage friday 19:30", Maker().bench).errors
    assert errors[0].message == "for which instrument? such as engage 27 Nov 2026 19:30 oboe"


def test_a_struck_one_is_none_whatever_was_said_of_it_later(maker: Maker) -> None:
    maker.type("engage 12 March to 13 March 20:00")
    first = maker.bench.beside.said(ENGAGEMENTS)[0]
    assert isinstance(first, Statement)
    maker.bench.add(Corrector(maker.bench, maker.uids).strike_said(first).records)
    assert engagements(maker.bench) == []


def test_what_can_come_next(maker: Maker) -> None:
    assert complete("en", maker.bench, None).ghost == "gage"
    assert complete("engage ", maker.bench, None).options[:3] == ("today", "tomorrow", "monday")
    assert complete("engage 12 M", maker.bench, None).options == ("march", "may")
    assert complete("engage friday 19:30 e", maker.bench, None).options == ("English horn",)
    maker.type("calendar mass eh 2 performance")
    assert complete("calendar ", maker.bench, None).options == ("mass",)
