"""How well the draw of a fair trial was kept: what went past it, or was made otherwise. It is told beside the
comparison, which stays as assigned."""

from __future__ import annotations

from dataclasses import dataclass

from reedkin.bench.bench import Bench
from reedkin.bench.trials import Trial, assignments, taken_back, undrawn
from reedkin.grammar.beside.ways import departure


@dataclass(frozen=True, slots=True)
class Kept:
    """
    skipped       the reeds, by label, tied while the trial ran and not drawn.
    taken_back    how many were drawn and had their tying struck, `played` of them after they had been played.
    not_followed  the reeds, by label, whose tying says that they were made otherwise than drawn.
    """

    skipped: tuple[str, ...] = ()
    taken_back: int = 0
    played: int = 0
    not_followed: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        return not (self.skipped or self.taken_back or self.not_followed)


def kept(trial: Trial, bench: Bench) -> Kept:
    """How well the draw of a trial was kept, up to now."""
    back = taken_back(trial, bench)
    return Kept(
        tuple(reed.label for reed in undrawn(trial, bench)),
        len(back),
        sum(one.reed.last_played is not None for one in back),
        tuple(
            one.reed.label
            for one in assignments(trial, bench)
            if departure(trial, one.way, one.reed.steps[0].facts) is not None
        ),
    )
