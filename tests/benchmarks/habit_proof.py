"""A proof of the habits report on invented logs of which the truth is known.

`python -m tests.benchmarks.habit_proof` prints, in Markdown: how often a habit without effect seems to have one, how
often the 95% interval holds the true effect, how often a planted effect is found, by how many reeds there are and by
how their maker treats them, and how many of the chances told come true. `--only` makes some tables alone; `--write`
puts them into habit_proof.md, each in the place of the one that stood there. Run it from the top of the project, with
`tui` on the path.
"""

from __future__ import annotations

import argparse
import math
import re
from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, fields, replace
from datetime import datetime
from functools import partial
from pathlib import Path
from random import Random
from statistics import fmean
from typing import Any

from demo_logs.maker.effects import Effects
from demo_logs.maker.manner import PLAIN, Manner
from demo_logs.simulate import simulate
from tests.answers.logs import bench
from tests.benchmarks.glance import NEARLY_CLEAR, PROMISING, Glance

from reedkin.answers.habits.effects import CLEAR
from reedkin.answers.habits.report import LEANING, Evidence, Finding, chance_of, habits_report
from reedkin.study.habits import HABITS, Habit, habit_named
from reedkin.study.study import Study
from reedkin.survival import USUAL_BELIEF, Belief, wilson_interval

PLANTED: dict[str, tuple[str, float, float]] = {
    "overall_mm": ("tied_mm", 0.4, 1),
    "gouge_hundredth": ("gouge_mm", 0.2, 1),
    "wired_before_crow": ("wired_before_crow", 0.7, 1),
    "sink_minute": ("sink_min", 0.15, 1),
    "first_rest_day": ("rest_before_scraping", 0.15, 1),
    "clipped_mm": ("clipped_mm", 0.7, 1),
    "tube_use": ("tube_uses", 0.2, 1),
    "humidity_ten": ("humidity_at_tying", 0.4, 1),
    "early_longest_half_hour": ("early_longest", 0.4, 1),
}
"""For an effect of the simulator: the habit that sees it, the log hazard ratio planted, and the part of the simulator's
unit that is one of the habit's. The other habits in use are missing: the simulator's act at once, the habits count them
later."""

WRITTEN = Path(__file__).with_name("habit_proof.md")
_MARK = "<!-- {} -->"
"""What stands before each table in that file, with its name."""

POWER = ("overall_mm", "wired_before_crow", "early_longest_half_hour")


MANNERS = {"neutral": PLAIN} | {
    field.name.replace("_", " "): Manner(**{field.name: True}) for field in fields(Manner)
} | {"all of it": Manner.every()}  # fmt: skip
"""The makers: one who treats reeds alike, one for each thing that makers are known to do, and one who does all."""

TWICE = 2.0
"""The hazard ratio for one standard deviation that a report should tell."""

FIFTY_KNOWN, FORTY_RETIRED = 127, 95
"""So many reeds tied come to about fifty retired for wear of which the length tied is known (of those that she had
before the log began it is not), and to about forty retired in all."""

DRAWN = {"overall_mm": 0.64, "gouge_hundredth": 1.3, "sink_minute": 2.5, "first_rest_day": 1.6, "humidity_ten": 0.95}
"""Effects that calibration draws, and the standard deviation of each in its unit as the generator makes reeds."""


@dataclass(frozen=True)
class Answer:
    """What a report says of one habit; the limits are of the log hazard ratio."""

    p: float
    lo: float
    hi: float
    evidence: Evidence
    chance: float = 0.0
    shorter: bool = False
    retired: int = 0
    log_ratio: float = 0.0
    sd: float = 0.0


def ask(
    seed: int,
    reeds: int,
    effects: Effects,
    touch_ups_follow_failing: bool = True,
    only: str = "",
    manner: Manner = PLAIN,
    belief: Belief = USUAL_BELIEF,
) -> dict[str, Answer]:
    """The answers of the report on one log, by habit; habits that it could not tell of are missing. `only`: ask of this
    one alone."""
    scenario = simulate(seed, reeds, effects, touch_ups_follow_failing=touch_ups_follow_failing, manner=manner)
    study = Study.of_bench(bench(scenario.rows, scenario.sessions))
    return answers_of(study, (habit_named(only),) if only else HABITS, belief)


