"""What is plausible word by word and odd as a whole: it is asked about, or shared out, and never taken in silently.

The clock stands at Wednesday 25 November 2026, 10:07, and goes on by a minute with each line.
"""

from __future__ import annotations

from time import process_time

import pytest
from tests.domain.maker import Maker

from reedkin.grammar.actions import ReedAction
from reedkin.grammar.completing.completion import complete
from reedkin.grammar.preview import preview


@pytest.fixture
def maker() -> Maker:
    return Maker("1-3 tie eh 60")


def asked(maker: Maker, line: str) -> list[str]:
    reading = maker.read(line)
    assert reading.ready
    return [question.message for question in reading.questions]


@pytest.mark.parametrize(
    ("line", "clock", "minutes"),
    [
        ("1-3 s tip", 7, [3, 2, 2]),
        ("1-3 s tip", 2, [1, 1, None]),
        ("1 s tip; 2 s heart; 3 s back 5m", 7, [4, 3, 5]),
        ("1 s tip; 1 s heart", 4, [2, 2]),
        ("1-3 s tip 10m", 7, [10, 10, 10]),
        ("1-2 s tip", None, [None, None]),
    ],
)
def test_the_minutes_of_the_bench_clock_are_shared_among_the_reeds_of_an_entry(
    maker: Maker, line: str, clock: int | None, minutes: list[int | None]
) -> None:
    reading = maker.read(line, clock)
    assert [a.facts.get("minutes") for a in reading.actions if isinstance(a, ReedAction)] == minutes
    shared = clock is not None and None not in minutes[:1] and line.count("10m") == 0
    assert (f"({clock} min of the bench clock, shared)" in preview(reading, maker.bench)[0]) == shared


def test_an_order_is_done_without_a_question_once_its_reeds_are_out(maker: Maker) -> None:
    maker.type("order quartet 3 eh by 20 Dec")
    assert asked(maker, "order quartet done") == ["0 of 3 English horn reeds out yet: done all the same?"]
    maker.type("1-2 sell quartet")
    assert asked(maker, "order quartet done") == ["2 of 3 English horn reeds out yet: done all the same?"]
    maker.type("3 sell quartet")
    assert asked(maker, "order quartet done") == []


def test_a_session_that_runs_is_given_its_room(maker: Maker) -> None:
    maker.type("session start")
    running = maker.bench.sessions.open()
    assert running is not None
    maker.type("session start 20 C 45%")
    session = maker.bench.sessions.open()
    assert session is not None
    assert (session.uid, session.started, session.room_c, session.humidity_pct) == (
        running.uid, running.started, 20, 45,
    )  # fmt: skip


@pytest.mark.parametrize("handed", ["sell to Ann", "give to Ann"])
def test_playing_a_reed_that_is_somebody_elses_is_asked(maker: Maker, handed: str) -> None:
    maker.type(f"1 {handed}")
    assert "if it is back, write return first" in asked(maker, "1 p 30 8")[0]
    maker.type("1 return")
    assert asked(maker, "1 p 30 8") == []


@pytest.mark.parametrize("line", ["1 p 40 8", "1 w 28 awg at 31", "1 tube 5", "1 note buzzes"])
def test_the_same_within_minutes_is_asked_and_later_or_otherwise_is_not(maker: Maker, line: str) -> None:
    maker.type(line)
    assert asked(maker, line)[0].endswith("is recorded already at 10:08: once more?")
    assert asked(maker, line.replace("1 ", "2 ", 1)) == []
    maker.clock.forward(minutes=15)
    assert not any("once more?" in question for question in asked(maker, line))


@pytest.mark.parametrize("line", ["1 s tip 5m", "1 c .2", "1 crow C5"])
def test_what_is_done_over_and_over_is_not_asked(maker: Maker, line: str) -> None:
    maker.type(line)
    assert asked(maker, line) == []


def test_a_preview_leaves_out_reeds_to_which_an_entry_does_nothing_more(maker: Maker) -> None:
    maker.type("1 play 40 8")
    assert preview(maker.read("1-2 s tip 2m"), maker.bench) == ["1, 2: scraped tip, 2 min each → 2: in progress"]


def test_a_reed_that_was_never_scraped_is_asked_about_once_when_played(maker: Maker) -> None:
    assert asked(maker, "1 p 30") == []  # who notes no scraping at all is asked nothing
    maker.type("2 scrape tip 5m")
    assert asked(maker, "2 p 30") == []
    assert asked(maker, "1 scrape 5m; 1 p 30") == []
    assert asked(maker, "1 p 30") == ["no scraping of 1 is noted: is it this reed?"]
    maker.type("1 p 30", "4 join eh")
    assert asked(maker, "1 p 40") == []
    assert asked(maker, "4 p 30") == []


@pytest.mark.parametrize("line", ["engage 12 March", "order quartet 3"])
def test_an_instrument_that_is_not_named_is_asked_where_it_could_be_another(maker: Maker, line: str) -> None:
    assert asked(maker, line) == []
    maker.type("4 tie oboe 72")
    assert asked(maker, line) == ["for oboe, as you tied last? If not, add eh"]
    assert asked(maker, f"{line} eh") == []
    maker.type("5 tie da 60")
    assert asked(maker, line) == ["for oboe d'amore, as you tied last? If not, add ob or eh"]


def test_the_minutes_of_several_reeds_are_told_as_those_of_each(maker: Maker) -> None:
    assert preview(maker.read("1-2 s tip 40m"), maker.bench) == ["1, 2: scraped tip, 40 min each → in progress"]
    assert "played 1 h 30 each, rehearsal" in preview(maker.read("1-2 p 1h30 rehearsal"), maker.bench)[0]
    assert "each" not in preview(maker.read("1 s tip 40m"), maker.bench)[0]


def test_what_a_reed_lacks_is_told_where_it_is_said(maker: Maker) -> None:
    assert "stands on a line of its own, such as 14 lot 7" in maker.read("1 lot 7 @yesterday").errors[0].message


@pytest.mark.parametrize(
    "pasted", ["1 " + "foo " * 50_000, "1 clip .5; " * 5_000, '1 note "' + "x" * 2_000_000, "9-" * 60_000]
)
def test_a_text_that_was_pasted_by_mistake_is_refused_at_once(maker: Maker, pasted: str) -> None:
    """Read word by word it would take minutes, at every key anew."""
    start = process_time()
    reading = maker.read(pasted)
    assert not complete(pasted, maker.bench, None).options
    assert process_time() - start < 1
    assert "at most 10,000 characters" in reading.errors[0].message


def test_a_long_note_in_quotation_marks_is_none_too_long(maker: Maker) -> None:
    assert maker.read(f'1 note "{"every day a little better " * 350}"').ready
