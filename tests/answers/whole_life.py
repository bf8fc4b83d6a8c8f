"""A reed's whole life as text, as its screen keeps it."""

from __future__ import annotations

from reedkin.answers.question import Asked
from reedkin.answers.reed.question import ReedQuestion
from reedkin.bench.bench import Bench
from reedkin.domain.reeds import Reed
from reedkin.study.ticks import no_tick


def whole_life(reed: Reed, bench: Bench) -> list[str]:
    return ReedQuestion(reed.id).answer(Asked(bench), no_tick).text()
