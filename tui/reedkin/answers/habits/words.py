"""What the habits report says, in plain words: one wording for the screen, the command line and files."""

from __future__ import annotations

import math

from reedkin.answers.habits.effects import Effect
from reedkin.answers.habits.one_habit import OneHabit
from reedkin.answers.habits.question import ONE_PLAYER
from reedkin.answers.habits.report import (
    TWO_KINDS,
    Evidence,
    Finding,
    HabitsReport,
    Worth,
    as_fast,
    label_of,
    sentence,
    times,
)
from reedkin.answers.lives.words import CLOCK_WORDS, group_lines, split_words
from reedkin.domain.figures import plural
from reedkin.domain.words import spelt
from reedkin.study.habits import Habit
from reedkin.survival import Belief

NOT_CAUSE = "What goes together need not be the cause: only a fair trial can tell that."
LAGGED = "What is done to a failing reed (its last 8 playing hours or more) is left out."
TIMES = "As years go by much changes at once, so a habit must hold among reeds of about the same time."
EVENINGS = "Reeds made on one evening have much in common: where they last alike, they count for fewer."
ACROSS = "A reed whose habit changes goes over to the other group, and counts in each."
FORECAST = "A score foretells a life and is no habit: to score a reed better does not make it last."

MARKS: dict[Evidence, str] = {"clear": "●", "leaning": "◐", "unclear": "○"}
"""How sure a finding is, for the eye."""
SURE: dict[Evidence, str] = {"clear": "Clear", "leaning": "Leaning", "unclear": "Unclear"}
"""The same in words, before a chance."""

_TRIAL_NAMES = {
    "early_longest": "pace", "last_two_days": "playing", "scraping_days": "days", "scraping_sittings": "sittings",
    "scraping_minutes": "minutes", "clipped_late": "clip", "wired": "wire", "wired_before_crow": "wire",
    "tubed": "tubing",
}  # fmt: skip
"""What trials are called whose habit's first word would not say."""

_TRIAL_WAYS = {"wired": "none or on", "wired_before_crow": "after or before", "tubed": "none or on"}
"""Their ways, where the habit's own words would say the name again."""

_BEYOND_WAITING = 3000
"""With more retirements than these still to come, a maker need not wait for them."""


def tried(report: HabitsReport) -> str:
    """How many habits were tried, and what was believed of them before."""
    if not report.findings:
        return f"No habit can be told of yet, by {CLOCK_WORDS[report.clock]}."
    count = plural(len(report.findings), "habit")
    return f"{count} by {CLOCK_WORDS[report.clock]}; {believed(report.belief)}"


def believed(belief: Belief) -> str:
    """What was believed before the log was asked."""
    times_as_fast = f"{math.exp(belief.size * TWO_KINDS):.2g}"
    fast = "twice" if times_as_fast == "2" else f"{times_as_fast} times"
    return f"1 in {belief.one_in:g} was believed to end lives {fast} as fast."


def chance_words(chance: float) -> str:
    """A chance as people say it: '9 in 10'."""
    if chance >= 0.985:
        return "99 in 100"
    if chance >= 0.95:
        return "19 in 20"
    tenths = round(10 * chance)
    return f"{tenths} in 10" if tenths else "1 in 20" if chance >= 0.02 else "1 in 100"


def in_hours(finding: Finding) -> str:
    """What a habit comes to in hours, from the way that lives are longer: 'tied 59.5 rather than 60.8 mm: lives of 13 h
    are 2.6 h longer (0.4 to 4.5)'; empty where it cannot be told."""
    hours = finding.hours
    if hours is None:
        return ""
    better, other = (hours.high, hours.low) if hours.longer >= 0 else (hours.low, hours.high)
    lo, hi = (hours.lo, hours.hi) if hours.longer >= 0 else (_less(hours.hi), _less(hours.lo))
    unit = "d" if finding.clock == "days" else "h"
    what = finding.habit.label
    if finding.habit.measure == "number":
        unit_of = finding.habit.unit
        ways = f"{_figure(better, unit_of)} rather than {finding.habit.in_unit(_figure(other, unit_of))}"
        what = f"{what} {ways}"
    elif finding.habit.measure == "category":
        what = f"{what} {better} rather than {other}" if better != hours.low else f"{better} rather than {what} {other}"
    else:
        what = f"{better} rather than {other}"
    what = f"{what[0].upper()}{what[1:]}"
    among = f" ({spelt(hours.instrument)})" if hours.several else ""
    lives = f"lives of {hours.mean:.0f} {unit} are {_hours(abs(hours.longer))} {unit} longer"
    return f"{what}{among}: {lives} ({_range(lo, hi)})"


