"""What can be said against a whole log: its lineages as they stand, by the judge that judges new entries."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Literal, NamedTuple

from reedkin.bench.bearers import tag_key
from reedkin.bench.bench import Bench
from reedkin.bench.trials import ASSIGNED, doubt
from reedkin.domain.checks import Objection, judge, judge_time
from reedkin.domain.describe import describe
from reedkin.domain.events import Amendment, Record, Statement, Strike
from reedkin.domain.facts import begins
from reedkin.domain.figures import date_words, moment_words, plural, tag_list
from reedkin.domain.reeds import Reed, Step

_CLOCK_SLACK = timedelta(minutes=1)


class Remark(NamedTuple):
    """Something said against a log: a fault, or a question about what is odd. `reed` is the label of the reed that it
    is about and `event` the uid of the event, where it is about one."""

    severity: Literal["impossible", "odd"]
    message: str
    reed: str | None = None
    event: str | None = None


def audit(bench: Bench, tick: Callable[[float], None] = lambda done: None) -> Iterator[Remark]:
    """Everything that can be said against the lineages of a log. Reads all of it; `tick` is told the share done."""
    subjects = {said.subject for said in bench.beside.records() if isinstance(said, Statement)}
    living: list[Reed] = []
    back: list[tuple[str, datetime]] = []
    for place, one in enumerate(bench.headings.reeds()):
        tick(place / len(bench))
        reed, records = bench.lineages.in_passing(one)
        yield from _steps(reed, bench, subjects)
        yield from _corrections(reed, records)
        back += [(reed.label, when) for when in _earlier_than_before(records)]
        if reed.now.keeps_tag:
            living.append(reed)
    yield from _sharing(living)
    if back:
        yield _clock_set_back(back)


def _steps(reed: Reed, bench: Bench, subjects: Container[str]) -> Iterator[Remark]:
    for step in reed.standing:
        for finding in objections_to(reed, step, bench):
            yield Remark(finding.severity, about(step, finding.message), reed.label, step.event.uid)
        session = step.event.session
        if session is not None and bench.sessions.of(session) is None:
            if session in subjects:  # as where logs were merged, and one went on with what the other took back
                yield Remark("odd", about(step, "its work session was taken back"), reed.label, step.event.uid)
            else:
                yield Remark(
                    "impossible", about(step, "its work session is not in the log"), reed.label, step.event.uid
                )


def objections_to(reed: Reed, step: Step, bench: Bench) -> Iterator[Objection]:
    """What can be said against one event as it stands in its lineage."""
    beginning = begins(step.kind)
    targets = bench.settings.targets(reed.instrument) if beginning and reed.instrument else None
    before, after = (None, None) if beginning else (step.before, step.after)
    yield from judge(step.kind, step.facts, before, step.note, targets, after=after)
    yield from judge_time(step.at, bench.clock.now(), None if beginning else reed.begun, typed=False)
    if step.kind == ASSIGNED and (doubted := doubt(reed, step, bench)) is not None:
        yield doubted


def about(step: Step, message: str) -> str:
    """A message with the event that it is about."""
    return f"“{describe(step.kind, step.facts)}” of {moment_words(step.at)}: {message}"


def _corrections(reed: Reed, records: Sequence[Record]) -> Iterator[Remark]:
    uids = {record.uid for record in records}
    for record in records:
        if isinstance(record, (Amendment, Strike)) and record.of not in uids:
            what = "An amendment" if isinstance(record, Amendment) else "A strike"
            message = f"{what} of {date_words(record.recorded)} corrects something that is not in the log"
            yield Remark("impossible", message, reed.label, record.uid)


def _sharing(reeds: list[Reed]) -> Iterator[Remark]:
    """Tags that two living reeds bear, and tubes that two reeds at work are on."""
    tags: dict[str, list[Reed]] = {}
    tubes: dict[str, list[Reed]] = {}
    for reed in reeds:
        if reed.now.keeps_tag:
            tags.setdefault(tag_key(reed.tag), []).append(reed)
        if reed.at_work and reed.now.tube:
            tubes.setdefault(reed.now.tube.casefold(), []).append(reed)
    for bearers in tags.values():
        if len(bearers) > 1:
            begun = " and ".join(date_words(reed.begun) for reed in bearers)
            yield Remark("odd", f"{plural(len(bearers), 'living reed')} bear this tag, begun {begun}", bearers[0].tag)
    for on_it in tubes.values():
        if len(on_it) > 1:
            reeds_on = tag_list(reed.label for reed in on_it)
            yield Remark("odd", f"Tube {on_it[0].now.tube} carries {plural(len(on_it), 'reed')} at work: {reeds_on}")


def _earlier_than_before(records: Sequence[Record]) -> Iterator[datetime]:
    """When records say they were made that say so of a time before the one that stands before them in the file."""
    for before, after in pairwise(record.recorded for record in records):
        if after < before - _CLOCK_SLACK:
            yield after


def _clock_set_back(back: Sequence[tuple[str, datetime]]) -> Remark:
    """What is said of all such records of a log, each with the label of its reed."""
    reed, when = back[0]
    return Remark(
        "odd",
        f"{plural(len(back), 'entry', 'entries')} recorded earlier than the one before in the file, the first on "
        f"{moment_words(when)}: a clock was set back, or two logs were merged",
        reed,
    )
