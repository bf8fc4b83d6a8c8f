"""Mutated logs: opened, asked, written to, checked; what stands in sound lines of the log that was must be there."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from zlib import crc32

from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.errors import LogError
from reedkin.grammar.reading import read
from reedkin.store.disk.calls import Disk
from reedkin.store.log import Log
from reedkin.store.reading.faults import FaultKind

NOW = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
ENTRIES = (
    ("1-3 tie oboe 72 lot 7 tube 27", "1 clip .5; scrape tip 10m", "2 wire 26; crow C5", "1 played 45 8 rehearsal"),
    ("4 tie eh 60", "4 clip .5", "lot 9 cane 10 mm", "tube 27 46 mm", "4 note für später", "4 retire cracked"),
    ("5 tie oboe 71; scrape back", "5 note x", "take back", "order 2 oboe for a pupil", "5 sell to a pupil 30"),
    (
        "trial wire before or after eh for 20", "6-9 tie eh 59", "6 clip .5", "trial end wire", "7 tag 77",
        "session 21 C 50 %", "8 measure tip 50 heart 43", "9 joined oboe 40h",
    ),
)  # fmt: skip
_VALUES = (
    None, True, -1, 0, 1e308, 2**63, 10**30, "", " ", "\x00", "\x1b[2J", "[bold]", "x" * 5000, [], {}, [[]], {"a": {}},
    "0001-01-01T00:00:00+00:00", "9999-12-31T23:59:59-23:59", "2026-02-30T00:00:00Z", "2026-11-25", "struck", "amended",
    "reed x", "ffffffff-ffff-7fff-bfff-ffffffffffff", "00000000-0000-7000-8000-000000000000",
)  # fmt: skip


class HastyDisk(Disk):
    """A disk that does not wait."""

    def fsync(self, fd: int) -> None:
        pass


def made(path: Path, lines: tuple[str, ...]) -> bytes:
    """A log with these entries; those that this version does not take are left out."""
    clock = FixedClock(NOW)
    with Log(path, clock, disk=HastyDisk()) as log:
        for line in lines:
            clock.forward(minutes=7)
            reading = read(line, log.bench)
            if reading.takes_back:
                log.take_back()
            elif reading.ready:
                log.record(reading)
    return path.read_bytes()


class Logs:
    """Some small logs, with and without a chain, and what is done to them."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self._path = folder / "case" / "log.jsonl"
        self._path.parent.mkdir()
        self._logs = [made(folder / f"{n}.jsonl", lines) for n, lines in enumerate(ENTRIES)]
        self._logs += [_unchained(log) for log in self._logs[:2]]
        self._known = {line for log in self._logs for line in log.split(b"\n")}

    def attempt(self, chance: Random) -> str:
        """Mutate a log and do with it what a maker would; how that ended."""
        whole = mutated = chance.choice(self._logs)
        for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
            mutated = chance.choice(_MUTATIONS)(mutated, chance, self._logs)
        for left in self._path.parent.iterdir():
            shutil.rmtree(left) if left.is_dir() else left.unlink()
        self._path.write_bytes(mutated)
        try:
            held = self._held()
        except LogError:
            assert self._path.read_bytes() == mutated
            return "refused"
        self._nothing_lost(whole, mutated, held)
        how = chance.randrange(400)
        if how < 40:
            self._written_to(held)
        elif how == 40:
            for words in (["check"], ["show", "1"], ["stock"], ["export", str(self._path) + ".csv"]):
                code = main(["--log", str(self._path), *words], FixedClock(NOW))
                assert code in (0, 2, 3), f"{words} ended with {code}"
        return "opened"

    def _held(self) -> dict[tuple[str, str], object]:
        """All documents, with every question asked that a start asks."""
        with Log(self._path, FixedClock(NOW), read_only=True, disk=HastyDisk()) as log:
            for reed in log.bench.reeds():
                assert reed.label
            log.entries.last()
            held = {(table, uid): doc for table in log.tables for uid, doc in log.documents(table).items()}
            self._incomplete = any(fault.kind is FaultKind.TORN for fault in log.faults)
            assert all(fault.message for fault in log.faults)
            return held

    def _nothing_lost(self, whole: bytes, mutated: bytes, held: dict[tuple[str, str], object]) -> None:
        """Every line of the log that still stands in the file as it was is held, unless it is of the last entry, or
        another line has its id."""
        lines = [line.removesuffix(b"\r") for line in mutated.split(b"\n")]
        strange = b"\n".join(line for line in lines if line not in self._known)
        there = [line for line in lines if line in self._known and b'"doc":' in line]
        for line in there[: -4 if self._incomplete else None]:
            fields = json.loads(line)
            doubtful = fields["id"].encode() in strange or sum(fields["id"].encode() in one for one in set(there)) > 1
            assert doubtful or held.get((fields["table"], fields["id"])) == fields["doc"], f"lost: {line[:200]!r}"

    def _written_to(self, held: dict[tuple[str, str], object]) -> None:
        """Record in it: what was held stays, and what was called recorded is there."""
        try:
            with Log(self._path, FixedClock(NOW), shared=True, disk=HastyDisk()) as log:
                log.acknowledge()
                log.record(read("99 tie oboe 72", log.bench))
                log.record(read("99 clip .5", log.bench))
        except LogError:
            return
        now = self._held()
        assert held.items() <= now.items(), "what was held before is gone"
        assert len(now.keys() - held.keys()) >= 2, "what was called recorded is not there"


