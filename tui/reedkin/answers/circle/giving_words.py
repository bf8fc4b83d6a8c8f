"""What a log gives to a circle, in plain words, before it is given."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import zip_longest

from reedkin.answers.habits.report import times
from reedkin.domain.columns import fit
from reedkin.domain.figures import plural
from reedkin.domain.words import spelt
from reedkin.store.circle.shares import HabitShare, LivesShare, Share, TrialShare
from reedkin.study.habits import Habit, habit_named

NEVER = "Never given: tags, days, names, notes, lots, shapes, tubes, any single reed."
MARKS_SAID = "marks nobody can read: they show if two files rest on the same reeds."
GETS = (
    "What you get: with each file that others give you, what they know is where your own log begins, and your own "
    "reeds move it from there."
)
_LABEL = 27


def by_habit(share: Share) -> list[tuple[Habit, dict[str, HabitShare]]]:
    """What is given of each habit, by clock, in the order in which it stands in the file."""
    found: dict[str, dict[str, HabitShare]] = {}
    for one in share.habits:
        found.setdefault(one.habit, {})[one.clock] = one
    return [(habit_named(name), clocks) for name, clocks in found.items()]


def whole_lines(share: Share) -> list[str]:
    """What is given of the log as a whole."""
    joined = f", {share.joined} had been in use before" if share.joined else ""
    made = f"Version {share.program}, rules {share.definitions}."
    return [
        f"{plural(share.reeds, 'reed')} served, {share.retired} worn out{joined}. {made}",
        *(lives_words(lives) for lives in share.lives),
        *(f"A trial of the circle: {_trial_words(trial)}" for trial in share.trials),
        f"{len(share.marks)} {MARKS_SAID}",
    ]


def _trial_words(trial: TrialShare) -> str:
    """ "12 and 12 reeds drawn, 11 and 12 served, 8 and 9 worn out, 1.6 more than alike (variance 4)"."""
    said = (f"{one[0]} and {one[1]} {what}" for one, what in ((trial.assigned, "drawn"), (trial.served, "served"),
                                                              (trial.worn_out, "worn out")))  # fmt: skip
    return f"{', '.join(said)}, {trial.more_worn:+g} beyond alike (variance {trial.variance:g})."


def lives_words(lives: LivesShare) -> str:
    """The lives of an instrument's reeds: "oboe: 63, 47 worn out; ¾ last 8, ½ 14, ¼ 19 h; 65 of 102 blanks good"."""
    said = f"{spelt(lives.instrument)}: {lives.reeds}, {lives.retired} worn out"
    parts = zip(("¾ last", "½", "¼"), lives.left_after, strict=True)
    lasted = [f"{part} {hours}" for part, hours in parts if hours is not None]
    said += f"; {', '.join(lasted)} h" if lasted else ""
    return said if lives.blanks is None else f"{said}; {lives.blanks[0]} of {lives.blanks[1]} blanks good"


def ratio(one: HabitShare | None) -> str:
    """How many times as fast lives end; a dash where that is not given."""
    return "–" if one is None else times(math.exp(one.log_hazard_ratio))


def habit_words(habit: Habit, clocks: dict[str, HabitShare]) -> str:
    """All that is given of one habit, in a sentence."""
    said = []
    for clock, times_as_fast in (("hours", "times as fast by hours played"), ("days", "times by days")):
        if (one := clocks.get(clock)) is not None:
            error = f"standard error {one.standard_error:g}, spread {one.spread:g}"
            said.append(f"{ratio(one)} {times_as_fast} ({error}, {one.retired} worn out of {one.reeds})")
    one = next(iter(clocks.values()))
    low, high = (f"{quarter:g}" for quarter in one.quarters)
    typical = "" if habit.measure == "yes" else f"; your middle half is {low} to {habit.in_unit(high)}"
    per = f"{habit.per[0].upper()}{habit.per[1:]}"
    return f"{per}: lives end {', '.join(said)}{typical}."


def habits_table(share: Share) -> list[str]:
    """The habits, two a line, so that all of them fit a screen."""
    heading = f"{'by':>{_LABEL - 2}}{'hours':>7}{'days':>7}"
    cells = [
        f"{fit(habit.label, _LABEL - 1)} {ratio(clocks.get('hours')):>5}{ratio(clocks.get('days')):>7}"
        for habit, clocks in by_habit(share)
    ]
    half = (len(cells) + 1) // 2
    left, right = [heading, *cells[:half]], [heading, *cells[half:]] if cells[half:] else []
    return [f"{one}  {other}".rstrip() for one, other in zip_longest(left, right, fillvalue="")]


def giving_lines(share: Share) -> list[str]:
    """All that is given, to be looked at before it is: it fits a screen of 24 lines."""
    habits = by_habit(share)
    lines = ["What goes into the file, and nothing else:", *whole_lines(share)]
    if habits:
        lines += [
            f"Of {plural(len(habits), 'habit')} (five reeds or more on either side): standard error, spread, reeds, "
            "your middle half, all rounded, and how many times as fast lives end:",
            *habits_table(share),
        ]
    else:
        lines.append("No habit yet: none has five reeds on either side of which the log can tell.")
    return [*lines, NEVER]


def all_lines(share: Share) -> list[str]:
    """The same with every figure, to keep."""
    told: Sequence[str] = [habit_words(habit, clocks) for habit, clocks in by_habit(share)]
    whole = ["What goes into the file, and nothing else:", *whole_lines(share)]
    return [*whole, *told, NEVER, GETS]
