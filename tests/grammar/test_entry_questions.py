"""The entry line: what is odd is a question.

The clock stands at Wednesday 25 November 2026, 10:07.
"""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.domain.maker import Maker


@pytest.mark.parametrize(
    ("line", "words", "message"),
    [
        ("c 5", "5", "clip 5 mm is much; usual is 2.5 mm or less"),
        ("clip to 61", "to 61", "61 mm is longer than before (60 mm)"),
        ("measure 60.5", "60.5", "60.5 mm is longer than before (60 mm)"),
        ("s 10 @tomorrow", "@tomorrow", "26 Nov 2026 12:00 is still to come"),
        ("s 500", "500", "500 min is much; usual is 240 min or less"),
        ("wire 28; wire moved 30", "30", "30 awg is its gauge; where it was moved to is written moved at 30"),
        ("s 10 @18:00", "@18:00", "25 Nov 2026 18:00 is still to come"),
        ("s 10 @2026-11-24", "@2026-11-24", "24 Nov 2026 12:00 is before the reed was begun, 25 Nov 2026 10:10"),
        ("150 tie ob 60", "60", "60 mm for oboe: your target is 72 mm"),
        ("return", "return", "142 was not handed over"),
        ("sell to anna 18", "anna 18", "18 is taken for the price; if it is part of the name, put that in quotes"),
        ("lend to anna 18", "anna 18", "anna 18 is taken as the name; if 18 was paid, write anna price 18"),
        ("sell to order 7", "order 7", "there is no order 7"),
        ("p 45 8 brunch", "brunch", "brunch: not understood behind play; keep it as a note?"),
        ("150-152 tie eh name Eva", "name Eva", "one name for 3 reeds?"),
        ("150-152 tie eh tube #4", "#4", "one tube for 3 reeds? write tube #4-6"),
    ],
)
def test_odd_is_a_question(maker: Maker, line: str, words: str, message: str) -> None:
    pointed, said = maker.question(line)
    assert said.startswith(message)
    assert pointed in (words, words.split()[-1])


def test_what_is_odd_of_several_is_said_once(maker: Maker) -> None:
    maker.type("150-152 tie eh 60", "153 tie eh 50")
    assert [p.message for p in maker.read("150-152 c 5").questions] == ["clip 5 mm is much; usual is 2.5 mm or less"]
    (only,) = maker.read("150-153 clip to 55").questions
    assert only.message == "153: 55 mm is longer than before (50 mm)"


def test_a_tube_that_is_on_another_reed(maker: Maker) -> None:
    maker.type("150 tie eh tube T4 27")
    assert maker.question("151 tie eh tube t4") == ("t4", "tube t4 is on reed 150")
    maker.type("150 retire lost")
    assert maker.action("151 tie eh tube t4").facts == {"instrument": "english horn", "tube": "t4", "tube_mm": 27}


def test_an_end_before_something_that_was_done(maker: Maker) -> None:
    maker.type("s 10")
    later = maker.clock.now()
    maker.clock.forward(days=1)
    assert (
        "142 was scraped after that" in maker.question(f"retire worn @{(later - timedelta(minutes=2)).isoformat()}")[1]
    )
    assert not maker.read("retire worn").questions
