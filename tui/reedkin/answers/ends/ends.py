"""What ended the reeds on each tube, or of each lot, how many leaked, and how long they lasted beside others.

The comparison is that of a habit that is a category (`answers.habits.effects`): lives on one tube beside those of the
same instrument on others. Who looks down the list sees the worst one first, so the belief that a tube matters is shared
out among all that are compared, and the limits are as wide as for so many tests.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from reedkin.answers.habits.effects import FEWEST_ON_A_SIDE, Effect, Untold, effect, one_of
from reedkin.answers.habits.report import as_fast, belief_of
from reedkin.answers.question import Asked
from reedkin.bench.supplies import Lot, Tube
from reedkin.domain.as_json import finite
from reedkin.domain.figures import plural
from reedkin.domain.reeds import RETIRED
from reedkin.domain.words import NOT_NOTED
from reedkin.study.habits import habit_named
from reedkin.study.lives import Life
from reedkin.study.playings import FloatArray
from reedkin.study.rows import Rows
from reedkin.study.study import Study
from reedkin.survival import kaplan_meier

if TYPE_CHECKING:
    from reedkin.contract.making import EndsJson

What = Literal["tube", "lot"]


@dataclass(frozen=True, slots=True)
class Ends:
    """
    causes         how often each cause ended a reed.
    median         hours that half of the lives outlast; others: of the reeds of the instrument without it. None where
                   not reached.
    effect         how many times as fast lives end; None where too few are known to compare.
    chance         that it matters, in the direction in which it seems to.
    """

    causes: Mapping[str, int]
    median: float | None
    others: float | None
    effect: Effect | None
    chance: float | None

    @property
    def leaked(self) -> int:
        return self.causes.get("leaking", 0)

    def lines(self) -> list[str]:
        """In plain lines: "5 ends: 3 worn, 2 leaking; half last 9 h, of others 12 h", and how that compares."""
        if not self.causes:
            return []
        causes = ", ".join(f"{count} {cause}" for cause, count in self.causes.items())
        half = f"; half last {self.median:.0f} h" if self.median is not None else ""
        half += f", of others {self.others:.0f} h" if self.median is not None and self.others is not None else ""
        lines = [f"{plural(sum(self.causes.values()), 'end')}: {causes}{half}"]
        if self.effect is not None and self.chance is not None:
            lines.append(
                f"lives end {as_fast(self.effect.hazard_ratio)} as others' ({self.effect.lo:.2g} to "
                f"{self.effect.hi:.2g}); chance that it matters {self.chance:.0%}"
            )
        return lines

    def to_json(self) -> EndsJson:
        told = self.effect
        return {
            "causes": dict(self.causes),
            "leaked": self.leaked,
            "median": self.median,
            "others_median": self.others,
            "hazard_ratio": None if told is None else told.hazard_ratio,
            "ci": None if told is None else [told.lo, finite(told.hi)],
            "chance": self.chance,
        }


def ends_by(asked: Asked, what: What, among: Iterable[Lot | Tube]) -> dict[str, Ends]:
    """The ends of the reeds of each of these lots, or tubes, by its name."""
    study, belief = asked.study, belief_of(asked.bench)
    groups = {one.name: one.reeds for one in among}
    habit = habit_named(what)
    rows = study.rows_for(habit, "hours")
    words = np.char.lower(study.words(habit, rows))
    of = {name: {reed.id for reed in reeds} for name, reeds in groups.items()}
    lives = {name: [life for life in study.lives if life.reed.id in ids] for name, ids in of.items()}
    enough = [name for name, own in lives.items() if len(own) >= FEWEST_ON_A_SIDE]
    found = {}
    for name, reeds in groups.items():
        one = None
        if name in enough:
            values = np.where(words != "", words == name.lower(), np.nan)
            one = _compared(study, rows, lives[name], values, name, len(enough))
        instruments = {life.instrument for life in lives[name]}
        others = [life for life in study.lives if life.instrument in instruments and life.reed.id not in of[name]]
        causes = Counter(reed.now.cause or NOT_NOTED for reed in reeds if reed.stage == RETIRED)
        chance = None if one is None else one.evidence(belief).chance
        found[name] = Ends(dict(causes.most_common()), _median(lives[name]), _median(others), one, chance)
    return found


def _compared(study: Study, rows: Rows, own: list[Life], values: FloatArray, name: str, compared: int) -> Effect | None:
    """The effect of one of so many; None where the log cannot tell."""
    instruments = {life.instrument for life in own}
    ids = {life.reed.id for life in own}
    without = sum(life.instrument in instruments and life.reed.id not in ids for life in study.lives)
    if without < FEWEST_ON_A_SIDE:
        return None
    try:
        return one_of(effect(rows, values), name, compared)
    except Untold:
        return None


def _median(lives: list[Life]) -> float | None:
    """Hours that half of these lives outlast (Kaplan & Meier 1958), where so many are known."""
    if len(lives) < FEWEST_ON_A_SIDE:
        return None
    stop = np.array([life.minutes / 60 for life in lives])
    entry = np.array([life.entry / 60 for life in lives])
    kept = stop > entry
    if not kept.any():
        return None
    return kaplan_meier(stop[kept], np.array([life.worn_out for life in lives])[kept], entry[kept]).median
