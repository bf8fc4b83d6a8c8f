"""The statistics of survival: curves, comparisons, regression, competing causes.

Written for numpy alone, so that a command that needs them starts at once. Each function checks what it is given and
raises StatisticsError for what it cannot answer; none returns an infinity or a NaN in silence.
"""

from __future__ import annotations

from reedkin.survival.comparison import LogRank, logrank
from reedkin.survival.cox_model.frailty import LessSure, SharedFrailty, less_sure, shared_frailty
from reedkin.survival.cox_model.proportionality import Proportionality, proportionality
from reedkin.survival.cox_model.regression import CoxFit, cox, fit
from reedkin.survival.curves import RestrictedMean, SurvivalCurve, kaplan_meier
from reedkin.survival.distributions import (
    ChiSquareTest,
    chi_square_tail,
    normal_quantile,
    normal_score,
    student_p,
    student_quantile,
    two_sided_p,
)
from reedkin.survival.errors import StatisticsError
from reedkin.survival.evidence import USUAL_BELIEF, Belief, Evidence, evidence, information_needed
from reedkin.survival.incidence import CumulativeIncidence, cumulative_incidence
from reedkin.survival.multiple import benjamini_hochberg
from reedkin.survival.proportions import wilson_interval
from reedkin.survival.risk_sets import RiskSets
from reedkin.survival.sample_size import events_needed

__all__ = [
    "USUAL_BELIEF",
    "Belief",
    "ChiSquareTest",
    "CoxFit",
    "CumulativeIncidence",
    "Evidence",
    "LessSure",
    "LogRank",
    "Proportionality",
    "RestrictedMean",
    "RiskSets",
    "SharedFrailty",
    "StatisticsError",
    "SurvivalCurve",
    "benjamini_hochberg",
    "chi_square_tail",
    "cox",
    "cumulative_incidence",
    "events_needed",
    "evidence",
    "fit",
    "information_needed",
    "kaplan_meier",
    "less_sure",
    "logrank",
    "normal_quantile",
    "normal_score",
    "proportionality",
    "shared_frailty",
    "student_p",
    "student_quantile",
    "two_sided_p",
    "wilson_interval",
]