def answers_of(study: Study, habits: Sequence[Habit], belief: Belief = USUAL_BELIEF) -> dict[str, Answer]:
    """What the report says of each of these habits that it can tell of."""
    report = habits_report(study, habits=tuple(habits), belief=belief)
    return {
        one.habit.name: Answer(
            one.effect.p, _log(one.effect.lo), _log(one.effect.hi), one.evidence, one.chance,
            one.direction == "shorter", one.effect.retired, _log(one.effect.hazard_ratio),
            one.effect.sd,
        )
        for one in report.findings
    }  # fmt: skip


@dataclass(frozen=True)
class Looked:
    """Of a log in which no habit has any effect: the harmless habits that lean or are clear at its end, and whether one
    was clear at some look."""

    leaning: tuple[str, ...]
    clear: tuple[str, ...]
    ever: bool


def looked_at(seed: int, reeds: int, manner: Manner, looks: int) -> Looked:
    """What is said of such a log at so many looks, equally far apart, of which the last is at its end."""
    scenario = simulate(seed, reeds, Effects.none(), manner=manner)
    ats = [datetime.fromisoformat(row["at"]) for row in scenario.rows]
    glance = Glance(Study.of_bench(bench(scenario.rows, scenario.sessions)))
    answers: dict[str, Answer] = {}
    ever = False
    for look in range(1, looks + 1):
        until = ats[0] + (ats[-1] - ats[0]) * (look / looks)
        # Where lots drive lives, to call a lot clear is no false alarm.
        habits = [
            habit
            for habit in glance.promising(int(until.timestamp() // 60), PROMISING if look == looks else NEARLY_CLEAR)
            if habit.name != "lot" or not manner.lots_drive
        ]
        if habits and not (ever and look < looks):
            seen = bisect_right(ats, until)
            answers = answers_of(Study.of_bench(bench(scenario.rows[:seen], scenario.sessions)), habits)
            ever = ever or _any_clear(answers)
        else:
            answers = {}
    leaning = tuple(name for name, one in answers.items() if one.evidence != "unclear")
    return Looked(leaning, tuple(name for name in leaning if answers[name].evidence == "clear"), ever)


def drawn(seed: int, reeds: int, truth: Belief, believed: Sequence[Belief]) -> list[list[tuple[float, bool]]]:
    """Of a log whose effects are drawn from `truth`, as asked by those who believe each of `believed`: for each habit
    drawn, the chance told, and whether it came true: it matters, in the direction told."""
    rng = Random(f"{seed} drawn")
    true = {
        name: (rng.gauss(0, truth.size) / sd if rng.random() < 1 / truth.one_in else 0.0) for name, sd in DRAWN.items()
    }
    scenario = simulate(seed, reeds, Effects.only(**true))
    study = Study.of_bench(bench(scenario.rows, scenario.sessions))
    effects = {PLANTED[name][0]: effect for name, effect in true.items()}
    found = habits_report(study, habits=tuple(habit_named(name) for name in effects)).findings

    def came_true(one: Finding) -> bool:
        effect = effects[one.habit.name]
        return effect != 0 and (effect > 0) == (one.direction == "shorter")

    return [
        [
            (
                chance_of(one.effect, one.within_lots, one.by_lot, one.at_one_time, belief),
                came_true(one),
            )
            for one in found
        ]
        for belief in believed
    ]


def _log(ratio: float) -> float:
    return math.log(ratio) if ratio > 0 else -math.inf


def shares(hits: int, tried: int) -> str:
    """A share in per cent with its 95% interval."""
    if not tried:
        return "never tried"
    lo, hi = wilson_interval(hits, tried)
    return f"{100 * hits / tried:.1f} ({100 * lo:.1f} to {100 * hi:.1f})"


Pool = Callable[[Callable[[int], Any], Iterable[int]], list[Any]]
Ask = Callable[[Iterable[int], int, Effects, bool, str], list[dict[str, Answer]]]


def false_alarms(ask_all: Ask, logs: int, reeds: int) -> Iterable[str]:
    """The table of false alarms: no habit has any effect."""
    calm = ask_all(range(logs), reeds, Effects.none(), False, "")
    nervous = ask_all(range(logs), reeds, Effects.none(), True, "")
    yield f"\n## False alarms at 5%, in per cent ({logs} logs of {reeds} reeds, no effects)\n"
    yield "| habit | kind | tried | touched up by chance | failing reeds touched up more |"
    yield "| --- | --- | --- | --- | --- |"
    for habit in HABITS:
        cells, tried = [], []
        for answers in (calm, nervous):
            own = [one[habit.name] for one in answers if habit.name in one]
            tried.append(str(len(own)))
            cells.append(shares(sum(one.p < 0.05 for one in own), len(own)))
        yield f"| {habit.label} | {habit.kind} | {', '.join(tried)} | {' | '.join(cells)} |"
    for kind in ("making", "use"):
        names = {habit.name for habit in HABITS if habit.kind == kind}
        cells = []
        for answers in (calm, nervous):
            own = [one for log in answers for name, one in log.items() if name in names]
            cells.append(shares(sum(one.p < 0.05 for one in own), len(own)))
        yield f"| **all of {kind}** | {kind} | | {' | '.join(cells)} |"
    cells = [shares(sum(map(_any_clear, answers)), logs) for answers in (calm, nervous)]
    yield f"| **any habit called clear** | | | {' | '.join(cells)} |"


def _any_clear(answers: dict[str, Answer]) -> bool:
    return any(one.evidence == "clear" for one in answers.values())


def coverage(ask_all: Ask, logs: int, reeds: int) -> Iterable[str]:
    """The table of coverage: one effect planted at a time."""
    yield f"\n## Intervals that hold the true effect, in per cent ({logs} logs of {reeds} reeds each)\n"
    yield "| habit | true hazard ratio | tried | holds it | found at 5% |"
    yield "| --- | ---: | ---: | --- | --- |"
    hits = total = 0
    for field, (name, planted, part) in PLANTED.items():
        answers = ask_all(range(10_000, 10_000 + logs), reeds, Effects.only(**{field: planted}), True, name)
        own = [one[name] for one in answers if name in one]
        holds = sum(one.lo <= planted * part <= one.hi for one in own)
        found = sum(one.p < 0.05 for one in own)
        hits, total = hits + holds, total + len(own)
        label = next(habit.label for habit in HABITS if habit.name == name)
        ratio = math.exp(planted * part)
        yield f"| {label} | {ratio:.2f} | {len(own)} | {shares(holds, len(own))} | {shares(found, len(own))} |"
    yield f"| **all** | | {total} | {shares(hits, total)} | |"


def power(ask_all: Ask, logs: dict[int, int]) -> Iterable[str]:
    """The table of power: several effects planted together, as in life."""
    effects = Effects.only(**{field: PLANTED[field][1] for field in POWER})
    yield "\n## Planted effects found, in per cent (all four in every log)\n"
    yield "| habit | true hazard ratio | reeds | logs | p below 5% | called clear |"
    yield "| --- | ---: | ---: | ---: | --- | --- |"
    for reeds, count in logs.items():
        answers = ask_all(range(20_000, 20_000 + count), reeds, effects, True, "")
        for field in POWER:
            name, planted, part = PLANTED[field]
            own = [one.get(name) for one in answers]
            seen = sum(one is not None and one.p < 0.05 for one in own)
            clear = sum(one is not None and one.evidence == "clear" for one in own)
            label = next(habit.label for habit in HABITS if habit.name == name)
            ratio = math.exp(planted * part)
            yield f"| {label} | {ratio:.2f} | {reeds} | {count} | {shares(seen, count)} | {shares(clear, count)} |"


def behaviours(pool: Pool, logs: int, looked: int, makers: Sequence[str], first: int, tied: int) -> Iterable[str]:
    """The table of makers: false alarms of the report, at one look and at any of thirty; no habit has any effect."""
    long = "about 40 retirements" if tied == FORTY_RETIRED else f"{tied} blanks"
    yield f"\n## Some harmless habit called clear, in per cent of logs of {long}\n"
    yield f"{logs} logs of each maker, asked at their end; {looked} of them looked at thirty times, to the end.\n"
    yield "| maker | clear at the end | leaning at the end | clear at any of 30 looks | which, at the end |"
    yield "| --- | --- | --- | --- | --- |"
    for name in makers:
        often, once = (partial(looked_at, reeds=tied, manner=MANNERS[name], looks=looks) for looks in (30, 1))
        many = pool(often, range(first, first + looked))
        every = [*many, *pool(once, range(first + looked, first + logs))]
        which = Counter(habit for log in every for habit in log.clear)
        said = ", ".join(f"{habit} {count}" for habit, count in which.most_common())
        clear, leaning = (shares(sum(map(bool, had)), len(every)) for had in
                          ([log.clear for log in every], [log.leaning for log in every]))  # fmt: skip
        ever = shares(sum(log.ever for log in many), looked)
        yield f"| {name} | {clear} | {leaning} | {ever} | {said or 'none'} |"


def told(pool: Pool, logs: int, makers: Sequence[str], first: int, times: float) -> Iterable[str]:
    """The table of what is found: a hazard ratio of so many `times` for one standard deviation, at about fifty
    retirements."""
    yield f"\n## A hazard ratio of {times:g} for one standard deviation, in per cent of logs of about 50 retirements\n"
    sd = DRAWN["overall_mm"]
    planted = math.log(times) / sd
    yield (
        f"{logs} logs each; retired are those whose length tied is known. Told: at 9 in 10 or more, the right way. She "
        f"ties with a standard deviation of {sd} mm: the log ratio planted for 1 mm is {planted:.2f}. What wears reeds "
        "out sooner leaves fewer such reeds, and those in service together at a retirement, which a regression "
        "compares, are more alike.\n"
    )
    yield "| maker | retired | told | clear | log ratio found | limits hold what was planted | deviation at risk, mm |"
    yield "| --- | ---: | --- | --- | ---: | --- | ---: |"
    for name in makers:
        one = partial(
            ask, reeds=FIFTY_KNOWN, effects=Effects.only(overall_mm=planted), only="tied_mm", manner=MANNERS[name]
        )
        found = [answer for log in pool(one, range(first, first + logs)) if (answer := log.get("tied_mm"))]
        right, clear = (
            shares(sum(answer.chance >= chance and answer.shorter for answer in found), logs) for chance in (0.9, CLEAR)
        )
        retired, ratio, deviation = (
            fmean(getattr(answer, field) for answer in found) for field in ("retired", "log_ratio", "sd")
        )
        held = shares(sum(answer.lo <= planted <= answer.hi for answer in found), len(found))
        yield f"| {name} | {retired:.0f} | {right} | {clear} | {ratio:.2f} | {held} | {deviation:.2f} |"


TOLD = ((0, 0.15, "1 in 10 or less"), (0.15, 0.5, "2 to 5 in 10"), (0.5, 0.85, "5 to 8 in 10"), (0.85, 0.95, "9 in 10"),
        (0.95, 1.01, "19 in 20 or more"))  # fmt: skip


def calibration(pool: Pool, logs: int, first: int) -> Iterable[str]:
    """The table of chances: how many come true, if the belief is true, and if it is wrong by a factor of two."""
    yield f"\n## Chances that come true, in per cent ({logs} logs of 150 reeds, {len(DRAWN)} habits drawn in each)\n"
    truth = Belief()
    yield f"One habit in {truth.one_in:g} matters, by an effect of the size {truth.size:g}, both the stated belief.\n"
    yield "| told | who believes just that | half as many matter | twice as many | twice the size | half the size |"
    yield "| --- | --- | --- | --- | --- | --- |"
    believed = (
        truth, Belief(2 * truth.one_in), Belief(truth.one_in / 2), Belief(size=2 * truth.size),
        Belief(size=truth.size / 2),
    )  # fmt: skip
    found = pool(partial(drawn, reeds=150, truth=truth, believed=believed), range(first, first + logs))
    for low, high, name in TOLD:
        cells = []
        for place in range(len(believed)):
            own = [right for log in found for chance, right in log[place] if low <= chance < high]
            cells.append(f"{shares(sum(own), len(own))} of {len(own)}")
        yield f"| {name} | {' | '.join(cells)} |"


def glanced(seed: int, looks: int) -> list[tuple[float, float]]:
    """Of a log in which some habits matter, each at each of so many looks: the chance at a glance, and the one told."""
    scenario = simulate(seed, FORTY_RETIRED, Effects(), manner=Manner.every())
    ats = [datetime.fromisoformat(row["at"]) for row in scenario.rows]
    glance = Glance(Study.of_bench(bench(scenario.rows, scenario.sessions)))
    pairs = []
    for look in range(1, looks + 1):
        until = ats[0] + (ats[-1] - ats[0]) * (look / looks)
        quick = glance.chances(int(until.timestamp() // 60))
        exact = answers_of(Study.of_bench(bench(scenario.rows[: bisect_right(ats, until)], scenario.sessions)), HABITS)
        pairs += [(quick.get(name, 0.0), one.chance) for name, one in exact.items()]
    return pairs


def glances(pool: Pool, logs: int, first: int) -> Iterable[str]:
    """The table of the glance: what it would miss of what the report says."""
    looks = 4
    pairs = [pair for log in pool(partial(glanced, looks=looks), range(first, first + logs)) for pair in log]
    yield f"\n## What a glance misses ({logs} logs looked at {looks} times, {len(pairs)} chances of single habits)\n"
    yield (
        f"The table of makers asks the report itself where the chance at a glance is {NEARLY_CLEAR:g} or more, and at "
        f"the last look {PROMISING:g}. In these logs some habits do matter.\n"
    )
    yield f"| told by the report | so often | of these below {NEARLY_CLEAR:g} at a glance | below {PROMISING:g} |"
    yield "| --- | ---: | ---: | ---: |"
    for least, name in ((CLEAR, "clear"), (LEANING, "leaning or clear")):
        own = [quick for quick, exact in pairs if exact >= least]
        missed = (sum(quick < limit for quick in own) for limit in (NEARLY_CLEAR, PROMISING))
        yield f"| {name} | {len(own)} | {' | '.join(map(str, missed))} |"


ALIKE = (0.0, 0.2, 0.5, 1.0)
"""Variances of what multiplies the hazards of the reeds of one evening."""
BY_EVENING = {
    "rest": ("rest_before_scraping",),
    "humidity": ("humidity_at_tying",),
    "length, gouge": ("tied_mm", "gouge_mm"),
    "by reed": ("sink_min", "early_longest"),
}
"""Habits that go by the evening, wholly or by half, and some that do not at all."""


def of_evenings(seed: int, variance: float, tied: int, planted: float, manner: Manner) -> dict[str, Answer]:
    """The answers on a log in which reeds of one evening are tied, gouged and left to rest alike, and last so; a day
    more of rest has the effect `planted`."""
    effects = Effects.only(first_rest_day=planted)
    made = simulate(seed, tied, effects, manner=replace(manner, batches=True), alike=math.sqrt(math.log1p(variance)))
    asked = ("rest_before_scraping",) if planted else [name for names in BY_EVENING.values() for name in names]
    return answers_of(Study.of_bench(bench(made.rows, made.sessions)), [habit_named(name) for name in asked])


def evenings(pool: Pool, logs: int, makers: Sequence[str], first: int, tied: int, times: float) -> Iterable[str]:
    """The table of evenings: what is told where reeds of one evening last alike."""
    yield f"\n## Where reeds of one evening last alike, in per cent of {logs} logs of {tied} blanks\n"
    yield (
        "The variance is that of what multiplies the hazards of all reeds of an evening (log-normal). By evenings go "
        "the rest from tying to scraping and the humidity, half of the length tied and of the gouge, and neither the "
        f"sink time nor the pace of the first hours. Told: a hazard ratio of {times:g} for one standard deviation of "
        "the rest, at 9 in 10 or more, the right way.\n"
    )
    columns = [f"{name}: p below 5%" for name in BY_EVENING]
    yield f"| maker | variance | {' | '.join(columns)} | some of these clear | told |"
    yield "| --- | ---: |" + " --- |" * (len(columns) + 2)
    for name in makers:
        for variance in ALIKE:
            of = partial(of_evenings, variance=variance, tied=tied, manner=MANNERS[name])
            found = pool(partial(of, planted=0.0), range(first, first + logs))
            strong = pool(partial(of, planted=math.log(times) / DRAWN["first_rest_day"]), range(first, first + logs))
            cells = [
                [log[one].p < 0.05 for log in found for one in group if one in log] for group in BY_EVENING.values()
            ]
            said = [shares(sum(own), len(own)) for own in (*cells, [_any_clear(log) for log in found])]
            right = [one for log in strong for one in log.values() if one.chance >= 0.9 and one.shorter]
            yield f"| {name} | {variance:g} | {' | '.join(said)} | {shares(len(right), logs)} |"


def write(name: str, lines: Sequence[str]) -> None:
    """Put a table, as far as it was made, in the place of the one of this name; the others stay as they are."""
    parts = _parts(WRITTEN.read_text(encoding="utf-8"))
    parts[name] = "\n".join(lines).strip()
    whole = [parts.pop("", "").strip(), *(f"{_MARK.format(name)}\n{part.strip()}" for name, part in parts.items())]
    WRITTEN.write_text("\n\n".join(whole) + "\n", encoding="utf-8")


def _parts(text: str) -> dict[str, str]:
    """The file's tables by name; what stands before the first has none."""
    pieces = re.split(_MARK.format("(.*)"), text)
    return {"": pieces[0]} | dict(zip(pieces[1::2], pieces[2::2], strict=True))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=200, help="logs for each figure (default 200)")
    parser.add_argument("--reeds", type=int, default=60, help="reeds tied in each (default 60)")
    parser.add_argument("--looked", type=int, help="logs that are looked at thirty times (default all)")
    parser.add_argument("--seed", type=int, default=0, help="another set of logs for another number (default 0)")
    parser.add_argument("--write", action="store_true", help="keep each table made in habit_proof.md")
    parser.add_argument("--makers", nargs="+", choices=MANNERS, default=list(MANNERS), help="these alone (default all)")
    parser.add_argument("--tied", type=int, default=FORTY_RETIRED, help="blanks in the logs of makers (default 95)")
    parser.add_argument("--times", type=float, default=TWICE, help="the hazard ratio that is to be told (default 2)")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default 2)")
    names = ("behaviours", "evenings", "told", "calibration", "glances", "alarms", "coverage", "power")
    parser.add_argument("--only", nargs="+", choices=names, default=names, help="these tables alone (default all)")
    asked = parser.parse_args()
    first = 1_000_000 * asked.seed
    looked = asked.logs if asked.looked is None else min(asked.looked, asked.logs)
    with ProcessPoolExecutor(asked.jobs) as pool:

        def over(one: Callable[[int], Any], seeds: Iterable[int]) -> list[Any]:
            return list(pool.map(one, seeds))

        def ask_all(
            seeds: Iterable[int], reeds: int, effects: Effects, follow: bool, only: str
        ) -> list[dict[str, Answer]]:
            one = partial(ask, reeds=reeds, effects=effects, touch_ups_follow_failing=follow, only=only)
            return list(pool.map(one, seeds, chunksize=4))

        tables: Mapping[str, Callable[[], Iterable[str]]] = {
            "behaviours": lambda: behaviours(over, asked.logs, looked, asked.makers, first + 30_000, asked.tied),
            "evenings": lambda: evenings(over, asked.logs, asked.makers, first + 70_000, asked.tied, asked.times),
            "told": lambda: told(over, asked.logs, asked.makers, first + 40_000, asked.times),
            "calibration": lambda: calibration(over, asked.logs, first + 50_000),
            "glances": lambda: glances(over, max(asked.logs // 10, 1), first + 60_000),
            "alarms": lambda: false_alarms(ask_all, asked.logs, asked.reeds),
            "coverage": lambda: coverage(ask_all, asked.logs, asked.reeds),
            "power": lambda: power(ask_all, {60: asked.logs, 200: asked.logs, 1000: max(asked.logs // 4, 1)}),
        }
        for name in asked.only:
            lines: list[str] = []
            kept = f"told at {asked.times:g}" if name == "told" and asked.times != TWICE else name
            kept = f"behaviours at {asked.tied}" if name == "behaviours" and asked.tied != FORTY_RETIRED else kept
            for line in tables[name]():
                print(line, flush=True)
                lines.append(line)
                if asked.write:  # as far as it is made: it takes hours
                    write(kept, lines)


if __name__ == "__main__":
    main()