def _unchained(log: bytes) -> bytes:
    """A log as an earlier version wrote it."""
    lines = [json.loads(line) for line in log.splitlines()]
    return b"".join(_sealed({n: v for n, v in fields.items() if n not in ("crc", "after")}) for fields in lines)


def _sealed(fields: object) -> bytes:
    rest = json.dumps(fields, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "replace")[1:]
    return b'{"crc":"%08x",' % crc32(rest) + rest + b"\n"


# What is done to a log

Mutation = Callable[[bytes, Random, list[bytes]], bytes]


def _place(raw: bytes, chance: Random) -> int:
    return chance.randrange(len(raw) + 1)


def _flip(raw: bytes, chance: Random, _: list[bytes]) -> bytes:
    if not raw:
        return raw
    at = chance.randrange(len(raw))
    return raw[:at] + bytes([raw[at] ^ (1 << chance.randrange(8))]) + raw[at + 1 :]


def _cut_out(raw: bytes, chance: Random, _: list[bytes]) -> bytes:
    at = _place(raw, chance)
    return raw[:at] + raw[at + chance.choice((1, 8, 200, 4000)) :]


def _cut_off(raw: bytes, chance: Random, _: list[bytes]) -> bytes:
    return raw[: _place(raw, chance)]


def _put_in(raw: bytes, chance: Random, _: list[bytes]) -> bytes:
    at = _place(raw, chance)
    what = chance.choice(
        (b"\n", b"\0" * 50, b"\r\n", b"\xef\xbb\xbf", b"{}", b"\n\n\n", chance.randbytes(20), b"\x1b[31m")
    )
    return raw[:at] + what + raw[at:]


def _lines_changed(change: Callable[[list[bytes], Random, list[bytes]], None]) -> Mutation:
    def mutation(raw: bytes, chance: Random, logs: list[bytes]) -> bytes:
        lines = raw.splitlines(keepends=True)
        if lines:
            change(lines, chance, logs)
        return b"".join(lines)

    return mutation


def _drop(lines: list[bytes], chance: Random, _: list[bytes]) -> None:
    del lines[chance.randrange(len(lines))]


def _double(lines: list[bytes], chance: Random, _: list[bytes]) -> None:
    lines.insert(chance.randrange(len(lines) + 1), chance.choice(lines))


def _swap(lines: list[bytes], chance: Random, _: list[bytes]) -> None:
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def _shuffle(lines: list[bytes], chance: Random, _: list[bytes]) -> None:
    chance.shuffle(lines)


def _mix(lines: list[bytes], chance: Random, logs: list[bytes]) -> None:
    others = chance.choice(logs).splitlines(keepends=True)
    lines.insert(chance.randrange(len(lines) + 1), chance.choice(others))


def _craft(lines: list[bytes], chance: Random, _: list[bytes]) -> None:
    """Change a value somewhere in a line, and give it the right checksum."""
    at = chance.randrange(len(lines))
    try:
        fields = json.loads(lines[at])
    except (ValueError, RecursionError):
        return
    if not isinstance(fields, dict):
        return
    fields.pop("crc", None)
    inner = fields
    while inner:
        name = chance.choice(sorted(inner))
        if isinstance(inner[name], dict) and chance.random() < 0.8:
            inner = inner[name]
            continue
        if chance.random() < 0.2:
            del inner[name]
        else:
            inner[chance.choice((name, "entry", "of", "at", "kind"))] = chance.choice(_VALUES)
        break
    lines[at] = _sealed(fields)


def _deepen(lines: list[bytes], chance: Random, _: list[bytes]) -> None:
    depth = chance.choice((50, 99, 101, 5000))
    inner = b"[" * depth + b"]" * depth
    rest = b'"left":0,"table":"reed x","id":"deep","doc":{"kind":"noted","x":' + inner + b"}}"
    lines.insert(chance.randrange(len(lines) + 1), b'{"crc":"%08x",' % crc32(rest) + rest + b"\n")


_MUTATIONS: tuple[Mutation, ...] = (
    _flip, _flip, _cut_out, _cut_off, _put_in,
    *map(_lines_changed, (_drop, _double, _swap, _shuffle, _mix, _craft, _craft, _craft, _craft, _deepen)),
)  # fmt: skip
