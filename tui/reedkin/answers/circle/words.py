"""What a circle says, in plain words: one wording for the screen, the command line and files."""

from __future__ import annotations

import math
from dataclasses import replace

from reedkin.answers.circle.asked_together import SEEN_UNLIKE, Together, TogetherFinding
from reedkin.answers.habits.report import times
from reedkin.answers.habits.words import MARKS, NOT_CAUSE, SURE, believed, chance_words, in_hours, to_do
from reedkin.answers.lives.words import CLOCK_WORDS
from reedkin.domain.figures import plural

HOW = "What the others know is believed before; your own reeds move it from there."
_OTHER_WAY = 0.1
"""From this part of makers on for whom it goes the other way, makers are said to differ."""
_LARGE = 700.0


def whose(together: Together) -> str:
    """Who is in the circle."""
    circle = together.circle
    if not circle.members:
        return "Nobody else is in your circle yet."
    worn = sum(member.share.retired for member in circle.members)
    return (
        f"You and {plural(len(circle.members), 'other maker')}: {worn} reeds of theirs worn out beside "
        f"{together.report.retired} of yours, by {CLOCK_WORDS[together.report.clock]}."
    )


def begin_lines(folder: str) -> list[str]:
    """How a circle begins, and what one gives and gets."""
    return [
        "A circle is makers who let their logs be asked together: a teacher and pupils, a section, a class.",
        "What you give: one small file of how long your reeds last and how your habits go with it, each figure from "
        "five reeds or more. No tags, days, names, notes or lots. g shows all of it before it is written.",
        "What you get: the answer years sooner. A habit with which lives end 1.65 times as fast is told by one log in "
        "three, and by a circle of eight in nine cases of ten, if makers do not differ much in it.",
        "What it means where makers differ: what holds for most need not hold for you, and it says so. Then your own "
        "reeds have the last word.",
        f"How to begin: put the files you are given into {folder} under their makers' names, such as anna.json.",
    ]


def doubts(together: Together) -> list[str]:
    """What is to be told of the files: those left out, and reeds that may be in two of them."""
    said = list(together.circle.left_out)
    if len(joined := together.circle.joined) > 1:
        said.append(f"{len(joined)} of them have reeds that were in use before: one that two knew may count twice.")
    return said


def how_sure(finding: TogetherFinding) -> str:
    """The chance that it matters, with the circle and without."""
    with_them = f"{SURE[finding.evidence]}: {chance_words(finding.chance)} that it matters for you"
    if finding.alone is None or finding.own is None:
        return f"{with_them}, going by the others alone: your own log cannot tell."
    return f"{with_them}; {chance_words(finding.alone.chance)} by your log alone."


def with_hours(finding: TogetherFinding) -> str:
    """What it comes to in her hours, with the circle and without; empty where that cannot be told."""
    if finding.alone is None or finding.hours is None:
        return ""
    said = f"{in_hours(replace(finding.alone, hours=finding.hours))} with the circle"
    alone = finding.alone.hours
    if alone is None:
        return f"{said}."
    unit = "d" if finding.clock == "days" else "h"
    way = "longer" if (alone.longer >= 0) == (finding.hours.longer >= 0) else "shorter"
    return f"{said}; {abs(alone.longer):.1f} {unit} {way} by your log alone."


def others_say(finding: TogetherFinding) -> str:
    """What the others say, taken together."""
    makers, per = finding.alike, finding.habit.per
    worn = sum(maker.retired for maker in makers)
    if finding.combined is None:
        said = ", ".join(f"{maker.name} {times(math.exp(maker.value))}" for maker in finding.makers)
        return f"{said} times as fast, {per}."
    both = finding.combined
    (lo, hi), (next_lo, next_hi) = ([_times(limit) for limit in pair] for pair in (both.ci, both.prediction))
    return (
        f"{len(makers)} makers ({worn} worn out), {per}: {_times(both.estimate)} times as fast, between "
        f"{lo} and {hi}; for the next maker between {next_lo} and {next_hi}."
    )


