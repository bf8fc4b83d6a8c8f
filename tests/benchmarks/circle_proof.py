"""
Whether a circle's answers hold: false alarms, chances that come true, what is found, and what one wrong file can do.

    python -m tests.benchmarks.circle_proof

Most figures are of makers simulated by what their files say: 15 to 60 retirements each, an estimate as sure as so many
make it. Some are of whole logs, from which files are made as `share` makes them; circles are drawn from these. The
results of the last run are in `circle_proof.md`.
"""

from __future__ import annotations

import argparse
import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from statistics import median

import numpy as np
from demo_logs.maker.effects import Effects
from demo_logs.simulate import simulate
from tests.answers.logs import bench
from tests.benchmarks.habit_proof import FORTY_RETIRED, MANNERS, shares

from reedkin.answers.circle.asked_together import SEEN_UNLIKE, Evidence, judged
from reedkin.answers.circle.estimates import estimate_of
from reedkin.answers.circle.giving import share_of
from reedkin.answers.habits.effects import CLEAR
from reedkin.answers.habits.report import habits_report
from reedkin.store.circle.shares import Share
from reedkin.study.study import Study
from reedkin.survival.evidence import USUAL_BELIEF, evidence
from reedkin.survival.makers import DIFFER, Makers

WRITTEN = Path(__file__).with_suffix(".md")
HEAD = """# Whether a circle's answers hold

Written by `python -m tests.benchmarks.circle_proof --write`. A share in per cent comes with its 95% interval (Wilson).
Of circles of 3, 8 or 20 makers one is asked; the others gave files. Each has 15 to 60 retirements.
"""
SIZE = USUAL_BELIEF.size
CIRCLES = (3, 8, 20)
AT_RISK = 0.52
"""The standard deviation of the length tied, in mm, among reeds at risk together, where so much is planted on it."""
LOOKS = 20
HABITS = 20
"""So many habits are asked of each log."""


@dataclass(frozen=True)
class Drawn:
    """A circle as its files have it, for a habit whose standard deviation is 1: of each maker what is true, what her
    log says, and its standard error (k,); she who asks is the first."""

    true: np.ndarray
    value: np.ndarray
    se: np.ndarray

    def ask(self, alone: bool = False) -> tuple[float, Evidence, bool]:
        """The chance told, how sure it is, and whether lives are said to be shorter."""
        if alone:
            z = self.value[0] / self.se[0]
            chance = evidence(float(z), float(1 / self.se[0] ** 2)).chance
            return chance, "clear" if chance >= CLEAR else "unclear", bool(z > 0)
        makers = Makers(self.value[1:].tolist(), self.se[1:].tolist(), 1.0)
        names = [str(place) for place in range(1, len(self.value))]
        told, word, _ = judged(makers, names, (float(self.value[0]), float(self.se[0])))
        return told.chance, word, told.value > 0


def drawn(rng: np.random.Generator, makers: int, mean: float, differ: float) -> Drawn:
    """A circle whose makers' effects lie about a mean."""
    true = mean + differ * rng.normal(size=makers)
    retired = rng.integers(15, 61, size=makers)
    se = 1 / np.sqrt(retired) * rng.uniform(0.95, 1.2, size=makers)
    return Drawn(true, true + se * rng.normal(size=makers), np.round(se, 4))


def harmless(seed: int, makers: int, habits: int = HABITS) -> tuple[int, int, int]:
    """Of a log with many habits, none of which does anything: how many of these are called clear alone, with the
    circle, and with the circle at any of the looks at logs that grow."""
    rng = np.random.default_rng(seed)
    alone = together = ever = 0
    for _ in range(habits):
        retired = rng.integers(15, 61, size=makers)
        # What each log says after each further part of its retirements.
        told = np.cumsum(rng.normal(size=(LOOKS, makers)) * np.sqrt(retired / LOOKS), axis=0)
        seen = False
        for look in range(4, LOOKS + 1):
            so_far = retired * look / LOOKS
            now = Drawn(np.zeros(makers), told[look - 1] / so_far, 1 / np.sqrt(so_far))
            # One far from clear is not reckoned again without each file.
            makers_now = Makers(now.value[1:].tolist(), now.se[1:].tolist(), 1.0)
            near = makers_now.others().after(float(now.value[0]), float(now.se[0])).chance >= CLEAR
            clear = near and now.ask()[1] == "clear"
            seen = seen or clear
        together += clear
        ever += seen
        alone += now.ask(alone=True)[1] == "clear"
    return alone, together, ever


Pool = Callable[[Callable[[int], object], Iterable[int]], list]  # type: ignore[type-arg]


