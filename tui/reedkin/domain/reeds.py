"""A reed is the fold of its lineage: replaying its standing events in order gives what it is now, and what it was
before and after each of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import NamedTuple

from reedkin.domain.events import Amendment, Event, Place, Record, Strike, standing
from reedkin.domain.facts import Facts, day_of
from reedkin.domain.known import minutes_played, number
from reedkin.domain.playability import overall_score
from reedkin.domain.words import OFF, WEAR_CAUSES

BLANK, IN_PROGRESS, IN_SERVICE, HANDED_OVER, RETIRED = "blank", "in progress", "in service", "handed over", "retired"
AT_WORK = (BLANK, IN_PROGRESS, IN_SERVICE)
"""The stages of the reeds that are on the bench or in the case."""


@dataclass(frozen=True, slots=True)
class Wire:
    """The wire that is on a reed; what was not noted is None."""

    gauge_awg: int | None = None
    material: str | None = None
    turns: int | None = None
    from_butt_mm: float | None = None


class State(NamedTuple):
    """What a reed is at one moment of its life. Lengths in mm from the butt of the tube, time in whole minutes.

    A named tuple, because a fold makes one for every event and copying a dataclass of so many fields takes ten times
    as long.
    """

    instrument: str = ""
    stage: str = BLANK
    overall_mm: float | None = None
    tied_mm: float | None = None
    tube: str | None = None
    tube_mm: float | None = None
    lot: str | None = None
    shape: str | None = None
    gouge_mm: float | None = None
    sink_min: float | None = None
    thread: str | None = None
    name: str | None = None
    tip_from_mm: float | None = None
    heart_from_mm: float | None = None
    opening_mm: float | None = None
    width_mm: float | None = None
    wire: Wire | None = None
    tubing_mm: float | None = None
    crow: str | None = None
    score: float | None = None
    minutes_played: int = 0
    minutes_before: int = 0
    playings: int = 0
    cause: str | None = None
    terms: str | None = None
    to: str | None = None
    saved_for: str | None = None
    saved_until: date | None = None
    left_as: str | None = None
    """The stage it was handed over in."""

    @property
    def blade_mm(self) -> float | None:
        """Blade from the end of the tube to the tip."""
        return _less(self.overall_mm, self.tube_mm)

    @property
    def tip_mm(self) -> float | None:
        """Length of the tip, from where it meets the heart."""
        return _less(self.overall_mm, self.tip_from_mm)

    @property
    def heart_mm(self) -> float | None:
        """Length of the heart."""
        return _less(self.tip_from_mm, self.heart_from_mm)

    @property
    def hours(self) -> float:
        """Hours played in all, those before the log began among them."""
        return self.minutes_played / 60

    def saved_on(self, day: date) -> str | None:
        """The occasion it is saved for, if that is not past on a day."""
        past = self.saved_until is not None and self.saved_until < day
        return None if past else self.saved_for

    @property
    def keeps_tag(self) -> bool:
        """Whether no other reed may bear its tag: it is at work, or lent and expected back."""
        return self.stage in AT_WORK or (self.stage == HANDED_OVER and self.terms not in ("sold", "given"))


def _less(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else round(a - b, 4)


class Step(NamedTuple):
    """One event of a lineage as it stands now: its facts after amendment, and the reed before and after it. A named
    tuple, as a state is."""

    event: Event
    at: datetime
    facts: Facts
    note: str
    struck: bool
    amendments: tuple[Amendment, ...]
    before: State
    after: State
    moved_to: Place | None = None
    """Where it was moved to, if that is why it is struck."""

    @property
    def kind(self) -> str:
        return self.event.kind

    @property
    def session(self) -> str | None:
        """The work session that it belongs to; none once it was taken to another day, when the room was another."""
        event = self.event
        return event.session if self.at is event.at or self.at.date() == event.at.date() else None


@dataclass(frozen=True, slots=True)
class Reed:
    """A reed: its lineage and what it is now. `bearer` counts the reeds that bore this tag, from 1, and `bearers`
    is how many did."""

    id: str
    tag: str
    steps: tuple[Step, ...]
    now: State
    bearer: int = 1
    bearers: int = 1
    standing: tuple[Step, ...] = field(default=())

    @property
    def void(self) -> bool:
        """Whether its beginning was struck, so that it never was."""
        return self.steps[0].struck

    @property
    def stage(self) -> str:
        return self.now.stage

    @property
    def instrument(self) -> str:
        return self.now.instrument

    @property
    def at_work(self) -> bool:
        """On the bench or in the case: neither retired, nor handed over, nor struck."""
        return self.now.stage in AT_WORK and not self.void

    @property
    def begun(self) -> datetime:
        return self.steps[0].at

    @property
    def joined(self) -> bool:
        """Whether it was in use before the log began."""
        return self.steps[0].kind == "joined"

    @property
    def of_unknown_age(self) -> bool:
        """Whether it joined the log when it had been played for nobody knows how long."""
        return self.joined and "hours_before" not in self.steps[0].facts

    @property
    def last(self) -> Step:
        """Its latest standing event (its beginning if all else was struck)."""
        return self.standing[-1] if self.standing else self.steps[0]

    @property
    def label(self) -> str:
        """The tag; for a reed that is gone, with its number among the reeds that bore it where there are several."""
        return self.tag if self.at_work or self.bearers == 1 else f"{self.tag}/{self.bearer}"

    def was(self, moment: datetime) -> State:
        """What it was at a moment, by the standing events up to then; at first what its beginning made of it."""
        for step in reversed(self.steps[1:]):
            if step.at <= moment:
                return step.after
        return self.steps[0].after

    def of_kind(self, *kinds: str) -> Iterator[Step]:
        """The standing steps of these kinds, in order."""
        return (step for step in self.standing if step.kind in kinds)

    def first(self, kind: str) -> Step | None:
        return next(self.of_kind(kind), None)

    @property
    def last_played(self) -> Step | None:
        return next((step for step in reversed(self.standing) if step.kind == "played"), None)

    @property
    def service_from(self) -> datetime | None:
        """When service began: the first playing, or the joining of a reed that was in use already."""
        if self.joined:
            return self.begun
        first = self.first("played")
        return first.at if first else None

    @property
    def retirement(self) -> Step | None:
        return self.first("retired")


def fold(reed: str, records: Iterable[Record], bearer: int = 1, bearers: int = 1) -> Reed:
    """The reed that a lineage's records make. Records may come in any order.

    Raises ValueError if no record of it begins the reed.
    """
    events: list[Event] = []
    amendments: dict[str, list[Amendment]] = {}
    strikes: list[Strike] = []
    for record in records:
        if isinstance(record, Event):
            events.append(record)
        elif isinstance(record, Amendment):
            amendments.setdefault(record.of, []).append(record)
        elif isinstance(record, Strike):
            strikes.append(record)
    struck = standing(strikes)
    moved = {s.of: s.moved_to for s in strikes if s.moved_to is not None and s.uid not in struck}
    drafts = []
    for event in events:
        made = amendments.get(event.uid, ())
        changes = tuple(sorted((a for a in made if a.uid not in struck), key=lambda a: a.uid)) if made else ()
        source: Event | Amendment = changes[-1] if changes else event
        drafts.append((event, source, changes))
    drafts.sort(key=lambda d: (d[0].uid != reed, d[1].at, d[0].uid))
    if not drafts or drafts[0][0].uid != reed:
        raise ValueError(f"the lineage {reed} has no beginning")
    state, steps = State(), []
    for event, source, changes in drafts:
        out = event.uid in struck
        after = state if out else advance(state, event.kind, source.facts)
        steps.append(
            Step(event, source.at, source.facts, source.note, out, changes, state, after, moved.get(event.uid))
        )
        state = after
    kept = tuple(step for step in steps if not step.struck)
    return Reed(reed, drafts[0][0].tag, tuple(steps), state, bearer, bearers, kept)


def labels_of(reeds: Collection[Reed]) -> dict[str, str]:
    """What each of some reeds is called, by its id: its label; where two of them bear one tag, which logs of two
    computers may both have given, with its number among the reeds that bore it."""
    bearing = Counter(reed.tag.casefold() for reed in reeds)
    return {reed.id: reed.label if bearing[reed.tag.casefold()] == 1 else f"{reed.tag}/{reed.bearer}" for reed in reeds}


def extended(reed: Reed, event: Event) -> Reed | None:
    """The reed after one more event of its own: what `fold` would make, without going through the whole lineage again.
    None where the event does not come last, or is known already."""
    last = reed.steps[-1]
    later = last.event.uid == reed.id or (event.at, event.uid) > (last.at, last.event.uid)
    if not later or any(step.event.uid == event.uid for step in reed.steps):
        return None
    after = advance(reed.now, event.kind, event.facts)
    step = Step(event, event.at, event.facts, event.note, False, (), reed.now, after)
    return replace(reed, steps=(*reed.steps, step), now=after, standing=(*reed.standing, step))


def advance(state: State, kind: str, facts: Facts) -> State:
    """The reed after an event of this kind with these facts. Takes the facts as they are: `checks` judges them."""
    return _ADVANCE.get(kind, _unchanged)(state, facts)


def _unchanged(state: State, facts: Facts) -> State:
    return state


def _put(state: State, facts: Facts, *names: str) -> State:
    return state._replace(**{name: facts[name] for name in names if name in facts})  # type: ignore[arg-type]


_MADE_OF = (
    "instrument", "overall_mm", "tube", "tube_mm", "lot", "shape", "gouge_mm", "sink_min", "thread", "name",
    "tip_from_mm", "heart_from_mm",
)  # fmt: skip


def _tied(state: State, facts: Facts) -> State:
    state = _put(state, facts, *_MADE_OF)
    return state._replace(stage=BLANK, tied_mm=state.overall_mm)


def _joined(state: State, facts: Facts) -> State:
    state = _put(state, facts, *_MADE_OF)
    minutes = round((number(facts, "hours_before") or 0.0) * 60)
    return state._replace(stage=IN_SERVICE, minutes_before=minutes, minutes_played=minutes, score=overall_score(facts))


def _worked(state: State, facts: Facts) -> State:
    return state._replace(stage=IN_PROGRESS) if state.stage == BLANK else state


def _clipped(state: State, facts: Facts) -> State:
    state = _worked(state, facts)
    if "overall_mm" in facts:
        return _put(state, facts, "overall_mm")
    return state._replace(overall_mm=_less(state.overall_mm, facts.get("clip_mm")))  # type: ignore[arg-type]


def _wired(state: State, facts: Facts) -> State:
    state = _worked(state, facts)
    if facts.get("wire") == "off":
        return state._replace(wire=None)
    wire = state.wire or Wire()
    names = {"gauge_awg": "gauge_awg", "material": "material", "turns": "turns", "wire_mm": "from_butt_mm"}
    changes = {ours: facts[theirs] for theirs, ours in names.items() if theirs in facts}
    return state._replace(wire=replace(wire, **changes))  # type: ignore[arg-type]


def _tubed(state: State, facts: Facts) -> State:
    length = facts.get("tubing_mm")
    return _worked(state, facts)._replace(tubing_mm=length or None)  # type: ignore[arg-type]


def _crowed(state: State, facts: Facts) -> State:
    return _put(_worked(state, facts), facts, "crow")


def _measured(state: State, facts: Facts) -> State:
    return _put(state, facts, "overall_mm", "tip_from_mm", "heart_from_mm", "opening_mm", "width_mm")


def _scored(state: State, facts: Facts) -> State:
    score = overall_score(facts)
    return state if score is None else state._replace(score=score)


def _played(state: State, facts: Facts) -> State:
    minutes = minutes_played(facts) or 0
    stage = IN_SERVICE if state.stage in (BLANK, IN_PROGRESS) else state.stage
    score = overall_score(facts)
    return state._replace(
        stage=stage, minutes_played=state.minutes_played + minutes, playings=state.playings + 1,
        score=state.score if score is None else score,
    )  # fmt: skip


def _handed_over(state: State, facts: Facts) -> State:
    left_as = state.left_as if state.stage == HANDED_OVER else state.stage
    state = _put(state, facts, "terms", "to")._replace(saved_for=None, saved_until=None)
    return state._replace(stage=HANDED_OVER, left_as=left_as)


def _returned(state: State, facts: Facts) -> State:
    if state.stage != HANDED_OVER:
        return state
    # It may have been played away from here.
    stage = IN_SERVICE if state.playings else state.left_as or IN_PROGRESS
    return state._replace(stage=stage, terms=None, to=None, left_as=None)


def _saved(state: State, facts: Facts) -> State:
    occasion = facts.get("occasion")
    if occasion == OFF:
        return state._replace(saved_for=None, saved_until=None)
    return state._replace(saved_for=str(occasion) if occasion else None, saved_until=day_of(facts.get("due")))


def _retired(state: State, facts: Facts) -> State:
    return _put(state, facts, "cause")._replace(stage=RETIRED)


_ADVANCE = {
    "tied": _tied,
    "joined": _joined,
    "scraped": _worked,
    "clipped": _clipped,
    "wired": _wired,
    "tubed": _tubed,
    "crowed": _crowed,
    "measured": _measured,
    "played": _played,
    "scored": _scored,
    "saved": _saved,
    "handed over": _handed_over,
    "returned": _returned,
    "retired": _retired,
}


def end_is_wear(cause: str | None) -> bool:
    """Whether a cause of retirement counts as the end of a working life."""
    return cause in WEAR_CAUSES
