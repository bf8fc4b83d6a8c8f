"""How one habit goes with the end of lives, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from reedkin.study.habits import Habit, habit_named
from reedkin.study.lives import Clock
from reedkin.study.playings import BoolArray, FloatArray, IntArray
from reedkin.study.rows import Rows
from reedkin.study.study import Study
from reedkin.study.ticks import Tick, no_tick, part
from reedkin.survival import (
    USUAL_BELIEF,
    Belief,
    CoxFit,
    Evidence,
    LessSure,
    RiskSets,
    StatisticsError,
    evidence,
    fit,
    information_needed,
    less_sure,
    normal_score,
    student_p,
    student_quantile,
    two_sided_p,
)
from reedkin.survival.distributions import LEVEL, Z

FEWEST_RETIRED = 5
"""With fewer retirements among the reeds whose habit is known, nothing is said of it."""

FEWEST_ON_A_SIDE = 5
"""Reeds with something and reeds without are compared if there are so many of either, beside others of their
instrument: with fewer, the test too often finds a difference that is not there (10 in 100 with one or two, by
simulation)."""

MANY_RETIRED = 500
"""With so many retirements the profile of the likelihood is a parabola but for a hundredth of a standard error, and its
limits need not be sought step by step."""

_LOT = habit_named("lot")

CLEAR = 0.95
"""The chance from which a habit is called clear."""

_NEVER_DIFFERED = "no two reeds in service together differed in it when one was retired"


class Untold(Exception):  # noqa: N818 - it is no error that a log cannot tell
    """A habit of which the log cannot tell; the message says why, in words for people."""


@dataclass(frozen=True, slots=True)
class Effect:
    """
    hazard_ratio      how many times as fast lives end for each `per` of the habit, among reeds of one instrument.
    lo, hi            its 95% limits: 0 or inf where the data set none.
    p                 the p-value that there is no difference.
    n, retired        the reeds whose habit is known, and how many of them were retired for wear.
    spread            what each retirement told: the variance of the habit, in `per`, among reeds at risk together.
    z                 how many standard errors the log of the ratio is from none, by the likelihood.
    sd                the standard deviation of the habit, in `per`, among reeds at risk together.
    df                the degrees of freedom of Student's t by which it is judged, as few as evenings tell of it.
    word, compared    of a category: the word that differs most from the others, and how many words were compared.
    """

    hazard_ratio: float
    lo: float
    hi: float
    p: float
    n: int
    retired: int
    spread: float
    z: float
    sd: float
    df: float = math.inf
    word: str | None = None
    compared: int = 1

    @property
    def information(self) -> float:
        """What all retirements told of one standard deviation of the habit."""
        return self.spread * self.retired / self.sd**2 if self.sd else 0.0

    def evidence(self, belief: Belief = USUAL_BELIEF) -> Evidence:
        """What is to be believed of it."""
        return evidence(self.z, self.information, belief, self.compared)

    def believed(self, belief: Belief = USUAL_BELIEF) -> Effect:
        """
        The ratio and its limits if it matters: drawn toward none as far as chance may have made them, by the belief how
        large what matters is. What stands out in a log mostly stands out too far.
        """
        if not 0.0 < self.hazard_ratio < math.inf:
            return self
        told = self.information * belief.size**2
        kept = told / (1.0 + told)
        middle = self.hazard_ratio**kept
        lo, hi = (
            limit if limit in (0.0, math.inf) else middle * _exp(math.sqrt(kept) * math.log(limit / self.hazard_ratio))
            for limit in (self.lo, self.hi)
        )
        return replace(self, hazard_ratio=middle, lo=lo, hi=hi)

    def more_needed(self, belief: Belief = USUAL_BELIEF) -> int | None:
        """How many more retirements it takes to be told of this effect with a chance of CLEAR, were it the true one, in
        four cases of five. None for one that no number of them would find, or that is too large to reckon with."""
        if not 0.0 < self.hazard_ratio < math.inf or self.information <= 0.0:
            return None
        needed = information_needed(math.log(self.hazard_ratio) * self.sd, CLEAR, belief=belief)
        return None if needed is None else max(math.ceil(self._times(needed) * self.retired) - self.retired, 1)

    def _times(self, needed: float) -> float:
        """So many times the retirements tell as much, to 1 in 100: of as many times the evenings, by which it is then
        judged on more degrees of freedom."""
        high = needed / self.information
        plain = low = high / _beside_normal(self.df) ** 2
        while high > 1.01 * low:
            middle = math.sqrt(low * high)
            enough = middle >= plain * _beside_normal(self.df * middle) ** 2
            low, high = (low, middle) if enough else (middle, high)
        return high


def effect_of(study: Study, habit: Habit, clock: Clock, tick: Tick = no_tick) -> Effect:
    """
    The effect of one habit alone, by Cox's regression with Firth's penalty, reeds of one instrument being compared.

    A habit in use is compared among reeds alike in what stands `beside_use`. Raises Untold.
    """
    if clock == "days" and habit.hours_only:
        raise Untold("it says how much a reed is played, and one that is played more lives fewer days in any case")
    rows = study.rows_for(habit, clock)
    if habit.measure == "category":
        return _effect_of_words(rows, study.words(habit, rows), tick)
    values = study.numbers(habit, rows)
    if habit.measure == "yes" and _comparable(rows, _codes(values), 2)[1] < FEWEST_ON_A_SIDE:
        raise Untold(f"it takes {FEWEST_ON_A_SIDE} reeds with it and {FEWEST_ON_A_SIDE} without")
    return effect(rows, values / habit.scale, beside_use(study, habit, rows, clock), tick=tick)


def beside_use(study: Study, habit: Habit, rows: Rows, clock: Clock) -> list[FloatArray]:
    """
    Columns (n,) that the regression of a habit in use has beside it; none for a habit of making.

    The reed's early score, and whether it has none: what a maker does to a reed follows from how good it was from the
    first. On the clock of days also the log of the hours played before, which the hazard of wear follows about as a
    power: whatever mounts up with playing would otherwise seem to spend a reed that is simply played more.
    """
    if habit.kind != "use":
        return []
    score = study.playings.early_score[rows.playing]
    unscored = np.isnan(score)
    columns = [] if unscored.all() else [np.where(unscored, np.nanmean(score), score), unscored.astype(np.float64)]
    if clock == "days":
        columns.append(np.log1p(study.playings.before[rows.playing] / 60))
    return columns


def within_lots(study: Study, habit: Habit, alone: Effect, clock: Clock) -> Effect | None:
    """
    The effect of a habit of making with only reeds of one lot compared; None where less than half of the reeds have
    their lot noted. Where the lots cannot tell, because reeds of one lot hardly differ in the habit, raises Untold.
    """
    rows = study.rows_for(habit, clock)
    values = values_of(study, habit, rows, alone.word)
    lots = study.words(_LOT, rows)
    known = ~np.isnan(values)
    if 2 * np.count_nonzero(known & (lots != "") & rows.event) < np.count_nonzero(known & rows.event):
        return None
    found = effect(rows, values, strata=strata_within(rows.stratum, lots))
    return found if alone.word is None else one_of(found, alone.word, alone.compared)


def strata_within(strata: IntArray, words: NDArray[np.str_]) -> IntArray:
    """Strata (n,) split by words; -1 where one of the two is not known."""
    names, codes = np.unique(words, return_inverse=True)
    return np.where((strata < 0) | (words == ""), -1, strata * len(names) + codes)


def values_of(study: Study, habit: Habit, rows: Rows, word: str | None) -> FloatArray:
    """(n,) the habit in units of its `per`; of a category, whether it is `word`."""
    if habit.measure != "category":
        return study.numbers(habit, rows) / habit.scale
    words = study.words(habit, rows)
    return np.where(words == "", np.nan, words == (word or ""))


def fitted(rows: Rows, values: FloatArray, beside: Sequence[FloatArray] = (), strata: IntArray | None = None) -> CoxFit:
    """
    The regression on `values` (n,; nan where not known) and the columns `beside` (n,), rows being compared only within
    `strata` (n,; -1 where not known) where these are given, else with those of the same instrument. Raises Untold.
    """
    risk = rows.risk if strata is None else RiskSets.of(rows.stop, rows.event, rows.start, strata)
    risk = _enough(risk, _known(values, beside, strata))
    if not _differs(risk, values):
        raise Untold(_NEVER_DIFFERED)
    try:
        return fit(risk, np.column_stack((values, *(column for column in beside if _differs(risk, column)))))
    except StatisticsError as error:
        raise Untold(f"it could not be told apart: {error}") from error


def effect(
    rows: Rows,
    values: FloatArray,
    beside: Sequence[FloatArray] = (),
    strata: IntArray | None = None,
    tick: Tick = no_tick,
    sought: bool = True,
) -> Effect:
    """
    The effect of one unit of `values`; the arguments are those of `fitted`. Its limits and how sure it is are
    `sought` on the profile of the likelihood, or else those of a parabola; and wider where reeds begun on one evening
    last alike, so that they tell less than so many. Raises Untold.
    """
    tick(0.0)
    model = fitted(rows, values, beside, strata)
    coef, error = float(model.coef[0]), float(model.se[0])
    if model.events >= MANY_RETIRED or not sought:
        lo, hi, z = coef - Z * error, coef + Z * error, coef / error
        p = two_sided_p(z)
    else:
        try:
            tick(0.4)
            lo, hi = model.interval(0)
            tick(0.9)
            test = model.profile.test(0)
        except StatisticsError as why:
            raise Untold(f"how sure it is could not be told: {why}") from why
        z, p = math.copysign(math.sqrt(test.chi2), coef), test.p
    spread = 1.0 / (error**2 * model.events)
    reeds = rows.reeds(_known(values, beside, strata))
    sd = math.sqrt(_variance(model.profile.likelihood.steps.risk, values))
    found = Effect(_exp(coef), _exp(lo), _exp(hi), p, reeds, model.events, spread, z, sd)
    return _by_evenings(found, less_sure(model, rows.life, rows.evening))


def _by_evenings(effect: Effect, judged: LessSure) -> Effect:
    """
    The same effect with what evenings share in its variance, judged by Student's t: its p, its limits, and how far out
    it is, as a normal value, with the information that such limits go with.
    """
    apart = math.sqrt(float(judged.factors[0]))
    wider = apart * _beside_normal(judged.df)
    return replace(
        effect,
        lo=_widened(effect.hazard_ratio, effect.lo, wider),
        hi=_widened(effect.hazard_ratio, effect.hi, wider),
        p=student_p(effect.z / apart, judged.df),
        spread=effect.spread / wider**2,
        z=normal_score(effect.z / apart, judged.df),
        df=judged.df,
    )


def _beside_normal(df: float) -> float:
    """How many times as wide limits are by Student's t as by the normal law."""
    return student_quantile(0.5 + LEVEL / 2, df) / Z


