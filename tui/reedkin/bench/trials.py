"""Fair trials: chance, and nobody's liking, says which of two ways each new reed is made, so that in the end the ways
can be compared.

A trial is what was said in the table `trials`: its first statement fixes its name, its two ways, whose reeds it takes
and how many of them are to be worn out before the ways are compared. Later statements can only end it, and count the
looks that were taken at it; nothing that is said later changes what was fixed.

The k-th reed of a stratum takes the k-th place of the draw. A reed whose tying was struck gives its place back, and the
next of its stratum takes that same place: tying once more draws the same way, not another. Every assignment is an event
of the reed. It stays as it was written even where it is struck or amended, and keeps to the lot that the reed was tied
from, as it was first written. Reeds tied on two machines before their logs were merged may hold one place twice; each
keeps what it was given.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import count
from math import exp, sqrt

from reedkin.bench.bench import Bench
from reedkin.bench.draw import Stratum, way_at
from reedkin.domain.checks import Finding
from reedkin.domain.events import Record, Statement
from reedkin.domain.facts import FACTS, Facts, Value
from reedkin.domain.reeds import Reed, Step
from reedkin.domain.uid import UidMaker

TRIALS = "trials"
ASSIGNED = "assigned"
PLANNED = 66
"""Reeds to be worn out where the maker names no number: in about four trials of five they find lives that end twice
as fast."""
_REACH = 1.959964 + 0.841621
"""The quantiles 0.975 and 0.8 of the normal distribution: a test at 5% that finds in four cases of five."""


@dataclass(frozen=True, slots=True)
class Trial:
    """
    Two `ways` of making, of which each reed tied while the trial runs is assigned one. `instrument` is that of the
    reeds it takes, or None for all; `planned` how many of its reeds are to be worn out before the ways are compared.

    looks   how many of its reeds were worn out at each look that was taken before that.
    """

    uid: str
    name: str
    ways: tuple[str, str]
    instrument: str | None
    planned: int
    started: datetime
    ended: datetime | None = None
    question: str = ""
    looks: tuple[int, ...] = ()

    @property
    def running(self) -> bool:
        return self.ended is None

    def takes(self, instrument: Value | None, at: datetime) -> bool:
        """Whether a reed of an instrument that was tied at a moment is to be assigned. One that was tied before the
        trial began is not: its maker could still choose what to do with it."""
        return self.running and at >= self.started and self.instrument in (None, instrument)


def finds(worn_out: int) -> float:
    """How many times as fast lives must end with one way for so many reeds, worn out, to show it in about four trials
    of five: Schoenfeld 1983, Biometrics 39:499-503, for two ways with about as many reeds each. Where reeds are
    compared within lots of cane it is rather three of four (71 to 75 of 100 simulated trials)."""
    return exp(2 * _REACH / sqrt(worn_out))


# From what was said


def trials(bench: Bench) -> list[Trial]:
    """The trials of a log, in the order in which they were started."""
    found: dict[str, Trial] = {}
    for said in bench.said(TRIALS):
        trial = found.get(said.subject)
        if said.uid == said.subject and (started := _started(said)) is not None:
            found[said.uid] = started
        elif trial is not None and trial.running and "ended" in said.facts:
            found[trial.uid] = replace(trial, ended=datetime.fromisoformat(str(said.facts["ended"])))
    return [replace(trial, looks=_looks(trial, bench)) for trial in found.values()]


def _looks(trial: Trial, bench: Bench) -> tuple[int, ...]:
    """The looks at a trial. One that was struck was taken all the same."""
    said = (one for one in bench.statements() if isinstance(one, Statement) and one.subject == trial.uid)
    return tuple(sorted({int(str(one.facts["looked"])) for one in said if is_look(one)}))


def _started(said: Statement) -> Trial | None:
    """The trial that a statement starts; None where it lacks what makes one, as another program may have written it."""
    ways, planned, name = said.facts.get("ways"), said.facts.get("planned", PLANNED), said.facts.get("trial")
    if not isinstance(name, str) or not isinstance(ways, tuple) or len(ways) != 2:
        return None
    if FACTS["planned"].impossible(planned) or not isinstance(planned, (int, float)):
        return None
    instrument, question = said.facts.get("instrument"), said.facts.get("note", "")
    return Trial(
        said.uid, name, (ways[0], ways[1]), str(instrument) if instrument else None, int(planned), said.at,
        question=str(question),
    )  # fmt: skip


def trial_named(bench: Bench, name: str, running: bool = False) -> Trial | None:
    """The trial with a name, the latest if logs were merged that both had one; `running`: of those that run."""
    fits = [t for t in trials(bench) if t.name.casefold() == name.casefold() and (t.running or not running)]
    return fits[-1] if fits else None


def look(trial: Trial, worn_out: int, uids: UidMaker, now: datetime) -> Statement:
    """The record of a look at a trial before its time, when so many of its reeds were worn out."""
    return Statement(uids.new(), TRIALS, trial.uid, now, now, uids.new(), {"looked": worn_out})


def is_look(record: Record) -> bool:
    """Whether a record counts a look: what the program writes by itself, and nobody takes back."""
    return isinstance(record, Statement) and record.table == TRIALS and "looked" in record.facts


# Assigning


class Assigning:
    """Assigns the reeds that one entry ties, one after the other."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._running = [trial for trial in trials(bench) if trial.running]
        self._taken: dict[tuple[str, Stratum], set[int]] = {}

    def assign(self, facts: Facts, at: datetime, ending: Iterable[str] = ()) -> list[dict[str, Value]]:
        """The facts of the assignments of a reed tied so, one for each trial that takes it; those `ending`, by uid,
        take none."""
        return [
            self._next(trial, Stratum.of(facts))
            for trial in self._running
            if trial.uid not in ending and trial.takes(facts.get("instrument"), at)
        ]

    def _next(self, trial: Trial, stratum: Stratum) -> dict[str, Value]:
        if (trial.uid, stratum) not in self._taken:
            before = assignments(trial, self._bench, stratum)
            self._taken[trial.uid, stratum] = {one.place for one in before if one.place is not None}
        taken = self._taken[trial.uid, stratum]
        place = next(at for at in count(1) if at not in taken)
        taken.add(place)
        way = trial.ways[way_at(trial.uid, stratum, place)]
        return {"trial": trial.name, "arm": way, "place": place, "trial_uid": trial.uid}


