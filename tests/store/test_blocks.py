"""A log is read a block of lines at a time where all is as usual, and else line by line. Both say the same."""

from __future__ import annotations

import random
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from tests.store.making import HEADER, HastyDisk, Triple, content, unchained

from reedkin.domain.clock import FixedClock
from reedkin.domain.uid import uuid7
from reedkin.store.log import Log
from reedkin.store.reading.faults import FaultKind
from reedkin.store.reading.lines import SEAL_BYTES, entry_lines, seal

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
AT = "2026-11-20T18:30:00+01:00"


class InParts(HastyDisk):
    """A disk that gives a few bytes at a time."""

    def __init__(self, at_once: int) -> None:
        self._at_once = at_once

    def read(self, fd: int, count: int) -> bytes:
        return super().read(fd, min(count, self._at_once))


def doc(kind: str, entry: str, **more: Any) -> dict[str, Any]:
    return {"kind": kind, "tag": "7", "at": AT, "recorded": AT, "entry": entry, "facts": {}, **more}


def history(chance: random.Random) -> list[list[Triple]]:
    """Entries of one to four records each about six reeds, some handed over, retired, played, corrected."""
    uids = iter([uuid7(1_700_000_000_000 + n, n) for n in range(400)])
    reeds = [next(uids) for _ in range(6)]
    entries = [[(f"reed {reed}", reed, doc("tied", reed, tag=f"{n}"))] for n, reed in enumerate(reeds)]
    made: list[tuple[str, str]] = []
    for _ in range(40):
        entry, triples = next(uids), list[Triple]()
        for _ in range(chance.choice((1, 1, 2, 4))):
            table, uid = f"reed {chance.choice(reeds)}", next(uids)
            kind = chance.choice(("scraped", "played", "handed over", "returned", "retired", "noted", "struck"))
            of = {}
            if kind == "struck" and made:
                table, struck = chance.choice(made)
                of = {"of": struck}
            triples.append((table, uid, doc(kind, entry, note="ein Rohr für Ö", **of)))
            made.append((table, uid))
        entries.append(triples)
    return entries


def mangled(lines: list[bytes], chance: random.Random) -> list[bytes]:
    """Lines of a log, some of them gone, doubled, moved, damaged, or saying something else."""
    lines = list(lines)
    for _ in range(chance.choice((0, 1, 2, 5))):
        place, other = chance.randrange(1, len(lines)), chance.randrange(1, len(lines))
        line = lines[place]
        match chance.randrange(9):
            case 0:
                lines.insert(other, line)
            case 1:
                lines.insert(place, line)
            case 2:
                del lines[place]
            case 3:
                lines[place], lines[other] = lines[other], line
            case 4:
                lines[place] = line[: chance.randrange(len(line))] + b"\n"
            case 5:
                lines[place] = b"\n"
            case 6:
                lines[place] = resealed(line, b'"kind":', b'"kind":5,"kimd":')
            case 7:
                lines[place] = resealed(line, b'"left":', b'"left":1')
            case _:
                lines[place] = resealed(line, "für".encode(), b"f\xffr")
    return lines


def resealed(line: bytes, what: bytes, by: bytes) -> bytes:
    """A line with something else in it, and the right checksum."""
    return seal(line[SEAL_BYTES:-1].replace(what, by, 1))


def said(path: Path, at_once: int) -> dict[str, Any]:
    """All that a log says when it is read so many bytes at a time."""
    with Log(path, NOW, read_only=True, disk=InParts(at_once)) as log:
        found: dict[str, Any] = {"faults when opened": log.faults}
        found["headings"] = sorted(log.bench.headings.all(), key=lambda heading: heading.reed)
        found["last entry"] = [record.uid for record in log.entries.last()]
        found["at work"] = [reed.id for reed in log.bench.at_work()]
        found["reeds"] = log.bench.reeds()
        found["faults"] = log.faults
        return found


@pytest.mark.parametrize("seed", range(40))
def test_a_log_says_the_same_in_whatever_pieces_it_is_read(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    raw = content(history(chance))
    lines = mangled((raw if seed % 3 else unchained(raw)).splitlines(keepends=True), chance)
    path = tmp_path / "log.jsonl"
    path.write_bytes(b"".join(lines)[: None if seed % 5 else -chance.randrange(1, 500)])
    by_line = said(path, 1_000_000)  # the first piece, in which the log's first line stands, is read line by line
    for at_once in (500, 3_000):
        assert said(path, at_once) == by_line


def test_a_line_of_an_unfinished_entry_that_stands_twice_is_told_at_the_edge_of_a_block(tmp_path: Path) -> None:
    first, second = entry_lines([b'"table":"lots","id":"%d","doc":{}}' % n for n in (1, 2)])
    path = tmp_path / "log.jsonl"
    path.write_bytes(HEADER + first + first + second)
    with Log(path, NOW, read_only=True, disk=InParts(len(HEADER + first))) as log:
        assert [(fault.line, fault.kind) for fault in log.faults] == [(3, FaultKind.REPEAT)]
        assert list(log.documents("lots")) == ["1", "2"]


def test_what_is_asked_of_all_reeds_follows_what_is_recorded(tmp_path: Path) -> None:
    path = tmp_path / "log.jsonl"
    path.write_bytes(content(history(random.Random(4))))
    with Log(path, NOW, disk=HastyDisk()) as log:
        reed = log.bench.headings.reeds()[0]
        log.strike(log.records(f"reed {reed}")[:1])
        kept = [record.uid for record in log.entries.last()]
    with Log(path, NOW, read_only=True, disk=InParts(500)) as again:
        assert [record.uid for record in again.entries.last()] == kept
        assert again.bench.headings[reed].void
        assert again._latest() == log._latest()
