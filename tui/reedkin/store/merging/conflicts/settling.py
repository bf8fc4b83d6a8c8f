"""A conflict between two logs, and the ways in which it can be settled; each is a correction like any other, and so can
be taken back."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from reedkin.bench.bench import Bench
from reedkin.bench.correcting import Correction, Corrector, step_at
from reedkin.domain.describe import describe
from reedkin.domain.events import Place, Statement
from reedkin.domain.figures import date_words
from reedkin.domain.reeds import Step
from reedkin.domain.uid import NAME_LENGTH

HERE, THERE = "here", "there"


@dataclass(frozen=True, slots=True)
class Way:
    """One way to settle a conflict: in words, as a command, and as the correction that it makes."""

    words: str
    command: str
    plan: Callable[[Corrector], Correction]


@dataclass(frozen=True, slots=True)
class Conflict:
    """What two logs say that does not go together. Without a way there is nothing to settle, only to know."""

    message: str
    ways: tuple[Way, ...] = ()


@dataclass(frozen=True, slots=True)
class Sides:
    """A merged log, and the uids of the records that only one of the two had before."""

    bench: Bench
    ours: frozenset[str]
    theirs: frozenset[str]

    def of(self, uid: str) -> str | None:
        """Which side alone had a record."""
        return HERE if uid in self.ours else THERE if uid in self.theirs else None

    def split(self, uids: Iterable[str]) -> bool:
        """Whether records of both sides are among these."""
        sides = {self.of(uid) for uid in uids}
        return HERE in sides and THERE in sides


def called(uid: str) -> str:
    """The name of a record on the command line."""
    return uid[-NAME_LENGTH:]


def what(step: Step) -> str:
    """An event and its day."""
    said = f"noted “{step.note}”" if step.kind == "noted" else describe(step.kind, step.facts)
    return f"{said} on {date_words(step.at)}"


def strike_way(words: str, steps: Iterable[Step], bench: Bench) -> Way:
    """To take events out of account."""
    places = [Place(step.event.reed, step.event.uid) for step in steps]

    def plan(corrector: Corrector) -> Correction:
        found = [step for place in places if (step := step_at(bench, place)) is not None]
        return corrector.strike(found)

    return Way(words, f"reedkin strike {' '.join(called(place.event) for place in places)}", plan)


def give_back_way(words: str, step: Step, bench: Bench) -> Way:
    """To take a struck event into account again."""
    place = Place(step.event.reed, step.event.uid)

    def plan(corrector: Corrector) -> Correction:
        found = step_at(bench, place)
        return corrector.give_back([found] if found is not None else [])

    return Way(words, f"reedkin strike {called(step.event.uid)} --give-back", plan)


def unsay_way(words: str, said: Iterable[Statement]) -> Way:
    """To take what was said of a thing beside the reeds out of account."""
    every = tuple(said)
    names = " ".join(called(one.uid) for one in every)
    return Way(words, f"reedkin strike {names}", lambda corrector: corrector.strike_said(*every))
