"""Each line names the one before it, so that none can vanish from the midst of a log, or move, unseen."""

from __future__ import annotations

import json
import re
import zlib
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.store.making import (
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
)

from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.grammar.reading import read
from reedkin.store.errors import LogDamagedError, LogWriteError
from reedkin.store.log import Log
from reedkin.store.mending.mending import mend
from reedkin.store.mending.rescue import rescue
from reedkin.store.reading.faults import FaultKind
from reedkin.store.reading.lines import seal
from reedkin.store.scan import scan
from reedkin.store.storage import AppendOnlyStorage

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
HISTORY: list[list[Triple]] = [[(f"reed {n % 3}", f"{n}", {"n": n})] for n in range(6)]
LONG = content([[(f"reed {n % 9}", f"{n}", {"note": f"{n} " * 200})] for n in range(400)])
NEXT: Triple = ("reed z", "99", {})


def broken(path: Path) -> list[int]:
    """The lines before which something is missing or was moved, according to the program."""
    return [fault.line for fault in scan(path).faults if fault.kind is FaultKind.CHAIN]


def chain(raw: bytes) -> list[bool]:
    """Of each line but the first whether it names the one before it, read as any other program would."""
    lines = raw.splitlines()
    sums = [f"{zlib.crc32(line.split(b',', 1)[1]):08x}" for line in lines]
    return [json.loads(line).get("after") == before for line, before in zip(lines[1:], sums, strict=False)]


def test_whatever_is_recorded_is_chained(path: Path) -> None:
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        for triples in ([("reed a", "1", {})], [("reed b", "2", {}), ("reed a", "3", {}), ("lots", "4", {})]):
            record(storage, *triples)
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        record(storage, NEXT)
    assert chain(path.read_bytes()) == [True] * 5
    assert scan(path).faults == ()


@on_disk
@given(histories(max_entries=8), st.data())
def test_any_line_that_vanishes_is_told(
    tmp_path_factory: pytest.TempPathFactory, history: list[list[Triple]], data: st.DataObject
) -> None:
    lines = content(history).splitlines(keepends=True)
    gone = data.draw(st.integers(1, len(lines) - 1))
    path = tmp_path_factory.mktemp("log") / "bench.jsonl"
    path.write_bytes(b"".join([*lines[:gone], *lines[gone + 1 :]]))
    faults = scan(path).faults
    ends = gone == len(lines) - 1  # only a backup can know of that
    last_entry = len(history[-1]) > 1 and gone >= len(lines) - len(history[-1])
    assert ends or last_entry or faults
    assert all(fault.kind in (FaultKind.CHAIN, FaultKind.INCOMPLETE, FaultKind.TORN) for fault in faults)


@pytest.mark.parametrize("gone", [1, 2, 150, 399])
def test_one_that_vanishes_from_a_long_log_is_told_and_costs_nothing_else(path: Path, gone: int) -> None:
    lines = LONG.splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:gone], *lines[gone + 1 :]]))
    (fault,) = scan(path).faults
    assert (fault.kind, fault.line, fault.blocks) == (FaultKind.CHAIN, gone + 1, True)
    assert "is gone" in fault.message
    assert sum(map(len, scan(path).documents.values())) == 399


def test_a_line_that_moved_is_told_and_none_is_called_lost_for_good(path: Path) -> None:
    lines = LONG.splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:100], *lines[101:300], lines[100], *lines[300:]]))
    faults = scan(path).faults
    assert [(fault.kind, fault.line) for fault in faults] == [(FaultKind.CHAIN, n) for n in (101, 300, 301)]
    assert all("None is lost" in fault.message for fault in faults)
    assert sum(map(len, scan(path).documents.values())) == 400


def test_a_log_that_was_sorted_is_told_in_a_few_lines(path: Path) -> None:
    header, *lines = LONG.splitlines(keepends=True)
    path.write_bytes(b"".join([header, *sorted(lines)]))
    faults = scan(path).faults
    assert len(faults) == 21
    assert re.search(r"3\d\d more lines", faults[-1].message)


def test_lines_of_an_entry_that_moved_to_the_end_are_no_torn_end(path: Path, tmp_path: Path) -> None:
    history: list[list[Triple]] = [[("reed 1", f"{n}", {}) for n in range(3)], *HISTORY[3:]]
    header, *lines = content(history).splitlines(keepends=True)
    path.write_bytes(b"".join([header, *lines[2:], *lines[:2]]))
    assert sum(map(len, scan(path).documents.values())) == 6
    assert [fault.line for fault in scan(path).faults if fault.kind is FaultKind.INCOMPLETE] == [6]
    assert mend(path, tmp_path / "mended.jsonl", NOW.now().isoformat()).documents == 6


