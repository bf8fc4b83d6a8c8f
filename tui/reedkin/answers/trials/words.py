"""What a fair trial says, in plain words: one wording for the screen, the command line and files."""

from __future__ import annotations

from math import inf

from reedkin.answers.circle.trial_words import circle_lines
from reedkin.answers.habits.report import times
from reedkin.answers.lives.words import age, half_last
from reedkin.answers.trials.comparison import UNEVEN, Arm, Comparison
from reedkin.answers.trials.telling import from_one_up, in_ten
from reedkin.bench.trials import Trial
from reedkin.domain.figures import date_words, plural, tag_list
from reedkin.domain.words import spelt

INTENTION = "A reed counts for the way it was assigned, however it was made in the end."
LEANS = 0.80
"""The chance from which a trial is said to lean to one way."""


def state(comparison: Comparison) -> str:
    """Where a trial stands, shortly: "running, 17 of 40 worn out"."""
    running = "running" if comparison.trial.running else "ended"
    stands = "settled" if comparison.settled else "over" if comparison.due else running
    return f"{stands}, {comparison.worn} of {comparison.trial.planned} worn out"


def what(trial: Trial) -> str:
    """Which ways a trial compares, and in whose reeds."""
    return f"{trial.ways[0]} or {trial.ways[1]}, {spelt(trial.instrument or 'all instruments')}"


def progress(comparison: Comparison) -> str:
    """How far a trial is from its end, and of which day all that is said is."""
    trial, worn = comparison.trial, comparison.worn
    since = f"since {date_words(trial.started)}"
    ended = f", drawing no more since {date_words(trial.ended)}" if trial.ended is not None else ""
    if comparison.as_of is not None:
        day = date_words(comparison.as_of)
        happened = "settled" if comparison.settled else "over" if comparison.due else "its last reed gone"
        far = f"{happened} on {day} with {worn} of {trial.planned} worn out; all that is said is of that day"
        return f"{since}{ended}: {far}"
    far = f"{worn} of at most {trial.planned} reeds worn out, {comparison.at_work} more at work"
    if trial.running and comparison.to_tie is not None:
        far += f", about {comparison.to_tie} still to tie" if comparison.to_tie else ", enough to get there"
    elif not trial.running and worn + comparison.at_work < trial.planned:
        far += ": it cannot get there any more"
    return f"{since}{ended}: {far}"


def finding(comparison: Comparison) -> str:
    """How far the lives of the two ways differ."""
    found, limits = comparison.effect, comparison.limits
    if found is None or limits is None:
        return f"Nothing can be told yet: {comparison.untold or 'the ways are too uneven'}."
    ratio, (lo, hi), better, worse = _from_one_up(comparison)
    return (
        f"{_halves(comparison)}Lives end {times(ratio)} times as fast with “{worse}” as with “{better}”; it may be "
        f"anything from {times(lo)} to {times(hi)}."
    )


def _halves(comparison: Comparison) -> str:
    """ "Half last 13.1 h with “before”, 9.0 h with “after”. "; '' where one of the two is not known."""
    said = [
        f"{age(arm.curve.median, 'hours')} with “{arm.way}”"
        for arm in comparison.arms
        if arm.curve is not None and arm.curve.median is not None
    ]
    return f"Half last {', '.join(said)}. " if len(said) == len(comparison.arms) else ""


def sure(comparison: Comparison) -> str:
    """How sure it is which way is the better; '' where nothing is said of it."""
    if comparison.chance is None:
        return ""
    *_, better, _ = _from_one_up(comparison)
    return f"The chance that it is “{better}” that makes reeds last, and not luck: {in_ten(comparison.chance)}."


def verdict(comparison: Comparison) -> str:
    """What to do now."""
    trial, chance = comparison.trial, comparison.chance
    if not comparison.over:
        return _go_on(comparison)
    end = f" End the trial: trial end {trial.label}." if trial.running else ""
    if chance is None:
        return f"Not settled: {comparison.untold or 'it told nothing'}.{end}"
    _, (lo, hi), better, worse = _from_one_up(comparison)
    if comparison.settled:
        return f"Settled: make them “{better}”. Chance alone chose the ways, so it is the way that does it.{end}"
    if chance >= LEANS:
        return f"Not settled, but it leans: make them “{better}” if it costs you nothing.{end}"
    most = f"at most {times(hi)} times as fast with “{worse}”"
    other = f" or {times(1 / lo if lo else inf)} times with “{better}”" if lo < 1 else ""
    return f"Not settled: make them as you like. If the ways do differ, lives end {most}{other}.{end}"


