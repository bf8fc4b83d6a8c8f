"""
Whether the habits report stays honest where the log is kept as logs are: playings forgotten, ends never written down,
everything written in the evening, a tour missing. No habit has any effect, so all that is called clear is a false
alarm. Every log is that of a maker who treats reeds alike or, every second one, of one who does all that makers do.
Run: python -m tests.benchmarks.kept [--logs 40] [--ways tour untold]
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Mapping
from concurrent.futures import ProcessPoolExecutor
from datetime import datetime, timedelta
from functools import partial
from random import Random

from demo_logs.maker.diary import Row
from demo_logs.maker.effects import Effects
from demo_logs.maker.manner import PLAIN, Manner
from demo_logs.simulate import simulate
from tests.answers.logs import bench
from tests.benchmarks.habit_proof import FORTY_RETIRED, answers_of, shares

from reedkin.domain.facts import BEGINNINGS
from reedkin.study.habits import HABITS
from reedkin.study.study import Study

Kept = Callable[[list[Row], Random], list[Row]]
_OF_SERVICE = ("played", "cleaned", "scored", "soaked", "scraped", "clipped")
_OF_WORK = ("scraped", "clipped", "measured", "crowed", "cleaned", "soaked", "scored")


def _at(row: Row) -> datetime:
    return datetime.fromisoformat(row["at"])


def _part(rows: list[Row], share: float, days: int) -> tuple[datetime, datetime]:
    """So many days from a share of the log on."""
    begun, ended = _at(rows[0]), _at(rows[-1])
    first = begun + (ended - begun) * share
    return first, first + timedelta(days=days)


def _in_order(rows: list[Row]) -> list[Row]:
    return sorted(rows, key=_at)  # stable: what is of one moment stays as it was


def _told_apart(rows: list[Row]) -> list[Row]:
    """The same with no tag used again, which would ask for the end of the one before."""
    tags: dict[str, str] = {}
    told = []
    for row in rows:
        if row["kind"] in BEGINNINGS:
            tags[row["tag"]] = str(sum(one["kind"] in BEGINNINGS for one in told) + 1)
        told.append({**row, "tag": tags[row["tag"]]})
    return told


def every_event(rows: list[Row], rng: Random) -> list[Row]:
    return rows


def playings_forgotten(rows: list[Row], rng: Random) -> list[Row]:
    """Three playings in ten."""
    return [row for row in rows if row["kind"] != "played" or rng.random() > 0.3]


def bad_playings_forgotten(rows: list[Row], rng: Random) -> list[Row]:
    """Seven in ten of those in which the reed was bad."""
    return [row for row in rows if row["kind"] != "played" or row.get("score", 10) >= 6.5 or rng.random() > 0.7]


def old_reeds_forgotten(rows: list[Row], rng: Random) -> list[Row]:
    """The longer a reed serves, the less is written of it."""
    hours: Counter[str] = Counter()
    kept = []
    for row in _told_apart(rows):
        if row["kind"] == "played":
            hours[row["tag"]] += row.get("minutes", 0) / 60
            if rng.random() < min(0.8, hours[row["tag"]] / 20):
                continue
        kept.append(row)
    return kept


def ends_forgotten(rows: list[Row], rng: Random) -> list[Row]:
    """Four in ten are never written down."""
    return [row for row in _told_apart(rows) if row["kind"] != "retired" or rng.random() > 0.4]


def late_ends_forgotten(rows: list[Row], rng: Random) -> list[Row]:
    """Seven in ten of the ends of reeds that served for long: of those that disappointed it is written."""
    hours: Counter[str] = Counter()
    kept = []
    for row in _told_apart(rows):
        hours[row["tag"]] += row.get("minutes", 0) / 60 if row["kind"] == "played" else 0
        if row["kind"] != "retired" or hours[row["tag"]] < 9 or rng.random() > 0.7:
            kept.append(row)
    return kept


def cleared_out(rows: list[Row], rng: Random) -> list[Row]:
    """In January and August all reeds in service are thrown away, as worn out."""
    kept: list[Row] = []
    service: set[str] = set()
    dead: set[str] = set()
    cleared = (0, 0)
    for row in _told_apart(rows):
        month = _at(row).year, _at(row).month
        if month[1] in (1, 8) and month != cleared:
            cleared = month
            kept += [{"tag": tag, "kind": "retired", "at": row["at"], "cause": "worn"} for tag in sorted(service)]
            dead |= service
            service = set()
        if row["tag"] in dead:
            continue
        if row["kind"] in ("played", "joined", "returned"):
            service.add(row["tag"])
        elif row["kind"] in ("retired", "handed over"):
            service.discard(row["tag"])
        kept.append(row)
    return kept


def whole_hours(rows: list[Row], rng: Random) -> list[Row]:
    """Playings are written as half an hour, or as whole ones."""
    return [
        {**row, "minutes": max(30, 60 * round(row["minutes"] / 60))} if row["kind"] == "played" else row for row in rows
    ]


def only_what_is_odd(rows: list[Row], rng: Random) -> list[Row]:
    """The gouge and the sink time are written where they are unusual."""

    def usual(name: str, value: object) -> bool:
        return isinstance(value, (int, float)) and (
            (name == "gouge_mm" and abs(value - 0.6) < 0.01) or (name == "sink_min" and value < 12)
        )

    return [{name: value for name, value in row.items() if not usual(name, value)} for row in rows]


def busy_weeks(rows: list[Row], rng: Random) -> list[Row]:
    """Every fourth week nothing is written of the work on reeds."""
    return [row for row in rows if row["kind"] not in _OF_WORK or _at(row).isocalendar()[1] % 4]


def in_the_evening(rows: list[Row], rng: Random) -> list[Row]:
    """All of a day is written as of nine o'clock."""
    return _in_order(
        [
            row if row["kind"] in (*BEGINNINGS, "retired") else {**row, "at": _evening(row).isoformat()}
            for row in _told_apart(rows)
        ]
    )


