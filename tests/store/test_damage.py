"""Damaged logs: what can be trusted is read, what cannot is named by line and kept, and nothing is written unseen."""

from __future__ import annotations

import json
import re
import tracemalloc
from pathlib import Path
from zlib import crc32

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from tests.store.making import (
    HEADER,
    A,
    B,
    C,
    D,
    FailingDisk,
    HastyDisk,
    Triple,
    content,
    entry,
    histories,
    on_disk,
    record,
    tables_at,
    tables_in,
    tables_of,
)

from reedkin.store.errors import LogDamagedError, LogError, LogForeignError, LogNewerError
from reedkin.store.reading.faults import Fault, FaultKind
from reedkin.store.reading.lines import BOM, SEAL_BYTES, document_tail, seal, tail_of
from reedkin.store.reading.pieces import BLOCK
from reedkin.store.scan import scan
from reedkin.store.storage import AppendOnlyStorage

HISTORY = [[A], [B, C, D], [("reed b", "5", {})], [("reed c", "6", {}), ("reed c", "7", {})]]
NEXT: Triple = ("reed z", "99", {})


def kinds(faults: tuple[Fault, ...]) -> list[tuple[int, FaultKind]]:
    return [(fault.line, fault.kind) for fault in faults]


# The end of the file


def test_a_log_cut_at_any_byte(tmp_path: Path) -> None:
    """It is read at every byte; written to about the ends of lines, and at every seventh within them."""
    whole = content(HISTORY)
    ends = [len(content(HISTORY[:n])) for n in range(len(HISTORY) + 1)]
    for cut in range(len(whole) + 1):
        folder = tmp_path / f"cut at {cut}"
        folder.mkdir()
        near = whole[max(cut - 3, 0) : cut + 3]
        check_cut(folder / "bench.log", cut, whole, ends, written=cut % 7 == 0 or b"\n" in near)


def check_cut(path: Path, cut: int, whole: bytes, ends: list[int], written: bool) -> None:
    entries = sum(end - 1 <= cut for end in ends) - 1  # a last line may lack its newline
    good = min(ends[entries], cut) if entries >= 0 else 0
    survivors = HISTORY[: max(entries, 0)]
    path.write_bytes(whole[:cut])

    with AppendOnlyStorage(path, read_only=True) as reader:
        assert tables_in(reader) == tables_of(survivors)
        assert [f.size for f in reader.faults] == ([cut - good] if cut > good else [])
    assert path.read_bytes() == whole[:cut]
    if not written:
        return

    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        assert tables_in(storage) == tables_of(survivors)
        if cut > good:
            (fault,) = storage.faults
            assert (fault.kind, fault.line) == (FaultKind.TORN, whole[:good].count(b"\n") + 1)
            assert not fault.blocks
            assert fault.kept is not None
            assert fault.kept.parent == path.parent
            assert fault.kept.name.startswith("bench.log.torn-")
            assert fault.kept.read_bytes() == whole[good:cut]
        else:
            assert storage.faults == ()
        record(storage, NEXT)
    assert tables_at(path) == tables_of([*survivors, [NEXT]])
    assert scan(path).faults == ()
    if good:
        assert path.read_bytes() == whole[: ends[entries]] + entry(NEXT, behind=whole[: ends[entries]])


def test_two_torn_ends_are_kept_apart(path: Path) -> None:
    path.write_bytes(content([[A]]))
    for end in (b"one", b"two"):
        with path.open("ab") as file:
            file.write(end)
        AppendOnlyStorage(path).close()
    kept = [p.read_bytes() for p in path.parent.glob(f"{path.name}.torn-*")]
    assert sorted(kept) == [b"one", b"two"]


def test_zeros_at_the_end_are_a_torn_end(path: Path) -> None:
    """What some file systems leave after a loss of power."""
    path.write_bytes(content([[A]]) + b"\0" * 5000)
    with AppendOnlyStorage(path) as storage:
        assert kinds(storage.faults) == [(3, FaultKind.TORN)]
        record(storage, NEXT)
    assert tables_at(path) == tables_of([[A], [NEXT]])


# Lines in the middle


LINES = content([[A], [B], [C]]).splitlines(keepends=True)
PAIR = entry(A, D).splitlines(keepends=True)
TWICE = content([[B, C, D], [A]]).splitlines(keepends=True)


