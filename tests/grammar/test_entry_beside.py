"""The entry line: what is said of things beside the reeds, and taken back.

The clock stands at Wednesday 25 November 2026, 10:07.
"""

from __future__ import annotations

from tests.domain.maker import Maker

from reedkin.domain.events import Event, Statement
from reedkin.domain.facts import Facts
from reedkin.grammar.actions import BesideAction
from reedkin.grammar.reading import Reading


def _said(reading: Reading) -> list[tuple[str, str, Facts]]:
    assert not reading.errors, [p.message for p in reading.errors]
    return [(a.table, a.subject, a.facts) for a in reading.actions if isinstance(a, BesideAction)]


def test_lots_targets_and_settings(maker: Maker) -> None:
    assert _said(maker.read("lot 7 tube cane 11 mm 250 g from the spring harvest")) == [
        ("lots", "7", {"diameter_mm": 11, "grams": 250, "source": "the spring harvest"})
    ]
    assert _said(maker.read("target eh 60 tip 51")) == [
        ("targets", "english horn", {"overall_mm": 60, "tip_from_mm": 51})
    ]
    assert _said(maker.read("target oboe d'amore crow c5")) == [("targets", "oboe d'amore", {"crow": "C5"})]
    maker.type("set a4 442", "target eh overall 61", "lot 7 20 pieces")
    assert maker.bench.settings.a4 == 442
    assert maker.bench.settings.targets("english horn").overall_mm == 61
    assert maker.bench.beside.subjects("lots")["7"] == {"pieces": 20}


def test_a_session_from_its_start_to_its_end(maker: Maker) -> None:
    maker.type("session start 20 C 45% fresh knife")
    session = maker.bench.sessions.open()
    assert session is not None
    assert (session.room_c, session.humidity_pct, session.knife_fresh) == (20, 45, True)
    (scrape,) = maker.type("s 10")
    assert isinstance(scrape, Event)
    assert scrape.session == session.uid
    (earlier,) = maker.type("s 10 @yesterday")
    assert isinstance(earlier, Event)
    assert earlier.session is None
    assert maker.error("session start")[1].startswith("a session is running since 25 Nov 10:11; write session end")
    maker.type("session 21 C dull knife", "session end")
    assert maker.bench.sessions.open() is None
    ended = maker.bench.sessions.of(session.uid)
    assert ended is not None
    assert (ended.room_c, ended.knife_fresh, ended.ended is None) == (21, False, False)


def test_one_line_ends_a_session_and_starts_the_next(maker: Maker) -> None:
    maker.type("session start")
    first = maker.bench.sessions.open()
    records = maker.type("session end; session start 21 C; s 10")
    second = maker.bench.sessions.open()
    assert first is not None
    assert second is not None
    assert second.uid != first.uid
    assert [r.session for r in records if isinstance(r, Event)] == [second.uid]
    assert [r.subject for r in records if isinstance(r, Statement)] == [first.uid, second.uid]


def test_take_back(maker: Maker) -> None:
    for line in ("take back", " Take  BACK "):
        reading = maker.read(line)
        assert (reading.takes_back, reading.ready, reading.actions) == (True, True, ())


def test_a_session_may_be_named_the_other_way_round(maker: Maker) -> None:
    maker.type("start session 20 C")
    assert maker.bench.sessions.open() is not None
    maker.type("end session")
    assert maker.bench.sessions.open() is None


def test_undo_takes_back(maker: Maker) -> None:
    assert maker.read(" Undo").takes_back
