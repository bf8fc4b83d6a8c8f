"""What can be said against an event: impossible (an error) or odd (a question). One judge for typing, import and
`check`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal, NamedTuple

from reedkin.domain.facts import BEGINNINGS, FACTS, KINDS, Fact, Facts, Value
from reedkin.domain.figures import ago, date_words, mm, moment_words, plural
from reedkin.domain.instruments import Targets
from reedkin.domain.known import as_number, number
from reedkin.domain.reeds import HANDED_OVER, RETIRED, State, advance
from reedkin.domain.words import NEVER, spelt

_LONGER_BY_MM = 0.2
"""A measure this much above the last is within the reading of a ruler."""
_SHORTER_BY_MM = 5
"""So much is not clipped at once, nor between two measures (common practice, no source)."""
FAR_FROM_TARGET_MM = 8
_OF_ONE_GONE = ("noted", "scored", "returned", "retired", "heard")
"""What may be heard of a reed that is with somebody else."""


class Objection(NamedTuple):
    """Something said against an event; `fact` names the fact it is about, if it is about one, or is "at" where it is
    about the time. `missing` says that the event lacks something, which may still come; `stage` what the reed is that
    speaks against it: retired, or with nobody else."""

    severity: Literal["impossible", "odd"]
    message: str
    fact: str | None = None
    missing: bool = False
    stage: Literal["", "retired", "here"] = ""


@dataclass(frozen=True, slots=True)
class Usual:
    """The range in which a maker's own values of a fact lie, learnt from her log."""

    low: float
    high: float
    count: int


def judge(
    kind: str,
    facts: Facts,
    state: State | None,
    note: str = "",
    targets: Targets | None = None,
    usual: Mapping[str, Usual] | None = None,
    *,
    after: State | None = None,
) -> list[Objection]:
    """All that can be said against an event of this kind on a reed in this state (None: it begins one); `after` is the
    state that it leaves the reed in, where that is known."""
    if kind not in KINDS:
        return [Objection("impossible", f"{kind} is not a kind of event; kinds are {', '.join(KINDS)}")]
    findings = list(_judge_facts(kind, facts, usual or {}))
    missing = KINDS[kind].missing(facts, note)
    if missing:
        findings.append(Objection("impossible", missing, missing=True))
    sound = not any(f.severity == "impossible" for f in findings)
    if state is not None:
        findings += _judge_stage(kind, facts, state)
    if sound:
        before = state or State()
        findings += _judge_lengths(kind, facts, before, after or advance(before, kind, facts), targets)
    return findings


def judge_time(at: datetime, now: datetime, begun: datetime | None = None, typed: bool = True) -> list[Objection]:
    """What can be said against the time of an event on a reed that was begun then. A time long past is odd where it is
    `typed`, and not in a log that goes back so far."""
    if at > now + timedelta(minutes=1):
        return [Objection("odd", f"{moment_words(at)} is still to come", "at")]
    if begun is not None and at < begun:
        return [Objection("odd", f"{moment_words(at)} is before the reed was begun, {moment_words(begun)}", "at")]
    if typed and now - at > timedelta(days=3653):
        return [Objection("odd", f"{date_words(at)} is {ago(at, now)} ago", "at")]
    return []


def _judge_facts(kind: str, facts: Facts, usual: Mapping[str, Usual]) -> Iterator[Objection]:
    for name, value in facts.items():
        fact = FACTS.get(name)
        if fact is None or name not in KINDS[kind].facts:
            yield Objection("impossible", f"{fact.words if fact else name} does not belong to {kind}", name)
        elif why := fact.impossible(value):
            yield Objection("impossible", why, name)
        elif odd := _odd(fact, value, usual.get(name)):
            yield Objection("odd", odd, name)


def _odd(fact: Fact, value: Value, usual: Usual | None) -> str | None:
    if fact.name == "tubing_mm" and value == 0:
        return None
    if usual is not None and (mine := as_number(value)) is not None:
        if usual.low <= mine <= usual.high:
            return None
        return (
            f"{fact.told(value)} is unlike your own: {fact.show(round(usual.low, 2))} to "
            f"{fact.show(round(usual.high, 2))} in {usual.count} so far"
        )
    return fact.odd(value)


def _judge_lengths(
    kind: str, facts: Facts, before: State, after: State, targets: Targets | None
) -> Iterator[Objection]:
    overall, tube = after.overall_mm, after.tube_mm
    named = next((n for n in ("clip_mm", "overall_mm") if n in facts), None)
    if overall is not None and named:
        if overall <= (tube or 0):
            what = f"the tube of {mm(tube)}" if tube else "nothing"
            yield Objection("impossible", f"that would leave {mm(overall)}: no longer than {what}", named)
            return
        if before.overall_mm is not None:
            yield from _judge_change(facts, before.overall_mm, overall)
    if kind in BEGINNINGS and overall is not None and targets is not None:
        aim = targets.overall_mm if kind == "tied" else targets.finished_mm
        if abs(overall - aim) > FAR_FROM_TARGET_MM:
            yield Objection(
                "odd", f"{mm(overall)} for {spelt(after.instrument)}: your target is {mm(aim)}", "overall_mm"
            )
    yield from _judge_marks(kind, facts, before, after)


