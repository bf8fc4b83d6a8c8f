"""The JSON of lives: how long reeds last, which habits matter, what fair trials say."""

from __future__ import annotations

from typing import Literal, NotRequired, TypedDict

from reedkin.contract.common import Chance, Clock, Count, Instrument, Moment, OpenRange, Positive, Share


class CurvePointJson(TypedDict):
    """The share of reeds that outlast t hours or days, its limits, and how many were still in view."""

    t: Positive
    survival: Share
    lo: Share
    hi: Share
    at_risk: Count


class GroupJson(TypedDict):
    """A group of reeds and its survival curve (Kaplan-Meier); null where a median is not reached."""

    name: str
    n: Count
    retired: Count
    median: Positive | None
    median_ci: OpenRange
    curve: list[CurvePointJson]


class LogRankJson(TypedDict):
    """The log-rank test of the groups. What reeds of one evening have in common makes chi2 less, and p is that of an F
    on as few degrees of freedom below as evenings tell."""

    chi2: Positive
    df: Count
    p: Share


class CausePointJson(TypedDict):
    """The share of reeds that a cause has ended after t hours or days."""

    t: Positive
    share: Share


class CauseJson(TypedDict):
    """How many reeds a cause ended, and the share that it ends (cumulative incidence)."""

    n: Count
    share: Share
    curve: list[CausePointJson]


class LifespansJson(TypedDict):
    """How long reeds last, in groups, and what ended them."""

    clock: Clock
    groups: list[GroupJson]
    logrank: LogRankJson | None
    causes: dict[str, CauseJson]


_From = TypedDict("_From", {"from": float | str})


class HoursLongerJson(_From):
    """How many hours longer the mean life is at `to` than at `from`: the maker's own lower and upper quarter, or
    the two kinds."""

    to: float | str
    longer: float
    range: OpenRange


class HabitJson(TypedDict):
    """What the log says of one habit. `hazard_ratio`: how many times as fast lives end for what `per` compares; `q`: p
    adjusted for all habits tried; `chance`: that it matters, in the direction named; `within_lots`: the hazard ratio of
    reeds of one lot compared."""

    habit: str
    label: str
    per: str
    kind: Literal["making", "use"]
    n: Count
    retired: Count
    hazard_ratio: Positive | None
    ci: OpenRange
    p: Share
    q: Share
    chance: Chance
    hours: HoursLongerJson | None
    within_lots: Positive | None
    evidence: Literal["clear", "leaning", "unclear"]
    direction: Literal["shorter", "longer"]
    more_retirements_needed: Count | None


class BeliefJson(TypedDict):
    """What is believed of habits before the log is asked: one in how many matters, and how much (the standard deviation
    of the logarithm of the hazard ratio)."""

    one_in: float
    size: float


class MakerJson(TypedDict):
    """What the file of one maker of a circle says of a habit; `unlike`: the chance that she is unlike all others."""

    name: str
    hazard_ratio: Positive
    standard_error: Positive
    reeds: Count
    retired: Count
    unlike: Chance


class CombinedJson(TypedDict):
    """What the other makers say taken together: their mean, how far they differ, and where the next one may lie."""

    hazard_ratio: Positive
    ci: OpenRange
    tau2: Positive
    p_alike: Share
    next_maker: OpenRange


class LeansOnJson(TypedDict):
    """A maker on whose file the answer hangs, and the chance that is left without it."""

    name: str
    chance: Chance


class CircleHabitJson(TypedDict):
    """What a circle and one's own log say of a habit; `other_way`: the chance that for another maker it goes the other
    way, `chance_alone`: what one's own log says by itself."""

    habit: str
    label: str
    per: str
    makers: list[MakerJson]
    combined: CombinedJson | None
    other_way: Chance
    chance_alone: Chance | None
    chance: Chance
    hazard_ratio: Positive
    range: OpenRange
    hours: HoursLongerJson | None
    evidence: Literal["clear", "leaning", "unclear"]
    direction: Literal["shorter", "longer"]
    leans_on: list[LeansOnJson]


class CircleJson(TypedDict):
    """What a circle says, and whose files were left out."""

    makers: list[str]
    left_out: list[str]
    habits: list[CircleHabitJson]


class HabitsJson(TypedDict):
    """Which habits go with longer and shorter lives, the surest first. `forecasts` are of scores, which foretell a life
    and are no habits; `circle` is there with --with."""

    clock: Clock
    reeds: Count
    retired: Count
    belief: BeliefJson
    habits: list[HabitJson]
    forecasts: list[HabitJson]
    circle: NotRequired[CircleJson]


class TrialJson(TypedDict):
    """What was settled when a fair trial started."""

    trial: str
    ways: list[str]
    question: str | None
    instrument: Instrument | None
    started: Moment
    ended: Moment | None
    planned: Count


class ListedTrialJson(TrialJson):
    """A trial, how many reeds were assigned and how many of them are worn out."""

    assigned: Count
    worn_out: Count


class TrialsJson(TypedDict):
    """The trials, the one started last first."""

    trials: list[ListedTrialJson]


class WayJson(TypedDict):
    """The reeds that were assigned one way, and what became of them."""

    way: str
    assigned: Count
    not_played_yet: Count
    in_service: Count
    worn_out: Count
    ended_otherwise: Count
    never_served: Count
    median: Positive | None
    median_ci: OpenRange


class NeedJson(TypedDict):
    """How many retirements show a difference of so many times, how many more that is, and how many reeds to tie."""

    times: float
    worn_out: Count
    more: Count
    to_tie: Count | None


class CircleTrialJson(TypedDict):
    """What the whole circle says of its trial."""

    makers: list[str]
    assigned: Count
    worn_out: Count
    settled: bool
    chance: Chance | None
    hazard_ratio: Positive | None
    ci: OpenRange
    p_alike: Share | None
    leans_on: list[str]


class ComparisonJson(TrialJson):
    """A trial compared, null for what cannot be told. `as_of`: the moment that it is told of, once it is over; `ci`
    holds the truth at every look; `served_p`: of as many coming to serve of either way."""

    due: bool
    settled: bool
    chance: Chance | None
    as_of: Moment | None
    worn_out: Count
    to_tie: Count | None
    skipped: Count
    taken_back: Count
    not_followed: Count
    within: str
    arms: list[WayJson]
    hazard_ratio: Positive | None
    ci: OpenRange
    p: Share | None
    untold: str | None
    logrank: LogRankJson | None
    differs: bool | None
    served_p: Share
    needs: list[NeedJson]
    circle: CircleTrialJson | None
