"""`reedkin stock`: the living reeds."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from reedkin.bench.bench import Bench
from reedkin.cli.context import Context, show, show_json
from reedkin.cli.options import add_json
from reedkin.domain.columns import table
from reedkin.domain.describe import ago, describe, duration, mm, past
from reedkin.domain.facts import begins
from reedkin.domain.reeds import AT_WORK, IN_SERVICE, Reed

if TYPE_CHECKING:
    from reedkin.answers.hours_left.outlook import Outlook

_HEADINGS = ("reed", "instrument", "stage", "overall", "played", "hours left", "last score", "rested", "last")
_RIGHT = (3, 4, 5, 6, 7)


def arguments(parser: argparse.ArgumentParser) -> None:
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading() as log:
        reeds = sorted(log.bench.at_work(), key=lambda reed: AT_WORK.index(reed.stage))
        if args.json:
            outlook = _outlook(log.bench, reeds)
            show_json({"reeds": [_as_json(reed, log.bench, outlook) for reed in reeds]})
        elif not reeds:
            show("No living reeds. To begin one: reedkin add 1 tie oboe 72")
        else:
            outlook = _outlook(log.bench, reeds)
            for line in table(_HEADINGS, [_row(reed, log.bench, outlook) for reed in reeds], _RIGHT):
                show(line)
    return 0


def _outlook(bench: Bench, reeds: Sequence[Reed]) -> Outlook | None:
    """What is left to expect, where some reed is in service; otherwise nothing heavy is loaded."""
    if not any(reed.stage == IN_SERVICE for reed in reeds):
        return None
    from reedkin.answers.hours_left.outlook import Outlook

    return Outlook.of_bench(bench)


def _left(reed: Reed, outlook: Outlook | None) -> str:
    left = outlook.left(reed) if outlook is not None else None
    if left is None:
        return "–"
    from reedkin.answers.hours_left.outlook import span_words

    return span_words(left)


def _row(reed: Reed, bench: Bench, outlook: Outlook | None) -> tuple[str, ...]:
    state, now = reed.now, bench.clock.now()
    played, last = reed.last_played, reed.last
    name = f"{reed.label} {state.name}" if state.name else reed.label
    return (
        name,
        reed.instrument,
        reed.stage,
        mm(state.overall_mm),
        duration(state.minutes_played) if state.minutes_played else "–",
        _left(reed, outlook),
        f"{state.score:.1f}" if state.score is not None else "–",
        ago(played.at, now) if played else "–",
        f"{last.kind if begins(last.kind) else describe(last.kind, last.facts)}, {past(last.at, now)}",
    )


def _as_json(reed: Reed, bench: Bench, outlook: Outlook | None) -> dict[str, Any]:
    state, played = reed.now, reed.last_played
    left = outlook.left(reed) if outlook is not None else None
    return {
        "tag": reed.tag,
        "bearer": reed.bearer,
        "name": state.name,
        "instrument": reed.instrument,
        "stage": reed.stage,
        "overall_mm": state.overall_mm,
        "hours_played": round(state.hours, 4),
        "score": state.score,
        "expected_remaining_hours": None if left is None else round(left.middle, 3),
        "expected_remaining_range": None if left is None else [round(left.lo, 3), round(left.hi, 3)],
        "rest_hours": _hours_since(reed, bench) if played else None,
        "last": {"kind": reed.last.kind, "at": reed.last.at.isoformat()},
    }


def _hours_since(reed: Reed, bench: Bench) -> float | None:
    played = reed.last_played
    return round((bench.clock.now() - played.at).total_seconds() / 3600, 2) if played else None
