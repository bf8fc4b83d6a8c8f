"""How long reeds last, in plain words: one wording for the screen, the command line and files."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from reedkin.answers.habits.report import LEVEL
from reedkin.answers.lives.groups import Group, Grouping
from reedkin.answers.lives.lifespans import Lifespans
from reedkin.answers.lives.whole import LeftOpen, Outcomes
from reedkin.domain.figures import date_words, plural
from reedkin.domain.instruments import short_name
from reedkin.domain.words import spelt
from reedkin.study.lives import Clock, OutOfView
from reedkin.survival import LogRank, SurvivalCurve

CLOCK_WORDS: dict[Clock, str] = {"hours": "hours played", "days": "days in service"}
UNIT: dict[Clock, str] = {"hours": "h", "days": "days"}
AS_THE_OTHERS = "  Reeds sold, lost or still serving count up to then, and are taken to have gone on like the others."
AS_FEWER = "  Reeds begun on one evening count for fewer where they last alike: one evening alone says next to nothing."
"""What a curve takes for granted, beneath its heading."""
_NAMED = 3
"""So many groups at most are named in a sentence."""


def age(value: float, clock: Clock, unit: bool = True) -> str:
    """An age on a clock: "8.2 h", "63 days"."""
    number = f"{value:.1f}" if clock == "hours" else f"{value:.0f}"
    return f"{number} {UNIT[clock]}" if unit else number


def half_last(curve: SurvivalCurve, clock: Clock) -> str:
    """How long half of the reeds last: "8.2 h (6.9 to 9.8)"."""
    if curve.median is None:
        return "over half still serve"
    lo, hi = (None if limit is None else age(limit, clock, unit=False) for limit in curve.median_ci)
    if lo is None:
        limits = "no limits yet" if hi is None else f"up to {hi}"
    else:
        limits = f"{lo} or more" if hi is None else f"{lo} to {hi}"
    return f"{age(curve.median, clock)} ({limits})"


def chance(p: float) -> str:
    """A probability as a count: "34 of 100"."""
    if p >= 0.0095:
        return f"{100 * p:.0f} of 100"
    if p >= 0.001:
        return f"{1000 * p:.0f} of 1,000"
    return "fewer than 1 of 1,000"


def differ(grouping: Grouping, splits: int) -> str:
    """
    Whether the lives of the groups differ, in a sentence. Groups too small for the test are left out of it.

    They can be split in so many `splits`, which are looked at one after another: what chance does in one in twenty of
    them is no difference yet, so they seem to differ where it does as much in hardly any log (Sidak 1967, JASA
    62:626-633; what splits have in common, and those that leave one group, make it rarer still: so "up to").
    """
    if grouping.test is None:
        return grouping.untested
    test = grouping.larger
    if test is None:
        return "The groups are too small to tell whether they differ."
    among = "" if len(test.groups) == len(grouping.groups) else f" ({len(test.groups)} larger groups)"
    of_any = 1.0 - (1.0 - test.p) ** splits
    if test.p >= LEVEL or of_any < LEVEL:
        seems, sought = "No clear difference" if test.p >= LEVEL else "They seem to differ", ""
    else:
        seems = "They may differ"
        sought = f", and in one or another of {splits} ways to split in up to {chance(of_any)}"
    return f"{seems}{among}: chance {_does(test.p)}{sought}.{_one_evening(grouping, test)}"


def _one_evening(grouping: Grouping, test: LogRank) -> str:
    """Which of the groups tested are of one evening each, so that it may be the evening; "" where none is, or where all
    are of the same one."""
    tested = [group for group in grouping.groups if group.name in test.groups]
    names = [spelt(group.name) for group in tested if len(group.evenings) == 1]
    if not names or len(frozenset().union(*(group.evenings for group in tested))) == 1:
        return ""
    if len(names) == len(test.groups):
        return " Each is of one evening, so nothing can be said of it apart from that evening."
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    each = "" if len(names) == 1 else " each"
    return f" Of one evening{each}, so it may be that evening: {', '.join(names[:_NAMED])}{more}."


def _does(p: float) -> str:
    """How often chance alone would make groups differ as much."""
    return "hardly ever does as much" if p < 0.001 else f"does as much in {chance(p)} cases"


def became_of(outcomes: Outcomes, clock: Clock) -> str:
    """What became of the reeds that served, in a sentence."""
    parts = [f"{outcomes.worn} worn out"]
    parts += [f"{outcomes.serving} in service"] if outcomes.serving else []
    parts += [f"{outcomes.lost} lost"] if outcomes.lost else []
    parts += [f"{count} {how}" for how, count in outcomes.gone.items()]
    left_out = f" ({outcomes.left_out} of unknown days)" if outcomes.left_out else ""
    return f"{outcomes.reeds} served{left_out}: {', '.join(parts)}"


def what_is_missing(outcomes: Outcomes) -> str:
    """What a log lacks for a curve; '' if it lacks nothing."""
    if not outcomes.reeds:
        return (
            "No reed has been played yet in this log. A life is told from its first playing here, such as p 45 8, "
            "until the reed is retired for wear, such as r worn."
        )
    if not outcomes.worn:
        return "No reed has been retired for wear yet. When one is worn out: r closed up."
    if outcomes.worn < 5:
        return f"Only {plural(outcomes.worn, 'reed')} retired for wear so far: the curve is still a rough one."
    return ""


def split_words(grouping: Grouping) -> str:
    """Where a number was split into two groups: "Split at 60 mm (eh), 72 mm (ob)"."""
    if not grouping.split:
        return ""
    parts = [f"{grouping.by.in_unit(f'{round(at, 2):g}')} ({short_name(name)})" for name, at in grouping.split.items()]
    return f"Split at {', '.join(parts)}"


def group_lines(groups: Sequence[Group], clock: Clock) -> list[str]:
    """The groups as a table of plain text."""
    wide = max((len(group.name) for group in groups), default=0)
    return [
        f"  {spelt(group.name):<{wide}}  {_lasts(group, clock):<36}  {plural(group.n, 'reed'):>10}, "
        f"{group.retired} worn out"
        for group in groups
    ]


def _lasts(group: Group, clock: Clock) -> str:
    half = half_last(group.curve, clock)
    return half if group.curve.median is None else f"half last {half}"


def lives_lines(report: Lifespans, groups: Sequence[Group], outcomes: Outcomes, splits: int) -> list[str]:
    """How long reeds last, as plain text; `splits`: in how many ways they can be split."""
    clock, grouping = report.clock, report.grouping
    lines = [f"How long reeds last, by {CLOCK_WORDS[clock]}; split by {grouping.by.label.lower()}"]
    lines += [became_of(outcomes, clock), what_is_missing(outcomes), "", *group_lines(groups, clock), ""]
    test = grouping.larger
    numbers = f" (log-rank: {_numbers(test)})" if test is not None else ""
    lines += [f"{differ(grouping, splits)}{numbers}", split_words(grouping)]
    lines += [f"Not known of {plural(grouping.unknown, 'reed')}." if grouping.unknown else "", ""]
    if report.ended:
        lines += ["What ended them:", *[f"  {cause:<24}{count:>4}" for cause, count in report.ended.items()], ""]
    curves = [(spelt(group.name), _curve_lines(group.curve, clock)) for group in groups if group.retired]
    if curves:
        lines += [f"Of 100 reeds, still in service if wear alone ended them (95% limits), by {CLOCK_WORDS[clock]}:"]
        lines += [AS_THE_OTHERS, AS_FEWER]
    for name, points in curves:
        lines += [f"  {name}", *points]
    return [line for place, line in enumerate(lines) if line or (place and lines[place - 1])]


def _numbers(test: LogRank) -> str:
    """The test in figures; where evenings make it less sure, with the second degrees of freedom of an F."""
    second = "" if math.isinf(test.below) else f" and {test.below:.1f} (F, by evenings)"
    return f"chi-square {test.chi2:.2f}, df {test.df}{second}, p {test.p:.3g}"


def _curve_lines(curve: SurvivalCurve, clock: Clock) -> list[str]:
    points = zip(curve.time, curve.survival, curve.lo, curve.hi, curve.at_risk, strict=True)
    return [
        f"    {age(float(t), clock):>10}  {100 * s:3.0f} ({100 * lo:.0f} to {100 * hi:.0f}), {n} watched"
        for t, s, lo, hi, n in points
    ]


def out_of_view_lines(found: Sequence[OutOfView]) -> list[str]:
    """The reeds whose hours are not known from a playing on, and why; nothing where there is none."""
    if not found:
        return []
    told = (f"  {one.reed.label}: {one.what}" for one in found)
    return ["", "Counted only up to a playing of unknown length:", *told]


def out_of_view_line(found: Sequence[OutOfView]) -> str:
    """The same in one line, for where there is no room: the first of them, and how many more; "" for none."""
    if not found:
        return ""
    more = f"; and {len(found) - 1} more" if len(found) > 1 else ""
    return f"{found[0].reed.label} counts only up to {found[0].what}{more}"


def untold_line(found: LeftOpen | None, everyone: Group | None, clock: Clock) -> str:
    """What reeds leave open that are gone without anybody having told how, in a sentence; "" where there are none."""
    if found is None or everyone is None:
        return ""
    gone, then, now = f"{len(found.reeds)} gone, nobody told how: ", found.curve.median, everyone.curve.median
    if then is None:
        return gone + "had all worn out, over half would still serve"
    known = "; as told, over half still serve" if now is None else f", not {age(now, clock)}"
    return f"{gone}had all worn out, half would last {age(then, clock)}{known}"


def hidden_line(stretches: Sequence[tuple[date, date]]) -> str:
    """That playings were not written down between these days, and how that is reckoned with; "" without such days."""
    if not stretches:
        return ""
    spans = ", ".join(f"{date_words(begun)} to {date_words(ended)}" for begun, ended in stretches)
    return f"Playings unwritten {spans}: hours count only up to there"