def by_hours(finding: Finding) -> str:
    """By how much lives differ, as a figure alone; a dash where that cannot be told."""
    unit = "d" if finding.clock == "days" else "h"
    return "–" if finding.hours is None else f"{_hours(abs(finding.hours.longer))} {unit}"


def _less(value: float | None) -> float | None:
    return None if value is None else 0.0 - value  # none is not "-0.0"


def _range(lo: float | None, hi: float | None) -> str:
    far = "?" if hi is None else _hours(hi)
    if lo is None:
        return f"? to {far}"
    return f"{_hours(-lo)} shorter to {far} longer" if lo < 0 else f"{_hours(lo)} to {far}"


def _hours(value: float) -> str:
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}"


def _figure(value: float | str, unit: str = "mm") -> str:
    """Lengths in three digits, all else in two."""
    if isinstance(value, str):
        return value
    return f"{float(f'{value:.3g}' if unit == 'mm' else f'{value:.2g}'):g}"


def rate(finding: Finding) -> str:
    """An effect as a rate, with a capital."""
    said = sentence(finding.per, finding.effect)
    return f"{said[0].upper()}{said[1:]}."


def how_sure(finding: Finding) -> str:
    """The chance that it matters, in words, and how many lives tell so."""
    effect = finding.effect
    return (
        f"{SURE[finding.evidence]}: the chance is {chance_words(finding.chance)} that it matters "
        f"({effect.retired} worn out of {plural(effect.n, 'reed')})."
    )


def by_lots(finding: Finding) -> str:
    """What becomes of a habit of making when only reeds of one lot are compared; empty where that is not asked."""
    if finding.by_lot:
        return (
            "Your reeds of one lot hardly differ in it: it may be the lot, and the chance is no more than was believed "
            "before. Vary it within a lot to tell."
        )
    if finding.within_lots is None:
        return ""
    lo, hi = times(finding.within_lots.lo), times(finding.within_lots.hi)
    too = "" if finding.goes_away or finding.evidence == "unclear" else " too"
    within = f"Among reeds of one lot{too}: {as_fast(finding.within_lots.hazard_ratio)} ({lo} to {hi} times)."
    return f"{within} So it may be the lots that differ: mind the lot first." if finding.goes_away else within


def by_times(finding: Finding) -> str:
    """What becomes of a habit among reeds begun at about the same time, where that makes another word of it."""
    same = finding.at_one_time
    if not finding.goes_with_time or same is None:
        return ""
    return (
        f"Among reeds of about the same time: {as_fast(same.hazard_ratio)} ({times(same.lo)} to {times(same.hi)} "
        "times). So it may be whatever else changed as time went on: vary it now to tell."
    )


def by_twin(finding: Finding) -> str:
    """Which other habit it may be; empty where none goes hand in hand with it."""
    if finding.twin is None:
        return ""
    return f"Or it is {finding.twin.label.lower()}: your reeds have the two in step, so the log can hardly part them."


def by_evening(finding: Finding) -> str:
    """That it may be one evening and not the habit; empty where it goes by more."""
    if not finding.one_evening:
        return ""
    return "Only the reeds of one evening set it apart, so it may be that evening: vary it on another to tell."


def based_on(effect: Effect) -> str:
    """How many lives an effect was told from."""
    return f"From {plural(effect.retired, 'retirement')} among {plural(effect.n, 'reed')}."


def to_do(finding: Finding) -> str:
    """What to do about a habit."""
    hours = finding.hours
    if finding.evidence == "clear" and not finding.one_evening:
        better = finding.habit.high if finding.direction == "longer" else finding.habit.low
        if not finding.habit.choice:
            return "So reckon with it: you cannot well choose it, but it tells which reeds to save."
        spared = "" if hours is None or hours.blanks is None else _spared(abs(hours.blanks))
        return f"So make it a rule for your next reeds: {_asked(better, finding)}{spared}. Then look again."
    if finding.by_lot or finding.goes_with_time or finding.one_evening:
        if not finding.habit.choice:
            return "You need do nothing for it yet."
        trial = ", best in a fair trial" if finding.habit.drawn else ""
        return f"Change nothing for good yet: reeds treated both ways at the same time tell{trial}."
    more = finding.more_retirements_needed
    if more is None or more > _BEYOND_WAITING:
        return "Do as you like: if it matters at all, it is by little."
    wait = f"about {rounded(more)} more reeds worn out settle it, if it is real"
    if not finding.habit.choice:
        return f"You need do nothing for it: {wait}."
    if finding.evidence == "leaning":
        better = finding.habit.high if finding.direction == "longer" else finding.habit.low
        trial = "A fair trial tells, or " if finding.habit.drawn else "Look again: "
        return f"So the better bet for now: {_asked(better, finding)}. {trial}{wait}."
    return f"So do as you like for now: {wait}."


