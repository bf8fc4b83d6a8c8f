"""Days of one month on each of which something is to be played, as on a tour. How people list days is common practice,
no source."""

from __future__ import annotations

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.grammar.actions import BesideAction
from reedkin.grammar.reading import read
from reedkin.grammar.rewording.several_days import several_days
from reedkin.grammar.words.tokens import tokens


@pytest.mark.parametrize(
    ("line", "days"),
    [
        ("engage 3, 5 and 7 jan oboe 2", "3 5 7"),
        ("engage 3,5,7 january oboe", "3 5 7"),
        ("engagement 14-17 jan. oboe", "14 15 16 17"),
        ("concerts 1, 3-5 and 9th jan oboe 2", "1 3 4 5 9"),
        ("rehearsal 21st & 22nd jan oboe", "21 22"),
    ],
)
def test_each_day_is_a_clause_of_its_own(line: str, days: str) -> None:
    parted = [[word.text for word in words] for words in several_days(tokens(line))]
    place = next(place for place, word in enumerate(parted[0]) if word.startswith("jan")) - 1
    assert " ".join(words[place] for words in parted) == days
    assert len({(*words[:place], *words[place + 1 :]) for words in parted}) == 1
    assert parted[0][0].startswith("engage")


@pytest.mark.parametrize(
    "line",
    [
        "engage 3 jan oboe 2",
        "engage 3 5 jan oboe",  # five reeds? no list of days without a comma
        "engage 5, 3 jan oboe",
        "engage 3, 5 oboe",
        "engage 30-40 jan oboe",
        "engage 3, to 5 jan oboe",
        "play 3, 5 jan",
        "scrape 3,5 10m",
        "concert 45 8",
        "engage 3,",
        "",
    ],
)
def test_what_lists_no_days_stays_whole(line: str) -> None:
    assert several_days(tokens(line)) == [tokens(line)]


def test_a_tour_is_an_engagement_on_each_day_at_the_same_hour() -> None:
    bench = Maker("1 tie oboe 72").bench
    reading = read("concerts 3-4 and 6 jan 20h oboe 2; engage 9 jan eh 1", bench, None)
    assert reading.ready
    said = [action.facts for action in reading.actions if isinstance(action, BesideAction)]
    year = NOW.year + 1 if (NOW.month, NOW.day) > (1, 9) else NOW.year
    assert [facts["day"] for facts in said] == [f"{year}-01-{day:02}" for day in (3, 4, 6, 9)]
    assert [(f["instrument"], f["reeds"], f.get("hour")) for f in said] == [
        *[("oboe", 2, "20:00")] * 3,
        ("english horn", 1, None),
    ]
