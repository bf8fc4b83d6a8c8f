"""All reeds of a log together, or those of one instrument: their one curve, and what became of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from reedkin.answers.lives.groups import Group, curve_of
from reedkin.domain.reeds import HANDED_OVER, Reed
from reedkin.study.lives import Clock, Life
from reedkin.study.rows import best_watched
from reedkin.study.study import Study
from reedkin.survival import SurvivalCurve, kaplan_meier


def of_instrument(study: Study, instrument: str) -> Study:
    """A study of the lives of one instrument's reeds."""
    kept = [place for place, life in enumerate(study.lives) if life.instrument == instrument]
    own = Study([study.lives[place] for place in kept], [study.makings[place] for place in kept])
    own.out_of_view = tuple(one for one in study.out_of_view if one.reed.instrument == instrument)
    own.hidden = study.hidden
    own.sight = study.sight
    return own


def everyone(study: Study, clock: Clock, name: str = "all reeds") -> Group | None:
    """All reeds whose lives are known on this clock, as one group; None if there are none."""
    rows = study.rows(clock, whole=True)
    if not len(rows.life):
        return None
    ids = tuple(study.lives[place].reed.id for place in np.unique(rows.life))
    every = np.ones(len(rows.life), dtype=np.bool_)
    return Group(name, len(ids), int(rows.event.sum()), curve_of(rows, every), ids)


@dataclass(frozen=True, slots=True)
class LeftOpen:
    """The `reeds` that served and are gone without anybody having told how: retired with no cause known, or unseen for
    so long that they must be; and the curve of all reeds as it would be if all of these had worn out then."""

    reeds: tuple[Reed, ...]
    curve: SurvivalCurve


def untold_of(study: Study, clock: Clock) -> LeftOpen | None:
    """What such reeds leave open on this clock; None if there are none."""
    rows = study.rows(clock, whole=True)
    last = {int(life): row for row, life in enumerate(rows.life)}
    ended = [row for life, row in last.items() if study.lives[life].untold]
    if not ended:
        return None
    event = rows.event.copy()
    event[ended] = True
    spells = best_watched(rows.start, rows.stop, event)
    reeds = tuple(study.lives[rows.life[row]].reed for row in ended)
    return LeftOpen(reeds, kaplan_meier(spells.stop, spells.ended, spells.start))


@dataclass(frozen=True, slots=True)
class Outcomes:
    """
    What became of the `reeds` that served: retired for wear, lost otherwise, still in service; `gone` from view, how
    many by how they went ("sold or given", "lent", "not followed to the end", "unseen for long"). `left_out`: reeds
    that served, but for how long on this clock is not known.
    """

    reeds: int
    worn: int
    lost: int
    serving: int
    gone: Mapping[str, int]
    left_out: int


def outcomes(study: Study, counted: Collection[str]) -> Outcomes:
    """What became of the reeds with these ids; the other lives are left out."""
    ids = set(counted)
    lives = [life for life in study.lives if life.reed.id in ids]
    worn = sum(life.worn_out for life in lives)
    lost = sum(life.cause is not None for life in lives) - worn
    open_lives = [life for life in lives if life.cause is None]
    serving = sum(life.reed.at_work and not life.unseen for life in open_lives)
    gone = Counter(how_gone(life) for life in open_lives if not life.reed.at_work or life.unseen)
    return Outcomes(len(lives), worn, lost, serving, dict(gone.most_common()), len(study.lives) - len(lives))


def how_gone(life: Life) -> str:
    """How a reed that is no longer at work, or must be gone, and whose end nobody saw, went from view."""
    reed = life.reed
    if life.unseen:
        return "unseen for long"
    if reed.stage != HANDED_OVER:
        return "not followed to the end"
    return {"sold": "sold or given", "given": "sold or given"}.get(reed.now.terms or "", reed.now.terms or HANDED_OVER)