def _asked(better: str, finding: Finding) -> str:
    """The better way, as one would ask for it."""
    if finding.effect.word is None:
        return better
    what = finding.habit.label.lower()
    return f"{'another' if better == finding.habit.low else 'this'} {what}"


def _spared(blanks: float) -> str:
    return f" (it saves about {_blanks(blanks)} a season)" if blanks >= 1 else ""


def _blanks(count: float) -> str:
    said = rounded(count)
    return f"{said} blank" if said == "1" else f"{said} blanks"


def most_worth(report: HabitsReport) -> str:
    """The fair trial that would settle most, or why none is feasible; empty where none would tell."""
    worth = report.worth
    if worth is None:
        return ""
    if worth.too_long:
        return (
            f"No fair trial is over within three years at your pace: {_of_trial(worth)} takes {_takes(worth)}. Other "
            "makers' logs tell sooner: reedkin habits --with FILE."
        )
    finding, gain = worth.finding, f"{_hours(abs(worth.longer))} h a reed"
    if worth.blanks is not None and abs(worth.blanks) >= 1:
        gain += f" and spares {_blanks(abs(worth.blanks))} a season"
    real = f"if it is real ({chance_words(finding.chance)}) it brings {gain}"
    return f"Worth a fair trial: {_of_trial(worth)}; {real}. It takes {_takes(worth)}."


def _of_trial(worth: Worth) -> str:
    """What a trial would be of, and its ways."""
    habit = worth.finding.habit
    ways = _ends(worth) if habit.measure == "number" else "or not"
    return f"{label_of(habit, worth.finding.effect).lower()}, {ways}"


def _ends(worth: Worth) -> str:
    return " or ".join(_way(end, worth.finding.habit) for end in (worth.low, worth.high))


def _takes(worth: Worth) -> str:
    takes = f"about {rounded(worth.retirements)} reeds worn out"
    if worth.reeds is not None:
        takes = f"about {rounded(worth.reeds)} reeds"
    return takes if worth.weeks is None else f"{takes}, {_time(worth.weeks)}"


def trial_line(report: HabitsReport) -> str:
    """The entry that starts the fair trial most worth starting; empty where none is."""
    worth = report.worth
    if worth is None or worth.too_long:
        return ""
    habit = worth.finding.habit
    if habit.measure == "number":
        ways = _ends(worth)
    elif habit.measure == "yes":
        ways = _TRIAL_WAYS.get(habit.name, f"{habit.low} or {habit.high}")
    else:
        ways = f"{worth.high} or another"
    # By its first word, as in 'gouge .58 or .60': what a way says of a tying is then read.
    name = _TRIAL_NAMES.get(habit.name, habit.name.split("_")[0])
    return f"trial start {name} {ways} for {max(10 * math.ceil(worth.retirements / 10), 20)}"


def _way(value: float | str, habit: Habit) -> str:
    """A way that can be kept to: lengths as they are, all else in whole numbers where it comes to one or more."""
    if isinstance(value, str) or habit.unit == "mm":
        return _figure(value)
    return habit.in_unit(f"{value:.0f}" if value >= 0.95 else f"{value:.2g}")


def _time(weeks: float) -> str:
    if weeks < 9:
        return plural(max(round(weeks), 1), "week")
    months = weeks * 12 / 52
    return f"{months:.0f} months" if months < 23.5 else f"{months / 12:.0f} years"


def more_to_settle(finding: Finding) -> str:
    """How many more retirements it would take, as a number alone; a dash where there is none."""
    more = finding.more_retirements_needed
    if more is None:
        return "–"
    return "thousands" if more > _BEYOND_WAITING else rounded(more)


def rounded(count: float) -> str:
    """A count that is a guess, in two digits."""
    return f"{float(f'{count:.2g}'):,.0f}"


