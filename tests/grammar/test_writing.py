"""Every event can be written as an entry line that reads back to it."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.domain.maker import Maker
from tests.strategies import TYPED_KINDS, Facts, facts_of, moments, notes, texts

from reedkin.domain.facts import BEGINNINGS, KINDS
from reedkin.errors import InputError
from reedkin.grammar.reading import ReedAction, read
from reedkin.grammar.writing import as_line

_BENCH = Maker("12 tie eh", "13 tie eh 60 tube T1 27").bench
_BLANK = Maker("12 tie eh").reed("12").now


def _reads_back(kind: str, facts: Facts, at: datetime, note: str) -> None:
    tag = "77" if kind in BEGINNINGS else "12"
    line = f"{tag} {as_line(kind, facts, at, note)}"
    reading = read(line, _BENCH)
    assert not reading.errors, (line, [p.message for p in reading.errors])
    (action,) = reading.actions
    assert isinstance(action, ReedAction)
    assert (action.kind, action.facts, action.at, action.note) == (kind, facts, at, note), line
    assert action.at.utcoffset() == at.utcoffset()


@pytest.mark.parametrize("kind", TYPED_KINDS)
@settings(max_examples=10, deadline=None)
@given(st.data())
def test_any_event_reads_back(kind: str, data: st.DataObject) -> None:
    facts = data.draw(facts_of(kind, None if kind in BEGINNINGS else _BLANK), label="facts")
    note = data.draw(texts(60) if kind in ("noted", "heard") else notes(), label="note")
    if kind == "handed over":  # which order it went to stays as it is, and what goes for money is sold
        sold = {"terms": "sold"} if facts.get("price") else {}
        facts = {**sold, **{name: value for name, value in facts.items() if name != "order"}}
    _reads_back(kind, facts, data.draw(moments(), label="at"), note)


@pytest.mark.parametrize(
    ("kind", "facts", "line"),
    [
        ("tied", {"instrument": "english horn", "overall_mm": 60, "lot": "7", "tube_mm": 27},
         "tie English horn 60 tube 27 mm lot 7"),
        ("tied", {"instrument": "oboe", "tube": "4", "tube_mm": 46.5}, "tie oboe tube #4 46.5 mm"),
        ("tied", {"instrument": "oboe", "tube": "the old one"}, 'tie only oboe tube "the old one"'),
        ("joined", {"instrument": "oboe d'amore", "hours_before": 5.5, "overall_mm": 61},
         "join oboe d'amore 5.5 h overall 61"),
        ("scraped", {"where": ("tip", "heart"), "minutes": 10}, "scrape tip heart 10 min"),
        ("scraped", {"where": ("the left corner",)}, 'scrape where "the left corner"'),
        ("clipped", {"clip_mm": 0.5}, "clip 0.5"),
        ("clipped", {"overall_mm": 57.5}, "clip to 57.5"),
        ("wired", {"gauge_awg": 28, "material": "brass", "turns": 3, "wire_mm": 31},
         "wire 28 awg brass 3 turns at 31"),
        ("wired", {}, "wire only"),
        ("wired", {"wire": "off"}, "wire off"),
        ("tubed", {"tubing_mm": 0}, "tube off"),
        ("crowed", {"crow": "C5 -20c", "octaves": True, "steadiness": 7}, "crow C5 -20c octaves steady 7"),
        ("crowed", {"crow": "518.5 Hz", "octaves": False}, "crow 518.5 Hz single"),
        ("measured", {"tip_from_mm": 50.5, "heart_from_mm": 43.5}, "measure tip 50.5 heart 43.5"),
        ("played", {"minutes": 45, "setting": "rehearsal", "score": 8}, "play 45 min score 8 rehearsal"),
        ("scored", {"response": 8, "pitch": 6}, "score response 8 pitch 6"),
        ("cleaned", {"how": "with a feather"}, "clean how with a feather"),
        ("soaked", {"minutes": 3, "how": "warm; salted"}, 'soak 3 min how "warm; salted"'),
        ("handed over", {"terms": "sold", "to": "the quartet", "price": 30}, "sell to the quartet for 30"),
        ("handed over", {"to": "order 12"}, "hand over to order 12"),
        ("saved", {"occasion": "the recital", "due": "2027-03-12"}, "save for the recital on 2027-03-12"),
        ("returned", {}, "return"),
        ("retired", {"cause": "never came good"}, "retire never came good"),
        ("noted", {}, 'note'),
    ],
)  # fmt: skip
def test_lines_are_as_a_maker_would_write_them(kind: str, facts: Facts, line: str) -> None:
    assert as_line(kind, facts) == line


def test_time_and_note_stand_behind() -> None:
    at = datetime.fromisoformat("2026-03-12T18:00:00+01:00")
    assert as_line("clipped", {"clip_mm": 1}, at, 'felt "hard"') == (
        'clip 1 @2026-03-12T18:00:00+01:00 "felt \\"hard\\""'
    )


def test_what_the_program_records_by_itself_has_no_line() -> None:
    assert "assigned" in KINDS
    with pytest.raises(InputError, match="assigned is recorded by the program itself"):
        as_line("assigned", {"trial": "gouge", "arm": "thin"})