@pytest.mark.parametrize(
    ("name", "lines", "faults", "history"),
    [
        ("empty", [*LINES[:2], b"\n", *LINES[2:]], [(3, FaultKind.EMPTY)], [[A], [B], [C]]),
        ("zeros", [*LINES[:2], b"\0" * 300 + b"\n", *LINES[3:]], [(3, FaultKind.ZEROS)], [[A], [C]]),
        ("bytes", [*LINES[:2], b"\xff\xfe\n", *LINES[2:]], [(3, FaultKind.NOT_TEXT)], [[A], [B], [C]]),
        ("prose", [*LINES[:2], b"hello\n", *LINES[2:]], [(3, FaultKind.SHAPE)], [[A], [B], [C]]),
        ("short", [*LINES[:2], LINES[2][:40] + b"\n", LINES[3]], [(3, FaultKind.CHECKSUM)], [[A], [C]]),
        ("glued", [*LINES[:2], LINES[2][:-1] + LINES[3]], [(3, FaultKind.CHECKSUM)], [[A]]),
        ("other line ends", [line[:-1] + b"\r\n" for line in LINES], [], [[A], [B], [C]]),
        ("doubled", [*LINES[:3], *LINES[2:]], [(4, FaultKind.REPEAT)], [[A], [B], [C]]),
        ("order", [LINES[0], LINES[3], LINES[1], LINES[2]], [(n, FaultKind.CHAIN) for n in (2, 3)], [[C], [A], [B]]),
        ("headers", [*LINES[:2], HEADER, *LINES[2:]], [(3, FaultKind.REPEAT)], [[A], [B], [C]]),
        ("other header", [*LINES, seal(b'"format":"reedkin log"}')], [(5, FaultKind.SHAPE)], [[A], [B], [C]]),
        ("no header", LINES[1:], [(1, FaultKind.HEADER)], [[A], [B], [C]]),
        ("bad header", [b"x" + LINES[0], *LINES[1:]], [(1, FaultKind.HEADER)], [[A], [B], [C]]),
        ("sealed", [*LINES, seal(b'"no":"document"}')], [(5, FaultKind.SHAPE)], [[A], [B], [C]]),
        ("first of three", [HEADER, b"x\n", *TWICE[2:]], [(2, FaultKind.SHAPE)], [[C, D], [A]]),
        ("second of three", [*TWICE[:2], b"x\n", *TWICE[3:]], [(3, FaultKind.SHAPE)], [[B, D], [A]]),
        ("last of three", [*TWICE[:3], b"x\n", *TWICE[4:]], [(4, FaultKind.SHAPE)], [[B, C], [A]]),
        ("last of all", [*TWICE[:3], b"x\n"], [(4, FaultKind.SHAPE)], [[B, C]]),
        ("one lost", [*TWICE[:2], *TWICE[3:]], [(2, FaultKind.INCOMPLETE)], [[B, D], [A]]),
        ("end lost", [*TWICE[:3], *PAIR], [(2, FaultKind.INCOMPLETE)], [[B, C], [A, D]]),
        ("begin lost", [HEADER, *TWICE[2:]], [(2, FaultKind.CHAIN)], [[C, D], [A]]),
        ("entry doubled", [*TWICE[:4], *TWICE[1:]], [(n, FaultKind.REPEAT) for n in (5, 6, 7)], [[B, C, D], [A]]),
        ("line doubled", [*TWICE[:3], *TWICE[2:]], [(4, FaultKind.REPEAT)], [[B, C, D], [A]]),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_lines_that_went_wrong(
    path: Path, name: str, lines: list[bytes], faults: list[tuple[int, FaultKind]], history: list[list[Triple]]
) -> None:
    path.write_bytes(b"".join(lines))
    before = path.read_bytes()
    with AppendOnlyStorage(path) as storage:
        assert kinds(storage.faults) == faults
        assert tables_in(storage) == tables_of(history)
        if any(fault.blocks for fault in storage.faults):
            with pytest.raises(LogDamagedError):
                record(storage, NEXT)
            assert path.read_bytes() == before
            storage.acknowledge()
        record(storage, NEXT)
        assert tables_in(storage) == tables_of([*history, [NEXT]])
    now = path.read_bytes()
    assert now.startswith(before)
    assert (tail_of(now.splitlines()[-1][SEAL_BYTES:])) == document_tail(*NEXT)
    after = scan(path)
    assert after.documents == tables_of([*history, [NEXT]])
    assert kinds(after.faults) == [fault for fault in faults if fault[1] is not FaultKind.CHAIN]  # which was seen


def test_the_damage_of_an_entry_says_that_it_is_incomplete(path: Path) -> None:
    path.write_bytes(b"".join([*TWICE[:2], TWICE[2].replace(b"played", b"plazed"), *TWICE[3:]]))
    (fault,) = scan(path).faults
    assert "incomplete" in fault.message
    assert (fault.line, fault.kind, fault.table, fault.id) == (3, FaultKind.CHECKSUM, "reed a", "3")
    assert "plazed" in fault.excerpt
    assert fault.size == len(TWICE[2]) - 1


@pytest.mark.parametrize("after", [[], [[A, NEXT]]])
def test_an_entry_that_was_damaged_and_breaks_off_is_told_once(path: Path, after: list[list[Triple]]) -> None:
    """Of three lines of an entry the second is damaged and the third missing, whether another entry follows or the file
    ends: that it is incomplete stands there, and what is left of it is kept."""
    following = content(after).splitlines(keepends=True)[1:]
    path.write_bytes(b"".join([*TWICE[:2], TWICE[2].replace(b"played", b"plazed"), *following]))
    found = scan(path)
    (fault,) = [one for one in found.faults if one.kind is not FaultKind.CHAIN]
    assert (fault.line, fault.kind) == (3, FaultKind.CHECKSUM)
    assert "incomplete" in fault.message
    assert found.documents == tables_of([[B], *after])


def test_a_torn_end_waits_until_the_damage_was_seen(path: Path) -> None:
    path.write_bytes(b"".join([*LINES[:2], b"x\n", *LINES[2:], LINES[1][:20]]))
    before = path.read_bytes()
    with AppendOnlyStorage(path) as storage:
        assert kinds(storage.faults) == [(3, FaultKind.SHAPE), (6, FaultKind.TORN)]
        assert storage.faults[1].kept is None
        assert path.read_bytes() == before
        storage.acknowledge()
        assert path.read_bytes() == before[:-20]
        kept = storage.faults[1].kept
        assert kept is not None
        assert kept.read_bytes() == LINES[1][:20]
        record(storage, NEXT)
    assert tables_at(path) == tables_of([[A], [B], [C], [NEXT]])


def test_one_id_with_two_contents_shows_when_its_table_is_read(path: Path) -> None:
    path.write_bytes(content([[A], [("reed a", "1", {"kind": "wired"})], [B]]))
    with AppendOnlyStorage(path) as storage:
        assert storage.documents("reed a") == {"1": A[2]}
        assert kinds(storage.faults) == [(3, FaultKind.CONFLICT)]
        assert (storage.faults[0].table, storage.faults[0].id) == ("reed a", "1")
        with pytest.raises(LogDamagedError):
            record(storage, NEXT)
    assert kinds(scan(path).faults) == [(3, FaultKind.CONFLICT)]


def test_damage_inside_a_table_is_found_before_it_is_written_to(path: Path) -> None:
    path.write_bytes(content([[A]]) + seal(b'"left":0,"table":"reed a","id":"8","doc":{"broken'))
    before = path.read_bytes()
    with AppendOnlyStorage(path) as storage:
        assert storage.faults == ()
        with pytest.raises(LogDamagedError):
            record(storage, ("reed a", "9", {}))
        assert path.read_bytes() == before
        assert kinds(storage.faults) == [(3, FaultKind.SHAPE)]
        storage.acknowledge()
        record(storage, ("reed a", "9", {}))
        assert list(storage.documents("reed a")) == ["1", "9"]


def test_the_same_document_in_another_entry_is_a_repeat(path: Path) -> None:
    path.write_bytes(content([[A], [A, B]]))
    found = scan(path)
    assert found.documents == tables_of([[A], [B]])
    assert kinds(found.faults) == [(3, FaultKind.REPEAT)]


def test_an_entry_that_ends_with_a_repeated_line_was_written_to_its_end(path: Path) -> None:
    path.write_bytes(content([[A], [B, A]]))
    with AppendOnlyStorage(path) as storage:
        assert tables_in(storage) == tables_of([[A], [B]])
        assert kinds(storage.faults) == [(4, FaultKind.REPEAT)]
        record(storage, NEXT)
    assert tables_at(path) == tables_of([[A], [B], [NEXT]])


def test_however_many_documents_stand_twice_the_file_is_read_once_more(path: Path) -> None:
    """As where two logs that had been merged were put together with `cat`."""
    triples = [(f"reed {number % 9}", str(number), {"kind": "tied", "n": number}) for number in range(200)]
    path.write_bytes(content([[triple] for triple in triples] + [triples]))
    disk = FailingDisk()
    found = scan(path, disk)
    assert found.documents == tables_of([triples])
    assert kinds(found.faults) == [(line, FaultKind.REPEAT) for line in range(202, 402)]
    assert disk.calls.count("read") * BLOCK < 4 * path.stat().st_size + 10 * BLOCK


def test_a_table_of_nothing_but_damage_is_no_table(path: Path) -> None:
    path.write_bytes(content([[A]]) + seal(b'"left":0,"table":"reed x","id":"8","doc":{"broken'))
    with AppendOnlyStorage(path, read_only=True) as storage:
        assert storage.documents("reed x") == {}
        assert storage.names() == ["reed a"]
    assert scan(path).documents == tables_of([[A]])


def test_lines_with_one_checksum_by_chance_are_both_kept(path: Path) -> None:
    """Two different documents whose lines have the same CRC-32, found by search: 100,000 lines have such a pair."""
    one, other = (("reed a", id, dict[str, object]()) for id in ("8755d764", "4170cb18"))
    assert len({crc32(b'"left":0,' + document_tail(*triple)) for triple in (one, other)}) == 1
    history = [[A], [one], [other]]
    path.write_bytes(content(history, chained=False))
    assert len(set(re.findall(rb'"crc":"(.{8})"', path.read_bytes()))) == 3
    assert tables_at(path) == tables_of(history)
    assert scan(path).faults == ()


@on_disk
@given(st.data())
def test_flipped_bytes_never_change_what_is_read(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    history = data.draw(histories())
    damaged = bytearray(content(history))
    for _ in range(data.draw(st.integers(1, 3))):
        damaged[data.draw(st.integers(0, len(damaged) - 1))] ^= data.draw(st.integers(1, 255))
    path = tmp_path_factory.mktemp("log") / "bench.log"
    path.write_bytes(damaged)
    try:
        found = scan(path)
    except LogForeignError:
        assert not damaged.startswith(HEADER)
        return
    whole = tables_of(history)
    for table, documents in found.documents.items():
        for id, document in documents.items():
            assert whole[table][id] == document
    if bytes(damaged) != content(history):
        assert found.faults
    lost = sum(map(len, whole.values())) - sum(map(len, found.documents.values()))
    if lost:
        assert found.faults
    assert path.read_bytes() == bytes(damaged)


@on_disk
@given(st.binary(max_size=300))
@example(b"\n")
@example(HEADER[:-1])
@example(HEADER + b"\0")
def test_any_bytes_open_or_are_refused(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    path = tmp_path_factory.mktemp("log") / "bench.log"
    path.write_bytes(raw)
    try:
        with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
            storage.acknowledge()
            record(storage, NEXT)
    except LogError:
        assert path.read_bytes() == raw
    else:
        assert tables_at(path) == tables_of([[NEXT]])


# Endless lines, and other programs' files


@pytest.mark.parametrize("newline", [b"\n", b""])
def test_an_endless_line_does_not_fill_the_memory(path: Path, newline: bytes) -> None:
    with path.open("wb") as file:
        file.write(content([[A]]))
        file.seek(100_000_000, 1)
        file.write(newline or b"x")
        file.write(entry(B) if newline else b"")
    tracemalloc.start()
    try:
        found = scan(path)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 20_000_000
    if newline:
        assert kinds(found.faults) == [(3, FaultKind.ENDLESS)]
        assert found.documents == tables_of([[A], [B]])
    else:
        assert kinds(found.faults) == [(3, FaultKind.TORN)]
        assert found.documents == tables_of([[A]])
    assert found.faults[0].size == 100_000_001


@pytest.mark.parametrize(
    "foreign",
    [
        b"\n",
        b"hello\n",
        b"date,reed,minutes\n2024-01-01,12,45\n" * 2000,
        b'{"_default": {"1": {"x": 1}}}',
        b'{"kind":"tied","tag":"1"}\n' * 3,
        b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40,
        b"SQLite format 3\0" + b"\0" * 5000,
        seal(b'"format":"another log","version":1}') + b"{}\n",
        seal(b'"format":"another log","version":9}'),
        b"x" * 10_000,
    ],
)
@pytest.mark.parametrize("read_only", [True, False])
def test_another_programs_file_is_left_alone(path: Path, foreign: bytes, read_only: bool) -> None:
    path.write_bytes(foreign)
    with pytest.raises(LogForeignError, match="left as it is"):
        AppendOnlyStorage(path, read_only=read_only)
    assert path.read_bytes() == foreign
    assert not list(path.parent.glob("*torn*"))


def test_a_log_that_begins_with_much_damage_is_a_log_all_the_same(path: Path) -> None:
    """Its header says so; without one, so much damage before anything sound is another program's file."""
    damage = b"".join(b"damaged %d\n" % number for number in range(1200))
    path.write_bytes(HEADER + damage + entry(A))
    assert scan(path).documents == tables_of([[A]])
    path.write_bytes(damage + entry(A))
    with pytest.raises(LogForeignError, match="left as it is"):
        scan(path)


@pytest.mark.parametrize("read_only", [True, False])
def test_a_newer_log_is_left_alone(path: Path, read_only: bool) -> None:
    path.write_bytes(seal(b'"format":"reedkin log","version":2,"new":"field"}') + b"whatever comes then\n")
    before = path.read_bytes()
    with pytest.raises(LogNewerError, match="newer"):
        AppendOnlyStorage(path, read_only=read_only)
    assert path.read_bytes() == before


def test_every_error_of_the_log_has_its_exit_code() -> None:
    assert {error.exit_code for error in (LogForeignError, LogNewerError, LogDamagedError)} == {3}


# What is read is the same whether lines are taken a block at a time or one by one


@on_disk
@given(histories(max_entries=8), st.integers(0, 40))
def test_large_logs_read_like_small_ones(
    tmp_path_factory: pytest.TempPathFactory, history: list[list[Triple]], place: int
) -> None:
    """With lines long enough that a log takes several blocks, and a damaged line among them."""
    padded = [[(t, i, {**d, "pad": "é" * 9000}) for t, i, d in triples] for triples in history]
    lines = content(padded).splitlines(keepends=True)
    place = 1 + place % len(lines)
    lines.insert(place, b"damaged\n")
    path = tmp_path_factory.mktemp("log") / "bench.log"
    path.write_bytes(b"".join(lines))
    found = scan(path)
    assert (place + 1, FaultKind.SHAPE) in kinds(found.faults)
    whole, held = tables_of(padded), found.documents
    assert held == whole
    assert json.loads(json.dumps(held)) == whole


LONG = content([[(f"reed {n % 9}", str(n), {"note": f"{n} " * 200})] for n in range(400)])


@on_disk
@given(st.integers(len(HEADER), len(LONG) - 1), st.integers(1, 255))
@example(len(LONG) // 2, 0x20)
def test_a_flipped_byte_in_a_long_log_costs_its_line_alone(
    tmp_path_factory: pytest.TempPathFactory, place: int, flip: int
) -> None:
    damaged = bytearray(LONG)
    damaged[place] ^= flip
    assume(b"\n" not in (LONG[place : place + 1], damaged[place : place + 1]))
    number = LONG[:place].count(b"\n") + 1
    path = tmp_path_factory.mktemp("log") / "bench.log"
    path.write_bytes(damaged)
    with AppendOnlyStorage(path, read_only=True) as storage:
        assert [fault.line for fault in storage.faults] == [number]
        held = {id for table in storage.names() for id in storage.documents(table)}
    assert held == {str(n) for n in range(400)} - {str(number - 2)}


@pytest.mark.parametrize("after", [301, 350, 400])
def test_a_doubled_line_in_a_long_log_is_found_when_it_is_opened(path: Path, after: int) -> None:
    lines = LONG.splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:after], lines[299], *lines[after:]]))
    with AppendOnlyStorage(path, read_only=True) as storage:
        assert kinds(storage.faults) == [(after + 1, FaultKind.REPEAT)]
        assert sum(map(storage.count, storage.names())) == 400


# The mark that some editors put before the first line


@pytest.mark.parametrize("read_only", [True, False])
def test_a_byte_order_mark_is_stepped_over(path: Path, read_only: bool) -> None:
    path.write_bytes(BOM + content(HISTORY))
    with AppendOnlyStorage(path, read_only=read_only, disk=HastyDisk()) as storage:
        assert storage.faults == ()
        assert storage.header is not None
        assert tables_in(storage) == tables_of(HISTORY)
        if not read_only:
            record(storage, NEXT)
    assert path.read_bytes().startswith(BOM + content(HISTORY))
    assert scan(path).faults == ()


@pytest.mark.parametrize("kept", [0, 1, 20, len(HEADER) - 1, len(HEADER), len(HEADER) + 30])
def test_a_log_with_a_mark_that_breaks_off_goes_on(path: Path, kept: int) -> None:
    path.write_bytes(BOM + content(HISTORY)[:kept])
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        assert all(fault.kind is FaultKind.TORN for fault in storage.faults)
        record(storage, NEXT)
    assert tables_at(path) == tables_of([[NEXT]])
    assert scan(path).faults == ()


def test_a_mark_elsewhere_is_damage(path: Path) -> None:
    lines = content(HISTORY).splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:2], BOM + lines[2], *lines[3:]]))
    assert [(fault.line, fault.kind) for fault in scan(path).faults] == [(3, FaultKind.SHAPE)]
