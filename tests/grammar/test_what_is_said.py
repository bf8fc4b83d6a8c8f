"""What the line says back: in which words, of which part of it, and not before a word is out."""

from __future__ import annotations

import pytest
from tests.domain.maker import Maker

from reedkin.grammar.completing.completion import complete
from reedkin.grammar.reading import read


@pytest.mark.parametrize(
    "line",
    [
        "yesterday 12 play 30",
        "12 played 1h20 in the concert",
        "took 0.3 off the tip of 12",
        "142 scraped the tip for 10 minutes",
        "lot 14 cane 10.5 mm 250 g",
        "set price tube 8",
        "12 is 71.9 mm long",
        "142, 12 and 142 play 20 min",
    ],
)  # fmt: skip
def test_while_a_right_line_is_typed_nothing_is_called_wrong(maker: Maker, line: str) -> None:
    """Nothing shouts, and a word half typed is not spoken of at all."""
    for length in range(1, len(line)):
        typed = line[:length]
        reading = read(typed, maker.bench, maker.bench.find("142"))
        shouted = [p.message for p in reading.errors if not p.open]
        assert not shouted, typed
        if typed[-1].isalpha() and typed.rsplit(" ", 1)[-1] not in ("took", "yesterday", "the", "and", "is", "to"):
            spoken = [p.message for p in reading.errors if not p.half_typed and "is not a verb" in p.message]
            assert not spoken or line.startswith(("took", "12 is")), typed


@pytest.mark.parametrize("line", ["12 celan", "12 scrpe tip", "asdfg"])
def test_what_no_known_word_goes_on_from_is_told_at_once(maker: Maker, line: str) -> None:
    assert not any(p.half_typed for p in maker.read(line).errors)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("12 reitre cracked", "reitre is not a verb; did you mean retire?"),
        ("12/5 c .5", "there is no reed 12/5; of that tag there was 12/1"),
        ("12-", "up to which reed? such as 12-17"),
        ("12/", "which of them? such as 12/1"),
        ("12 retire worn; play 30", "12 is retired earlier on this line; write what was done before that first"),
        ("45 tie eh 60; 45 tie eh 60", "45 is begun on this line already"),
        ("12 crow 520 cents", "520 cents is not understood; crow is in Hz, or a note and cents: C5 -20c"),
        ("12 wire off on", "on does not go with off"),
        ("12 wire off 28", "28 is not understood; off is said already; a note stands in quotes"),
        ("12 p 30 @yesterdy", "yesterdy: did you mean yesterday?"),
        ("12 p 30 @30.02.2026", "30.02.2026 is no day or time; write @10:30, @yesterday 18:00 or @12 March"),
        ("paid 50", "who paid? such as paid quartet 50"),
        ("order 3 eh", "whose order? such as order quartet 3 eh by 12 March  or  order quartet done"),
        ("engage yesterday eh 3", "yesterday is over; an engagement is still to come"),
        ("9 tie eh 600", "overall length must be between 20 mm and 150 mm"),
        ("12 sell to Ann for -3", "price must be between 0 and 1,000,000"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_in_words_that_fit(maker: Maker, line: str, words: str) -> None:
    said = maker.read(line).errors[0].message
    assert said == words
    assert len(said) <= 2 * 76, "two lines at 80 columns"


def test_a_time_that_is_asked_about_is_marked_itself(maker: Maker) -> None:
    for line in ("12 p 30 @tomorrow; c .5", "12 p 30 tomorrow; 142 p 20"):
        start = line.index("@") if "@" in line else line.index("tomorrow")
        asked = maker.read(line).questions[0]
        assert (asked.start, asked.end) == (start, line.index(";"))


def test_behind_a_comma_no_reed_is_guessed(maker: Maker) -> None:
    completion = complete("12,", maker.bench, None)
    assert not completion.ghost
    assert completion.options == ("12,142",)