def _known(values: FloatArray, beside: Sequence[FloatArray], strata: IntArray | None) -> BoolArray:
    """(n,) whether all that a regression needs of a row is known."""
    known: BoolArray = ~np.isnan(np.sum((values, *beside), axis=0))
    return known if strata is None else known & (strata >= 0)


def _effect_of_words(rows: Rows, words: NDArray[np.str_], tick: Tick) -> Effect:
    """The word that differs most from the others, by the log-rank test."""
    known = words != ""
    risk = _enough(rows.risk, known)
    names = np.unique(words[known])
    codes = np.where(known, np.searchsorted(names, words), -1)
    wanted = np.flatnonzero(_comparable(rows, codes, len(names)) >= FEWEST_ON_A_SIDE)
    if not len(wanted):
        raise Untold(f"it takes {FEWEST_ON_A_SIDE} reeds of one, and {FEWEST_ON_A_SIDE} others to compare them with")
    chi2 = _standing_out(risk, codes, wanted)
    most = int(wanted[chi2.argmax()])
    tick(0.5)
    one = effect(rows, np.where(known, codes == most, np.nan), tick=part(tick, 0.5, 1.0))
    # Of two words each is compared with the other: that is one comparison and not two.
    compared = 1 if len(names) == 2 else int(np.count_nonzero(chi2 >= 0))
    return one_of(one, str(names[most]), compared)


