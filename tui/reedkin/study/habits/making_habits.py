"""The habits of making. A new one is one more entry in `MAKING_HABITS`."""

from __future__ import annotations

import numpy as np

from reedkin.domain.known import number
from reedkin.domain.reeds import Step
from reedkin.study.habits.habit import Habit
from reedkin.study.habits.making import Making, days_between, if_logged
from reedkin.study.playings import FloatArray, Playings

FIRST_MINUTES = 120
"""A score given after so many minutes of playing is no first score any more."""


def _scraping_days(making: Making) -> float | None:
    """Days from the first scraping to the last."""
    scrapings = making.steps("scraped")
    return days_between(scrapings[0].at, scrapings[-1].at) if scrapings else None


def _sittings(making: Making) -> float | None:
    """Work sessions with scraping, or days where no session was kept."""
    sittings = {step.session or step.at.date() for step in making.steps("scraped")}
    return len(sittings) or None


def _scraping_minutes(making: Making) -> float | None:
    """Not known if the minutes of any scraping are not."""
    minutes = [number(step.facts, "minutes") for step in making.steps("scraped")]
    known = [one for one in minutes if one is not None]
    return sum(known) if known and len(known) == len(minutes) else None


def _clipped(making: Making) -> float | None:
    clips = [_clip(step) for step in making.steps("clipped")]
    known = [clip for clip in clips if clip is not None]
    return round(sum(known), 4) if len(known) == len(clips) else None


def _clip(step: Step) -> float | None:
    given = number(step.facts, "clip_mm")
    if given is not None:
        return given
    before, after = step.before.overall_mm, step.after.overall_mm
    return None if before is None or after is None else max(before - after, 0.0)


def _wired_before_crow(making: Making) -> float | None:
    """Among wired reeds that crowed before they served."""
    kinds = [step.kind for step in making.life.making]
    if making.state.wire is None or not {"wired", "crowed"} <= set(kinds):
        return None
    return float(kinds.index("wired") < kinds.index("crowed"))


def _first_score(playings: Playings) -> FloatArray:
    """Known only from when it was given, so that a reed counts from there."""
    given = playings.first_score_at
    known = playings.from_new & (given <= playings.before) & (given <= FIRST_MINUTES)
    return np.where(known, playings.first_score, np.nan)


MAKING_HABITS = (
    Habit(
        "tied_mm", "Overall length when tied", "each extra millimetre tied", "tied shorter", "tied longer", "making",
        unit="mm", choice=True, of_making=lambda making: making.state.tied_mm,
    ),
    Habit(
        "gouge_mm", "Gouge", "each hundredth of a millimetre more gouge", "thinner gouge", "thicker gouge", "making",
        unit="mm", scale=0.01, choice=True, of_making=lambda making: making.state.gouge_mm,
    ),
    Habit(
        "shape", "Shape", "one shape rather than the others", "other shapes", "this shape", "making", "category",
        choice=True, of_making=lambda making: making.state.shape,
    ),
    Habit(
        "lot", "Cane lot", "one lot rather than the others", "other lots", "this lot", "making", "category",
        choice=True, of_making=lambda making: making.state.lot,
    ),
    Habit(
        "tube", "Tube", "one tube rather than the others", "other tubes", "this tube", "making", "category",
        choice=True, drawn=False, of_making=lambda making: making.state.tube,
        about="Of one tube no fair trial can be made: it carries one reed at a time.",
    ),
    Habit(
        "tube_uses", "How often the tube was used before", "each earlier reed on the tube",
        "tube used less before", "tube used more before", "making", unit="reeds",
        of_making=lambda making: making.tube_uses, about="Reeds that the tube carried before the log are not known.",
    ),
    Habit(
        "sink_min", "Sink time", "each minute longer to sink", "sank sooner", "floated longer", "making",
        unit="min", of_making=lambda making: making.state.sink_min,
    ),
    Habit(
        "rest_before_scraping", "Rest from tying to first scrape", "each extra day from tying to the first scrape",
        "scraped sooner", "rested longer", "making", unit="days",
        choice=True, of_making=lambda making: making.days_to(making.first("scraped")),
    ),
    Habit(
        "scraping_days", "Days that scraping took", "each extra day from the first to the last scrape",
        "scraped in fewer days", "scraped over more days", "making", unit="days", choice=True, of_making=_scraping_days,
    ),
    Habit(
        "scraping_sittings", "Sittings of scraping", "each extra sitting", "fewer sittings", "more sittings", "making",
        unit="sittings", choice=True, of_making=_sittings,
        about="A sitting is a work session, or a day where none was kept.",
    ),
    Habit(
        "scraping_minutes", "Minutes of scraping", "each ten minutes more scraping", "scraped less", "scraped more",
        "making", unit="min", scale=10, choice=True, of_making=_scraping_minutes,
    ),
    Habit(
        "clipped_mm", "Millimetres clipped", "each millimetre clipped before service", "clipped less", "clipped more",
        "making", unit="mm", of_making=if_logged(_clipped),
    ),
    Habit(
        "clipped_late", "How late it was first clipped", "each extra day from tying to the first clip",
        "clipped early", "clipped late", "making", unit="days",
        choice=True, of_making=lambda making: making.days_to(making.first("clipped")),
    ),
    Habit(
        "wired", "Wired", "wired rather than not", "no wire", "wired", "making", "yes",
        choice=True, of_making=if_logged(lambda making: float(making.state.wire is not None)),
        about="What a reed had on when its service began; a wire put on later does not count.",
    ),
    Habit(
        "wired_before_crow", "Wired before it crowed", "wired before it first crowed, rather than after",
        "wired after it crowed", "wired before it crowed", "making", "yes", choice=True, of_making=_wired_before_crow,
        about="Among wired reeds that crowed before they served.",
    ),
    Habit(
        "tubed", "Tubed", "tubing over the tube's end rather than none", "no tubing", "tubed", "making", "yes",
        choice=True, of_making=if_logged(lambda making: float(bool(making.state.tubing_mm))),
        about="What a reed had on when its service began; tubing put on later does not count.",
    ),
    Habit(
        "humidity_at_tying", "Humidity when tied", "each ten per cent more humidity when tied",
        "tied in drier air", "tied in damper air", "making", unit="%", scale=10,
        of_making=lambda making: making.humidity_pct,
    ),
)  # fmt: skip

FIRST_SCORE = Habit(
    "first_score", "First score", "each point more in its first score", "first score lower", "first score higher",
    "making", unit="points", of_playings=_first_score,
    about="The first score given up to the end of its second hour; a reed counts from when that was given.",
)  # fmt: skip
"""A forecast of a reed's life and no habit: nobody can give a reed a better score to make it last."""