def false_alarms(pool: Pool, circles: int, first: int) -> Iterable[str]:
    """No habit does anything for anybody."""
    yield f"\n## Some harmless habit called clear, in per cent of logs ({circles} of each, {HABITS} habits asked)\n"
    yield "| makers | her own log, at its end | with the circle, at its end | with the circle, at any of 17 looks |"
    yield "| ---: | --- | --- | --- |"
    for makers in CIRCLES:
        found = pool(partial(harmless, makers=makers), range(first, first + circles))
        cells = [shares(sum(one[place] > 0 for one in found), circles) for place in range(3)]
        yield f"| {makers} | {' | '.join(cells)} |"


def calibrated(seed: int, makers: int, world: str) -> list[tuple[float, bool]]:
    """For some habits of one log: the chance told, and whether it came true for her who asks."""
    rng = np.random.default_rng(seed)
    told = []
    for _ in range(HABITS):
        differ = abs(rng.normal()) * DIFFER * SIZE
        matters = rng.random() < 1 / USUAL_BELIEF.one_in
        mean = rng.normal() * SIZE
        if world == "makers do not differ":
            differ = 0.0
        if world == "makers differ by as much as it matters":
            differ = SIZE
        if world == "twice the size":
            mean, differ = 2 * mean, 2 * differ
        if world == "half the size":
            mean, differ = mean / 2, differ / 2
        if world == "one maker in seven is unlike":
            one = drawn(rng, makers, mean if matters else 0.0, differ if matters else 0.0)
            true = np.where(rng.random(makers) < 1 / 7, rng.normal(size=makers) * 2 * SIZE, one.true)
            one = Drawn(true, one.value + true - one.true, one.se)
        else:
            one = drawn(rng, makers, mean if matters else 0.0, differ if matters else 0.0)
        chance, _, shorter = one.ask()
        told.append((chance, bool(one.true[0] != 0 and (one.true[0] > 0) == shorter)))
    return told


WORLDS = ("as believed", "makers do not differ", "makers differ by as much as it matters", "twice the size",
          "half the size", "one maker in seven is unlike")  # fmt: skip


def calibration(pool: Pool, circles: int, first: int) -> Iterable[str]:
    """Chances told by circles of eight, and of three."""
    for makers in (8, 3):
        yield f"\n## Chances that come true, in per cent: circles of {makers} ({circles} logs of {HABITS} habits)\n"
        yield "| told | " + " | ".join(WORLDS) + " |"
        yield "| --- " * (1 + len(WORLDS)) + "|"
        every = [
            [one for log in pool(partial(calibrated, makers=makers, world=world), range(first, first + circles))
             for one in log] for world in WORLDS
        ]  # fmt: skip
        for low, high, name in ((0, 0.15, "1 in 10 or less"), (0.15, 0.5, "2 to 5 in 10"), (0.5, 0.85, "5 to 8 in 10"),
                                (0.85, 0.95, "9 in 10"), (0.95, 1.01, "19 in 20 or more")):  # fmt: skip
            cells = []
            for told in every:
                own = [right for chance, right in told if low <= chance < high]
                cells.append(f"{shares(sum(own), len(own))} of {len(own)}")
            yield f"| {name} | {' | '.join(cells)} |"


def found(seed: int, makers: int, mean: float, differ: float) -> tuple[bool, bool, bool, bool, bool]:
    """Of one circle: told at 9 in 10 or more in the way that is true of her, clear, the same by her own log alone, and
    clear the wrong way."""
    one = drawn(np.random.default_rng(seed), makers, mean, differ)
    chance, word, shorter = one.ask()
    alone, alone_word, alone_shorter = one.ask(alone=True)
    true = bool(one.true[0] > 0)
    return (
        chance >= 0.9 and shorter == true, word == "clear" and shorter == true,
        alone >= 0.9 and alone_shorter == true, alone_word == "clear" and alone_shorter == true,
        word == "clear" and shorter != true,
    )  # fmt: skip


def power(pool: Pool, circles: int, first: int) -> Iterable[str]:
    """What is found."""
    yield f"\n## What is found, in per cent ({circles} circles each)\n"
    yield (
        "Lives end so many times as fast for one standard deviation, in the mean of all makers, who differ by so much "
        "(a standard deviation, in parts of that effect). Found: the way that is true for her who asks.\n"
    )
    yield (
        "| times as fast | makers differ | makers | alone, 9 in 10 | alone, clear | with the circle, 9 in 10 | clear | "
        "clear the wrong way |"
    )
    yield "| ---: | ---: | ---: | --- | --- | --- | --- | --- |"
    for times in (1.3, 1.65):
        for part in (0.0, 0.5, 1.0):
            for makers in CIRCLES:
                one = partial(found, makers=makers, mean=math.log(times), differ=part * math.log(times))
                all_of_them = pool(one, range(first, first + circles))
                count = [sum(told[place] for told in all_of_them) for place in range(5)]
                cells = [shares(count[place], circles) for place in (2, 3, 0, 1, 4)]
                yield f"| {times} | {part:g} | {makers} | {' | '.join(cells)} |"