def one_of(effect: Effect, word: str, compared: int) -> Effect:
    """The effect of a word that was picked among so many compared: p and limits as for so many tests (Bonferroni)."""
    wider = student_quantile(1 - (1 - LEVEL) / 2 / compared, effect.df) / student_quantile(0.5 + LEVEL / 2, effect.df)
    return replace(
        effect,
        lo=_widened(effect.hazard_ratio, effect.lo, wider),
        hi=_widened(effect.hazard_ratio, effect.hi, wider),
        p=min(1.0, compared * effect.p),
        word=word,
        compared=compared,
    )


def _standing_out(risk: RiskSets, codes: IntArray, wanted: IntArray) -> FloatArray:
    """
    For each code wanted, the log-rank chi-square (Mantel 1966) of the rows that have it against all others at risk; -1
    where they were never at risk together when one was retired. `codes` (n,) is for all rows, those left out too.
    """
    own = codes[risk.rows]
    of_dead = own[risk.dead]
    deaths, total = risk.deaths, risk.at_risk
    spread = deaths * (total - deaths) / np.maximum(total - 1, 1)
    chi2 = np.full(len(wanted), -1.0)
    for place, code in enumerate(wanted):
        share = risk.counts(own == code) / total
        variance = float((share * (1 - share)) @ spread)
        if variance > 1e-9:
            chi2[place] = (np.count_nonzero(of_dead == code) - float(share @ deaths)) ** 2 / variance
    return chi2


