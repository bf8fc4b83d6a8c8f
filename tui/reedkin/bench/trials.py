"""Fair trials: chance, and nobody's liking, says which of two ways each new reed is made, so that in the end the ways
can be compared.

A trial is what was said in the table `trials`: its first statement fixes its name, its two ways, whose reeds it takes
and how many of them are to be worn out at most. Later statements can only end it; nothing that is said later changes
what was fixed.

The k-th reed that a trial takes has the k-th place of its draw, whatever is typed with it: its lot, its instrument, its
day, or another line thought better of. A reed whose tying was struck gives its place back, and the next reed takes that
same place: tying once more draws the same way, not another. Every assignment is an event of the reed. It stays as it
was written even where it is struck or amended. Reeds tied on two machines before their logs were merged may hold one
place twice; each keeps what it was given.

What can go past the draw is counted: reeds tied while a trial ran and not drawn (`undrawn`), and those drawn whose
tying was taken back (`taken_back`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import count

from reedkin.bench.bench import Bench
from reedkin.bench.draw import DRAW, Stratum, way_at, way_in_blocks
from reedkin.domain.checks import Objection
from reedkin.domain.events import Record, Statement
from reedkin.domain.facts import FACTS, Facts, Value
from reedkin.domain.known import as_number, whole, word
from reedkin.domain.reeds import Reed, Step
from reedkin.domain.words import spelt

TRIALS = "trials"
BEGUN_HERE = "begun here"
"""What is noted of a circle's trial in the log where it was begun; elsewhere it is what the trial is known by."""
ASSIGNED = "assigned"
PLANNED = 90
"""Reeds to be worn out at most where the maker names no number: in about four trials of five they settle that lives end
2.5 times as fast."""


@dataclass(frozen=True, slots=True)
class Trial:
    """
    Two `ways` of making, of which each reed tied while the trial runs is assigned one. `instrument` is that of the
    reeds it takes, or None for all; with `planned` reeds worn out it is over, settled or not. `bearer` counts the
    trials that had its name, from 1, and `bearers` is how many did. `of_circle` is what is the same for all makers of a
    circle who have this trial, each with a draw of her own; "" for one of her own alone.
    """

    uid: str
    name: str
    ways: tuple[str, str]
    instrument: str | None
    planned: int
    started: datetime
    ended: datetime | None = None
    question: str = ""
    bearer: int = 1
    bearers: int = 1
    of_circle: str = ""

    @property
    def running(self) -> bool:
        return self.ended is None

    @property
    def label(self) -> str:
        """Its name; with its number where merged logs had several of that name: "wire/2"."""
        return self.name if self.bearers == 1 else f"{self.name}/{self.bearer}"

    def is_for(self, instrument: Value | None) -> bool:
        """Whether it is about reeds of this instrument."""
        return self.instrument in (None, instrument)

    def takes(self, instrument: Value | None, at: datetime) -> bool:
        """Whether a reed of an instrument that was tied at a moment is to be assigned. One that was tied before the
        trial began is not: its maker could still choose what to do with it."""
        return self.running and at >= self.started and self.is_for(instrument)


# From what was said


def trials(bench: Bench) -> list[Trial]:
    """The trials of a log, in the order in which they were started."""
    found: dict[str, Trial] = {}
    for said in bench.beside.said(TRIALS):
        trial = found.get(said.subject)
        if said.uid == said.subject and (started := _started(said)) is not None:
            found[said.uid] = started
        elif trial is not None and trial.running and "ended" in said.facts:
            found[trial.uid] = replace(trial, ended=datetime.fromisoformat(str(said.facts["ended"])))
    every = sorted(found.values(), key=lambda trial: (trial.started, trial.uid))
    bearers, so_far = Counter(trial.name.casefold() for trial in every), Counter[str]()
    numbered = []
    for trial in every:
        name = trial.name.casefold()
        so_far[name] += 1
        numbered.append(replace(trial, bearer=so_far[name], bearers=bearers[name]))
    return numbered


