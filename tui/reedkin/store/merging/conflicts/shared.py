"""What each log gave to a reed or a trial of its own, and only one can have: a tag, a tube, a trial's name."""

from __future__ import annotations

from collections.abc import Iterator

from reedkin.bench.correcting import Correction, Corrector, Restated
from reedkin.bench.trials import Trial, trials
from reedkin.domain.figures import date_words
from reedkin.domain.reeds import Reed
from reedkin.domain.words import spelt
from reedkin.grammar.beside.ways import same_measure
from reedkin.store.merging.conflicts.settling import Conflict, Sides, Way, called


def shared_tags(sides: Sides) -> Iterator[Conflict]:
    """The reeds that took the same tag on both sides, and bore it at one time."""
    bearers: dict[str, list[Reed]] = {}
    for reed in sides.bench.reeds():
        bearers.setdefault(reed.tag.casefold(), []).append(reed)
    for reeds in bearers.values():
        for place, first in enumerate(reeds):
            for second in reeds[place + 1 :]:
                if sides.split((first.id, second.id)) and _overlap(first, second):
                    yield _same_tag(sides, first, second)


def _overlap(first: Reed, second: Reed) -> bool:
    """Whether a reed still had its tag when the second was begun."""
    if first.now.keeps_tag:
        return True
    let_go = first.retirement or first.last
    return second.begun < let_go.at


def _same_tag(sides: Sides, first: Reed, second: Reed) -> Conflict:
    bench = sides.bench
    names = {reed.id: f"{reed.tag}/{reed.bearer}" for reed in (first, second)}
    both = " and ".join(f"{names[reed.id]} ({_begun(reed)})" for reed in (first, second))
    free = bench.tags.next()

    def way(reed: Reed) -> Way:
        def plan(corrector: Corrector) -> Correction:
            return corrector.to_tag(bench.reed(reed.id), bench.tags.next())

        return Way(f"{names[reed.id]} is called {free}", f"reedkin retag {names[reed.id]} {free}", plan)

    return Conflict(f"Two reeds bore the tag {first.tag} at the same time: {both}.", (way(second), way(first)))


def _begun(reed: Reed) -> str:
    return f"{reed.steps[0].kind} {date_words(reed.begun)}, {spelt(reed.instrument)}, {reed.stage}"


def shared_tubes(sides: Sides) -> Iterator[Conflict]:
    """The tubes that carry two reeds at work, one begun or put on it in each log."""
    on: dict[str, list[Reed]] = {}
    for reed in sides.bench.at_work():
        if reed.now.tube:
            on.setdefault(reed.now.tube.casefold(), []).append(reed)
    for reeds in on.values():
        for place, first in enumerate(reeds):
            for second in reeds[place + 1 :]:
                if sides.split((_since(first), _since(second))):
                    both = " and ".join(f"{reed.label} ({_begun(reed)})" for reed in (first, second))
                    ways = (_off_tube(sides, second), _off_tube(sides, first))
                    yield Conflict(f"Tube {first.now.tube} carries two reeds at work: {both}.", ways)


def _since(reed: Reed) -> str:
    """The uid of what put a reed on its tube."""
    begun = reed.steps[0]
    return begun.amendments[-1].uid if begun.amendments else begun.event.uid


def _off_tube(sides: Sides, reed: Reed) -> Way:
    bench = sides.bench

    def plan(corrector: Corrector) -> Correction:
        begun = bench.reed(reed.id).steps[0]
        facts = {name: value for name, value in begun.facts.items() if name != "tube"}
        return corrector.amend([(begun, Restated(begun.at, facts, begun.note))])

    command = f"reedkin amend {called(reed.id)} --says '… tube ANOTHER'"
    return Way(f"{reed.label} is on another, which is left open", command, plan)


def shared_trials(sides: Sides) -> Iterator[Conflict]:
    """The trials that were started on both sides under one name, or that both run and draw the same for the same reeds;
    the earlier of each two first."""
    every = trials(sides.bench)
    for place, first in enumerate(every):
        for second in every[place + 1 :]:
            if not sides.split((first.uid, second.uid)):
                continue
            both = first.running and second.running
            if first.name.casefold() == second.name.casefold() or (both and same_measure(first, second)):
                yield _same_trials(sides, first, second)


def _same_trials(sides: Sides, first: Trial, second: Trial) -> Conflict:
    started = [date_words(trial.started) for trial in (first, second)]
    both = f"{first.label}, started {started[0]}, and {second.label}, started {started[1]}"
    name = first.name.casefold() == second.name.casefold()
    why = f"Two trials are called {first.name}" if name else "Two trials draw the same for the same reeds"
    if not (first.running and second.running):
        return Conflict(f"{why}: {both}.")
    ways = tuple(_end_way(sides, trial) for trial in (second, first))
    return Conflict(f"{why}: {both}. To draw on in one of them, end the other.", ways)


def _end_way(sides: Sides, trial: Trial) -> Way:
    def plan(corrector: Corrector) -> Correction:
        return corrector.end_trial(trial.uid)

    return Way(f"{trial.label} ends", f"reedkin trial end {trial.label}", plan)
