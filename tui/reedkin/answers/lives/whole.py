"""All reeds of a log together, or those of one instrument: their one curve, and what became of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from reedkin.answers.lives.groups import Group, curve_of
from reedkin.domain.reeds import HANDED_OVER, Reed
from reedkin.study.lives import Clock
from reedkin.study.study import Study


def of_instrument(study: Study, instrument: str) -> Study:
    """A study of the lives of one instrument's reeds."""
    kept = [place for place, life in enumerate(study.lives) if life.instrument == instrument]
    own = Study([study.lives[place] for place in kept], [study.makings[place] for place in kept])
    own.out_of_view = tuple(one for one in study.out_of_view if one.reed.instrument == instrument)
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
class Outcomes:
    """
    What became of the `reeds` that served: retired for wear, lost otherwise, still in service; `gone` from view, how
    many by how they went ("sold or given", "lent", "not followed to the end"). `left_out`: reeds that served, but for
    how long on this clock is not known.
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
    serving = sum(life.reed.at_work for life in open_lives)
    gone = Counter(how_gone(life.reed) for life in open_lives if not life.reed.at_work)
    return Outcomes(len(lives), worn, lost, serving, dict(gone.most_common()), len(study.lives) - len(lives))


def how_gone(reed: Reed) -> str:
    """How a reed that is no longer at work, and whose end nobody saw, went from view."""
    if reed.stage != HANDED_OVER:
        return "not followed to the end"
    return {"sold": "sold or given", "given": "sold or given"}.get(reed.now.terms or "", reed.now.terms or HANDED_OVER)
