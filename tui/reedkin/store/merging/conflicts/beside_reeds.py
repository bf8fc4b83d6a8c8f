"""Conflicts about things beside the reeds, of which both logs said more: lots, tubes, orders, targets, settings."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from reedkin.bench.bearers import TAGS_TABLE
from reedkin.bench.correcting import Correction, Corrector
from reedkin.domain.events import Statement
from reedkin.domain.facts import FACTS, Value
from reedkin.domain.figures import moment_words
from reedkin.store.merging.conflicts.settling import HERE, THERE, Conflict, Sides, Way, unsay_way

_NAMES = {"lots": "lot", "tubes": "tube", "orders": "the order of", "targets": "the targets of",
          "settings": "the settings", "sessions": "the session of", "engagements": "the engagement of",
          "calendar": "what the calendar says of"}  # fmt: skip
_THINGS = ("lots", "tubes", "orders")
"""Tables in which whatever both logs say of a thing is told, since it may be two things of one name."""
_LATER = ("started", "ended")
"""Facts of which the later one may stand without a word."""


def in_sayings(sides: Sides) -> Iterator[Conflict]:
    """What the two logs say of one thing beside the reeds that does not go together."""
    for table in (*_NAMES, TAGS_TABLE):
        by_subject: dict[str, dict[str, list[Statement]]] = {}
        for said in sides.bench.beside.said(table):
            side = sides.of(said.uid)
            if side is not None:
                by_subject.setdefault(said.subject, {HERE: [], THERE: []})[side].append(said)
        for subject, of_side in by_subject.items():
            if of_side[HERE] and of_side[THERE]:
                yield from _conflict(sides, table, subject, of_side)


def _conflict(sides: Sides, table: str, subject: str, said: Mapping[str, Sequence[Statement]]) -> Iterator[Conflict]:
    known = {side: _together(one) for side, one in said.items()}
    if known[HERE] == known[THERE]:
        return
    differing = {name for name in known[HERE].keys() & known[THERE].keys() if known[HERE][name] != known[THERE][name]}
    if not differing and table not in _THINGS:
        return
    if table == TAGS_TABLE:
        yield _tags(sides, subject, known)
        return
    counts = max((one for side in said.values() for one in side), key=lambda one: one.uid)
    end = f" Where they differ, the one {sides.of(counts.uid)} counts, which was written last." if differing else ""
    alike = {name for name in known[HERE] if known[HERE][name] == known[THERE].get(name)}
    words = {side: _words(facts, alike) for side, facts in known.items()}
    ways = tuple(unsay_way(f"what was said {side} does not count", said[side]) for side in (HERE, THERE))
    yield Conflict(
        f"Both logs changed {_thing(sides, table, subject)}: {words[HERE]} here; {words[THERE]} there.{end}", ways
    )


def _together(said: Sequence[Statement]) -> dict[str, Value]:
    facts: dict[str, Value] = {}
    for one in said:
        facts |= one.facts
    return {name: value for name, value in facts.items() if name not in _LATER}


def _words(facts: Mapping[str, Value], alike: Container[str]) -> str:
    said = {name: value for name, value in facts.items() if name not in alike}
    told = (FACTS[name].told(value) if name in FACTS else f"{name} {value}" for name, value in said.items())
    return ", ".join(told) or "nothing else"


def _thing(sides: Sides, table: str, subject: str) -> str:
    if table == "settings":
        return _NAMES[table]
    if table == "orders":
        subject = str(sides.bench.beside.subjects(table)[subject].get("to", subject))
    elif table == "engagements":
        known = sides.bench.beside.subjects(table)[subject]
        subject = " ".join(str(known[name]) for name in ("day", "hour", "note") if name in known)
    elif table == "sessions" and (session := sides.bench.sessions.of(subject)) is not None:
        subject = moment_words(session.started)
    return f"{_NAMES[table]} {subject}"


def _tags(sides: Sides, reed: str, known: Mapping[str, Mapping[str, Value]]) -> Conflict:
    bench = sides.bench
    tags = {side: str(facts["tag"]) for side, facts in known.items()}
    now = bench.reed(reed)
    other = next(tag for tag in tags.values() if tag.casefold() != now.tag.casefold() or tag != now.tag)

    def plan(corrector: Corrector) -> Correction:
        return corrector.to_tag(bench.reed(reed), other)

    way = Way(f"it is called {other}", f"reedkin retag {now.label} {other}", plan)
    return Conflict(
        f"One reed got another tag in both: {tags[HERE]} here, {tags[THERE]} there. It is called {now.tag} now.", (way,)
    )