def _evening(row: Row) -> datetime:
    return max(_at(row), _at(row).replace(hour=21, minute=0))


def once_a_week(rows: list[Row], rng: Random) -> list[Row]:
    """The playings of a reed in a week are written as one, when it is first played in it."""
    kept: list[Row] = []
    of_week: dict[tuple[str, int, int], Row] = {}
    for row in _told_apart(rows):
        if row["kind"] == "played":
            week = (row["tag"], *_at(row).isocalendar()[:2])
            if week in of_week:
                of_week[week]["minutes"] += row["minutes"]
                continue
            row = of_week[week] = dict(row)
        kept.append(row)
    return kept


def playing_missing(rows: list[Row], rng: Random) -> list[Row]:
    """For four months nothing is written of reeds in service but their ends."""
    first, last = _part(rows, 0.4, 120)
    return [row for row in rows if row["kind"] not in _OF_SERVICE or not first <= _at(row) <= last]


def tours_missing(rows: list[Row], rng: Random) -> list[Row]:
    """Twice, for six weeks, no playing is written."""
    tours = [_part(rows, share, 42) for share in (0.3, 0.7)]
    return [row for row in rows if row["kind"] != "played" or not any(a <= _at(row) <= b for a, b in tours)]


def months_missing(rows: list[Row], rng: Random) -> list[Row]:
    """For four months nothing is written at all."""
    rows = _told_apart(rows)
    first, last = _part(rows, 0.4, 120)
    within = [row for row in rows if first <= _at(row) <= last]
    begun = {row["tag"] for row in within if row["kind"] in BEGINNINGS}
    return [row for row in rows if row["tag"] not in begun and not first <= _at(row) <= last]


def nearly_all_sevens(rows: list[Row], rng: Random) -> list[Row]:
    """Nine scores in ten are 7, whatever she heard."""
    return [{**row, "score": 7.0} if "score" in row and rng.random() < 0.9 else row for row in rows]


def an_instrument_comes_late(rows: list[Row], rng: Random) -> list[Row]:
    """The oboe is new to her when two thirds of the log are over."""
    rows = _told_apart(rows)
    since = _part(rows, 2 / 3, 0)[0]
    before = {row["tag"] for row in rows if row.get("instrument") == "oboe" and _at(row) < since}
    return [row for row in rows if row["tag"] not in before]


