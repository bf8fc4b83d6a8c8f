"""The entry line: whatever is typed is read without raising, and what is said of it points into it.

The clock stands at Wednesday 25 November 2026, 10:07.
"""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.domain.maker import Maker
from tests.grammar import phrases
from tests.strategies import texts

from reedkin.domain.uid import UidMaker
from reedkin.grammar.preview import cautions, preview
from reedkin.grammar.reading import read
from reedkin.grammar.recording import to_records
from reedkin.grammar.words.verbs import VERBS

_BENCH = Maker(
    "11 tie eh 60", "11 retire cracked", "11 tie ob 72", "12 join oboe 5h name Eva",
    "13 tie eh 60 tube T1 27; wire; tube", "session start",
)  # fmt: skip
PIECES = (
    *(verb.word for verb in VERBS), "s", "c", "w", "p", "m", "r", "n", "11", "12", "13", "11/1", "13-15", "eva", "#12",
    "99", ";", ";", "@", "@yesterday", "@10:30", "@12 March", "eh", "oboe d'amore", "60", "27", "8", ".5", "1/64 in",
    "1h20", "28 awg", "68 F", "45%", "tip", "heart", "lot", "tube", "shape", "T1", "#4", "#4-6", "at", "to", "for",
    "of", "on", "off", "only", "octaves", "C5", "-20c", "cracked", "closed up", "rehearsal", "start", "end",
    '"a note"', '"', "back", ",", "-", "take back", "12 March", "friday", "brass", "3 turns", "fresh knife", "xyz",
    "5 furlongs", "99999999999999999999",
)  # fmt: skip


def _is_sound(line: str) -> None:
    for hand in (None, _BENCH.bench.find("13"), _BENCH.bench.find("11/1")):
        reading = read(line, _BENCH.bench, hand, 7)
        for problem in (*reading.errors, *reading.questions):
            assert 0 <= problem.start <= problem.end <= len(line)
            assert problem.message
        preview(reading, _BENCH.bench)
        cautions(reading)
        if reading.ready and not reading.takes_back:
            records = to_records(reading, UidMaker(), _BENCH.clock.now(), None)
            assert len(records) == len(reading.actions)


@settings(max_examples=80, deadline=None)
@given(st.text(max_size=60) | texts(60))
@example("p45")
@example('n "open\\')
@example("\x00;@\ud7ff")
@example("¹²³ ٣ s ٣")
@example('eva took 13 "')
@example("13 reh gave Tom, reed 13 and")
@example(f"13 p 60 {'9' * 5000}")
def test_any_text_is_read_without_raising(line: str) -> None:
    _is_sound(line)


@settings(max_examples=120, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=12), st.sampled_from([" ", " ", " ", ""]))
def test_any_pieces_of_the_grammar_are_read_without_raising(pieces: list[str], between: str) -> None:
    _is_sound(between.join(pieces))


def test_what_makers_type_is_read_broken_off_before_its_last_word() -> None:
    for line, *_ in (*phrases.RIGHT, *phrases.ASKED):
        begun = line.rpartition(" ")[0]
        reading = read(begun, _BENCH.bench, _BENCH.hand)
        assert all(0 <= p.start <= p.end <= len(begun) for p in (*reading.errors, *reading.questions)), begun
