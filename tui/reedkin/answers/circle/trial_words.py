"""What a circle's trial says, in plain words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reedkin.answers.habits.report import times
from reedkin.answers.trials.telling import from_one_up, in_ten
from reedkin.domain.figures import plural

if TYPE_CHECKING:
    from reedkin.answers.circle.trial_together import CircleTrial
    from reedkin.bench.trials import Trial

_DIFFER = 0.05


def circle_lines(trial: Trial, circle: CircleTrial) -> list[str]:
    """What the whole circle says of a trial, the weightiest first; what to do stands with it."""
    if not circle.makers:
        return ["In the circle: you alone so far. The others take the trial in, and each file they give counts here."]
    others = plural(len(circle.makers), "other maker")
    far = f"In the circle: you and {others}, {circle.worn} of at most {trial.planned} worn out."
    whole = circle.whole
    if whole is None:
        return [f"{far} Nobody has anything to compare yet."]
    ratio, (lo, hi), better, worse = from_one_up(whole.ratio, whole.limits, trial.ways)
    said = [
        f"{far} Lives end {times(ratio)} times as fast with “{worse}” as with “{better}”, between {times(lo)} and "
        f"{times(hi)}, each maker's reeds compared with her own.",
        f"The chance that it is “{better}”, and not luck: {in_ten(whole.evidence.chance)}.",
    ]
    if circle.settled:
        said[-1] += f" Settled in the circle: make them “{better}”."
    elif circle.leans_on:
        said[-1] += f" But it rests on the file of {' or of '.join(circle.leans_on)}; ask whether it is right."
    elif circle.worn >= trial.planned:
        said[-1] += " Not settled, and the planned number is worn out: make them as you like."
    if whole.p_alike < _DIFFER:
        said.append("Makers differ in it, so for one of you it may be otherwise: look at your own reeds above too.")
    return said