def _comparable(rows: Rows, codes: IntArray, count: int) -> IntArray:
    """
    For each of `count` codes, how many reeds have it that can be compared: of an instrument no more than are without.

    codes (n,) is -1 where it is not known. A reed whose code changes counts on both sides.
    """
    known = codes >= 0
    pairs = np.unique(rows.life[known] * count + codes[known])
    life, code = pairs // count, pairs % count
    instrument = np.zeros(int(rows.life.max(initial=0)) + 1, dtype=np.int64)
    instrument[rows.life] = rows.stratum
    place, size = instrument[life] * count + code, (int(rows.stratum.max(initial=0)) + 1) * count
    with_it = np.bincount(place, minlength=size).reshape(-1, count)
    always = np.bincount(place[np.bincount(life)[life] == 1], minlength=size).reshape(-1, count)
    reeds = np.bincount(instrument[np.unique(life)], minlength=len(with_it))[:, None]
    return np.asarray(np.minimum(with_it, reeds - always).sum(axis=0))


def _codes(values: FloatArray) -> IntArray:
    return np.where(np.isnan(values), -1, values).astype(np.int64)


def _widened(middle: float, limit: float, factor: float) -> float:
    if limit in (0.0, math.inf) or middle in (0.0, math.inf):
        return limit
    return _exp(math.log(middle) + factor * math.log(limit / middle))


def _enough(risk: RiskSets, known: BoolArray) -> RiskSets:
    kept = risk.keep(known)
    if kept.events < FEWEST_RETIRED:
        raise Untold(f"it takes {FEWEST_RETIRED} worn-out reeds with it noted; so far {kept.events or 'none'}")
    return kept


def _differs(risk: RiskSets, values: FloatArray) -> bool:
    """Whether rows that were at risk together have different values, beyond what rounding can do."""
    own = values[risk.rows]
    own = own - own.mean()
    return bool(_variances(risk, own).max() > 1e-9 * max(float(np.mean(own * own)), 1e-300))


def _variance(risk: RiskSets, values: FloatArray) -> float:
    """The variance of the values among rows at risk together, the mean over the retirements."""
    own = values[risk.rows]
    return max(float(_variances(risk, own - own.mean()) @ risk.deaths) / risk.events, 0.0)


def _variances(risk: RiskSets, own: FloatArray) -> FloatArray:
    """(sets,) the variance of the centred values `own` of the rows at risk, in each set."""
    return risk.over_rows(own * own) / risk.at_risk - (risk.over_rows(own) / risk.at_risk) ** 2


def _exp(value: float) -> float:
    return math.exp(value) if value < 700 else math.inf
