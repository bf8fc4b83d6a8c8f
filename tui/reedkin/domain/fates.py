"""What became of a blank: whether it came good, and where it is now."""

from __future__ import annotations

from datetime import datetime

from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import HANDED_OVER, IN_SERVICE, RETIRED, Reed, Step, end_is_wear
from reedkin.domain.words import NEVER, NOT_KNOWN

FATES = (
    "in service", "on the bench", "handed over", "worn out", "lost to an accident", "gone, not known why",
    "never came good",
)  # fmt: skip


GOOD_SCORE = 7.0
"""The score from which a reed that was not played is good (common practice, no source)."""


def came_good(reed: Reed) -> bool | None:
    """Whether a blank became a reed that was played, or scored well; None while that is open, or where it is not known.
    One that was handed over unplayed came good if it was worn out there; one that came back is what it is then."""
    if reed.void or reed.joined:
        return None
    if reed.now.cause == NEVER:
        return False
    if _proved(reed) is not None:
        return True
    end = reed.retirement
    if end is None:
        return None
    if end.before.stage == HANDED_OVER:
        return True if end_is_wear(reed.now.cause) else None
    return False


def good_from(reed: Reed) -> datetime | None:
    """When a blank came good: it was played, or scored well, for the first time. None if it did not, or elsewhere."""
    proved = _proved(reed)
    return proved.at if proved is not None and came_good(reed) else None


def _proved(reed: Reed) -> Step | None:
    """The first event that shows that it is good."""
    return next((s for s in reed.standing if s.kind == "played" or (s.kind == "scored" and _scored_well(s))), None)


def _scored_well(step: Step) -> bool:
    score = overall_score(step.facts)
    return score is not None and score >= GOOD_SCORE


def fate(reed: Reed) -> str:
    """Where a reed is, or what its end was: one of FATES."""
    if reed.stage == IN_SERVICE:
        return "in service"
    if reed.stage == HANDED_OVER:
        return "handed over"
    if reed.stage != RETIRED:
        return "on the bench"
    if came_good(reed) is False:
        return "never came good"
    if reed.now.cause == NOT_KNOWN:
        return "gone, not known why"
    return "worn out" if end_is_wear(reed.now.cause) else "lost to an accident"


def stage_reached(reed: Reed) -> str:
    """How far the making of a blank got: "tied", "scraped", "crowed" or "finished": clipped after it crowed."""
    crowed = clipped = worked = False
    for step in reed.standing:
        if step.kind == "crowed":
            crowed = True
        elif step.kind == "clipped":
            clipped = clipped or crowed
        worked = worked or step.kind in ("scraped", "clipped", "wired", "tubed", "crowed")
    return "finished" if clipped else "crowed" if crowed else "scraped" if worked else "tied"


STAGES_REACHED = ("tied", "scraped", "crowed", "finished")
