"""Corrections as they are typed: another line, another day, other tags; and what each would do, in plain words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from reedkin.bench.bench import Bench
from reedkin.bench.correcting import Correction, Corrector, Restated, alike, of_reeds, refused
from reedkin.domain.clock import Clock
from reedkin.domain.describe import describe
from reedkin.domain.events import Amendment, Event, Statement, Strike
from reedkin.domain.figures import day_and_hour, duration, mm, tag_list
from reedkin.domain.reeds import Reed, State, Step
from reedkin.errors import InputError
from reedkin.grammar.correcting.amending import read_amended
from reedkin.grammar.when.days import When, parse_when
from reedkin.grammar.words.tags import expand, tag_problem


def plan_amendment(corrector: Corrector, bench: Bench, steps: Sequence[Step], line: str) -> Correction:
    """Have each of these events say what a line says."""
    said: list[tuple[Step, Restated]] = []
    errors: dict[str, list[str]] = {}
    questions: dict[str, list[str]] = {}
    for step in steps:
        reed = bench.reed(step.event.reed)
        if step.struck:
            return refused("that is struck; give it back first")
        amending = read_amended(line, reed, step, bench)
        if amending.action is None:
            errors.setdefault(str(amending.error), []).append(reed.label)
            continue
        action = amending.action
        for question in amending.questions:
            questions.setdefault(question, []).append(reed.label)
        said.append((step, Restated(action.at, action.facts, action.note)))
    if errors:
        return refused(*of_reeds(errors))
    plan = corrector.amend(said)
    further = tuple(dict.fromkeys((*of_reeds(questions), *plan.questions)))
    return Correction(plan.records, plan.effects, plan.errors, further)


def plan_day(corrector: Corrector, steps: Sequence[Step], text: str, clock: Clock) -> Correction:
    """Take events to the day that is typed; or to the moment, where a time is given."""
    try:
        when = parse_when(text.strip().removeprefix("@"), clock)
    except InputError as error:
        return refused(str(error))
    if is_day(text, when):
        return corrector.to_day(steps, when.at.date())
    return corrector.to_moment(steps, when.at)


def is_day(text: str, when: When) -> bool:
    """Whether a day without a time was typed."""
    return when.whole_day or text.strip().lower().removeprefix("@") == "today"


def plan_move(corrector: Corrector, bench: Bench, steps: Sequence[Step], text: str) -> Correction:
    """Move events to the reeds whose tags are typed."""
    try:
        tags = expand("".join(text.split()))
    except InputError as error:
        return refused(str(error))
    if not tags:
        return refused("to which reed? write its tag")
    reeds: list[Reed] = []
    for tag in tags:
        reed = bench.find(tag)
        if reed is None:
            return refused(f"there is no reed {tag}")
        reeds.append(reed)
    return corrector.to_reeds(steps, reeds)


def plan_tag(corrector: Corrector, reed: Reed, text: str) -> Correction:
    """Give a reed the tag that is typed."""
    tag = text.strip()
    if not tag:
        return refused("which tag instead? write it")
    why = tag_problem(tag)
    return refused(why) if why else corrector.to_tag(reed, tag)


# In words


def plan_words(plan: Correction, bench: Bench) -> list[str]:
    """What a correction would do: each thing that it changes, and what that does to each reed."""
    return [*_changes(plan, bench), *_consequences(plan)]


def _changes(plan: Correction, bench: Bench) -> Iterator[str]:
    known = {step.event.uid: step for before, _ in plan.effects for step in before.steps}
    after = {step.event.uid: step for _, reed in plan.effects for step in reed.steps}
    changed: dict[str, list[str]] = {}

    def tell(what: str, reed: str) -> None:
        changed.setdefault(what, []).append(bench.reed(reed).label)

    for record in plan.records:
        if isinstance(record, Amendment):
            tell(_amended(known[record.of], after[record.of]), record.reed)
        elif isinstance(record, Event) and record.moved_from is not None:
            step = after[record.uid]
            tell(f"{_what(step)}, moved from {bench.reed(record.moved_from.reed).label}", record.reed)
        elif isinstance(record, Strike) and record.moved_to is None and record.of in known:
            tell(f"struck: {_what(known[record.of])}", known[record.of].event.reed)
        elif isinstance(record, Strike) and record.moved_to is None:
            for step in after.values():
                if known[step.event.uid].struck and not step.struck:
                    tell(f"given back: {_what(step)}", step.event.reed)
            break
        elif isinstance(record, Statement):
            tell(f"is called {record.facts['tag']} from now on", record.subject)
    for what, labels in changed.items():
        yield f"{tag_list(dict.fromkeys(labels))}: {what}"


def _amended(was: Step, now: Step) -> str:
    if (was.facts, was.note) == (now.facts, now.note):
        return f"{_what(now)}: {day_and_hour(was.at)} → {day_and_hour(now.at)}"
    when = f", {day_and_hour(now.at)}" if was.at != now.at else ""
    return f"{_what(was)} → {_what(now)}{when}"


def _what(step: Step) -> str:
    note = f" “{step.note}”" if step.note else ""
    return f"{'note' if step.kind == 'noted' else describe(step.kind, step.facts)}{note}"


def _consequences(plan: Correction) -> Iterator[str]:
    told: dict[str, list[str]] = {}
    for before, after in plan.effects:
        if what := ", ".join(_differences(before, after)):
            told.setdefault(what, []).append(before.label)
    for what, labels in told.items():
        yield f"{tag_list(labels)}: {what}"


def _differences(before: Reed, after: Reed) -> Iterator[str]:
    """How a reed as it is now differs by a correction."""
    if before.void != after.void:
        yield "never was" if after.void else "is there again"
        return
    was, now = before.now, after.now
    for name, then, length in _lengths(was, now):
        if then != length:
            yield f"{name} {mm(then, unit=False)} → {mm(length)}"
    if was.minutes_played != now.minutes_played:
        yield f"played {duration(was.minutes_played)} → {duration(now.minutes_played)}"
    if was.score != now.score:
        yield f"score {_number(was.score)} → {_number(now.score)}"
    if was.stage != now.stage:
        yield f"{was.stage} → {now.stage}"


def _lengths(was: State, now: State) -> Iterable[tuple[str, float | None, float | None]]:
    return (
        ("overall", was.overall_mm, now.overall_mm),
        ("tip from", was.tip_from_mm, now.tip_from_mm),
        ("heart from", was.heart_from_mm, now.heart_from_mm),
    )


def _number(value: float | None) -> str:
    return "–" if value is None else f"{value:g}"


def what_words(steps: Sequence[Step], bench: Bench) -> str:
    """The events that a correction is about, shortly: "1–8: played 45 min (8 events)"."""
    groups = alike(steps)
    first = groups[0]
    more = f", and {len(steps) - len(first)} more" if len(steps) > len(first) else ""
    return f"{tag_list(bench.reed(s.event.reed).label for s in first)}: {_what(first[0])}{more}"