def test_what_only_changes_how_lines_end_or_doubles_them_breaks_nothing(path: Path) -> None:
    lines = content(HISTORY).splitlines()
    for raw in (b"\r\n".join(lines) + b"\r\n", b"\n".join([*lines[:4], lines[2], *lines[4:]])):
        path.write_bytes(raw)
        assert broken(path) == []
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        record(storage, NEXT)
    assert broken(path) == []


@pytest.mark.parametrize("kept", [b"", b"\n", b"\0" * 60 + b"\n"])
def test_beside_damage_only_what_is_sure_is_told(path: Path, kept: bytes) -> None:
    """A damaged line may be the one that the next names. An empty one was not put there in its place."""
    lines = content(HISTORY).splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:3], kept, *lines[4:]]))
    assert broken(path) == ([] if b"\0" in kept else [5] if kept else [4])
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        storage.acknowledge()
        record(storage, NEXT)
    assert broken(path) == []


@pytest.mark.parametrize("after", [b"a<573f21", b"ABCDEF01", b"        ", b'"}}}"}}}', b"\xff" * 8])
def test_what_is_no_checksum_names_no_line(path: Path, after: bytes) -> None:
    """A line with a right checksum that another program made."""
    lines = content(HISTORY).splitlines(keepends=True)
    rest = lines[3][16:-1].removeprefix(b'",')
    crafted = seal(rest[:-10] + after + rest[-2:])
    path.write_bytes(b"".join([*lines[:3], crafted, *lines[4:]]))
    assert {fault.kind for fault in scan(path).faults} <= {FaultKind.CHAIN, FaultKind.SHAPE, FaultKind.NOT_TEXT}
    path.write_bytes(b"".join([*lines[:3], crafted]))
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        storage.acknowledge()
        record(storage, NEXT)
    assert "reed z" in tables_at(path)


# Old logs, old programs


def test_in_an_old_log_the_chain_begins_where_the_new_program_did(path: Path) -> None:
    path.write_bytes(content(HISTORY, chained=False))
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        assert storage.faults == ()
        record(storage, ("reed a", "a", {}))
        record(storage, NEXT)
    lines = path.read_bytes().splitlines(keepends=True)
    assert chain(path.read_bytes()) == [False] * 6 + [True] * 2
    assert scan(path).faults == ()
    for gone, told in ((6, [7]), (7, [8]), (3, [])):
        path.write_bytes(b"".join([*lines[:gone], *lines[gone + 1 :]]))
        assert broken(path) == told


def test_an_older_program_may_record_between(path: Path) -> None:
    with AppendOnlyStorage(path, shared=True, disk=HastyDisk()) as storage:
        record(storage, ("reed a", "a", {}))
        with path.open("ab") as file:
            file.write(entry(("reed b", "b", {}), ("reed b", "c", {})))
        record(storage, NEXT)
        assert storage.faults == ()
    assert chain(path.read_bytes()) == [True, False, False, True]
    assert scan(path).faults == ()
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:2] + lines[4:]))
    assert broken(path) == [3]


# Several programs, and writes that fail


@on_disk
@given(st.lists(st.sampled_from("ab"), min_size=1, max_size=12))
def test_programs_that_take_turns_make_one_chain(tmp_path_factory: pytest.TempPathFactory, turns: list[str]) -> None:
    path = tmp_path_factory.mktemp("log") / "bench.jsonl"
    disk = HastyDisk()
    with AppendOnlyStorage(path, shared=True, disk=disk) as one, AppendOnlyStorage(path, shared=True, disk=disk) as two:
        for number, who in enumerate(turns):
            triples: list[Triple] = [("reed a", f"{number} {part}", {}) for part in range(number % 3 + 1)]
            record({"a": one, "b": two}[who], *triples)
        one.refresh()
        two.refresh()
        assert one.faults == two.faults == ()
        assert tables_in(one) == tables_in(two)
    assert all(chain(path.read_bytes()))


def test_what_could_not_be_written_leaves_the_chain_whole(path: Path) -> None:
    disk = FailingDisk()
    with AppendOnlyStorage(path, shared=True, disk=disk) as storage:
        record(storage, ("reed a", "a", {}))
        for room in (0, 30):
            disk.room = room
            with pytest.raises(LogWriteError):
                record(storage, NEXT)
            disk.mend()
        record(storage, NEXT)
    assert chain(path.read_bytes()) == [True, True]


@pytest.mark.parametrize("cut", [1, 40])
def test_behind_an_entry_that_was_not_written_to_its_end_the_chain_goes_on(path: Path, cut: int) -> None:
    whole = content([*HISTORY, [("reed a", "x", {}), ("reed b", "y", {}), ("reed c", "z", {})]])
    path.write_bytes(whole[: -cut - 1])
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        record(storage, NEXT)
    assert all(chain(path.read_bytes()))
    assert scan(path).faults == ()


