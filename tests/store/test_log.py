"""The log as the program uses it: whatever was recorded is read back the same, however the file was cut off."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from itertools import groupby
from pathlib import Path
from shutil import rmtree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.store.making import HastyDisk, on_disk
from tests.strategies import logs

from reedkin.bench.bench import Bench
from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Event, Record, table_of
from reedkin.domain.uid import UidMaker
from reedkin.grammar.reading import read
from reedkin.store.backups.backups import folder_of
from reedkin.store.errors import LogForeignError
from reedkin.store.log import Log
from reedkin.store.reading.faults import Fault, FaultKind
from reedkin.store.reading.lines import seal
from reedkin.store.recorded import Recorded
from reedkin.study.lives import latest_lives

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
LINES = ("1 tie eh 60", "1 scrape tip 10m; clip .5", 'session start; 1 note "ü"', "1 retire cracked")


def by_table(records: Iterable[Record]) -> dict[str, list[Record]]:
    tables: dict[str, list[Record]] = {}
    for record in records:
        tables.setdefault(table_of(record), []).append(record)
    return tables


def held(log: Log) -> dict[str, list[Record]]:
    return {table: log.records(table) for table in log.tables}


def reeds(bench: Bench) -> list[tuple[str, object]]:
    return [(reed.label, reed.now) for reed in bench.reeds()]


def write(path: Path, entries: Iterable[list[Record]]) -> list[int]:
    """Write entries to a log; the size of the file before the first and after each."""
    with Log(path, NOW, disk=HastyDisk()) as log:
        sizes = [path.stat().st_size]
        for entry in entries:
            log.write(entry)
            sizes.append(path.stat().st_size)
    return sizes


def entries_of(records: list[Record]) -> list[list[Record]]:
    """Every record an entry, but those that follow one another under one entry's identifier."""
    return [list(entry) for _, entry in groupby(records, key=lambda record: record.entry)]


@on_disk
@given(records=logs(), data=st.data())
def test_any_records_survive_writing_a_kill_and_reading(
    tmp_path_factory: pytest.TempPathFactory, records: list[Record], data: st.DataObject
) -> None:
    path = tmp_path_factory.mktemp("log") / "bench.jsonl"
    entries = entries_of(records)
    sizes = write(path, entries)
    with Log(path, NOW, read_only=True) as log:
        assert held(log) == by_table(records)
        assert reeds(log.bench) == reeds(Bench.of(NOW, records))
        assert not log.misfits
    cut = data.draw(st.integers(sizes[0], sizes[-1]))
    path.write_bytes(path.read_bytes()[:cut])
    whole = max(place for place, size in enumerate(sizes) if size <= cut + 1)  # its newline may be missing
    survivors = [record for entry in entries[:whole] for record in entry]
    with Log(path, NOW, disk=HastyDisk()) as log:
        assert held(log) == by_table(survivors)
        assert [fault.kind for fault in log.faults] == [FaultKind.TORN] * (cut > sizes[whole])
        for entry in entries[whole:]:
            log.write(entry)
        assert reeds(log.bench) == reeds(Bench.of(NOW, records))
    with Log(path, NOW, read_only=True) as log:
        assert held(log) == by_table(records)
        assert not log.faults


@pytest.fixture
def made(tmp_path: Path) -> tuple[Path, list[int], list[list[tuple[str, object]]]]:
    """A small log; the sizes of its file before the first entry and after each, and the reeds it held then."""
    path = tmp_path / "bench.jsonl"
    with Log(path, NOW, disk=HastyDisk()) as log:
        sizes, states = [path.stat().st_size], [reeds(log.bench)]
        for line in LINES:
            log.record(read(line, log.bench))
            sizes.append(path.stat().st_size)
            states.append(reeds(log.bench))
    return path, sizes, states