WRONG = ((-3.0, 0.0), (-1.0, 0.0), (-0.5, 0.0), (0.0, 0.0), (0.5, 0.0), (1.0, 0.0), (3.0, 0.0), (-0.5, 0.2), (0.5, 0.2),
         (-8.0, 2.0), (8.0, 2.0))  # fmt: skip
"""What a wrong file says: an effect, and its standard error; 0 is the least that a file may claim."""
LEAST = 1 / math.sqrt(4 * 20_000)
"""The least standard error that is taken: of 20,000 reeds worn out (`store/circle/shares.py`)."""


def wronged(seed: int, mean: float) -> list[str]:
    """What becomes of the answer of eight makers where the last one's file is wrong, for each way of being so."""
    one = drawn(np.random.default_rng(seed), 8, mean, 0.0)
    names = [str(place) for place in range(1, 8)]

    def asked(value: float, se: float) -> tuple[str, bool, bool]:
        makers = Makers([*one.value[1:-1].tolist(), value], [*one.se[1:-1].tolist(), se], 1.0)
        told, word, leans = judged(makers, names, (float(one.value[0]), float(one.se[0])))
        seen = any(less.name == "7" for less in leans) or makers.others().unlike[-1] >= SEEN_UNLIKE
        return word, told.value > 0, seen

    right, way, _ = asked(float(one.value[-1]), float(one.se[-1]))
    became = []
    for value, se in WRONG:
        word, shorter, seen = asked(value, se or LEAST)
        if right == "clear":
            turned = "turned about" if word != "unclear" and shorter != way else "lost" if word == "unclear" else ""
            kind = turned or "stands"
        else:
            kind = "made clear" if word == "clear" else "stands"
        became.append(f"{'clear' if right == 'clear' else 'not clear'}: {kind}{', seen' if seen else ''}")
    return became


def one_wrong_file(pool: Pool, circles: int, first: int) -> Iterable[str]:
    """What a hostile or mistaken file of eight can do."""
    yield f"\n## What one wrong file of eight can do, in per cent of answers ({circles} circles each)\n"
    yield (
        "The seventh of the seven files says one of the values below, as surely as any file may or with an honest "
        "standard error; the worst of them is told. Seen: the screen names the file, as unlike the others or as the "
        "one on which the answer rests.\n"
    )
    yield (
        "| lives end | answer without the wrong file | the wrong file | turned about | lost, unseen | lost, seen | "
        "made clear, unseen | made clear, seen |"
    )
    yield "| --- | --- | --- | --- | --- | --- | --- | --- |"
    for mean in (math.log(1.65), math.log(1.3), 0.0):
        every = pool(partial(wronged, mean=mean), range(first, first + circles))
        for place, (value, se) in enumerate(WRONG):
            said = Counter(one[place] for one in every)
            for was in ("clear", "not clear"):
                total = sum(count for what, count in said.items() if what.startswith(f"{was}: "))
                if not total or (mean == 0.0) == (was == "clear"):
                    continue
                kinds = ("lost", "lost, seen", "made clear", "made clear, seen")
                about = said[f"{was}: turned about"] + said[f"{was}: turned about, seen"]
                cells = [shares(count, total) for count in (about, *(said[f"{was}: {kind}"] for kind in kinds))]
                sure = "as sure as can be" if not se else f"standard error {se}"
                times = f"{math.exp(mean):.2f} times" if mean else "alike"
                yield f"| {times} | {was} | {value:+g}, {sure} | {' | '.join(cells)} |"


@dataclass(frozen=True)
class Log:
    """One whole log: the file it gives, and what it says itself of each habit: the estimate, its standard error, the
    spread of the habit, and whether it is clear by that log alone."""

    share: Share
    own: dict[str, tuple[float, float, float, bool]]


def log_of(seed: int, maker: str, effect: float) -> Log:
    """A simulated log of about 40 retirements."""
    effects = Effects.only(overall_mm=effect) if effect else Effects.none()
    scenario = simulate(seed, FORTY_RETIRED, effects, manner=MANNERS[maker])
    study = Study.of_bench(bench(scenario.rows, scenario.sessions))
    own = {}
    for finding in habits_report(study).findings:
        if (estimate := estimate_of(finding)) is not None:
            clear = finding.evidence == "clear"
            own[finding.habit.name] = (estimate.value, estimate.se, estimate.effect.sd, clear)
    return Log(share_of(study), own)


