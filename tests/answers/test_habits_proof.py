"""The habits report on whole logs with known truth: a short run of `tests.benchmarks.habit_proof`, with fixed seeds."""

from __future__ import annotations

from functools import cache
from math import prod

import pytest
from demo_logs.maker.effects import Effects
from tests.benchmarks.habit_proof import DRAWN, PLANTED, Answer, ask, coverage, drawn, false_alarms, power, shares

from reedkin.study.habits import HABITS
from reedkin.survival import USUAL_BELIEF, Belief

LOGS = 3


@cache
def quiet() -> list[dict[str, Answer]]:
    """Of logs in which no habit has any effect, and failing reeds get touched up more."""
    return [ask(seed, 60, Effects.none()) for seed in range(LOGS)]


def test_where_no_habit_matters_hardly_any_is_told():
    """One test, since the logs are made once for all that is said of them."""
    alarms = [one.p < 0.05 for answers in quiet() for one in answers.values()]
    assert len(alarms) > 18 * LOGS
    assert 0.01 < sum(alarms) / len(alarms) < 0.11  # about one in twenty, and of 66 two standard deviations more
    holds = [one.lo <= 0 <= one.hi for answers in quiet() for one in answers.values()]
    assert 0.92 < sum(holds) / len(holds) < 0.98
    # Touch-ups that follow failing: counted without a lag, every such log would have a p-value of 0.1 or less. Of three
    # honest ones the product is below 0.00185 in one case of twenty (Fisher: half of chi-square's 12.59 for 6 degrees).
    assert prod(answers["touch_ups"].p for answers in quiet()) > 0.00185
    assert sum(any(one.evidence == "clear" for one in answers.values()) for answers in quiet()) <= 1


@pytest.mark.parametrize(("field", "reeds"), [("overall_mm", 120), ("early_longest_half_hour", 120)])
def test_a_planted_effect_is_found_and_held(field: str, reeds: int):
    name, planted, part = PLANTED[field]
    logs = 3
    answers = [ask(500 + seed, reeds, Effects.only(**{field: planted}), only=name)[name] for seed in range(logs)]
    assert sum(one.lo <= planted * part <= one.hi for one in answers) >= logs - 1
    if name == "tied_mm":  # of the pace, counted from a landmark on, so few reeds tell little
        assert sum(one.p < 0.05 for one in answers) >= 2


def test_the_tables_hold_a_row_for_each_habit():
    def one_log(seeds: object, reeds: int, effects: Effects, follow: bool, only: str) -> list[dict[str, Answer]]:
        return quiet()[:1]

    alarms = list(false_alarms(one_log, 1, 30))
    assert all(sum(line.startswith(f"| {habit.label} |") for line in alarms) == 1 for habit in HABITS)
    assert len(list(coverage(one_log, 1, 30))) == 3 + len(PLANTED) + 1
    assert len(list(power(one_log, {30: 1}))) == 3 + 3


def test_each_chance_is_told_by_each_belief_with_whether_it_came_true():
    """Where all that is drawn matters, and by so much that some of it must show."""
    (usual, doubting) = drawn(4, 60, Belief(1.001, 1.5), (USUAL_BELIEF, Belief(50)))
    assert len(usual) == len(doubting) == len(DRAWN)
    assert all(more > less for (more, _), (less, _) in zip(usual, doubting, strict=True))
    assert any(came_true and chance > 0.9 for chance, came_true in usual)


def test_a_share_comes_with_its_interval():
    """Wilson's interval of 3 in 20: 0.0523687 to 0.360419, as R gives it."""
    assert shares(3, 20) == "15.0 (5.2 to 36.0)"
