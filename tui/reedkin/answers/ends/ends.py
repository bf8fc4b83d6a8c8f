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
from reedkin.answers.habits.report import as_fast
from reedkin.domain.figures import plural
from reedkin.domain.reeds import RETIRED, Reed
from reedkin.study.habits import habit_named
from reedkin.study.lives import Life
from reedkin.study.playings import FloatArray
from reedkin.study.rows import Rows
from reedkin.study.study import Study
from reedkin.survival import Belief, kaplan_meier

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


def ends_by(study: Study, what: What, groups: Mapping[str, Iterable[Reed]], belief: Belief) -> dict[str, Ends]:
    """The ends of the reeds in each of the `groups`, the tubes or the lots by their names."""
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
        causes = Counter(reed.now.cause or "not noted" for reed in reeds if reed.stage == RETIRED)
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


def ends_text(one: Ends) -> list[str]:
    """In plain lines: "ended 3 worn, 2 leaking; half lasted 9 h, others' 12 h" and what is to be thought of it."""
    if not one.causes:
        return []
    causes = ", ".join(f"{count} {cause}" for cause, count in one.causes.items())
    half = f"; half last {one.median:.0f} h" if one.median is not None else ""
    half += f", of others {one.others:.0f} h" if one.median is not None and one.others is not None else ""
    lines = [f"{plural(sum(one.causes.values()), 'end')}: {causes}{half}"]
    if one.effect is not None and one.chance is not None:
        lines.append(
            f"lives end {as_fast(one.effect.hazard_ratio)} as others' ({one.effect.lo:.2g} to "
            f"{one.effect.hi:.2g}); chance that it matters {one.chance:.0%}"
        )
    return lines


def ends_as_dict(one: Ends) -> EndsJson:
    """The ends as JSON takes them."""
    told = one.effect
    return {
        "causes": dict(one.causes),
        "leaked": one.leaked,
        "median": one.median,
        "others_median": one.others,
        "hazard_ratio": None if told is None else told.hazard_ratio,
        "ci": None if told is None else [told.lo, told.hi if np.isfinite(told.hi) else None],
        "chance": one.chance,
    }