def asked_of_logs(logs: Sequence[Log], makers: int, circles: int, seed: int) -> list[dict[str, str]]:
    """Of circles drawn from logs: what is said of each habit, "clear" or not, and which way."""
    rng, found = np.random.default_rng(seed), []
    for _ in range(circles):
        first, *others = (logs[place] for place in rng.choice(len(logs), size=makers, replace=False))
        said = {}
        for name, (value, se, spread, _) in first.own.items():
            given = [one for log in others for one in log.share.habits if (one.habit, one.clock) == (name, "hours")]
            if given:
                spreads = [spread, *(one.spread for one in given)]
                asked = Makers(
                    [one.log_hazard_ratio for one in given], [one.standard_error for one in given], median(spreads)
                )
                told, word, _ = judged(asked, [str(place) for place in range(len(given))], (value, se))
                said[name] = f"{word} {'shorter' if told.value > 0 else 'longer'}"
        found.append(said)
    return found


def whole_logs(pool: Pool, logs: int, circles: int, makers_of: Sequence[str], first: int) -> Iterable[str]:
    """Files made of whole logs, whose makers do what makers do."""
    yield f"\n## Whole logs of about 40 retirements ({circles} circles drawn from {logs} logs of each kind of maker)\n"
    yield (
        "The kinds of maker are those of [habit_proof.md](habit_proof.md); all of a circle are of one kind, so that "
        "what their ways alone bring about they have in common. Planted: lives end 1.65 times as fast for one standard "
        "deviation of the length tied. Circles are drawn from the same logs and are not independent.\n"
    )
    yield "| maker | makers | planted, clear | some harmless habit clear | which |"
    yield "| --- | ---: | --- | --- | --- |"
    for maker in makers_of:
        for effect in (0.0, math.log(1.65) / AT_RISK) if maker == "neutral" else (0.0,):
            every = pool(partial(log_of, maker=maker, effect=effect), range(first, first + logs))
            alone = [{name: "clear" for name, (*_, clear) in log.own.items() if clear} for log in every]
            yield _row(maker, 1, alone, effect)
            for makers in CIRCLES:
                if makers <= logs:
                    yield _row(maker, makers, asked_of_logs(every, makers, circles, first), effect)


def _row(maker: str, makers: int, told: Sequence[dict[str, str]], effect: float) -> str:
    harmless_clear = [
        [name for name, word in said.items() if word.startswith("clear") and not (effect and name == "tied_mm")]
        for said in told
    ]
    right = sum(said.get("tied_mm", "") in ("clear", "clear shorter") for said in told)
    counted = Counter(name for names in harmless_clear for name in names)
    which = ", ".join(f"{name} {count}" for name, count in counted.most_common()) or "none"
    planted = shares(right, len(told)) if effect else "–"
    return f"| {maker} | {makers} | {planted} | {shares(sum(map(bool, harmless_clear)), len(told))} | {which} |"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--circles", type=int, default=400, help="circles for each figure (default 400)")
    parser.add_argument("--logs", type=int, default=24, help="whole logs of each maker (default 24)")
    parser.add_argument("--makers", nargs="+", choices=MANNERS, default=["neutral", "all of it"], help="of whole logs")
    parser.add_argument("--seed", type=int, default=0, help="another set for another number (default 0)")
    parser.add_argument("--write", action="store_true", help="keep what is printed in circle_proof.md")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default 2)")
    parser.add_argument("--only", choices=("alarms", "calibration", "power", "wrong", "logs"), help="one table alone")
    asked = parser.parse_args()
    first = 1_000_000 * asked.seed + 70_000
    with ProcessPoolExecutor(asked.jobs) as workers:

        def over(one: Callable[[int], object], seeds: Iterable[int]) -> list[object]:
            return list(workers.map(one, seeds, chunksize=4))

        tables = {
            "alarms": lambda: false_alarms(over, asked.circles // 4, first),
            "calibration": lambda: calibration(over, asked.circles // 4, first),
            "power": lambda: power(over, asked.circles, first),
            "wrong": lambda: one_wrong_file(over, asked.circles, first),
            "logs": lambda: whole_logs(over, asked.logs, 60, asked.makers, first),
        }
        lines = []
        for name, table in tables.items():
            for line in table() if asked.only in (None, name) else ():
                print(line, flush=True)
                lines.append(line)
    if asked.write:
        WRITTEN.write_text("\n".join((HEAD, *lines, "")), encoding="utf-8")


if __name__ == "__main__":
    main()
