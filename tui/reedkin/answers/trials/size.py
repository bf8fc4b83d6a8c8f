"""How many reeds a fair trial takes, and what it costs to look at it before its time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from reedkin.bench.bench import Bench
from reedkin.bench.trials import Trial
from reedkin.study.lives import lives_of
from reedkin.survival import events_needed

STATED_EFFECTS = (1.5, 2.0, 3.0)
"""How many times as fast lives may end with one way: for these it is told how many reeds it takes."""
_FEWEST_GONE = 10
_LATEST = 200

FALSE_ALARMS: Mapping[int, float] = {
    1: 0.050, 2: 0.083, 3: 0.107, 4: 0.126, 5: 0.142, 10: 0.193, 20: 0.248, 50: 0.320,
}  # fmt: skip
"""By the number of looks, equally far apart and each at 5%, the chance that a trial without any difference seems to
have one at one of them at least: Armitage, McPherson & Rowe 1969, Journal of the Royal Statistical Society A
132:235-244, table 2 (from memory; the tests reckon it anew)."""


def false_alarm(looks: int) -> float:
    """The chance of a false alarm with so many looks; between two numbers of the table, that of the larger."""
    return next((chance for most, chance in FALSE_ALARMS.items() if looks <= most), FALSE_ALARMS[50])


@dataclass(frozen=True, slots=True)
class Need:
    """To find lives that end `times` as fast in three or four trials of five takes `worn_out` reeds that are worn out,
    `more` than there are; for that about `to_tie` more have to be tied (None where the log cannot tell)."""

    times: float
    worn_out: int
    more: int
    to_tie: int | None


def needs(worn: int, at_work: int, share: float | None) -> tuple[Need, ...]:
    """What each of the stated effects takes, with so many reeds worn out and at work, about as many of each way:
    Schoenfeld 1983. `share`: of the reeds tied, the part that becomes worn out."""
    found = []
    for times in STATED_EFFECTS:
        needed = events_needed(times, share=0.5)
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
        for heading in bench.headings()
        if heading.at < trial.started and trial.instrument in (None, heading.facts.get("instrument"))
    ]
    gone = [reed for reed in map(bench.reed, before[-_LATEST:]) if not reed.joined and not reed.at_work]
    if len(gone) < _FEWEST_GONE:
        return None
    worn = sum(life.worn_out for life in lives_of(gone, bench.clock.now()))
    return worn / len(gone) or None