def _judge_change(facts: Facts, before: float, after: float) -> Iterator[Objection]:
    if round(after - before, 2) > _LONGER_BY_MM:
        yield Objection("odd", f"{mm(after)} is longer than before ({mm(before)})", "overall_mm")
    clip = number(facts, "clip_mm")
    if clip is None and round(before - after, 2) > _SHORTER_BY_MM:
        usual = FACTS["clip_mm"].show(FACTS["clip_mm"].odd_high)
        yield Objection("odd", f"{mm(before - after)} off {mm(before)} is much; usual is {usual} or less", "overall_mm")
    if "overall_mm" in facts and clip is not None and round(abs(before - clip - after), 2) > _LONGER_BY_MM:
        yield Objection("odd", f"{mm(clip)} off {mm(before)} leaves {mm(before - clip)}, not {mm(after)}", "clip_mm")


def _judge_marks(kind: str, facts: Facts, before: State, after: State) -> Iterator[Objection]:
    overall, tip, heart = after.overall_mm, after.tip_from_mm, after.heart_from_mm
    if tip is not None and overall is not None and tip >= overall:
        if "tip_from_mm" in facts:
            yield Objection(
                "impossible", f"the tip cannot begin at {mm(tip)} of a reed of {mm(overall)}", "tip_from_mm"
            )
        elif kind == "clipped" and tip < (before.overall_mm or 0):
            named = "clip_mm" if "clip_mm" in facts else "overall_mm"
            yield Objection("odd", f"at {mm(overall)} nothing is left of the tip, which began at {mm(tip)}", named)
    if "heart_from_mm" in facts and heart is not None and overall is not None and heart >= overall:
        yield Objection(
            "impossible", f"the heart cannot begin at {mm(heart)} of a reed of {mm(overall)}", "heart_from_mm"
        )
        return
    if tip is not None and heart is not None and heart >= tip and {"tip_from_mm", "heart_from_mm"} & facts.keys():
        name = "heart_from_mm" if "heart_from_mm" in facts else "tip_from_mm"
        both = {"tip_from_mm", "heart_from_mm"} <= facts.keys()
        yield Objection(
            "impossible" if both else "odd",
            f"the heart from {mm(heart)} would not end below the tip from {mm(tip)}",
            name,
        )
    if "heart_from_mm" in facts and after.tube_mm is not None and heart is not None and heart < after.tube_mm:
        yield Objection(
            "odd", f"the heart from {mm(heart)} would lie on the tube ({mm(after.tube_mm)})", "heart_from_mm"
        )
    if "tip_from_mm" in facts and after.tube_mm is not None and tip is not None and tip < after.tube_mm:
        yield Objection("odd", f"the tip from {mm(tip)} would begin on the tube ({mm(after.tube_mm)})", "tip_from_mm")
    wire = after.wire.from_butt_mm if after.wire else None
    if "wire_mm" in facts and wire is not None and after.tube_mm is not None and wire < after.tube_mm:
        yield Objection("odd", f"a wire at {mm(wire)} would lie on the tube ({mm(after.tube_mm)})", "wire_mm")
    if "wire_mm" in facts and wire is not None and overall is not None and wire >= overall:
        yield Objection("impossible", f"a wire at {mm(wire)} is off a reed of {mm(overall)}", "wire_mm")


def _judge_stage(kind: str, facts: Facts, before: State) -> Iterator[Objection]:
    if kind in BEGINNINGS:
        yield Objection("impossible", "it is begun already")
    elif before.stage == RETIRED and kind not in ("noted", "scored", "measured", "heard"):
        yield Objection(
            "impossible",
            f"it is retired ({before.cause}); strike its retirement first (its tag, Enter, x), or tie a new one",
            stage="retired",
        )
    elif before.stage == HANDED_OVER and kind == "handed over":
        yield Objection("odd", "it is handed over already")
    elif before.stage == HANDED_OVER and kind not in _OF_ONE_GONE:
        to = f" to {before.to}" if before.to else ""
        yield Objection("odd", f"it was {before.terms or 'handed over'}{to}; if it is back, write return first")
    elif before.stage != HANDED_OVER and kind == "returned":
        yield Objection("odd", "it was not handed over")
    elif before.stage not in (HANDED_OVER, RETIRED) and kind == "heard":
        yield Objection("odd", "it is with nobody else", stage="here")
    if kind == "retired" and facts.get("cause") == NEVER and before.playings:
        yield Objection("odd", f"it has been played {plural(before.playings, 'time')}", "cause")
    if kind == "wired" and facts.get("wire") in ("off", "moved") and before.wire is None:
        yield Objection("odd", "no wire is noted on it", "wire")
    if kind == "wired" and facts.get("wire") == "moved" and "gauge_awg" in facts and "wire_mm" not in facts:
        gauge = FACTS["gauge_awg"].show(facts["gauge_awg"])
        yield Objection("odd", f"{gauge} is its gauge; where it was moved to is written moved at 30", "gauge_awg")
