"""What can come next on an entry line."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.domain.maker import Maker
from tests.grammar.test_any_entry import PIECES

from reedkin.domain.reeds import Reed
from reedkin.grammar.completing.completion import MOST_OPTIONS, Completion, complete
from reedkin.grammar.reading import read


@pytest.fixture(scope="module")
def maker() -> Maker:
    """That of `_of_five_reeds`, whom no test has type anything."""
    return _of_five_reeds()


def _of_five_reeds() -> Maker:
    """English horn blank 145 in hand; 142 in progress, 12 (an oboe reed named Eva) in service, 11 retired."""
    maker = Maker(
        "11 tie eh 60 tube T9 27", "11 retire cracked",
        "12 join oboe 5h name Eva",
        "142 tie eh 60 lot 7 tube T4 27 thread red; s 10; wire 28 brass; tube 5",
        '143-145 tie eh 60 lot "Spring A" shape K',
        "143 lend to a pupil",
    )  # fmt: skip
    maker.take("145")
    return maker


def _complete(maker: Maker, line: str, minutes: int | None = None) -> Completion:
    return complete(line, maker.bench, maker.hand, minutes)


# At the start


def test_the_empty_line_offers_what_the_reed_in_hand_is_ready_for(maker: Maker) -> None:
    blank = _complete(maker, "")
    assert blank.options[:2] == ("scrape", "measure")
    assert blank.options[6:] == ("12", "142")
    assert blank.ghost == ""
    served = complete("", maker.bench, maker.reed("12"))
    assert served.options[0] == "play"
    assert complete("", maker.bench, maker.reed("11")).options[:3] == ("note", "score", "measure")
    assert complete("", maker.bench, maker.reed("143")).options[0] == "return"
    assert complete("", Maker().bench, None).options[:3] == ("tie", "join", "session")
    begun = Maker("1 tie oboe 72", "1 scrape")
    assert complete("", begun.bench, begun.hand).options == ("scrape", "clip", "crow", "measure", "wire", "tube", "1")


@pytest.mark.parametrize(
    ("line", "ghost", "options"),
    [
        ("sc", "rape", ("scrape", "score")),
        ("scr", "ape", ("scrape",)),
        ("cl", "ip", ("clip", "clean")),
        ("c", "lip", ("clip", "crow", "clean", "calendar")),
        ("re", "tire", ("retire",)),
        ("SC", "rape", ("scrape", "score")),
        ("scrape", "", ()),
        ("ta", "rget", ("target",)),
        ("t", "ube", ("tube", "tie", "target", "trial", "take back")),
        ("take", " back", ("take back",)),
        ("x", "", ()),
        ("cut", "", ("clip",)),
        ("died", "", ("retire",)),
        ("14", "2", ("142", "144", "145")),
        ("142", "", ()),
        ("#14", "2", ("#142", "#144", "#145")),
        ("142,14", "4", ("142,144", "142,145")),
        ("143-14", "", ()),
        ("11/", "", ()),
        ("ev", "a", ("Eva",)),
    ],
)
def test_a_word_at_the_start(maker: Maker, line: str, ghost: str, options: tuple[str, ...]) -> None:
    assert _complete(maker, line) == Completion(ghost, options, 0)


@pytest.mark.parametrize(
    ("line", "first", "never"),
    [
        ("12 ", "play", {"tie", "join", "return", "session"}),
        ("eva ", "play", {"tie"}),
        ("143 ", "return", {"sell", "lend", "tie"}),
        ("11 ", "note", {"scrape", "return"}),
        ("999 ", "tie", {"scrape", "note"}),
        ("142,12 ", "scrape", {"return"}),
        ("s 10; ", "scrape", {"return"}),
        ("retire worn; ", "note", {"scrape", "clip"}),
        ("142 retire worn; 12 ", "play", {"return"}),
        ("999 tie eh; ", "scrape", {"tie", "join"}),
    ],
)
def test_verbs_that_fit_the_reed(maker: Maker, line: str, first: str, never: set[str]) -> None:
    options = _complete(maker, line).options
    assert options[0] == first
    assert not never & set(options)


# After a verb


@pytest.mark.parametrize(
    ("line", "options"),
    [
        ("scrape tip ", ("heart", "back", "rails", "windows", "spine", "catch", "sides", "minutes")),
        ("scrape ", ("tip", "heart", "back", "rails", "windows", "spine", "catch", "sides")),
        ("p 45 8 ", ("practice", "lesson", "rehearsal", "performance", "response", "pitch", "stability", "tone")),
        ("wire 28 ", ("brass", "copper", "silver", "steel", "bronze", "off", "moved", "move")),
        ("wire 28 of ", ("brass", "copper", "silver", "steel", "bronze")),
        ("crow ", ("C5", "octaves", "single", "steady")),
        ("tube ", ("off", "5", "length")),
        ("clip ", ("to",)),
        ("tie eh 60 lot ", ('"Spring A"', "7")),
        ("tie eh 60 tube ", ("27", "T9")),
        ("tie eh 60 thread ", ("red",)),
        ("tie eh ", ("60", "overall", "tube", "lot", "shape", "gouge", "sink", "thread")),
        ("session ", ("start",)),
        ("session start 20 C ", ("fresh", "dull", "humidity", "knife")),
        ("lot ", ('"Spring A"', "7")),
        ("target ", ("English horn", "oboe", "oboe d'amore", "bass oboe")),
        ("set ", ("a4",)),
        ("sell to ", ("a pupil",)),
        ("sell ", ("to", "for", "unpaid", "paid")),
        ("paid ", ("a pupil",)),
        ("note ", ()),
        ("clean with a ", ()),
        ('s 10 "a note"', ()),
        ('s 10 "a no', ()),
    ],
)
def test_what_a_verb_still_takes(maker: Maker, line: str, options: tuple[str, ...]) -> None:
    said = _complete(maker, line)
    if line == "set ":
        assert said.options[0] == "a4"
    else:
        assert said.options == options
    assert said.start == len(line)


@pytest.mark.parametrize(
    ("line", "ghost"),
    [
        ("p 45 re", "hearsal"),
        ("p 45 rehearsal", ""),
        ("retire cl", "osed up"),
        ("retire n", "ever came good"),
        ("scrape ti", "p"),
        ("tie o", "boe"),
        ("tie eh 60 lot 7", ""),
        ("tie eh 60 lot ", '"Spring A"'),
        ("tie eh 60 shape ", "K"),
        ("tie eh lo", "t"),
        ("m ti", "p"),
        ("crow oct", "aves"),
        ("session st", "art"),
    ],
)
def test_the_rest_of_a_word(maker: Maker, line: str, ghost: str) -> None:
    assert _complete(maker, line).ghost == ghost


def test_causes_by_whether_the_reed_has_served(maker: Maker) -> None:
    assert _complete(maker, "retire ").options[0] == "never came good"
    assert _complete(maker, "12 retire ").options[:2] == ("worn", "closed up")


# As last time


@pytest.mark.parametrize(
    ("line", "ghost"),
    [
        ("wire", " 28 awg brass"),
        ("wire ", "28 awg brass"),
        ("w", "ire 28 awg brass"),
        ("tube", " 5"),
        ("12 wire", ""),
        ("142,144 wire", " 28 awg brass"),
        ("142,12 wire", ""),
        ("s", "crape 12m"),
        ("scrape", " 12m"),
        ("scrape ", "12m"),
        ("s tip", " 12m"),
        ("s ti", "p 12m"),
        ("s tip ", "12m"),
        ("s 5", ""),
        ("s 5 tip", ""),
        ("s only ", ""),
        ("tie", ' English horn 60 lot "Spring A" shape K'),
    ],
)
def test_the_ghost_shows_what_would_be_recorded(maker: Maker, line: str, ghost: str) -> None:
    assert _complete(maker, line, 12).ghost == ghost
    as_typed, as_shown = (read(text, maker.bench, maker.hand, 12) for text in (line, line + ghost))
    assert as_typed.ready
    assert [getattr(a, "facts", None) for a in as_typed.actions] == [
        getattr(a, "facts", None) for a in as_shown.actions
    ]


def test_a_unit_behind_its_number_is_whole(maker: Maker) -> None:
    assert (_complete(maker, "lot 7 250 g").ghost, _complete(maker, "lot 7 250 g").options) == ("", ())
    assert _complete(maker, "lot 7 250 go").ghost == "uge"
    assert _complete(maker, "lot Ana g").ghost == "ouge"
    assert _complete(maker, "tie eh 60 g").ghost == "ouge"  # no blank is weighed


# The time


@pytest.mark.parametrize(
    ("line", "ghost", "first"),
    [
        ("s 10 @", "", "yesterday"),
        ("s 10 @y", "esterday", "yesterday"),
        ("s 10 @ y", "esterday", "yesterday"),
        ("s 10 @yesterday", "", "yesterday"),
        ("s 10 @yesterday 1", "8:00", "yesterday 18:00"),
        ("s 10 @-", "1h", "-1h"),
    ],
)
def test_times(maker: Maker, line: str, ghost: str, first: str) -> None:
    said = _complete(maker, line)
    assert (said.ghost, said.options[0]) == (ghost, first)
    assert read(line[: said.start] + first, maker.bench, maker.hand).ready


def test_a_second_time_is_not_offered(maker: Maker) -> None:
    assert _complete(maker, "s 10 @today; c 1 @").options == ()


# Tab never makes a line wrong


def _closed(line: str, maker: Maker, hand: Reed | None) -> list[str]:
    return [p.message for p in read(line, maker.bench, hand, 7).errors if not p.open]


def _is_sound(line: str, maker: Maker, hand: Reed | None) -> None:
    said = complete(line, maker.bench, hand, 7)
    assert 0 <= said.start <= len(line)
    assert len(said.options) <= MOST_OPTIONS
    assert len(set(said.options)) == len(said.options)
    if not _closed(line, maker, hand):
        assert _closed(line + said.ghost, maker, hand) == [], said
    if not _closed(line[: said.start], maker, hand):
        for option in said.options:
            for after in ("", " "):
                assert _closed(line[: said.start] + option + after, maker, hand) == [], (option, said)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=6), st.integers(0, 4), st.sampled_from(["145", "12", "11", None]))
def test_tab_never_makes_a_line_wrong(maker: Maker, pieces: list[str], cut: int, hand: str | None) -> None:
    line = " ".join(pieces)
    _is_sound(line[: max(0, len(line) - cut)], maker, maker.reed(hand) if hand else None)


@settings(max_examples=15, deadline=None)
@given(st.text(max_size=30))
def test_any_text_is_completed_without_raising(maker: Maker, line: str) -> None:
    _is_sound(line, maker, maker.hand)


# From Tab to Tab


def _tabbed(maker: Maker, line: str, times: int) -> str:
    """The line after so many times Tab, as the entry line takes what is offered."""
    for _ in range(times):
        said = _complete(maker, line)
        if said.ghost:
            line += said.ghost
        elif said.options:
            line = f"{line[: said.start]}{said.options[0]} "
    return line


def test_tab_leads_to_a_line_that_can_be_recorded() -> None:
    """What a verb needs comes before what it may have: the minutes of the last playing, to whom, the cause."""
    maker = _of_five_reeds()
    maker.type("142 p 40")
    assert _tabbed(maker, "pl", 3) == "play 40 "
    assert _tabbed(maker, "12 ret", 3) == "12 retire worn "
    assert _tabbed(maker, "142 lend ", 3) == "142 lend to a pupil "
    assert all(maker.read(_tabbed(maker, begun, 3)).ready for begun in ("pl", "12 ret", "142 lend "))


def test_a_name_is_gone_on_with_from_its_first_word(maker: Maker) -> None:
    assert _complete(maker, "sell to a").options == ("a pupil",)
    assert _complete(maker, "sell to a p") == Completion("upil", ("a pupil",), len("sell to "))
    assert _complete(maker, "sell to a pupil ").options == ("for", "unpaid", "paid")
    assert _complete(maker, "lend to somebody").options == ()
