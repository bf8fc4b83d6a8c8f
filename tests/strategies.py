"""Things a log can hold, for hypothesis: facts of each kind of event, moments, notes, whole lineages as records.

What is made here is plausible: no event is one that the checks call impossible.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta, timezone
from functools import cache
from math import ceil, floor

from hypothesis import strategies as st

from reedkin.domain.checks import judge
from reedkin.domain.events import Amendment, Event, Record, Statement, Strike, reed_table
from reedkin.domain.facts import BEGINNINGS, BESIDE, FACTS, KINDS, Value
from reedkin.domain.pitch import Pitch
from reedkin.domain.reeds import State, advance
from reedkin.domain.uid import uuid7

Facts = dict[str, Value]
Draw = st.DrawFn

TYPED_KINDS = tuple(kind for kind in KINDS if kind != "assigned")
"""The kinds of event that a maker enters; the rest the program records by itself."""
LATER_KINDS = tuple(kind for kind in TYPED_KINDS if kind not in BEGINNINGS)

_NESTED = ("tube_mm", "heart_from_mm", "tip_from_mm", "overall_mm")
"""Distances from the butt that follow one another along a reed."""
_AWKWARD = (
    "7", "27", "4 a", "T12", "tip", "off", "to", "for", "on", "only", "#4", "-3", "a;b", "a@b", 'the "old" one', "\\",
    "two\nlines", "tab\there", "o'neil", "Ünïcode", "1/64", "4-6", "T1,T2", "c", "moved", " leading", "end ",
    "12 March", "quartet for 30", "x on 12 March", "[bold]", "\x1b[31m", "0", "é" * 30,
)  # fmt: skip


@cache
def texts(max_size: int = 25) -> st.SearchStrategy[str]:
    """Texts that are not blank: words, words the grammar has a use for, anything at all."""
    word = st.text("abcdeiorst", min_size=1, max_size=8)
    return st.one_of(st.sampled_from(_AWKWARD), word, st.text(max_size=max_size).filter(str.strip))


@cache
def notes() -> st.SearchStrategy[str]:
    """Notes, often none."""
    return st.one_of(st.just(""), texts(60))


@cache
def moments() -> st.SearchStrategy[datetime]:
    """Moments of the years in which reeds are made, with offsets from UTC that are in use, some to the microsecond."""
    zones = [timezone(timedelta(minutes=m)) for m in (0, 60, 120, -300, 330, 345, -570, 765)]
    first = datetime(1990, 1, 1, tzinfo=UTC)
    ticks = st.one_of(st.integers(0, 3_000_000_000).map(lambda s: s * 1_000_000), st.integers(0, 3 * 10**15))
    return st.tuples(ticks, st.sampled_from(zones)).map(
        lambda drawn: (first + timedelta(microseconds=drawn[0])).astimezone(drawn[1])
    )


@cache
def pitches() -> st.SearchStrategy[str]:
    """Pitches as the log keeps them."""
    named = st.tuples(st.integers(60, 96), st.integers(-100, 100)).map(lambda n: Pitch(note=n[0], cents=float(n[1])))
    heard = st.integers(500, 50_000).map(lambda n: Pitch(hertz=n / 10))
    return st.one_of(named, heard).map(str)


@cache
def values(name: str) -> st.SearchStrategy[Value]:
    """Values that a fact can have."""
    fact = FACTS[name]
    match fact.type:
        case "choice":
            return st.sampled_from(fact.choices)
        case "parts":
            parts = st.one_of(st.sampled_from(fact.choices), texts(10)) if fact.choices else texts(10)
            return st.lists(parts, min_size=1, max_size=4, unique=True).map(tuple)
        case "pitch":
            return pitches()
        case "date":
            return st.dates(date(2000, 1, 1), date(2099, 1, 1)).map(date.isoformat)
        case "time":
            return st.times().map(lambda at: f"{at:%H:%M}")
        case "yes":
            return st.booleans()
        case "keys":
            return st.sampled_from((*fact.choices, "pagedown,pageup", "right,left", "space,enter"))
        case "word":
            return texts()
        case "whole":
            assert fact.low is not None
            assert fact.high is not None
            return st.integers(ceil(fact.low), floor(fact.high))
        case "number":
            assert fact.low is not None
            assert fact.high is not None
            return st.integers(ceil(fact.low * 1000), floor(fact.high * 1000)).map(lambda n: n / 1000)


@st.composite
def facts_named(draw: Draw, names: tuple[str, ...]) -> Facts:
    """These facts, with lengths that can be those of one reed."""
    facts = {name: draw(values(name)) for name in names}
    nested = [name for name in _NESTED if name in facts]
    if len(nested) > 1:
        quarters = draw(st.lists(st.integers(80, 360), min_size=len(nested), max_size=len(nested), unique=True))
        facts |= {name: n / 4 for name, n in zip(nested, sorted(quarters), strict=True)}
    return facts


@st.composite
def facts_of(draw: Draw, kind: str, state: State | None = None) -> Facts:
    """Facts that an event of this kind can hold on a reed in this state."""
    return draw(_some_facts(kind).filter(lambda facts: _possible(kind, facts, state)))


def _possible(kind: str, facts: Mapping[str, Value], state: State | None) -> bool:
    return not any(f.severity == "impossible" for f in judge(kind, facts, state, "a note"))


@cache
def _choices(names: tuple[str, ...]) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(names), unique=True, max_size=6)


@st.composite
def _some_facts(draw: Draw, kind: str) -> Facts:
    taken = KINDS[kind].facts
    chosen = draw(_choices(taken)) if taken else []
    for needed in KINDS[kind].needs:
        if not set(needed) & {*chosen, "note"}:
            chosen.append(draw(st.sampled_from(needed)))
    names = tuple(name for name in taken if name in chosen and name in FACTS)
    return draw(facts_named(names))


@st.composite
def beside_facts(draw: Draw, table: str) -> Facts:
    """Facts that can be said of a thing beside the reeds."""
    chosen = draw(_choices(BESIDE[table].facts)) or BESIDE[table].facts[:1]
    return {name: draw(values(name)) for name in chosen}


class Uids:
    """Identifiers of one lineage, each sorting after the one before."""

    def __init__(self, milliseconds: int, low: int) -> None:
        self._milliseconds, self._low = milliseconds, low

    def new(self) -> str:
        self._low += 1
        return uuid7(self._milliseconds, self._low)


@st.composite
def uid_makers(draw: Draw) -> Uids:
    """Makers of identifiers, no two of which are likely to meet."""
    return Uids(draw(st.integers(1_500_000_000_000, 1_900_000_000_000)), draw(st.integers(0, 1 << 73)))


@st.composite
def lineages(draw: Draw, tags: st.SearchStrategy[str] | None = None, most: int = 12) -> list[Record]:
    """All records of one reed in the order in which they were written: its beginning, events that can follow one
    another (some at the same time), amendments, strikes, strikes of strikes."""
    uids = draw(uid_makers())
    tag = draw(tags if tags is not None else st.integers(1, 300).map(str))
    at = datetime(2015, 1, 1, tzinfo=UTC) + timedelta(minutes=draw(st.integers(0, 10_000_000)))
    kind = draw(st.sampled_from(BEGINNINGS))
    facts = draw(facts_of(kind))
    first = uids.new()
    records: list[Record] = [Event(first, first, kind, tag, at, at, uids.new(), facts, None, draw(notes()))]
    state = advance(State(), kind, facts)
    for _ in range(draw(st.integers(0, most))):
        at += timedelta(minutes=draw(st.sampled_from([0, 0, 1, 10, 600, 3000])))
        kind = draw(st.sampled_from(LATER_KINDS))
        facts = draw(_some_facts(kind))
        if not _possible(kind, facts, state):
            continue
        note = draw(texts()) if kind in ("noted", "heard") else draw(notes())
        records.append(Event(uids.new(), first, kind, tag, at, at, uids.new(), facts, None, note))
        state = advance(state, kind, facts)
    for _ in range(draw(st.integers(0, 3))):
        records.append(draw(_corrections(first, records, uids, at)))
    return records


@st.composite
def _corrections(draw: Draw, reed: str, records: list[Record], uids: Uids, now: datetime) -> Record:
    """An amendment of an event, or a strike of any record but the beginning."""
    later = [r for r in records if r.uid != reed]
    if later and draw(st.booleans()):
        return Strike(uids.new(), reed_table(reed), draw(st.sampled_from(later)).uid, now, uids.new())
    event = draw(st.sampled_from([r for r in records if isinstance(r, Event)]))
    facts = draw(facts_of(event.kind))
    at = event.at + timedelta(minutes=draw(st.integers(-30, 30)))
    return Amendment(uids.new(), reed, event.uid, at, now, uids.new(), facts, draw(texts()))


@st.composite
def statements(draw: Draw, table: str | None = None) -> Statement:
    """Something said of a thing beside the reeds."""
    table = table or draw(st.sampled_from([name for name in BESIDE if name != "sessions" and BESIDE[name].facts]))
    uids = draw(uid_makers())
    at = draw(moments())
    return Statement(uids.new(), table, draw(texts()), at, at, uids.new(), draw(beside_facts(table)))


@st.composite
def logs(draw: Draw, most: int = 4) -> list[Record]:
    """Records of several reeds, some with the same tag, and of things beside them."""
    # The milliseconds of two makers of identifiers may be drawn alike; those of one log never are.
    reeds = draw(st.lists(lineages(st.integers(1, 3).map(str), 6), max_size=most, unique_by=lambda r: r[0].uid[:13]))
    beside = draw(st.lists(statements(), max_size=3, unique_by=lambda said: said.uid[:13]))
    return [record for lineage in reeds for record in lineage] + list(beside)
