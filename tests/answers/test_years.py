"""Years and seasons: what they are called, things grouped by them, and this one beside the last."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from demo_logs.simulate import simulate
from scipy.stats import chi2, sem, ttest_ind
from scipy.stats import t as student
from tests.answers.logs import records
from tests.domain.maker import Maker

from reedkin.answers.lives.question import LivesQuestion
from reedkin.answers.question import Asked
from reedkin.answers.steady.period_question import SteadyByPeriodQuestion
from reedkin.answers.years.question import YearsQuestion, _means
from reedkin.answers.yields.question import YieldsQuestion
from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.periods import first_day, period_name
from reedkin.study.ticks import no_tick

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("day", "month", "name", "begun"),
    [
        ("2026-01-01", 1, "2026", "2026-01-01"),
        ("2026-12-31", 1, "2026", "2026-01-01"),
        ("2026-08-31", 9, "2025/26", "2025-09-01"),
        ("2026-09-01", 9, "2026/27", "2026-09-01"),
        ("1999-10-01", 9, "1999/00", "1999-09-01"),
    ],
)
def test_a_year_is_called_by_when_it_begins(day: str, month: int, name: str, begun: str) -> None:
    assert period_name(date.fromisoformat(day), month) == name
    assert first_day(date.fromisoformat(day), month).isoformat() == begun


@pytest.fixture(scope="module")
def maker() -> Maker:
    """In 2025 four of forty blanks come good, in 2026 thirty-two of forty; the lengths are 60 and 61 mm by turns."""
    found = Maker()
    for year, good in ((2025, 4), (2026, 32)):
        for number in range(40):
            tag, tied = year % 100 * 100 + number, date(year, 1, 10) + timedelta(days=7 * number)
            found.type(f"{tag} tie oboe {71 + number % 2} @{tied}")
            end = "play 60 8" if number < good else "retire never came good"
            found.type(f"{tag} {end} @{tied + timedelta(days=6)}")
            if number < good:
                found.type(f"{tag} retire worn @{tied + timedelta(days=7)}")
    return found


def test_what_is_grouped_by_years(maker: Maker) -> None:
    asked = Asked(maker.bench)
    yields = YieldsQuestion("year").answer(asked, no_tick).groups
    assert [(one.name, one.good, one.settled) for one in yields] == [("2026", 32, 40), ("2025", 4, 40)]
    seasons = YieldsQuestion("season").answer(asked, no_tick).groups
    assert [one.name for one in seasons] == ["2026/27", "2025/26", "2024/25"]
    lives = LivesQuestion("year", "hours").answer(asked, no_tick)
    assert [(group.name, group.n) for group in lives.report.groups] == [("2025", 4), ("2026", 32)]
    chart, *_ = SteadyByPeriodQuestion("year").answer(asked, no_tick).to_json()["charts"]
    assert [(one["name"], one["n"], one["mean"]) for one in chart["periods"]] == [
        ("2026", 40, 71.5),
        ("2025", 40, 71.5),
    ]
    # By hand: forty values, half of them 0.5 above the mean and half below: sd = sqrt(40 * 0.25 / 39).
    assert chart["periods"][0]["sd"] == pytest.approx((10 / 39) ** 0.5)
    low, high = chart["periods"][0]["mean_ci"]
    assert (71.5 - low, high - 71.5) == pytest.approx([student.ppf(0.975, 39) * (10 / 39 / 40) ** 0.5] * 2)
    # 39 times the square, over the true one, goes as a chi-square on 39 degrees of freedom.
    assert chart["periods"][0]["sd_ci"] == pytest.approx((10 / chi2.ppf([0.975, 0.025], 39)) ** 0.5)


def test_two_means_are_compared_as_scipy_does() -> None:
    """Seven reeds and five, that scatter unlike; and their limits."""
    then, here = [6.1, 7.4, 7.0, 6.6, 8.2, 7.7, 5.9], [8.0, 8.3, 7.9, 8.6, 8.1]
    (found,) = _means("mean score of a reed", "oboe", "", then, here)
    assert found.p == pytest.approx(ttest_ind(then, here, equal_var=False).pvalue)
    for own, values in ((found.before, then), (found.now, here)):
        assert own[1:] == pytest.approx(student.interval(0.95, len(values) - 1, np.mean(values), sem(values)))


def test_a_season_begins_when_she_says(maker: Maker) -> None:
    own = Maker("1 tie oboe 72 @2026-03-31", "2 tie oboe 72 @2026-04-01", "set season april")
    groups = YieldsQuestion("season").answer(Asked(own.bench), no_tick).groups
    assert [one.name for one in groups] == ["2026/27", "2025/26"]


def test_this_year_beside_the_last(maker: Maker) -> None:
    found = YearsQuestion("year", TODAY).answer(Asked(maker.bench), no_tick)
    assert found.before == (date(2025, 1, 1), date(2025, 11, 25))
    told = {one.what: one for one in found.compared}
    good = told["blanks that come good"]
    assert (good.before[0], good.now[0]) == (10, 80)
    # Fisher's exact test of 4 of 40 and 32 of 40: far below one in a thousand.
    assert good.p < 1e-9
    assert good.changed
    assert not told["blanks tied in a week"].changed
    lines = found.lines()
    assert lines[0] == "Thu 1 Jan to Wed 25 Nov"
    assert "  oboe, blanks that come good: 80% (65 to 90), before 10% (4 to 23): a change" in lines
    assert found.to_json()["beside"] == {"from": "2025-01-01", "to": "2025-11-25"}


def test_in_the_first_year_there_is_nothing_to_compare() -> None:
    lines = YearsQuestion("season", TODAY).answer(Asked(Maker("1 tie oboe 72").bench), no_tick).lines()
    assert lines[-1] == "Too little was noted then, or now, to compare."


def test_noise_is_not_read_as_change() -> None:
    """Makers who changed nothing in two seasons. (Of 24, two were told of one change each, in 240 comparisons.)"""
    told, changed = 0, 0
    for seed in range(2):
        made = simulate(seed, reeds=None, start=date(2024, 9, 2), end=date(2026, 8, 20))
        clock = FixedClock(datetime(2026, 8, 20, 22, tzinfo=UTC))
        asked = Asked(Bench.of(clock, records(made.rows, made.sessions)))
        compared = YearsQuestion("season", date(2026, 8, 20)).answer(asked, no_tick).compared
        told, changed = told + len(compared), changed + sum(one.changed for one in compared)
    assert told > 13
    assert changed <= 1