def about(habit: Habit) -> str:
    """How a habit is reckoned, where that is not plain."""
    if habit.lag_hours is None:
        return habit.about
    hours = f"last {habit.lag_hours:g} playing hours (or half a usual life)"
    late = f"Without a reed's {hours}, since one that fails is treated otherwise."
    return f"{late} {habit.about}".rstrip()


def finding_lines(finding: Finding) -> list[str]:
    """What the log says of one habit, the weightiest first."""
    hours = in_hours(finding)
    lines = (f"{hours}." if hours else "", how_sure(finding), by_lots(finding), by_times(finding),
             by_evening(finding), by_twin(finding), to_do(finding), rate(finding))  # fmt: skip
    return [line for line in lines if line]


def habits_lines(report: HabitsReport) -> list[str]:
    """The habits report as plain text, to print or keep."""
    lines = [
        f"Which habits go with longer and shorter lives, by {CLOCK_WORDS[report.clock]}",
        f"{plural(report.reeds, 'reed')} served, {report.retired} of them worn out. {tried(report)}",
        *((NOT_CAUSE, LAGGED, TIMES, EVENINGS, ONE_PLAYER) if report.findings else ()),
        *(line for line in (report.early_days, most_worth(report)) if line),
        *([f'To start it: reedkin add "{line}"'] if (line := trial_line(report)) else []),
    ]
    for finding in report.findings:
        lines += ["", f"{MARKS[finding.evidence]} {finding.evidence:<8} {label_of(finding.habit, finding.effect)}"]
        lines += [f"    {line}" for line in (*finding_lines(finding), about(finding.habit)) if line]
    for finding in report.forecasts:
        lines += ["", f"  forecast  {finding.habit.label}", f"    {rate(finding)} {based_on(finding.effect)}"]
        lines += [f"    {FORECAST} Use it to choose what to play, not what to make."]
    if report.untried:
        lines += ["", "Of these the log cannot tell:"]
        for why in dict.fromkeys(untried.why for untried in report.untried):
            labels = [untried.habit.label for untried in report.untried if untried.why == why]
            lines.append(f"  {', '.join([labels[0], *map(str.lower, labels[1:])])}: {why}")
    return lines


def adjusted_words(one: OneHabit) -> list[str]:
    """What an effect becomes beside other habits; nothing where it was not adjusted."""
    if not one.beside:
        return []
    lots = [other.label.lower() for other in one.beside if other.measure == "category"]
    others = [other.label.lower() for other in one.beside if other.measure != "category"]
    ways = [f"adjusted for {', '.join(others)}"] if others else []
    ways += [f"among reeds of one {' and one '.join(lots)}"] if lots else []
    how = " and ".join(ways)
    how = f"{how[0].upper()}{how[1:]}"
    if one.adjusted is None or one.alone_in_same is None:
        return [f"{how}: cannot be told, {one.unadjusted}."]
    adjusted, same = (_ratio(effect) for effect in (one.adjusted, one.alone_in_same))
    return [f"{how}: {adjusted}; alone among the same {plural(one.adjusted.n, 'reed')}: {same}."]


def _ratio(effect: Effect) -> str:
    lo, hi = times(effect.lo), times(effect.hi)
    return f"{times(effect.hazard_ratio)} times ({lo} to {hi})"


def said_of(one: OneHabit, finding: Finding | None) -> tuple[str, list[str]]:
    """How fast lives end with it, how sure that is, and what to do about it."""
    assert one.alone is not None
    said = f"{sentence(one.per, one.alone)}."
    return f"{said[0].upper()}{said[1:]}", [based_on(one.alone)] if finding is None else [
        how_sure(finding), to_do(finding)
    ]  # fmt: skip


def one_habit_lines(one: OneHabit, finding: Finding | None) -> list[str]:
    """One habit closely, as plain text. `finding`: what the report says of it."""
    lines = [f"{one.habit.label}, by {CLOCK_WORDS[one.clock]}"]
    if one.alone is None:
        lines.append(f"The log cannot tell: {one.untold}.")
    else:
        said, further = said_of(one, finding)
        lines += [said, *further]
    lines += [*adjusted_words(one), about(one.habit), "" if one.by_age is None else one.by_age.words]
    lines += [split_words(one.grouping), *group_lines(one.grouping.groups, one.clock), NOT_CAUSE]
    return [line for line in lines if line]
