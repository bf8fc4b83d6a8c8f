"""A circle's trial: the reeds of all its makers compared, each maker's with her own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from reedkin.answers.circle.gathering import files_if_any
from reedkin.bench.trials import Trial
from reedkin.errors import InputError
from reedkin.store.circle.shares import TrialShare, read_share
from reedkin.survival import LogRank
from reedkin.survival.two_ways import SETTLED
from reedkin.survival.ways_together import WaysTogether, ways_together

if TYPE_CHECKING:
    from reedkin.contract.lives import CircleTrialJson

HELD = 0.80
"""What a settled answer has to come to without any one file."""


@dataclass(frozen=True, slots=True)
class CircleTrial:
    """
    What a circle's trial says.

    makers    the others, by the names of their files, and what they gave; own: her own part of it.
    whole     all of them together; None while nobody has anything to compare.
    settled   whether it is sure enough which way is the better, and stays so without any one file.
    leans_on  the names of those without whose file it would not be.
    """

    makers: tuple[tuple[str, TrialShare], ...]
    own: TrialShare
    whole: WaysTogether | None
    settled: bool
    leans_on: tuple[str, ...]

    @property
    def worn(self) -> int:
        return sum(sum(one.worn_out) for one in self._all)

    @property
    def assigned(self) -> int:
        return sum(sum(one.assigned) for one in self._all)

    @property
    def _all(self) -> list[TrialShare]:
        return [self.own, *(one for _, one in self.makers)]

    def to_json(self) -> CircleTrialJson:
        whole = self.whole
        return {
            "makers": [name for name, _ in self.makers],
            "assigned": self.assigned,
            "worn_out": self.worn,
            "settled": self.settled,
            "chance": None if whole is None else whole.evidence.chance,
            "hazard_ratio": None if whole is None else whole.ratio,
            "ci": [None, None] if whole is None else list(whole.limits),
            "p_alike": None if whole is None else whole.p_alike,
            "leans_on": list(self.leans_on),
        }


def own_part(trial: Trial, arms: Iterable[tuple[int, int, int]], test: LogRank | None) -> TrialShare:
    """What a maker gives of a circle's trial: of each way its reeds assigned, served and worn out, and the test."""
    first, second = arms
    more, variance = 0.0, 0.0
    if test is not None and len(test.groups) == 2 and float(test.variance[1, 1]) >= 0.01:
        more, variance = float(test.observed[1] - test.expected[1]), float(test.variance[1, 1])
    mark = sha256(f"reedkin mark of a draw\n{trial.uid}".encode()).hexdigest()[:12]
    assigned, served, worn = ((first[place], second[place]) for place in range(3))
    return TrialShare(trial.of_circle, mark, assigned, served, worn, round(more, 2), round(variance, 2))


def trial_together(own: TrialShare, folder: Path | None) -> CircleTrial:
    """The trial of `own`, with what the files in a folder say of it. A maker counts once, by the file in which most of
    her reeds are worn out; a file that cannot be used is passed over, and told on the screen of the circle."""
    found: dict[str, tuple[str, TrialShare]] = {}
    for path in files_if_any(folder):
        try:
            share = read_share(path)
        except InputError:
            continue
        for one in share.trials:
            before = found.get(one.mark)
            fuller = before is None or sum(one.worn_out) > sum(before[1].worn_out)
            if one.trial == own.trial and one.mark != own.mark and fuller:
                found[one.mark] = path.stem, one
    makers = tuple(sorted(found.values(), key=lambda maker: maker[0].casefold()))
    every = [own, *(one for _, one in makers)]
    whole = _of(every)
    if whole is None or whole.evidence.chance < SETTLED:
        return CircleTrial(makers, own, whole, False, ())
    leans = tuple(
        name
        for place, (name, _) in enumerate(makers, 1)
        if (less := _of(every[:place] + every[place + 1 :])) is None
        or less.evidence.chance < HELD
        or (less.ratio > 1) != (whole.ratio > 1)
    )
    return CircleTrial(makers, own, whole, not leans, leans)


def _of(parts: list[TrialShare]) -> WaysTogether | None:
    return ways_together([one.more_worn for one in parts], [one.variance for one in parts])