def another_player(rows: list[Row], rng: Random) -> list[Row]:
    """Another keeps the same log, whose reeds last longer, and who prefers good ones."""
    other = simulate(
        rng.randrange(10**6), FORTY_RETIRED, Effects.none(), manner=Manner(long_lives=True, prefers_good=True)
    )
    theirs = [{**row, "tag": f"z{row['tag']}"} for row in _told_apart(other.rows)]
    for row in theirs:
        row.pop("session", None)
    return _in_order([*_told_apart(rows), *theirs])


def another_who_ties_longer(rows: list[Row], rng: Random) -> list[Row]:
    """The same, who besides ties everything a millimetre longer."""
    return [
        {**row, "overall_mm": row["overall_mm"] + 1} if row["tag"].startswith("z") and "overall_mm" in row else row
        for row in another_player(rows, rng)
    ]


def from_a_notebook(rows: list[Row], rng: Random) -> list[Row]:
    """Of all that was begun in the first half of the log it is only written, in the middle of it, which reeds there are
    yet, and how many hours they have; and then when they ended, and nothing of their playing."""
    rows = _told_apart(rows)
    middle = _part(rows, 0.5, 0)[0]
    early = {row["tag"]: row for row in rows if row["kind"] in BEGINNINGS and _at(row) < middle}
    hours: Counter[str] = Counter()
    for row in rows:
        if _at(row) < middle and row["kind"] == "played":
            hours[row["tag"]] += row.get("minutes", 0) / 60
    ended = {row["tag"] for row in rows if row["kind"] in ("retired", "handed over") and _at(row) < middle}
    survivors = [
        {"tag": tag, "kind": "joined", "at": middle.isoformat(), "instrument": row["instrument"],
         "hours_before": round(hours[tag] + row.get("hours_before", 0))}
        for tag, row in early.items() if tag not in ended and hours[tag]
    ]  # fmt: skip
    there = {row["tag"] for row in survivors}
    later = [row for row in rows if _at(row) >= middle]
    return survivors + [
        row for row in later if row["tag"] not in early or (row["tag"] in there and row["kind"] == "retired")
    ]


WAYS: Mapping[str, Kept] = {
    way.__name__.replace("_", " "): way
    for way in (
        every_event, playings_forgotten, bad_playings_forgotten, old_reeds_forgotten, ends_forgotten,
        late_ends_forgotten, cleared_out, whole_hours, only_what_is_odd, busy_weeks, in_the_evening, once_a_week,
        playing_missing, tours_missing, months_missing, nearly_all_sevens, an_instrument_comes_late, another_player,
        another_who_ties_longer, from_a_notebook,
    )
}  # fmt: skip


def alarms(seed: int, way: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The harmless habits that are clear, and those that lean, in one log so kept."""
    manner = Manner.every() if seed % 2 else PLAIN
    made = simulate(seed, FORTY_RETIRED, Effects.none(), manner=manner)
    study = Study.of_bench(bench(WAYS[way](made.rows, Random(seed)), made.sessions))
    # Where lots drive lives, to call a lot clear is no false alarm.
    answers = answers_of(study, [habit for habit in HABITS if habit.name != "lot" or not manner.lots_drive])
    said = {name: one.evidence for name, one in answers.items()}
    return (
        tuple(name for name, evidence in said.items() if evidence == "clear"),
        tuple(name for name, evidence in said.items() if evidence == "leaning"),
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--logs", type=int, default=40)
    parser.add_argument("--first", type=int, default=8_880_000, help="the first seed")
    parser.add_argument("--ways", nargs="+", choices=WAYS, default=list(WAYS))
    parser.add_argument("--processes", type=int)
    asked = parser.parse_args()
    print("| how the log is kept | some habit clear, % | leaning, % | which were clear |\n| --- | --- | --- | --- |")
    with ProcessPoolExecutor(asked.processes) as pool:
        for way in asked.ways:
            found = list(pool.map(partial(alarms, way=way), range(asked.first, asked.first + asked.logs)))
            clear, leaning = (shares(sum(bool(one[at]) for one in found), asked.logs) for at in (0, 1))
            which = Counter(habit for one in found for habit in one[0]).most_common()
            said = ", ".join(f"{habit} {count}" for habit, count in which)
            print(f"| {way} | {clear} | {leaning} | {said or 'none'} |", flush=True)


if __name__ == "__main__":
    main()