def _started(said: Statement) -> Trial | None:
    """The trial that a statement starts; None where it lacks what makes one, as another program may have written it."""
    name, ways = word(said.facts, "trial"), said.facts.get("ways")
    planned = as_number(said.facts.get("planned", PLANNED))
    if name is None or not isinstance(ways, tuple) or len(ways) != 2:
        return None
    if planned is None or FACTS["planned"].impossible(planned):
        return None
    instrument, question = said.facts.get("instrument"), said.facts.get("note", "")
    return Trial(
        said.uid, name, (ways[0], ways[1]), str(instrument) if instrument else None, int(planned), said.at,
        question=str(question), of_circle=_of_circle(said),
    )  # fmt: skip


def _of_circle(said: Statement) -> str:
    """What a circle's trial is known by. One that was begun here is known by a digest of its uid, from which nobody can
    tell what it draws."""
    circle = word(said.facts, "circle")
    if circle == BEGUN_HERE:
        from hashlib import sha256

        return sha256(f"reedkin trial of a circle\n{said.uid}".encode()).hexdigest()[:32]
    return circle or ""


def trials_named(bench: Bench, name: str) -> list[Trial]:
    """The trials that a name means: one by its label, or all of that name, in the order in which they were started."""
    every, name = trials(bench), name.casefold()
    return [t for t in every if t.label.casefold() == name] or [t for t in every if t.name.casefold() == name]


def is_look(record: Record) -> bool:
    """Whether a record counts a look at a trial, as earlier versions wrote by themselves: nothing is made of it, and
    nobody takes it back."""
    return isinstance(record, Statement) and record.table == TRIALS and "looked" in record.facts


# Assigning


