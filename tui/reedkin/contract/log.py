"""The JSON of the log itself."""

from __future__ import annotations

from typing import NotRequired, TypedDict

from reedkin.contract.common import Count, Moment


class FaultJson(TypedDict):
    """A fault. Of the file: its line, kind, size in bytes, what it seems to have been, its beginning, and the file that
    a torn end is kept in. Of what was recorded: the reed and the event."""

    message: str
    line: NotRequired[Count]
    kind: NotRequired[str]
    size: NotRequired[Count]
    table: NotRequired[str | None]
    id: NotRequired[str | None]
    excerpt: NotRequired[str]
    kept: NotRequired[str | None]
    reed: NotRequired[str | None]
    event: NotRequired[str | None]


class QuestionJson(TypedDict):
    """Something that is odd, and no fault if it is so."""

    message: str
    reed: str | None
    event: str | None


class CheckJson(TypedDict):
    """Every fault of the log."""

    log: str
    reeds: Count
    faults: list[FaultJson]
    questions: list[QuestionJson]


class BackupJson(TypedDict):
    """A backup; `fault`: what is wrong with it."""

    name: str
    made: Moment
    bytes: Count
    events: Count | None
    path: str
    fault: str | None


class BackupsJson(TypedDict):
    """The backups of the log, the oldest first, and the folder that they are in."""

    folder: str
    backups: list[BackupJson]