def test_cut_at_any_byte_the_reeds_are_those_of_the_whole_entries(
    made: tuple[Path, list[int], list[list[tuple[str, object]]]],
) -> None:
    path, sizes, states = made
    raw = path.read_bytes()
    # At every byte about the ends of entries, at every fifth within them: tests/store/test_damage tries every one.
    for cut in range(sizes[1], sizes[-1] + 1):
        if cut % 5 and min(abs(cut - size) for size in sizes) > 3:
            continue
        path.write_bytes(raw[:cut])
        whole = max(place for place, size in enumerate(sizes) if size - 1 <= cut)  # but for its newline
        with Log(path, NOW, read_only=True) as log:
            assert reeds(log.bench) == states[whole]
        if cut % 20 == 0:
            with Log(path, NOW, disk=HastyDisk()) as log:
                log.record(read("9 tie oboe 72", log.bench))
                assert len(log.bench) == len(states[whole]) + 1
            for torn in path.parent.glob("*.torn-*"):
                torn.unlink()


def test_cut_at_any_byte_the_commands_go_on(
    made: tuple[Path, list[int], list[list[tuple[str, object]]]], capsys: pytest.CaptureFixture[str]
) -> None:
    path, sizes, _ = made
    raw = path.read_bytes()
    sound = {0, *sizes, *(size - 1 for size in sizes)}  # a last line may lack its newline
    for cut in range(0, sizes[-1], 97):
        path.write_bytes(raw[:cut])
        assert main(["--log", str(path), "check"], NOW) == (0 if cut in sound else 3)
        assert main(["--log", str(path), "add", "9 tie oboe 72"], NOW) == 0
        assert main(["--log", str(path), "check"], NOW) == 0
        assert main(["--log", str(path), "show", "9"], NOW) == 0
        for torn in path.parent.glob("*.torn-*"):
            torn.unlink()
        rmtree(folder_of(path))  # which knows that the log was longer, and would say so
    assert "Traceback" not in capsys.readouterr().err


def test_after_a_clock_was_set_back_what_comes_later_still_counts_as_later(tmp_path: Path) -> None:
    path = tmp_path / "bench.jsonl"
    with Log(path, NOW, disk=HastyDisk()) as log:
        log.uids = UidMaker(lambda: 4_000_000_000_000)  # the year 2096
        log.record(read("1 tie oboe 72", log.bench))
        log.record(read("lot 7 cane 10 mm", log.bench))
        log.record(read("1 clip .5", log.bench))
        log.record(read("lot 7 cane 10.5 mm", log.bench))
    with Log(path, NOW, disk=HastyDisk()) as log:
        log.record(read("lot 7 cane 11 mm", log.bench))
        assert log.bench.beside.subjects("lots")["7"]["diameter_mm"] == 11
        log.record(read("1 clip .25", log.bench))
        (taken,) = log.take_back()
        assert isinstance(taken, Event)
        assert taken.facts == {"clip_mm": 0.25}


def test_an_entry_s_name_that_is_no_text_is_no_obstacle(tmp_path: Path) -> None:
    path = tmp_path / "bench.jsonl"
    write(path, [])
    with path.open("ab") as file:
        file.write(seal(b'"left":0,"table":"reed x","id":"x","doc":{"entry":"\xff"}}'))
    with Log(path, NOW, disk=HastyDisk()) as log:
        log.acknowledge()
        log.record(read("1 tie oboe 72", log.bench))
        assert [record.uid for record in log.entries.last()] == [reed.id for reed in log.bench.reeds()]


def test_a_header_that_is_cut_is_begun_anew_and_a_strange_one_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "bench.jsonl"
    write(path, [])
    raw = path.read_bytes()
    for cut in range(len(raw)):
        path.write_bytes(raw[:cut])
        with Log(path, NOW, disk=HastyDisk()) as log:
            assert len(log.bench) == 0
        for torn in path.parent.glob("*.torn-*"):
            torn.unlink()
    path.write_bytes(b"{\n")
    with pytest.raises(LogForeignError):
        Log(path, NOW)