class Assigning:
    """Assigns the reeds that one entry ties, one after the other."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._taken: dict[str, set[int]] = {}

    def next(self, trial: Trial) -> dict[str, Value]:
        """The facts of the assignment of the next reed that a trial takes."""
        if trial.uid not in self._taken:
            self._taken[trial.uid] = {
                one.place for one in assignments(trial, self._bench) if one.draw == DRAW and one.place is not None
            }
        taken = self._taken[trial.uid]
        place = next(at for at in count(1) if at not in taken)
        taken.add(place)
        way = trial.ways[way_at(trial.uid, place)]
        return {"trial": trial.name, "arm": way, "place": place, "draw": DRAW, "trial_uid": trial.uid}


@dataclass(frozen=True, slots=True)
class Assignment:
    """A reed, the `way` of its trial that it was assigned (0 or 1), and its stratum; `place` in which `draw` is None
    where another program wrote none."""

    reed: Reed
    way: int
    stratum: Stratum
    place: int | None
    draw: int


def assignments(trial: Trial, bench: Bench) -> list[Assignment]:
    """The reeds that were assigned in a trial, oldest first, without those whose tying was struck."""
    return _assigned(trial, _reeds_since(trial, bench))


def taken_back(trial: Trial, bench: Bench) -> list[Assignment]:
    """The reeds that were assigned in a trial and then taken back: their tying was struck."""
    return _assigned(trial, [bench.reed(reed) for reed in bench.headings.untied() if reed > trial.uid])


def undrawn(trial: Trial, bench: Bench) -> list[Reed]:
    """The reeds that were tied or recorded while a trial ran, of its instrument, and are not in its draw, oldest first:
    such as those that were given a day before it started, or another instrument at first."""
    return [
        reed
        for reed in _reeds_since(trial, bench)
        if reed.steps[0].kind == "tied"
        and trial.is_for(reed.instrument)
        and (_while_running(trial, reed.steps[0].event.recorded) or _while_running(trial, reed.begun))
        and _assignment(reed, trial) is None
    ]


def _while_running(trial: Trial, moment: datetime) -> bool:
    return trial.started <= moment and (trial.ended is None or moment < trial.ended)


def _reeds_since(trial: Trial, bench: Bench) -> list[Reed]:
    """The reeds recorded after a trial was. The uids of reeds sort by time, and none that was recorded before it can
    have been assigned in it; one of an old notebook that is imported meanwhile has a uid of its own day."""
    return [bench.reed(heading.reed) for heading in bench.headings if heading.reed > trial.uid]


def _assigned(trial: Trial, reeds: Iterable[Reed]) -> list[Assignment]:
    return [found for reed in reeds if (found := _assignment(reed, trial)) is not None]


def _assignment(reed: Reed, trial: Trial) -> Assignment | None:
    for facts in assigned_facts(reed):
        if _is_of(facts, trial) and facts.get("arm") in trial.ways:
            place, draw = whole(facts, "place") or 0, whole(facts, "draw")
            way, taken = trial.ways.index(str(facts["arm"])), place if place > 0 else None
            return Assignment(reed, way, stratum_of(reed), taken, 1 if draw is None else draw)
    return None


def _is_of(facts: Facts, trial: Trial) -> bool:
    if "trial_uid" in facts:
        return facts["trial_uid"] == trial.uid
    return str(facts.get("trial", "")).casefold() == trial.name.casefold()


def stratum_of(reed: Reed) -> Stratum:
    """The stratum of a reed: by what was first written of its tying."""
    return Stratum.of(reed.steps[0].event.facts)


def assigned_facts(reed: Reed) -> list[Facts]:
    """What a reed was assigned, trial by trial, as it was written at first and in spite of any strike."""
    events = sorted((step.event for step in reed.steps if step.kind == ASSIGNED), key=lambda event: event.uid)
    first: dict[Value, Facts] = {}
    for event in events:
        first.setdefault(event.facts.get("trial_uid", event.facts.get("trial", "")), event.facts)
    return list(first.values())


def doubt(reed: Reed, step: Step, bench: Bench) -> Objection | None:
    """What can be said against an assignment: that it is not the one which chance drew."""
    facts = step.event.facts
    trial = next((t for t in trials(bench) if _is_of(facts, t)), None)
    if trial is None:
        return Objection("odd", f"the log holds no trial {facts.get('trial')}")
    place, draw = whole(facts, "place"), facts.get("draw", 1)
    if facts.get("arm") not in trial.ways:
        return Objection("impossible", f"the ways of that trial are {' and '.join(trial.ways)}")
    if place is None or FACTS["place"].impossible(place):
        return Objection("odd", "its place in the draw is not noted")
    if draw not in (1, DRAW):
        return Objection("odd", "a later version drew it, in a way that is not known here")
    way = way_at(trial.uid, place) if draw == DRAW else way_in_blocks(trial.uid, stratum_of(reed), place)
    drawn = trial.ways[way]
    return None if drawn == facts["arm"] else Objection("impossible", f"chance had drawn {drawn} for it")


# In words


def ways_of(reed: Reed) -> list[str]:
    """The ways that a reed was assigned, in words: "trial wire: before"."""
    return [f"trial {facts.get('trial')}: {facts.get('arm')}" for facts in assigned_facts(reed)]


def start_words(facts: Mapping[str, Value]) -> str:
    """What the start of a trial says, from its facts."""
    from reedkin.survival.two_ways import finds  # which is heavy, and few lines start a trial

    ways, planned = facts.get("ways"), int(str(facts.get("planned", PLANNED)))
    said = " or ".join(ways) if isinstance(ways, tuple) else str(ways)
    whose = f"{spelt(str(facts['instrument']))} reed" if "instrument" in facts else "reed"
    circle = ", with a draw of your own, and counted with your circle's" if "circle" in facts else ""
    return (
        f"trial {facts.get('trial')} starts: {said}, by chance, for each {whose} tied from now on{circle}, until it is "
        f"settled or {planned} are worn out (that tells lives that end {finds(planned):.1f} times as fast, from two "
        "times in five with a dozen reeds of a lot to four in five with many)"
    )
