"""How many reeds a fair trial takes."""

from __future__ import annotations

from dataclasses import dataclass

from reedkin.bench.bench import Bench
from reedkin.bench.trials import Trial
from reedkin.study.lives import lives_of
from reedkin.survival.two_ways import worn_out_needed

STATED_EFFECTS = (1.5, 2.0, 3.0)
"""How many times as fast lives may end with one way: for these it is told how many reeds it takes."""
_FEWEST_GONE = 10
_LATEST = 200


@dataclass(frozen=True, slots=True)
class Need:
    """To settle that lives end `times` as fast takes, in four trials of five, `worn_out` reeds that are worn out,
    `more` than there are; for that about `to_tie` more have to be tied (None where the log cannot tell)."""

    times: float
    worn_out: int
    more: int
    to_tie: int | None


def needs(worn: int, at_work: int, share: float | None) -> tuple[Need, ...]:
    """What each of the stated effects takes, with so many reeds worn out and at work, about as many of each way.
    `share`: of the reeds tied, the part that becomes worn out."""
    found = []
    for times in STATED_EFFECTS:
        needed = worn_out_needed(times)
        assert needed is not None  # only for an effect of 1 is there no such number
        more = max(needed - worn, 0)
        found.append(Need(times, needed, more, to_tie(more, at_work, share)))
    return tuple(found)


def to_tie(more: int, at_work: int, share: float | None) -> int | None:
    """About how many reeds have to be tied beside those at work, so that `more` become worn out."""
    return None if share is None else max(round(more / share) - at_work, 0)


def wear_share(trial: Trial, bench: Bench) -> float | None:
    """Of the reeds that were tied before a trial and are gone by now, the part that was worn out, among the latest 200
    of its instruments. None where too few are gone to tell."""
    before = [
        heading.reed
        for heading in bench.headings
        if heading.at < trial.started and trial.instrument in (None, heading.facts.get("instrument"))
    ]
    gone = [reed for reed in map(bench.reed, before[-_LATEST:]) if not reed.joined and not reed.at_work]
    if len(gone) < _FEWEST_GONE:
        return None
    worn = sum(life.worn_out for life in lives_of(gone, bench.clock.now()))
    return worn / len(gone) or None
