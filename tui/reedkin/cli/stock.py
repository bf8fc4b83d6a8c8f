"""`reedkin stock`: the living reeds."""

from __future__ import annotations

import argparse
from typing import Any

from reedkin.cli.context import Context, show, show_json
from reedkin.cli.table import table
from reedkin.domain.bench import Bench, begins
from reedkin.domain.describe import ago, describe, duration, mm
from reedkin.domain.reeds import AT_WORK, Reed

_HEADINGS = ("reed", "instrument", "stage", "overall", "played", "score", "rested", "last")
_RIGHT = (3, 4, 5, 6)


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading() as log:
        reeds = sorted(log.bench.at_work(), key=lambda reed: AT_WORK.index(reed.stage))
        if args.json:
            show_json({"reeds": [_as_json(reed, log.bench) for reed in reeds]})
        elif not reeds:
            show("No living reeds. To begin one: reedkin add 1 tie oboe 72")
        else:
            for line in table(_HEADINGS, [_row(reed, log.bench) for reed in reeds], _RIGHT):
                show(line)
    return 0


def _row(reed: Reed, bench: Bench) -> tuple[str, ...]:
    state, now = reed.now, bench.clock.now()
    played, last = reed.last_played, reed.last
    name = f"{reed.label} {state.name}" if state.name else reed.label
    return (
        name,
        reed.instrument,
        reed.stage,
        mm(state.overall_mm),
        duration(state.minutes_played) if state.minutes_played else "–",
        f"{state.score:.1f}" if state.score is not None else "–",
        ago(played.at, now) if played else "–",
        f"{last.kind if begins(last.kind) else describe(last.kind, last.facts)}, {ago(last.at, now)} ago",
    )


def _as_json(reed: Reed, bench: Bench) -> dict[str, Any]:
    state, played = reed.now, reed.last_played
    return {
        "tag": reed.tag,
        "bearer": reed.bearer,
        "name": state.name,
        "instrument": reed.instrument,
        "stage": reed.stage,
        "overall_mm": state.overall_mm,
        "hours_played": round(state.hours, 4),
        "score": state.score,
        "rest_hours": _hours_since(reed, bench) if played else None,
        "last": {"kind": reed.last.kind, "at": reed.last.at.isoformat()},
    }


def _hours_since(reed: Reed, bench: Bench) -> float | None:
    played = reed.last_played
    return round((bench.clock.now() - played.at).total_seconds() / 3600, 2) if played else None
