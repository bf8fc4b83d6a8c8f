"""What a fair trial says, in plain words: one wording for the screen, the command line and files."""

from __future__ import annotations

from math import inf

from reedkin.answers.habits.effects import Effect
from reedkin.answers.habits.report import LEVEL, times
from reedkin.answers.lives.words import chance, half_last
from reedkin.answers.trials.comparison import Arm, Comparison
from reedkin.bench.trials import Trial
from reedkin.domain.columns import table
from reedkin.domain.describe import plural

INTENTION = "A reed counts for the way it was assigned, however it was made in the end."


def state(comparison: Comparison) -> str:
    """Where a trial stands, shortly: "running, 17 of 40 worn out"."""
    stands = "due" if comparison.due else "running" if comparison.trial.running else "ended"
    return f"{stands}, {comparison.worn} of {comparison.trial.planned} worn out"


def what(trial: Trial) -> str:
    """Which ways a trial compares, and in whose reeds."""
    return f"{trial.ways[0]} or {trial.ways[1]}, {trial.instrument or 'all instruments'}"


def progress(comparison: Comparison) -> str:
    """How far a trial is from its end."""
    trial = comparison.trial
    since = f"since {trial.started:%d %b %Y}"
    ended = f", assigning no more since {trial.ended:%d %b %Y}" if trial.ended is not None else ""
    far = f"{comparison.worn} of the planned {trial.planned} reeds worn out, {comparison.at_work} more at work"
    if comparison.due:
        assert comparison.as_of is not None
        far = f"the planned {trial.planned} reeds were worn out on {comparison.as_of:%d %b %Y}"
        far += "; it may be ended" if trial.running else ""
    elif trial.running and comparison.to_tie is not None:
        far += f", about {comparison.to_tie} still to tie" if comparison.to_tie else ", enough to get there"
    elif not trial.running and comparison.worn + comparison.at_work < trial.planned:
        far += ": it cannot get there any more"
    return f"{since}{ended}: {far}"


def look_warning(comparison: Comparison) -> str:
    """What is to be said before or with a look at a trial that is not due."""
    looks, alarms = comparison.looks, round(100 * comparison.alarm)
    return (
        f"Only a look, the {ordinal(looks)}: no verdict before {comparison.trial.planned} are worn out. Who stops at "
        f"the first look that seems to tell finds a difference in {alarms} of 100 trials of two equal ways, not in 5."
    )


def ordinal(number: int) -> str:
    """ "1st", "22nd", "13th"."""
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th") if number % 100 not in (11, 12, 13) else "th"
    return f"{number}{ending}"


def finding(comparison: Comparison) -> str:
    """How the lives of the two ways differ, and how sure that is."""
    found = comparison.effect
    if found is None:
        return f"Nothing can be told yet: {comparison.untold}."
    ways = comparison.trial.ways
    ratio, lo, hi, fast, slow = _from_one_up(found, ways)
    return (
        f"With “{fast}” lives end {times(ratio)} times as fast as with “{slow}”, between {times(lo)} and {times(hi)}; "
        f"chance alone does as much in {chance(found.p)} trials."
    )


def uneven(comparison: Comparison) -> str:
    """What is to be said where fewer reeds of one way came to serve than of the other; '' where chance may do it."""
    if comparison.served_p >= LEVEL:
        return ""
    never = (f"{arm.never} of {arm.served + arm.never} made “{arm.way}”" for arm in comparison.arms)
    return f"But {' and '.join(never)} never came to serve, and lives are compared only of those that did."


def verdict(comparison: Comparison) -> str:
    """What the trial has settled, once it is due."""
    found = comparison.effect
    if not comparison.due:
        return f"No verdict before {comparison.trial.planned} of its reeds are worn out."
    if found is None:
        return f"No verdict: {comparison.untold}."
    _, lo, hi, fast, slow = _from_one_up(found, comparison.trial.ways)
    if comparison.differs:
        return f"Verdict: with “{slow}” reeds last longer. Chance alone chose the ways, so it is the way that does it."
    return (
        "Verdict: no difference shown. One may still be there: lives may end up to "
        f"{times(hi)} times as fast with “{fast}”, or up to {times(1 / lo if lo else inf)} times with “{slow}”."
    )


def _from_one_up(found: Effect, ways: tuple[str, str]) -> tuple[float, float, float, str, str]:
    """The hazard ratio with its limits, turned so that it is 1 or more; the way with which lives end so much faster,
    and the other."""
    if found.hazard_ratio >= 1:
        return found.hazard_ratio, found.lo, found.hi, ways[1], ways[0]
    ratio, lo, hi = (1 / value if value else inf for value in (found.hazard_ratio, found.hi, found.lo))
    return ratio, lo, hi, ways[0], ways[1]


MOST_FIND = "Three or four trials of five find"


def need_lines(comparison: Comparison) -> list[str]:
    """How many reeds it takes to find differences of a stated size."""
    lines = []
    for need in comparison.needs:
        tie = "" if need.to_tie is None or not need.more else f", about {plural(need.to_tie, 'reed')} still to tie"
        more = f"{need.more} more{tie}" if need.more else "enough are"
        lines.append(f"lives that end {need.times:g} times as fast with {need.worn_out} worn out: {more}")
    return lines


ARM_HEADINGS = ("assigned", "not played", "in service", "worn out", "ended else", "never served")


def arm_numbers(arm: Arm) -> tuple[int, ...]:
    """What became of the reeds of one way, in the order of the headings."""
    return (arm.assigned, arm.waiting, arm.serving, arm.worn, arm.otherwise, arm.never)


def arm_half(arm: Arm) -> str:
    """How long half of the reeds of one way last."""
    return "–" if arm.curve is None else half_last(arm.curve, "hours")


def numbers(comparison: Comparison) -> str:
    """The test in figures, for who wants them."""
    found, test = comparison.effect, comparison.test
    said = [f"within one {comparison.within.replace(' and ', ' and one ')}"]
    if found is not None:
        said.append(
            f"hazard ratio of “{comparison.trial.ways[1]}” {found.hazard_ratio:.3g} "
            f"({found.lo:.3g} to {found.hi:.3g}), p {found.p:.3g}"
        )
    if test is not None:
        said.append(f"log-rank chi-square {test.chi2:.2f}, p {test.p:.3g}")
    return "; ".join(said)


def comparison_lines(comparison: Comparison) -> list[str]:
    """A whole comparison as plain text."""
    trial = comparison.trial
    lines = [f"Trial {trial.name}: {what(trial)}, {progress(comparison)}"]
    lines += [f"“{trial.question}”"] if trial.question else []
    counted = zip(ARM_HEADINGS, *map(arm_numbers, comparison.arms), strict=True)
    rows = [*(tuple(map(str, row)) for row in counted), ("half last", *map(arm_half, comparison.arms))]
    lines += ["", *table(("", *(arm.way for arm in comparison.arms)), rows, right=(1, 2))]
    lines += ["", *([look_warning(comparison), ""] if comparison.is_look else []), finding(comparison)]
    lines += [verdict(comparison), *([uneven(comparison)] if uneven(comparison) else [])]
    lines += [INTENTION, f"({numbers(comparison)})", ""]
    if comparison.differs:
        return lines[:-1]
    return [*lines, MOST_FIND, *(f"  {line}" for line in need_lines(comparison))]
