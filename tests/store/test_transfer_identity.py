"""Export then import into an empty log gives the same lineages, whatever the log holds."""

from __future__ import annotations

import io
from datetime import datetime, timedelta, timezone
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from reedkin.bench.bench import Bench
from reedkin.domain.checks import judge
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Amendment, Event, Record, Statement, Strike, reed_table
from reedkin.domain.facts import BEGINNINGS, FACTS, KINDS, Value
from reedkin.domain.pitch import Pitch
from reedkin.domain.uid import UidMaker, uuid7
from reedkin.store.transfer.exporting import FORMATS, reeds_as_text
from reedkin.store.transfer.importing import plan_import
from reedkin.store.transfer.mapping import ColumnMap
from reedkin.store.transfer.read_rows import lines_of, rows_of

CLOCK = FixedClock(datetime(2026, 3, 12, 10, 7, tzinfo=timezone(timedelta(hours=1))))
TAGS = ("1", "2", "=7", "Ö'a")

chars = st.characters(exclude_categories=["Cs"])
notes = st.text(chars, max_size=8) | st.text("'=+-@\t\r\n \",;", max_size=5)
words = notes.map(lambda text: text.strip() or "K")
parts = st.lists(st.from_regex(r"[^\s,;]{1,5}", fullmatch=True), min_size=1, max_size=3, unique=True).map(tuple)
pitches = st.builds(Pitch, note=st.integers(60, 84), cents=st.sampled_from([-50.0, -20.5, 0.0, 33.0])).map(str)
moments = st.builds(
    lambda minutes, offset: datetime(2026, 1, 1, tzinfo=timezone(timedelta(hours=offset))) + timedelta(minutes=minutes),
    st.integers(0, 40_000), st.sampled_from([-5, 0, 1, 5.5]),
)  # fmt: skip


def value_of(name: str) -> st.SearchStrategy[Value]:
    fact = FACTS[name]
    match fact.type:
        case "choice":
            return st.sampled_from(fact.choices)
        case "number":
            return st.floats(fact.low or 0, fact.high or 1e6)
        case "whole":
            return st.integers(int(fact.low or 0), int(fact.high or 1000))
        case "yes":
            return st.booleans()
        case "parts":
            return parts
        case "pitch":
            return pitches
        case _:
            return words


@st.composite
def contents(draw: st.DrawFn, kind: str) -> dict[str, Value]:
    names = draw(st.lists(st.sampled_from(KINDS[kind].facts), unique=True, max_size=5)) if KINDS[kind].facts else []
    needed = [group[0] for group in KINDS[kind].needs if group[0] != "note"]
    return {name: draw(value_of(name)) for name in dict.fromkeys([*needed, *names])}


class Writing:
    """Writes a log as the program would: what cannot be at its time is not written."""

    def __init__(self) -> None:
        self.bench, self._count = Bench(CLOCK), 0

    def uid(self) -> str:
        self._count += 1
        return uuid7(1_770_000_000_000 + self._count, 1)

    def add(self, record: Record) -> None:
        self.bench.add([record])


@st.composite
def logs(draw: st.DrawFn) -> Bench:
    log = Writing()
    sessions: list[str | None] = [None]
    for _ in range(draw(st.integers(1, 25))):
        what = draw(st.sampled_from(["event"] * 8 + ["session", "amendment", "strike"]))
        at = draw(moments)
        if what == "session":
            sessions.append(_session(draw, log, at))
        elif what == "event":
            _event(draw, log, at, draw(st.sampled_from(sessions)))
        elif log.bench.reeds():
            _correction(draw, log, at, what)
    return log.bench


def _session(draw: st.DrawFn, log: Writing, at: datetime) -> str:
    uid = log.uid()
    facts: dict[str, Value] = {"started": at.isoformat()}
    if draw(st.booleans()):
        facts["ended"] = (at + timedelta(hours=2)).isoformat()
    for name in ("room_c", "humidity_pct", "knife_fresh"):
        if draw(st.booleans()):
            facts[name] = draw(value_of(name))
    log.add(Statement(uid, "sessions", uid, at, at, uid, facts))
    return uid


def _event(draw: st.DrawFn, log: Writing, at: datetime, session: str | None) -> None:
    tag = draw(st.sampled_from(TAGS))
    reed = None if log.bench.tags.is_free(tag) and draw(st.booleans()) else log.bench.find(tag)
    kind = draw(st.sampled_from(BEGINNINGS if reed is None else tuple(k for k in KINDS if k not in BEGINNINGS)))
    facts, note, uid = draw(contents(kind)), draw(notes), log.uid()
    if any(f.severity == "impossible" for f in judge(kind, facts, reed.now if reed else None, note)):
        return
    if reed is None and not log.bench.tags.is_free(tag):
        return
    log.add(Event(uid, reed.id if reed else uid, kind, tag, at, at, uid, facts, session, note))


def _correction(draw: st.DrawFn, log: Writing, at: datetime, what: str) -> None:
    reed = draw(st.sampled_from(log.bench.reeds()))
    step = draw(st.sampled_from(reed.steps))
    uid = log.uid()
    if what == "strike":
        log.add(Strike(uid, reed_table(reed.id), step.event.uid, at, uid))
        return
    facts = draw(contents(step.kind))
    note = draw(notes)
    if not any(f.severity == "impossible" for f in judge(step.kind, facts, step.before, note)):
        log.add(Amendment(uid, reed.id, step.event.uid, at, at, uid, facts, note))


def lineages(bench: Bench) -> list[tuple[Any, ...]]:
    return [
        (reed.id, reed.tag, reed.bearer, reed.now,
         [(s.event.uid, s.kind, s.at, dict(s.facts), s.note, bench.sessions.of(s.session)) for s in reed.standing])
        for reed in bench.reeds()
    ]  # fmt: skip


@given(bench=logs())
def test_export_then_import_is_the_identity(bench: Bench) -> None:
    """In every form, of one log: to draw it takes longer than all else."""
    there = lineages(bench)
    for form in FORMATS:
        content = reeds_as_text(bench.reeds(), bench, form).encode()
        plan = plan_import(rows_of(lines_of(io.BytesIO(content)), ColumnMap()), Bench(CLOCK), UidMaker(), CLOCK)
        assert plan.faults == (), form
        assert lineages(Bench.of(CLOCK, plan.records)) == there, form
        again = plan_import(rows_of(lines_of(io.BytesIO(content)), ColumnMap()), bench, UidMaker(), CLOCK)
        assert (again.records, again.faults) == ((), ()), form
