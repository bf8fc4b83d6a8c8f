"""The diary in plain lines, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from reedkin.answers.diary.diary import Diary, DiaryLine, said_words
from reedkin.domain import as_json
from reedkin.domain.columns import columns, fold_text
from reedkin.domain.describe import describe
from reedkin.domain.events import Statement
from reedkin.domain.figures import day_words, moment_words, tag_list
from reedkin.domain.reeds import Step
from reedkin.domain.uid import NAME_LENGTH
from reedkin.store.transfer.rows import as_cells

if TYPE_CHECKING:
    from reedkin.contract.reeds import DiaryJson, EventJson, StatementJson


def labels(line: DiaryLine, diary: Diary) -> str:
    """The reeds of a line: "143–148"."""
    return tag_list(diary.reeds[step.event.reed].label for step in line.steps)


def what(line: DiaryLine, diary: Diary) -> str:
    """What a line says: the event with its note, or what was said beside the reeds."""
    if not line.steps:
        return said_words(line.said, diary.reeds, line.order)
    return event_words(line.steps[0])


def event_words(step: Step) -> str:
    """An event with its note, in words."""
    note = f"“{step.note}”" if step.note else ""
    told = "note" if step.kind == "noted" else describe(step.kind, step.facts)
    return f"{told}  {note}".rstrip()


def gone(line: DiaryLine, diary: Diary) -> str:
    """That a line does not count any more, shortly: "struck", "moved to 14"; empty where it does."""
    if not line.struck:
        return ""
    first = line.steps[0]
    if first.moved_to is not None and first.moved_to.reed in diary.reeds:
        to = (step.moved_to.reed for step in line.steps if step.moved_to is not None)
        return f"moved to {tag_list(diary.reeds[one].label for one in to if one in diary.reeds)}"
    return "struck"


def corrected(line: DiaryLine, diary: Diary) -> str:
    """How a line was corrected, shortly: "moved from 12", "was clipped 0.5 mm", "was 24 Nov 10:00"."""
    if not line.steps:
        return ""
    first = line.steps[0]
    words = []
    if first.event.moved_from is not None:
        came = (step.event.moved_from.reed for step in line.steps if step.event.moved_from is not None)
        words.append(f"moved from {tag_list(diary.reeds[one].label for one in came if one in diary.reeds)}")
    if first.amendments:
        before = first.event if len(first.amendments) == 1 else first.amendments[-2]
        if (before.facts, before.note) != (first.facts, first.note):
            words.append(f"was {describe(first.kind, before.facts)}")
        if before.at != first.at:
            words.append(f"was {moment_words(before.at, year=False)}")
    return ", ".join(words)


def diary_text(diary: Diary) -> Iterator[str]:
    """The diary as lines of plain text: the days, and under each what was done, with the name by which `strike`,
    `amend` and `move` know each line."""
    day = None
    for line in diary.lines:
        if line.day != day:
            if day is not None:
                yield ""
            day = line.day
            yield day_words(day)
        who = f"{labels(line, diary)}: " if line.steps else ""
        mark = ", ".join(word for word in (gone(line, diary), corrected(line, diary)) if word)
        start = f"  {line.at:%H:%M}  {name_of(line):{NAME_LENGTH}}  "
        text = f"{start}{who}{what(line, diary)}{f'  [{mark}]' if mark else ''}"
        yield from fold_text([text], columns(start))


def name_of(line: DiaryLine) -> str:
    """What names a line on the command line: the end of the uid of its first event, and how many more it has."""
    first: Step | Statement | None = line.steps[0] if line.steps else line.said
    uid = first.event.uid if isinstance(first, Step) else first.uid if first is not None else ""
    return f"{uid[-NAME_LENGTH:]}{f'+{len(line.steps) - 1}' if len(line.steps) > 1 else ''}"


def diary_as_dict(diary: Diary) -> DiaryJson:
    """The standing events, newest first, and what was said beside the reeds, as JSON takes it."""
    events = [step for line in diary.lines for step in line.steps if not step.struck]
    return {
        "events": [_event_as_dict(step, diary) for step in events],
        "beside": [_said_as_dict(line.said) for line in diary.lines if line.said is not None],
    }


def _event_as_dict(step: Step, diary: Diary) -> EventJson:
    reed = diary.reeds[step.event.reed]
    return {
        "uid": step.event.uid,
        "tag": reed.tag,
        "kind": step.kind,
        "at": as_json.moment(step.at),
        "facts": as_cells(step.facts),
        "note": step.note,
        "label": reed.label,
        "reed": reed.id,
        "entry": step.event.entry,
    }


def _said_as_dict(said: Statement) -> StatementJson:
    return {
        "uid": said.uid,
        "table": said.table,
        "subject": said.subject,
        "at": as_json.moment(said.at),
        "facts": as_cells(said.facts),
    }


def events_of(line: DiaryLine) -> list[DiaryLine]:
    """A line taken apart: one for each of its events."""
    return [line] if len(line.steps) < 2 else [line._replace(steps=(step,)) for step in line.steps]