def test_only_reeds_that_may_have_been_handed_over_are_read_for_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "log.jsonl"
    with Log(path, NOW) as log:
        for line in ("1-3 join oboe 5h", "2 lend to a pupil", '3 note "never handed over"', "1 clip .5"):
            log.record(read(line, log.bench))
    with Log(path, NOW) as log:
        lineages: list[str] = []
        whole = Recorded.records
        monkeypatch.setattr(Recorded, "records", lambda of, table: lineages.append(table) or whole(of, table))
        assert [reed.label for reed in log.bench.whereabouts.handed_over()] == ["2"]
        assert {log.bench.reed(table.split()[1]).label for table in list(lineages)} == {"2"}
        log.record(read("1 sell to the quartet", log.bench))
        assert [reed.label for reed in log.bench.whereabouts.handed_over()] == ["1", "2"]
        assert [reed.label for reed in log.bench.snapshot()().whereabouts.handed_over()] == ["1", "2"]


def test_only_reeds_that_may_have_been_played_are_read_for_the_latest_lives(tmp_path: Path) -> None:
    path = tmp_path / "log.jsonl"
    with Log(path, NOW) as log:
        for line in ("1-4 tie oboe 72", "1, 4 play 45m", "3 scrape tip 5m", "1 clip .5"):
            log.record(read(line, log.bench))
    with Log(path, NOW) as log:
        assert [life.reed.tag for life in latest_lives(log.bench, 9)] == ["1", "4"]
        assert {log.bench.headings[reed].tag for reed in log.bench.lineages.folded()} == {"1", "4"}
        log.record(read("2 play 50m", log.bench))
        assert [life.reed.tag for life in latest_lives(log.bench, 9)] == ["1", "2", "4"]
        assert [life.reed.tag for life in latest_lives(log.bench.snapshot()(), 9)] == ["1", "2", "4"]


def test_equal_facts_are_kept_once_and_60_is_not_60_point_0(tmp_path: Path) -> None:
    path = tmp_path / "log.jsonl"
    with Log(path, NOW) as log:
        for number, length in enumerate((60, 60.0, 60)):
            tied = log.record(read(f"{number + 1} tie eh 60", log.bench))[0]
            assert isinstance(tied, Event)
            log.strike([tied])
            uid = log.uids.new()
            log.write([tied._replace(uid=uid, reed=uid, facts={**tied.facts, "overall_mm": length})])
    with Log(path, NOW) as log:
        facts = [reed.steps[0].facts for reed in log.bench.reeds()]
        assert [type(one["overall_mm"]) for one in facts] == [int, float, int]
        assert facts[0] is facts[2]


def test_of_a_damaged_line_the_reed_is_named_that_the_log_has(made: tuple[Path, list[int], list[object]]) -> None:
    with Log(made[0], NOW, read_only=True) as log:
        (reed,) = log.bench.reeds()
        tables = (f"reed {reed.id}", "reed unknown", "reed ", "sessions", None)
        told = [log.reed_of(Fault(3, FaultKind.CHECKSUM, "", table=table)) for table in tables]
    assert told == ["1", None, None, None, None]


def test_reeds_that_are_with_somebody_else_are_not_read_for_those_at_work(tmp_path: Path) -> None:
    path = tmp_path / "log.jsonl"
    with Log(path, NOW) as log:
        for line in ("1-6 join oboe 5h", "2, 3, 4 lend to a pupil", "5 sell to the quartet", "6 retire worn"):
            log.record(read(line, log.bench))
        log.record(read("3 returned", log.bench))
        lent = next(step for step in log.bench.reed(log.bench.tags.bearers("4")[0]).steps if step.kind == "handed over")
        log.strike([lent.event])
    with Log(path, NOW) as log:
        bench = log.bench
        assert [reed.label for reed in bench.at_work()] == ["1", "3", "4"]
        assert {bench.headings[reed].tag for reed in bench.lineages.folded()} == {"1", "3", "4"}
        there = bench.snapshot()()
        assert [reed.label for reed in there.at_work()] == ["1", "3", "4"]
        assert {bench.headings[reed].tag for reed in there.lineages.folded()} == {"1", "3", "4"}
        assert [bench.tags.is_free(tag) for tag in "2356"] == [False, False, True, True]
        back = log.record(read("2 returned", bench))
        assert [reed.label for reed in bench.at_work()] == ["1", "2", "3", "4"]
        log.strike(back)
        assert [reed.label for reed in bench.at_work()] == ["1", "3", "4"]
