"""What running trials assign to the reeds that an entry ties, and what is odd about it."""

from __future__ import annotations

from collections.abc import Container, Iterable

from reedkin.bench.bench import Bench
from reedkin.bench.trials import ASSIGNED, Assigning, Trial, trials
from reedkin.domain.figures import moment_words, tag_list
from reedkin.grammar.actions import ReedAction
from reedkin.grammar.beside.ways import departure, same_measure


def assigned(tied: Iterable[ReedAction], ending: Container[str], bench: Bench) -> tuple[list[ReedAction], list[str]]:
    """The assignments of the reeds `tied`, and questions about them: of those dated before a trial started, and those
    that are made otherwise than drawn. Trials `ending`, by uid, assign none."""
    running = [trial for trial in trials(bench) if trial.running and trial.uid not in ending]
    assigning, made = Assigning(bench), list[ReedAction]()
    odd: dict[str, list[str]] = {}
    for action in tied:
        instrument = action.facts.get("instrument")
        for trial in _apart(trial for trial in running if trial.is_for(instrument)):
            if not trial.takes(instrument, action.at):
                odd.setdefault(_too_early(trial), []).append(action.tag)
                continue
            facts = assigning.next(trial)
            made.append(ReedAction(action.tag, None, ASSIGNED, facts, action.at, "", action.after, action.after))
            way = trial.ways.index(str(facts["arm"]))
            if (found := departure(trial, way, action.facts)) is not None:
                message = f"trial {trial.label} drew {facts['arm']}, and this says {found.words}"
                odd.setdefault(f"{message}; it would count as drawn, and as not followed", []).append(action.tag)
    return made, [f"{tag_list(tags)}: {message}" for message, tags in odd.items()]


def _apart(running: Iterable[Trial]) -> list[Trial]:
    """Those of the trials that draw different things. Of two that draw the same, as merged logs may hold, a reed is in
    the one that was started first."""
    kept: list[Trial] = []
    for trial in running:
        if not any(same_measure(trial, other) for other in kept):
            kept.append(trial)
    return kept


def _too_early(trial: Trial) -> str:
    return (
        f"tied before trial {trial.label} started, {moment_words(trial.started)}, it would be drawn no way; "
        "that is counted"
    )