@dataclass(frozen=True, slots=True)
class Assignment:
    """A reed, the `way` of its trial that it was assigned (0 or 1), and in which stratum; `place` is None where another
    program wrote none."""

    reed: Reed
    way: int
    stratum: Stratum
    place: int | None


def assignments(trial: Trial, bench: Bench, stratum: Stratum | None = None) -> list[Assignment]:
    """The reeds that were assigned in a trial, or those of one stratum, oldest first, without those whose tying was
    struck. Reads the lineages of no more reeds than it has to."""
    # The uids of reeds sort by time, and none that was recorded before the trial can have been assigned in it.
    reeds = (
        bench.reed(heading.reed)
        for heading in bench.headings()
        if heading.reed > trial.uid and stratum in (None, Stratum.of(heading.written or heading.facts))
    )
    return [found for reed in reeds if (found := _assignment(reed, trial)) is not None]


def _assignment(reed: Reed, trial: Trial) -> Assignment | None:
    for facts in assigned_facts(reed):
        if _is_of(facts, trial) and facts.get("arm") in trial.ways:
            place = facts.get("place")
            taken = int(place) if isinstance(place, (int, float)) and place >= 1 else None
            return Assignment(reed, trial.ways.index(str(facts["arm"])), stratum_of(reed), taken)
    return None


def _is_of(facts: Facts, trial: Trial) -> bool:
    if "trial_uid" in facts:
        return facts["trial_uid"] == trial.uid
    return str(facts.get("trial", "")).casefold() == trial.name.casefold()


def stratum_of(reed: Reed) -> Stratum:
    """The stratum that a reed was assigned in: by what was first written of its tying."""
    return Stratum.of(reed.steps[0].event.facts)


def assigned_facts(reed: Reed) -> list[Facts]:
    """What a reed was assigned, trial by trial, as it was written at first and in spite of any strike."""
    events = sorted((step.event for step in reed.steps if step.kind == ASSIGNED), key=lambda event: event.uid)
    first: dict[Value, Facts] = {}
    for event in events:
        first.setdefault(event.facts.get("trial_uid", event.facts.get("trial", "")), event.facts)
    return list(first.values())


def doubt(reed: Reed, step: Step, bench: Bench) -> Finding | None:
    """What can be said against an assignment: that it is not the one which chance drew."""
    facts = step.event.facts
    trial = next((t for t in trials(bench) if _is_of(facts, t)), None)
    if trial is None:
        return Finding("odd", f"the log holds no trial {facts.get('trial')}")
    place = facts.get("place")
    if facts.get("arm") not in trial.ways:
        return Finding("impossible", f"the ways of that trial are {' and '.join(trial.ways)}")
    if not isinstance(place, int) or FACTS["place"].impossible(place):
        return Finding("odd", "its place in the draw is not noted")
    drawn = trial.ways[way_at(trial.uid, stratum_of(reed), place)]
    return None if drawn == facts["arm"] else Finding("impossible", f"chance had drawn {drawn} for it")


# In words


def ways_of(reed: Reed) -> list[str]:
    """The ways that a reed was assigned, in words: "trial wire: before"."""
    return [f"trial {facts.get('trial')}: {facts.get('arm')}" for facts in assigned_facts(reed)]


def start_words(facts: Mapping[str, Value]) -> str:
    """What the start of a trial says, from its facts."""
    ways, planned = facts.get("ways"), int(str(facts.get("planned", PLANNED)))
    said = " or ".join(ways) if isinstance(ways, tuple) else str(ways)
    whose = f"{facts['instrument']} reed" if "instrument" in facts else "reed"
    return (
        f"trial {facts.get('trial')} starts: {said}, by chance, for each {whose} tied from now on, until {planned} are "
        f"worn out (finds lives that end {finds(planned):.1f} times as fast)"
    )
