"""A circle's answers on makers of known truth: a short run of `tests.benchmarks.circle_proof`, with fixed seeds."""

from __future__ import annotations

import math

import numpy as np
from tests.benchmarks.circle_proof import calibrated, drawn, found, harmless, wronged

TOLD = math.log(1.65)


def test_where_no_habit_matters_none_is_called_clear():
    logs = [harmless(seed, 8, habits=5) for seed in range(2)]
    assert sum(together for _, together, _ in logs) == 0
    assert sum(ever for *_, ever in logs) <= 1


def test_a_circle_finds_what_one_log_seldom_does():
    circles = [found(seed, 8, TOLD, 0.25 * TOLD) for seed in range(30)]
    with_the_circle, clear, alone, alone_clear, wrong_way = (sum(column) for column in zip(*circles, strict=True))
    assert with_the_circle >= 25
    assert clear >= 23
    assert alone <= 15
    assert alone_clear <= alone
    assert wrong_way == 0


def test_chances_come_true_where_makers_differ():
    told = [one for seed in range(3) for one in calibrated(seed, 8, "makers differ by as much as it matters")]
    sure, unsure = [right for chance, right in told if chance >= 0.9], [right for chance, right in told if chance < 0.2]
    assert sum(sure) >= 0.85 * len(sure) > 0
    assert sum(unsure) <= 0.15 * len(unsure)


def test_one_wrong_file_turns_nothing_about_unseen():
    became = [word for seed in range(2) for mean in (TOLD, 0.0) for word in wronged(seed, mean)]
    assert sum(word.startswith("clear: ") for word in became) > 15
    assert not any("turned about" in word for word in became)
    assert sum(word == "clear: lost" for word in became) <= 1
    assert sum(word.startswith("not clear: made clear") and "seen" not in word for word in became) <= 2


def test_circles_are_drawn_about_their_mean():
    many = drawn(np.random.default_rng(1), 4000, 0.5, 0.3)
    assert abs(float(many.true.mean()) - 0.5) < 0.02
    assert abs(float(many.true.std()) - 0.3) < 0.02
    assert 0.12 < float(many.se.min()) < float(many.se.max()) < 0.32
