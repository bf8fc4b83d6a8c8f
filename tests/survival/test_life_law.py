"""The law of lives, and what scores say of it: scipy's distributions are the reference."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import simpson
from scipy.stats import fisk, invgamma, multivariate_t, norm, weibull_min

from reedkin.survival.fading import (
    _BEND,
    _RATIO,
    BELIEVED,
    BELIEVED_SD,
    NOISE_SD,
    NOISE_WORTH,
    UNIT_LIFE,
    Course,
    Scored,
    ScoreSums,
    _evidence,
    _sums,
    fading_of,
)
from reedkin.survival.life_law import (
    KINDS_SD,
    MEDIAN,
    MEDIAN_SD,
    SHAPE,
    TREND_SD,
    LifeLaw,
    Seen,
    believed,
    law_of,
    laws_among,
)

NOTHING = Seen(*(np.array([]) for _ in range(4)))


def seen(stops: list[float], ended: bool = True) -> Seen:
    return Seen(np.zeros(len(stops)), np.array(stops), np.full(len(stops), float(ended)), np.ones(len(stops)))


def one_law(median: float, shape: float, log_logistic: bool) -> LifeLaw:
    return LifeLaw(np.array([median]), np.array([shape]), np.array([log_logistic]), np.ones(1))


def middle_of(law: LifeLaw) -> float:
    return float(np.exp(np.sum(law.weight * np.log(law.median))))


@pytest.mark.parametrize("log_logistic", [False, True])
def test_what_is_left_is_as_in_scipy(log_logistic: bool) -> None:
    edges = np.array([0.0, 1.0, 4.0, 9.0, 400.0])
    law = fisk(2.0, scale=10.0) if log_logistic else weibull_min(2.0, scale=10.0 / np.log(2.0) ** 0.5)
    found = one_law(10.0, 2.0, log_logistic).remaining(6.0, edges)
    expected = -np.diff(law.sf(6.0 + edges)) / law.sf(6.0)
    assert found[:-1] == pytest.approx(expected[:-1])
    assert found.sum() == pytest.approx(1.0)


def test_what_is_left_to_a_life_of_unknown_age_is_spread_as_the_survival_curve() -> None:
    """Exponential lives have no memory: what is left is as in a new one, whatever the age."""
    law, edges = one_law(10.0, 1.0, False), np.linspace(0.0, 300.0, 3001)
    assert law.remaining_of_unknown(3.0, edges) == pytest.approx(law.remaining(0.0, edges), abs=1e-6)


def test_before_any_life_it_is_the_stated_belief() -> None:
    law = law_of(NOTHING)
    assert middle_of(law) == pytest.approx(MEDIAN, rel=0.01)
    assert np.sqrt(np.sum(law.weight * np.log(law.median / MEDIAN) ** 2)) == pytest.approx(MEDIAN_SD, rel=0.02)
    weibull = ~law.log_logistic
    assert law.weight[weibull].sum() == pytest.approx(0.5, abs=0.01)
    assert np.exp(np.average(np.log(law.shape[weibull]), weights=law.weight[weibull])) == pytest.approx(SHAPE, rel=0.02)


def test_the_weights_follow_the_likelihood() -> None:
    """Between two laws the weights change by the ratio of likelihoods, as scipy reckons it; one reed entered late."""
    stops, entry, ended = np.array([5.0, 9.0, 14.0]), np.array([0.0, 3.0, 0.0]), np.array([1.0, 1.0, 0.0])
    before, after = law_of(NOTHING), law_of(Seen(entry, stops, ended, np.ones(3)))

    def log_likelihood(median: float, shape: float, log_logistic: bool) -> float:
        law = fisk(shape, scale=median) if log_logistic else weibull_min(shape, scale=median / np.log(2) ** (1 / shape))
        return float(np.sum(np.where(ended > 0, law.logpdf(stops), law.logsf(stops)) - law.logsf(entry)))

    keys = [
        {(m, s, bool(o)): w for m, s, o, w in zip(law.median, law.shape, law.log_logistic, law.weight, strict=True)}
        for law in (before, after)
    ]
    shared = sorted(keys[0].keys() & keys[1].keys(), key=lambda one: -keys[1][one])[:400:20]
    changed = [np.log(keys[1][one] / keys[0][one]) - log_likelihood(*one) for one in shared]
    assert len(changed) == 20
    assert {one[2] for one in shared} == {False, True}
    assert changed == pytest.approx([changed[0]] * 20)


def test_many_lives_outweigh_the_belief_and_few_do_not() -> None:
    lives = weibull_min(2.5, scale=6.0).rvs(200, random_state=np.random.default_rng(1)).tolist()
    true = float(weibull_min(2.5, scale=6.0).median())
    assert middle_of(law_of(seen(lives))) == pytest.approx(true, rel=0.05)
    assert true < middle_of(law_of(seen(lives[:2]))) < MEDIAN
    long = law_of(seen([30.0] * 5, ended=False))
    assert middle_of(long) > 20.0


def test_lives_that_count_half_count_as_half_as_many() -> None:
    once = law_of(seen([4.0, 6.0, 8.0]))
    twice = law_of(Seen(np.zeros(6), np.array([4.0, 6.0, 8.0] * 2), np.ones(6), np.full(6, 0.5)))
    assert middle_of(once) == pytest.approx(middle_of(twice))


def test_where_lives_shorten_the_law_is_that_of_the_latest() -> None:
    """Lives of which the middle falls from 16 to 10 h in two years."""
    rng = np.random.default_rng(1)
    ago = np.linspace(2.0, 0.0, 120)
    middles = 10.0 * np.exp(np.log(1.6) / 2.0 * ago)
    stops = middles * (rng.exponential(size=120) / np.log(2.0)) ** (1 / 2.5)
    together = Seen(np.zeros(120), stops, np.ones(120), np.ones(120))
    assert middle_of(law_of(together)) > 12.0
    assert middle_of(law_of(replace(together, ago=ago))) == pytest.approx(10.0, rel=0.1)


def test_every_trend_counts_by_how_well_lives_go_with_it() -> None:
    """Between two laws the weights change by the ratio of what scipy makes of the lives under each trend, all added."""
    stops, ended, ago = np.array([5.0, 9.0, 14.0]), np.array([1.0, 1.0, 0.0]), np.array([1.5, 0.4, 0.0])
    before, after = law_of(NOTHING), law_of(Seen(np.zeros(3), stops, ended, np.ones(3), ago))

    def likelihood(median: float, shape: float, log_logistic: bool) -> float:
        total = 0.0
        for trend in TREND_SD * np.linspace(-2.0, 2.0, 7):
            then = median * np.exp(-trend * ago)
            law = fisk(shape, scale=then) if log_logistic else weibull_min(shape, scale=then / np.log(2) ** (1 / shape))
            each = np.where(ended > 0, law.logpdf(stops), law.logsf(stops))
            total += np.exp(each.sum() - 0.5 * (trend / TREND_SD) ** 2)
        return float(total)

    keys = [
        {(m, s, bool(o)): w for m, s, o, w in zip(law.median, law.shape, law.log_logistic, law.weight, strict=True)}
        for law in (before, after)
    ]
    shared = sorted(keys[0].keys() & keys[1].keys(), key=lambda one: -keys[1][one])[:400:40]
    changed = [keys[1][one] / keys[0][one] / likelihood(*one) for one in shared]
    assert changed == pytest.approx([changed[0]] * 10)


def test_other_kinds_shift_the_belief_by_what_they_tell() -> None:
    """By hand: the maker's level and a kind's deviation from it are normal, so precisions add."""
    assert believed([]) == (pytest.approx(MEDIAN), pytest.approx(MEDIAN_SD))
    lives = weibull_min(2.5, scale=6.0).rvs(400, random_state=np.random.default_rng(1)).tolist()
    middle, spread = believed([seen(lives)])
    own, other = 1 / (MEDIAN_SD**2 - KINDS_SD**2), 1 / KINDS_SD**2
    true = float(weibull_min(2.5, scale=6.0).median())
    expected = np.exp((own * np.log(MEDIAN) + other * np.log(true)) / (own + other))
    assert middle == pytest.approx(expected, rel=0.05)
    assert spread == pytest.approx(np.sqrt(1 / (own + other) + KINDS_SD**2), rel=0.03)


def terms(hours: np.ndarray, life: float, bend: float) -> np.ndarray:
    over, length = np.minimum(hours / life, 1.0) ** bend, np.log(life / UNIT_LIFE)
    return np.column_stack((np.ones_like(over), np.full_like(over, length), over, over * length))


def test_scores_fit_as_the_multivariate_t_of_scipy_says() -> None:
    """With nothing seen, the scores of one life are multivariate t given its length, the bend and the ratio."""
    hours, scores = np.array([0.5, 2.0, 4.0, 7.0]), np.array([8.0, 8.5, 7.0, 6.0])
    fading, lives = fading_of(ScoreSums.of([])), np.array([7.5, 10.0, 20.0])
    spread = np.diag((BELIEVED_SD / NOISE_SD) ** 2)
    expected = np.zeros(3)
    for bend, ratio, weight in zip(fading.bend, fading.ratio, fading.weight, strict=True):
        for place, life in enumerate(lives):
            rows = terms(hours, life, bend)
            scale = NOISE_SD**2 * (np.eye(4) + ratio + rows @ spread @ rows.T)
            law = multivariate_t(rows @ BELIEVED, scale, df=2 * NOISE_WORTH)
            expected[place] += weight * law.pdf(scores)
    found = fading.fits(Scored(hours, scores), lives)
    assert found / found[0] == pytest.approx(expected / expected[0])
    assert invgamma(NOISE_WORTH, scale=NOISE_WORTH * NOISE_SD**2).median() == pytest.approx(NOISE_SD**2, rel=0.2)


def test_two_unknowns_of_a_life_are_updated_as_all_four_terms_are() -> None:
    """The closed form against the posterior that holds all four terms, after lives were seen."""
    rng = np.random.default_rng(3)
    seen = [(life, Scored(np.arange(1.0, life), 8.0 - rng.random(int(life - 1)))) for life in (6.0, 9.0, 15.0)]
    fading, lives = fading_of(ScoreSums.of(seen)), np.array([2.5, 8.0, 40.0])
    one = Scored(np.array([0.0, 0.5, 2.0]), np.array([7.0, 8.5, 8.0]))
    gram, product, squares = _sums(one, lives, fading.bend, fading.ratio)
    after = _evidence(fading.precision + gram, fading.product + product, fading.squares + squares, fading.half + 1.5)
    before = _evidence(fading.precision, fading.product, fading.squares, fading.half)
    log = after - before - 0.5 * np.log1p(3 * fading.ratio) + np.log(fading.weight)
    assert fading.fits(one, lives) == pytest.approx(np.exp(log - log.max()).sum(axis=1), rel=1e-9)


def test_scores_of_many_lives_add_up_to_those_of_each() -> None:
    rng = np.random.default_rng(4)
    lives = [(9.0, Scored(np.array([9.5]), np.array([7.0]), 0.3))]
    lives += [(12.0, Scored(np.sort(rng.uniform(0.0, 12.0, n)), rng.uniform(3.0, 9.0, n), 1.0 / n)) for n in (2, 5)]
    together = ScoreSums.of(lives)
    one_by_one = ScoreSums.of([])
    for life, one in lives:
        gram, product, squares = _sums(one, np.array([life]), _BEND, _RATIO)
        count = float(len(one.scores))
        one_by_one += ScoreSums(gram[0], product[0], squares, -0.5 * np.log1p(count * _RATIO), count) * one.weight
    for name in ("gram", "product", "squares", "log", "scores"):
        assert getattr(together, name) == pytest.approx(getattr(one_by_one, name), rel=1e-9)


def test_how_they_faded_is_learnt_from_the_worn_out() -> None:
    """Reeds that lose 4 points, all of them in the last tenth of their lives: a fallen score then says that it is over,
    and a high one that there is time."""
    rng = np.random.default_rng(2)
    lives = rng.uniform(6.0, 20.0, 40)
    faded = []
    for life in lives:
        hours = np.arange(0.7, life, 0.7)
        scores = 8.0 - 4.0 * (hours / life) ** 10 + rng.normal(0.0, 0.3, len(hours))
        faded.append((float(life), Scored(hours, scores)))
    fading, lengths = fading_of(ScoreSums.of(faded)), np.array([8.3, 16.0])
    assert np.average(fading.bend, weights=fading.weight) > 5.0
    low = fading.fits(Scored(np.array([7.0, 8.0]), np.array([7.5, 5.0])), lengths)
    high = fading.fits(Scored(np.array([7.0, 8.0]), np.array([8.0, 8.0])), lengths)
    assert low[0] > 5 * low[1]
    assert high[1] > 5 * high[0]


def test_people_who_are_all_alike_share_one_law() -> None:
    one, other = seen([3.0, 8.0, 5.0]), seen([20.0, 14.0], ended=False)
    together = Seen(*(np.concatenate(both) for both in zip(_columns(one), _columns(other), strict=True)))
    own, anybody = laws_among([one, other], MEDIAN, 0.6, 0.01)
    for law in (*own, anybody):
        assert middle_of(law) == pytest.approx(middle_of(law_of(together, MEDIAN, 0.6)), rel=1e-6)


def test_each_person_s_law_is_the_shared_effect_integrated() -> None:
    """Weibull lives with three people, whose medians are scattered by 0.4 about one that was believed to be near 12.5:
    how much likelier one median is than another with the first of them, integrated by scipy."""
    people = [seen([4.0, 6.0, 5.0]), seen([15.0, 11.0]), seen([9.0, 9.0, 9.0], ended=False)]
    (law, *_), _ = laws_among(people, MEDIAN, 0.6, 0.4)
    shapes = law.shape[~law.log_logistic]
    shape = shapes[np.abs(shapes - SHAPE).argmin()]

    at = np.linspace(-0.5, 5.5, 1201)

    def likelihood(person: Seen) -> np.ndarray:
        """By the logarithm of the median (at,)."""
        lives = weibull_min(shape, scale=np.exp(at[:, None]) / np.log(2) ** (1 / shape))
        return np.where(person.ended > 0, lives.pdf(person.stop), lives.sf(person.stop)).prod(axis=1)

    near = norm.pdf(at[:, None], at, 0.4)
    others = [simpson(near * likelihood(person), x=at, axis=1) for person in people[1:]]
    shared = norm.pdf(at, np.log(MEDIAN), 0.6) * np.prod(others, axis=0)
    expected = likelihood(people[0]) * simpson(near * shared, x=at, axis=1)
    one_shape = ~law.log_logistic & (law.shape == shape)
    log, weight = np.log(law.median[one_shape]), law.weight[one_shape]
    assert len(log) > 10
    assert weight / weight.max() == pytest.approx(
        np.interp(log, at, expected) / np.interp(log[weight.argmax()], at, expected), rel=0.01, abs=1e-3
    )


def test_lives_with_one_say_less_of_those_with_others_than_as_many_with_many() -> None:
    lives = [4.0, 5.0, 6.0, 5.0, 4.5, 5.5]
    _, of_one = laws_among([seen(lives)], MEDIAN, 0.6, 0.4)
    (first, *_), of_many = laws_among([seen([life]) for life in lives], MEDIAN, 0.6, 0.4)
    assert middle_of(law_of(seen(lives), MEDIAN, 0.6)) < middle_of(of_many) < middle_of(of_one) < MEDIAN
    assert middle_of(first) < middle_of(of_many)
    assert of_many.spread < of_one.spread
    nobody, believed_alone = laws_among([], MEDIAN, 0.6, 0.4)
    assert nobody == []
    assert middle_of(believed_alone) == pytest.approx(MEDIAN, rel=0.02)


def _columns(one: Seen) -> tuple[np.ndarray, ...]:
    return one.entry, one.stop, one.ended, one.weight


def test_scores_draw_a_reeds_level_as_far_as_they_outweigh_that_of_all() -> None:
    """The mean of a normal level with as many times a score's variance as `ratio`, given two new reed's scores one
    above what is usual: the textbook's weight n r / (1 + n r)."""
    ratio = np.array([0.5, 2.0])
    course = Course(np.ones(2), ratio, np.zeros(2), np.array([[7.0, 0.0, 0.0, 0.0]] * 2))
    scored = Scored(np.zeros(2), np.array([8.0, 8.0]))
    level, fall = course.of_life(np.array([10.0, 10.0]), scored, np.random.default_rng(1))
    assert level == pytest.approx(7 + 2 * ratio / (1 + 2 * ratio))
    assert fall == pytest.approx(0)