def _go_on(comparison: Comparison) -> str:
    if comparison.trial.running:
        return "Go on: tie each reed as it is drawn, and look as often as you like. It says so when it is settled."
    return "It draws no more, but goes on until its last reed is gone: play them, and note when they wear out."


def uneven(comparison: Comparison) -> str:
    """What is to be said where fewer reeds of one way came to serve than of the other; '' where chance may do it."""
    if comparison.served_p >= UNEVEN:
        return ""
    never = (f"{arm.never} of {arm.served + arm.never} made “{arm.way}”" for arm in comparison.arms)
    return f"But {' and '.join(never)} never came to serve, and lives are compared only of those that did."


def past_the_draw(comparison: Comparison) -> str:
    """What went past the draw or was made otherwise; '' if nothing did."""
    held = comparison.kept
    if held.whole:
        return ""
    said = []
    if held.skipped:
        said.append(f"{plural(len(held.skipped), 'reed')} tied without being drawn ({tag_list(held.skipped)})")
    if held.taken_back:
        played = f", {held.played} of them after being played" if held.played else ""
        said.append(f"{plural(held.taken_back, 'drawn tying', 'drawn tyings')} taken back{played}")
    if held.not_followed:
        said.append(f"{len(held.not_followed)} not made as drawn ({tag_list(held.not_followed)})")
    return f"Past the draw: {'; '.join(said)}. The more there are, the less it was chance that chose."


def _from_one_up(comparison: Comparison) -> tuple[float, tuple[float, float], str, str]:
    """The hazard ratio and its limits, turned so that it is 1 or more; the better way, and the other."""
    assert comparison.effect is not None
    return from_one_up(comparison.effect.hazard_ratio, comparison.limits or (0.0, inf), comparison.trial.ways)


def need_lines(comparison: Comparison) -> list[str]:
    """How many reeds it takes to find differences of a stated size; how many to tie for that, while it draws."""
    lines = []
    for need in comparison.needs:
        ties = comparison.trial.running and need.more
        tie = f", about {plural(need.to_tie, 'reed')} still to tie" if ties and need.to_tie is not None else ""
        more = f"{need.more} more{tie}" if need.more else "enough are"
        lines.append(f"lives that end {need.times:g} times as fast with {need.worn_out} worn out: {more}")
    return lines


MOST_FIND = "Four trials of five settle"
ARM_HEADINGS = ("assigned", "not played", "in service", "worn out", "ended else", "never served")


def arm_numbers(arm: Arm) -> tuple[int, ...]:
    """What became of the reeds of one way, in the order of the headings."""
    return (arm.assigned, arm.waiting, arm.serving, arm.worn, arm.otherwise, arm.never)


def arm_half(arm: Arm) -> str:
    """How long half of the reeds of one way last."""
    return "–" if arm.curve is None else half_last(arm.curve, "hours")


def _arm_line(arm: Arm) -> str:
    """What became of the reeds of one way, each number with what it counts."""
    counted = [f"{heading} {number}" for heading, number in zip(ARM_HEADINGS, arm_numbers(arm), strict=True)]
    known = arm.curve is not None and arm.curve.median is not None
    half = [f"half last {arm_half(arm)}" if known else arm_half(arm)] if arm.curve is not None else []
    return f"{arm.way}: {', '.join([*counted, *half])}"


def numbers(comparison: Comparison) -> str:
    """The test in figures, for who wants them."""
    found, test, limits = comparison.effect, comparison.test, comparison.limits
    said = [f"within one {comparison.within.replace(' and ', ' and one ')}"]
    if found is not None and limits is not None:
        said.append(
            f"hazard ratio of “{comparison.trial.ways[1]}” {found.hazard_ratio:.3g} "
            f"({limits[0]:.3g} to {limits[1]:.3g}, which holds at every look)"
        )
    if comparison.evidence is not None:
        said.append(f"chance {comparison.evidence.chance:.3f}")
    if test is not None:
        said.append(f"log-rank chi-square {test.chi2:.2f}")
    return "; ".join(said)


def comparison_lines(comparison: Comparison) -> list[str]:
    """A whole comparison as plain text."""
    trial = comparison.trial
    lines = [f"Trial {trial.label}: {what(trial)}, {progress(comparison)}"]
    lines += [f"“{trial.question}”"] if trial.question else []
    lines += ["", *map(_arm_line, comparison.arms), ""]
    said = (finding(comparison), sure(comparison), verdict(comparison), uneven(comparison), past_the_draw(comparison))
    lines += [line for line in said if line]
    lines += circle_lines(trial, comparison.circle) if comparison.circle is not None else []
    lines += [INTENTION, f"({numbers(comparison)})"]
    if comparison.settled:
        return lines
    return [*lines, "", MOST_FIND, *(f"  {line}" for line in need_lines(comparison))]
