"""What became of a blank: whether it came good, and where it is now."""

from __future__ import annotations

from datetime import datetime

from reedkin.domain.reeds import HANDED_OVER, IN_SERVICE, RETIRED, Reed, end_is_wear
from reedkin.domain.words import NEVER

FATES = ("in service", "on the bench", "handed over", "worn out", "lost to an accident", "never came good")


def came_good(reed: Reed) -> bool | None:
    """Whether a blank became a reed that was played or handed over; None while that is open, or where it is not known
    from what blank the reed came."""
    if reed.void or reed.joined:
        return None
    if reed.now.cause == NEVER:
        return False
    if reed.service_from is not None or reed.first("handed over") is not None:
        return True
    return False if reed.stage == RETIRED else None


def good_from(reed: Reed) -> datetime | None:
    """When a blank came good: it was played or handed over for the first time. None if it did not."""
    firsts = (reed.first("played"), reed.first("handed over"))
    return min((step.at for step in firsts if step is not None), default=None) if came_good(reed) else None


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