def differ(finding: TogetherFinding) -> str:
    """What it means for her how far the makers differ."""
    others = finding.others
    if others.matters < 0.5:
        return "The others see nothing in it beyond chance."
    if others.count < 3:
        return "So few makers cannot tell how far makers differ in it."
    if others.other_way >= _OTHER_WAY:
        part = f"about 1 in {round(1 / others.other_way)}"
        return f"Makers differ in this: for {part} it goes the other way. So your own reeds have the last word."
    return "Makers hardly differ in this, so what holds for their reeds says much of yours."


def unlike(finding: TogetherFinding) -> str:
    """Who is unlike the others; empty where nobody is seen to be."""
    said = []
    names = [maker.name for maker in finding.makers if maker.unlike >= SEEN_UNLIKE]
    if names:
        is_ = "is" if len(names) == 1 else "are"
        said.append(f"{_names(names)} {is_} unlike the others in this, and {is_} not reckoned with them.")
    if finding.told.unlike >= SEEN_UNLIKE:
        said.append("You are unlike the others in this: your own reeds say it, and theirs do not draw you after them.")
    return " ".join(said)


def leans_on(finding: TogetherFinding) -> str:
    """Whose file it is that makes the answer what it is; empty where no single one does."""
    if not finding.leans_on:
        return ""
    said = [f"without {one.name} it is {chance_words(one.chance)}" + _way(finding, one.direction)
            for one in finding.leans_on]  # fmt: skip
    return f"It rests on few files: {'; '.join(said)}. Ask whether they are right."


def _way(finding: TogetherFinding, direction: str) -> str:
    return "" if direction == finding.direction else f", and {direction}"


def advice(finding: TogetherFinding) -> str:
    """What to do about it."""
    if finding.evidence == "clear" and finding.alone is not None:
        direction, hours = finding.direction, finding.hours
        return to_do(replace(finding.alone, evidence="clear", direction=direction, hours=hours, one_evening=False))
    if finding.evidence == "clear":
        return "So try it, and note it with each reed: then your own log can tell."
    if finding.habit.choice and finding.chance >= 0.5:
        return "A trial for the circle would settle it soonest: trial start ... for the circle."
    return "Leave it as you like it."


def finding_lines(finding: TogetherFinding) -> list[str]:
    """What the circle says of one habit, the weightiest first."""
    lines = (
        with_hours(finding), how_sure(finding), leans_on(finding), unlike(finding), differ(finding), advice(finding),
        others_say(finding),
    )  # fmt: skip
    return [line for line in lines if line]


def together_lines(together: Together) -> list[str]:
    """The circle's report as plain text, to print or keep."""
    lines = [
        f"Which habits go with longer and shorter lives, by {CLOCK_WORDS[together.report.clock]}, asked of a circle",
        whose(together),
        *doubts(together),
        f"Of all habits {believed(together.report.belief)} {HOW}",
        NOT_CAUSE,
    ]
    for finding in together.findings:
        seems = finding.direction if finding.evidence != "unclear" else f"{finding.direction}?"
        lines += ["", f"{MARKS[finding.evidence]} {finding.evidence:<8} {finding.habit.label}: {seems}"]
        lines += [f"    {line}" for line in finding_lines(finding)]
        lines += [f"    {name}: {ratio}" for name, ratio in by_maker(finding)]
    return lines


def by_maker(finding: TogetherFinding) -> list[tuple[str, str]]:
    """Each maker and what her reeds say."""
    rows = [
        (maker.name, f"{times(math.exp(maker.value))} times as fast, from {plural(maker.retired, 'retirement')}")
        for maker in finding.makers
    ]
    if finding.own is not None:
        mine = finding.own.effect
        said = f"{times(math.exp(finding.own.value))} times as fast, from {plural(mine.retired, 'retirement')}"
        rows.append(("your own", said))
    return rows


def _times(log: float) -> str:
    return times(math.exp(min(max(log, -_LARGE), _LARGE)))


def _names(names: list[str] | tuple[str, ...]) -> str:
    """ "anna, bea and cora"; of many the first two and how many more."""
    if len(names) > 4:
        return f"{names[0]}, {names[1]} and {len(names) - 2} others"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
