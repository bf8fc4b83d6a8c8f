"""What the habits report says, in plain words: one wording for the screen, the command line and files."""

from __future__ import annotations

from reedkin.answers.habits.effects import Effect
from reedkin.answers.habits.one_habit import OneHabit
from reedkin.answers.habits.report import Evidence, Finding, HabitsReport, label_of, sentence, times
from reedkin.answers.lives.words import CLOCK_WORDS, group_lines, split_words
from reedkin.domain.describe import plural
from reedkin.study.habits import Habit

NOT_CAUSE = "What goes together need not be the cause: only a fair trial can tell that."
LAGGED = "Touch-ups and cleanings count 8 playing hours late: failing reeds get more."
ACROSS = "A reed goes over to the other group when its habit changes, and counts in each while there."

MARKS: dict[Evidence, str] = {"clear": "●", "leaning": "◐", "unclear": "○"}
"""How sure a finding is, for the eye."""

_HOW_SURE: dict[Evidence, str] = {
    "clear": "Clear: of twenty habits called clear, about one is so by luck.",
    "leaning": "Leaning: of twenty habits without any effect, one leans by luck.",
    "unclear": "Unclear: it may as well make no difference, or the opposite one.",
}
_BEYOND_WAITING = 3000
"""With more retirements than these still to come, a maker need not wait for them."""


def tried(report: HabitsReport) -> str:
    """How many habits were tried, and how many of them would seem to lean by luck alone."""
    if not report.findings:
        return f"No habit can be told of yet, by {CLOCK_WORDS[report.clock]}."
    luck = report.leaning_by_luck
    by_luck = f"{luck:.1f}" if luck < 0.75 else "one" if luck < 1.5 else f"{round(luck)}"
    count = plural(len(report.findings), "habit")
    return f"{count} tried by {CLOCK_WORDS[report.clock]}: about {by_luck} would lean by luck alone."


def how_sure(finding: Finding) -> str:
    """What the word for the evidence means."""
    return _HOW_SURE[finding.evidence]


def based_on(effect: Effect) -> str:
    """How many lives an effect was told from."""
    return f"From {plural(effect.retired, 'retirement')} among {plural(effect.n, 'reed')}."


def to_settle(finding: Finding) -> str:
    """How many more retirements it would take; empty for what is clear."""
    more = finding.more_retirements_needed
    if finding.evidence == "clear":
        return ""
    if more is None:
        return "It seems to make no difference at all."
    if more > _BEYOND_WAITING:
        return "Thousands more may not settle it: its effect is small."
    return f"About {rounded(more)} more may settle it."


def more_to_settle(finding: Finding) -> str:
    """The same as a number alone; a dash where there is none."""
    more = finding.more_retirements_needed
    if more is None:
        return "–"
    return "thousands" if more > _BEYOND_WAITING else rounded(more)


def rounded(count: int) -> str:
    """A count that is a guess, in two digits."""
    return f"{float(f'{count:.2g}'):,.0f}"


def about(habit: Habit) -> str:
    """How a habit is reckoned, where that is not plain."""
    if habit.lag_hours is None:
        return habit.about
    late = f"Counted {habit.lag_hours:g} playing hours late, since a failing reed gets more of it."
    return f"{late} {habit.about}".rstrip()


def habits_lines(report: HabitsReport) -> list[str]:
    """The habits report as plain text, to print or keep."""
    lines = [
        f"Which habits go with longer and shorter lives, by {CLOCK_WORDS[report.clock]}",
        f"{plural(report.reeds, 'reed')} served, {report.retired} of them worn out. {tried(report)}",
        NOT_CAUSE,
        LAGGED,
        *([report.early_days] if report.early_days else []),
    ]
    for finding in report.findings:
        lines += ["", f"{MARKS[finding.evidence]} {finding.evidence:<8} {label_of(finding.habit, finding.effect)}"]
        told = (f"{based_on(finding.effect)} {to_settle(finding)}".rstrip(), about(finding.habit))
        lines += [f"    {line}" for line in (f"{sentence(finding.per, finding.effect)}.", *told) if line]
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


def one_habit_lines(one: OneHabit) -> list[str]:
    """One habit closely, as plain text."""
    lines = [f"{one.habit.label}, by {CLOCK_WORDS[one.clock]}"]
    if one.alone is None:
        lines.append(f"The log cannot tell: {one.untold}.")
    else:
        lines += [f"{sentence(one.per, one.alone)} (p {one.alone.p:.3g}).", based_on(one.alone)]
    lines += [*adjusted_words(one), about(one.habit), "" if one.by_age is None else one.by_age.words]
    lines += [split_words(one.grouping), *group_lines(one.grouping.groups, one.clock), NOT_CAUSE]
    return [line for line in lines if line]
