"""A proof of the habits report on invented logs of which the truth is known.

`python -m tests.benchmarks.habit_proof` prints, in Markdown: how often a habit without effect seems to have one, how
often the 95% interval holds the true effect, and how often a planted effect is found, by how many reeds there are. Run
it from the top of the project, with `tui` on the path.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial

from demo_logs.maker.effects import Effects
from demo_logs.simulate import simulate
from tests.answers.logs import bench

from reedkin.answers.habits.report import Evidence, habits_report
from reedkin.study.habits import HABITS, habit_named
from reedkin.study.study import Study
from reedkin.survival import wilson_interval

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

POWER = ("overall_mm", "wired_before_crow", "early_longest_half_hour")


@dataclass(frozen=True)
class Answer:
    """What a report says of one habit; the limits are of the log hazard ratio."""

    p: float
    lo: float
    hi: float
    evidence: Evidence


def ask(
    seed: int, reeds: int, effects: Effects, touch_ups_follow_failing: bool = True, only: str = ""
) -> dict[str, Answer]:
    """The answers of the report on one log, by habit; habits that it could not tell of are missing. `only`: ask of this
    one alone."""
    scenario = simulate(seed, reeds, effects, touch_ups_follow_failing=touch_ups_follow_failing)
    study = Study.of_bench(bench(scenario.rows, scenario.sessions))
    return {
        one.habit.name: Answer(one.effect.p, _log(one.effect.lo), _log(one.effect.hi), one.evidence)
        for one in habits_report(study, habits=(habit_named(only),) if only else HABITS).findings
    }


def _log(ratio: float) -> float:
    return math.log(ratio) if ratio > 0 else -math.inf


def shares(hits: int, tried: int) -> str:
    """A share in per cent with its 95% interval."""
    if not tried:
        return "never tried"
    lo, hi = wilson_interval(hits, tried)
    return f"{100 * hits / tried:.1f} ({100 * lo:.1f} to {100 * hi:.1f})"


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


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=200, help="logs for each figure (default 200)")
    parser.add_argument("--reeds", type=int, default=60, help="reeds tied in each (default 60)")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default 2)")
    parser.add_argument("--only", choices=("alarms", "coverage", "power"), help="one table alone")
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.jobs) as pool:

        def ask_all(
            seeds: Iterable[int], reeds: int, effects: Effects, follow: bool, only: str
        ) -> list[dict[str, Answer]]:
            one = partial(ask, reeds=reeds, effects=effects, touch_ups_follow_failing=follow, only=only)
            return list(pool.map(one, seeds, chunksize=4))

        tables = {
            "alarms": lambda: false_alarms(ask_all, asked.logs, asked.reeds),
            "coverage": lambda: coverage(ask_all, asked.logs, asked.reeds),
            "power": lambda: power(ask_all, {60: asked.logs, 200: asked.logs, 1000: max(asked.logs // 4, 1)}),
        }
        for name, table in tables.items():
            if asked.only in (None, name):
                for line in table():
                    print(line, flush=True)


if __name__ == "__main__":
    main()