def test_a_reader_that_follows_sees_a_break_as_it_comes(path: Path) -> None:
    whole = content(HISTORY).splitlines(keepends=True)
    path.write_bytes(b"".join(whole[:3]))
    with AppendOnlyStorage(path, read_only=True) as reader:
        with path.open("ab") as file:
            file.writelines(whole[4:])
        reader.refresh()
        assert [fault.line for fault in reader.faults] == [4]


# Seen, mended, merged, rescued


def test_a_break_is_told_until_somebody_saw_it_and_went_on(path: Path) -> None:
    lines = content(HISTORY).splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:2] + lines[3:4] + lines[5:]))
    assert broken(path) == [3, 4]
    with AppendOnlyStorage(path, shared=True, disk=HastyDisk()) as storage:
        with pytest.raises(LogDamagedError):
            record(storage, NEXT)
        storage.acknowledge()
        assert broken(path) == [3, 4]
        with AppendOnlyStorage(path, shared=True, disk=HastyDisk()) as other:
            assert other.waits
            record(storage, NEXT)
            other.refresh()
            assert not other.waits
            record(other, ("reed z", "100", {}))
        assert storage.faults == ()
    assert scan(path).faults == ()
    kept = path.read_bytes()
    assert kept.count(b',"seen":["') == 1
    path.write_bytes(b"".join(kept.splitlines(keepends=True)[:-2]) + kept.splitlines(keepends=True)[-1])
    assert broken(path) == [3, 4, 6]  # the line that said so is gone too


def test_a_mended_log_has_a_chain_of_its_own(path: Path, tmp_path: Path) -> None:
    lines = content([*HISTORY, [("reed a", "x", {}), ("reed b", "y", {})]]).splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:2], b"rubbish\n", lines[5], lines[4], lines[7], lines[8]]))
    mended = mend(path, tmp_path / "mended.jsonl", "2026-11-25T10:00:00+00:00")
    assert all(chain(mended.path.read_bytes()))
    assert scan(mended.path).faults == ()
    assert tables_at(mended.path) == tables_at(path)
    with AppendOnlyStorage(mended.path, disk=HastyDisk()) as storage:
        record(storage, NEXT)
    assert all(chain(mended.path.read_bytes()))


def test_what_was_seen_is_not_taken_into_a_mended_log(path: Path, tmp_path: Path) -> None:
    lines = content(HISTORY).splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:2] + lines[3:]))
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        storage.acknowledge()
        record(storage, NEXT)
    with path.open("ab") as file:
        file.write(b"rubbish\n")
    mended = mend(path, tmp_path / "mended.jsonl", "2026-11-25T10:00:00+00:00").path
    assert b'"seen"' not in mended.read_bytes()
    assert all(chain(mended.read_bytes()))


def test_commands_that_write_much_and_a_rescue_are_chained(path: Path, tmp_path: Path) -> None:
    other, rows = tmp_path / "other.jsonl", tmp_path / "rows.csv"
    rows.write_text("tag,kind,at,instrument\n7,tied,2026-11-20T10:00:00+00:00,oboe\n", encoding="utf-8")
    for log, *words in (
        (path, "add", "1-3 tie oboe 72"),
        (other, "add", "1 tie eh 60; clip .5"),
        (path, "import", str(rows)),
        (path, "merge", str(other)),
        (path, "retag", "2", "22"),
    ):
        assert main(["--log", str(log), *words], NOW) == 0
    assert all(chain(path.read_bytes()))
    with Log(path, NOW) as log:
        log.record(read("22 clip .5", log.bench))
        saved, _ = rescue(log, NOW.now())
    assert all(chain(saved.read_bytes()))
    assert tables_at(saved) == tables_at(path)


def test_check_tells_it_and_what_a_backup_has_is_taken_in(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for line in ("1 tie oboe 72", "1 clip .5", "1 scrape tip", "1 clip .2"):
        assert main(["--log", str(path), "add", line], NOW) == 0
    with Log(path, NOW) as log:
        backup = log.back_up()
    assert backup is not None
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:2] + lines[3:]))
    capsys.readouterr()
    assert main(["--log", str(path), "check"], NOW) == 3
    told = capsys.readouterr().out
    assert "line 3: A line that stood before this one is gone" in told
    assert "lacks 1 entry that its newest backup holds" in told
    assert main(["--log", str(path), "merge", "--seen", str(backup.path)], NOW) == 0
    capsys.readouterr()
    assert main(["--log", str(path), "check"], NOW) == 0
    assert main(["--log", str(path), "show", "1"], NOW) == 0
    assert "71.3 mm" in capsys.readouterr().out
