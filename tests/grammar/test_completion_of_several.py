"""What can come next where a line speaks of several reeds, of some that it begins, or in several clauses."""

from __future__ import annotations

import pytest
from tests.domain.maker import Maker

from reedkin.grammar.clause.clauses import LONGEST_LINE
from reedkin.grammar.completing.completion import Completion, complete


@pytest.fixture(scope="module")
def maker() -> Maker:
    """English horn blank 145 in hand; 142 in progress, 12 in service, 143 lent, 11 retired; 7, Cro and A-1 begun."""
    maker = Maker(
        "7 tie eh 60", "Cro tie eh 60", "A-1 tie eh 60",
        "11 tie eh 60", "11 retire cracked",
        "12 join oboe 5h name Eva", "12 play 45 8",
        "142 tie eh 60 tube 27", "142 s 10; wire 28 brass",
        "143 tie eh 60", "143 lend to a pupil",
        "145 tie eh 60",
    )  # fmt: skip
    maker.take("145")
    return maker


def _complete(maker: Maker, line: str) -> Completion:
    return complete(line, maker.bench, maker.hand, 12)


def test_a_line_is_completed_up_to_the_longest(maker: Maker) -> None:
    line = "sc".rjust(LONGEST_LINE)
    assert _complete(maker, line).options == ("scrape", "score")
    assert _complete(maker, f" {line}") == Completion("", (), LONGEST_LINE + 1)


@pytest.mark.parametrize(
    ("line", "options"),
    [
        # Of a retired reed little is said, also where another is not.
        ("11,12 ", ("note", "score", "measure")),
        # All that come back were away; none that is handed over is.
        ("142 se", ("sell",)),
        ("143 se", ()),
        ("143,142 se", ()),
        ("143 re", ("return", "retire")),
        ("143,142 re", ("retire",)),
        # The verb that a letter means is first, whatever is likelier.
        ("143 r", ("retire", "return")),
        # A new reed's tag is one that none at work has, nor one that the line began before; all of them are new.
        ("11 ti", ("tie",)),
        ("12 ti", ()),
        ("999,998 ti", ("tie",)),
        ("999,142 ti", ()),
        ("998 tie eh; 999 ti", ("tie",)),
        ("999 tie eh; 999 ti", ()),
        # Tags stand before the verb, once; in a list each is completed by itself, and marked where it reads as a verb.
        ("142 14", ()),
        ("142,14", ("142,145",)),
        ("11/1,14", ("11/1,142", "11/1,145")),
        ("142-143,7", ()),
        ("142-143,14", ("142-143,142", "142-143,145")),
        ("cr", ("crow", "#Cro")),
        ("142,cr", ("142,Cro",)),
        ("#", ("#7", "#Cro", "#A-1", "#12", "#142", "#145")),
        ("a-", ("A-1",)),
        # What a clause cannot be read for ends it; what is asked about a clause does not.
        ("xyz; 12 p", ()),
        ("142 xyz; 12 p", ("play",)),
    ],
)
def test_words(maker: Maker, line: str, options: tuple[str, ...]) -> None:
    assert _complete(maker, line).options == options


@pytest.mark.parametrize(
    ("line", "first"),
    [
        ("998 tie oboe 72; ", "scrape"),  # of the reed that was begun
        ("998 tie oboe 72; 12 ", "play"),  # of the one that is named
        ("142 retire worn; 142 ", "note"),
    ],
)
def test_what_a_clause_is_about_is_the_reed_as_the_clauses_before_leave_it(maker: Maker, line: str, first: str) -> None:
    assert _complete(maker, line).options[0] == first


@pytest.mark.parametrize(
    ("line", "ghost"),
    [
        # The minutes of the bench clock are one scrape's of one reed.
        ("scrape", " 12m"),
        ("142,145 scrape", ""),
        ("142 s; 145 scrape", ""),
        ("142 s tip; 145 scrape", ""),
        ("142 s 5; 145 scrape", " 12m"),
        ("142 s only; 145 scrape", " 12m"),
        ("142 clip 1; 145 scrape", " 12m"),
        ("997 tie eh 60; 998 tie oboe 72; scrape", " 12m"),
        ("tie oboe 72; clip 1; scrape", " 12m"),
        # A wire is repeated from a reed of the same instrument; what was played is not repeated.
        ("wire", " 28 awg brass"),
        ("998 tie oboe 72; wire", ""),
        ("tie oboe 72; wire", ""),
        ("12 p", "lay"),
        # A whole word is not made a longer one.
        ("wire 28 mov", "ed"),
        ("wire 28 move", ""),
        ("142 c", "lip"),
    ],
)
def test_the_likely_rest(maker: Maker, line: str, ghost: str) -> None:
    assert _complete(maker, line).ghost == ghost


def test_the_clocks_minutes_are_offered_to_one_scrape(maker: Maker) -> None:
    assert _complete(maker, "scrape minutes ").options == ("12m",)
    assert _complete(maker, "142,145 scrape minutes ").options == ()


def test_a_reed_is_tied_as_last_time_where_none_is_in_hand() -> None:
    maker = Maker("145 tie eh 60 shape K")
    assert complete("tie", maker.bench, None).ghost == " English horn 60 shape K"
    assert complete("wire", maker.bench, None).ghost == ""
