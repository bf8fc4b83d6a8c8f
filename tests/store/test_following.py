"""What another program records is taken into the bench of one that has the log open: the same bench as opening makes,
at no more cost in a long log than in a short one."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import groupby
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from tests.store.making import HastyDisk, on_disk
from tests.strategies import logs

from reedkin.bench.bench import Bench
from reedkin.bench.correcting import Corrector
from reedkin.desk import Desk
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Record
from reedkin.domain.facts import KINDS
from reedkin.domain.instruments import INSTRUMENTS
from reedkin.grammar.reading import read
from reedkin.store.disk.calls import Disk
from reedkin.store.errors import LogWriteError
from reedkin.store.log import Log
from reedkin.store.reading.lines import SEAL_BYTES, seal

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
TIED = "1-3 tie oboe 72 lot A tube 27"


@pytest.fixture
def two(tmp_path: Path) -> Iterator[tuple[Log, Log]]:
    """A log that two programs have open; three reeds are tied."""
    path, disk = tmp_path / "bench.jsonl", HastyDisk()
    with Log(path, NOW, shared=True, disk=disk) as one:
        one.record(read(TIED, one.bench))
        with Log(path, NOW, shared=True, disk=disk) as other:
            yield one, other


def known(bench: Bench) -> tuple[object, ...]:
    """What a bench answers. Asked after every look, so that whatever it keeps is brought up to date and not only made
    anew."""
    reeds = bench.reeds()
    return (
        reeds, [reed.label for reed in reeds], bench.at_work(), bench.whereabouts.handed_over(),
        [(h.reed, h.tag, h.at, h.facts) for h in bench.headings], sorted(bench.headings.ever()),
        bench.headings.known("lot"), bench.headings.known("tube"), bench.tags.next(),
        [bench.tags.bearers(tag) for tag in "123"], bench.headings.untied(),
        [bench.last_time.facts(kind, instrument) for kind in KINDS for instrument in INSTRUMENTS],
        [bench.own_ranges.usual(kind, reed.now) for kind in KINDS for reed in reeds],
        [bench.beside.said(table) for table in ("sessions", "lots", "tubes", "orders", "tags", "trials", "targets")],
        bench.sessions.open(), bench.settings.facts,
    )  # fmt: skip


def opened(log: Log) -> tuple[object, ...]:
    with Log(log.path, NOW, read_only=True) as anew:
        return known(anew.bench), anew.entries.last(), anew.misfits


def followed(log: Log) -> tuple[object, ...]:
    return known(log.bench), log.entries.last(), log.misfits


def test_one_who_looked_while_there_was_nothing_yet_sees_all_that_comes(tmp_path: Path) -> None:
    path = tmp_path / "bench.jsonl"
    path.touch()
    with Log(path, NOW, read_only=True) as reader, Log(path, NOW, disk=HastyDisk()) as writer:
        writer.record(read(TIED, writer.bench))
        assert reader.refresh()
        assert followed(reader) == opened(writer)
        assert [reed.tag for reed in reader.bench.at_work()] == ["1", "2", "3"]


@settings(on_disk, max_examples=8, phases=(Phase.generate,))  # to shrink such a log takes minutes
@given(st.data())
def test_following_gives_the_bench_that_opening_gives(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Lineages whose tags meet, corrections, strikes, statements: in the order of their writing, in many looks."""
    records: list[Record] = data.draw(logs())
    cuts = data.draw(st.lists(st.integers(0, 3), min_size=len(records), max_size=len(records)))
    path, disk = tmp_path_factory.mktemp("two") / "bench.jsonl", HastyDisk()
    with Log(path, NOW, shared=True, disk=disk) as one, Log(path, NOW, shared=True, disk=disk) as other:
        for look, entry in groupby(zip(cuts, records, strict=True), key=lambda pair: pair[0] == 0):
            other.write([record for _, record in entry])
            if look:
                one.refresh()
                assert followed(one) == opened(one)
        one.refresh()
        assert followed(one) == opened(one)


LINES = (
    "1 clip .5; scrape tip 10m", "1 played 45 8", "2 retire cracked", "4 tie eh 60 lot B", "lot A cane 10 mm",
    "session start 21 C 50 %", "1 scrape heart", "session end", "1 sell to a pupil 30", "take back",
    "set a4 442", "2 tie oboe 71", "trial start wire before or after eh for 40", "1 retire worn",
)  # fmt: skip


def test_line_by_line_the_very_same_bench_goes_on(two: tuple[Log, Log]) -> None:
    one, other = two
    bench, changes = one.bench, one.bench.changes
    for line in LINES:
        reading = read(line, other.bench)
        if reading.takes_back:
            other.take_back()
        else:
            assert reading.ready, line
            other.record(reading)
        assert one.refresh()
        assert followed(one) == opened(one), line
        assert one.bench is bench
        assert one.bench.changes > changes  # what was reckoned before is out of date
        changes = one.bench.changes
    three = other.bench.find("3")
    assert three is not None
    other.write(Corrector(other.bench, other.uids).to_tag(three, "33").records)
    assert one.refresh()
    assert followed(one) == opened(one)
    assert one.bench is bench
    one.record(read("4 clip .5", one.bench))
    assert other.refresh()
    assert followed(other) == opened(one)


@pytest.mark.parametrize(
    "rest",
    [
        b'"left":0,"table":"reed 01970000-0000-7000-8000-000000000000","id":"x","doc":{"kind":"noted"}}',
        b'"left":0,"table":"a table of tomorrow","id":"x","doc":{}}',
        b'"left":0,"table":"lots","id":"x","doc":{"kind":"stated","subject":7}}',
    ],
)
def test_what_does_not_plainly_go_on_is_read_all_anew(two: tuple[Log, Log], rest: bytes) -> None:
    one, other = two
    other.record(read("1 clip .5", other.bench))
    with one.path.open("ab") as another_program:
        another_program.write(seal(rest))
    bench = one.bench
    assert one.refresh()
    assert one.bench is not bench
    assert followed(one) == opened(one)


def test_a_record_that_stands_there_already_changes_nothing(two: tuple[Log, Log]) -> None:
    one, other = two
    other.record(read("1 clip .5", other.bench))
    one.refresh()
    before = followed(one)
    line = one.path.read_bytes().splitlines()[-1]
    with one.path.open("ab") as another_program:  # the same identifier, other content
        another_program.write(seal(line[SEAL_BYTES:].replace(b'"clip_mm":0.5', b'"clip_mm":5.0')))
    one.refresh()
    assert followed(one)[0] == before[0] == opened(one)[0]
    assert one.faults


class _Once(Disk):
    """A disk that once refuses to cut a file off."""

    def __init__(self) -> None:
        self.fails = False

    def truncate(self, fd: int, size: int) -> None:
        if self.fails:
            self.fails = False
            raise OSError(5, "Input/output error")
        super().truncate(fd, size)


def test_what_was_taken_in_before_a_failure_is_told_later(tmp_path: Path) -> None:
    """The log is read on, and then what a killed writer left cannot be cut off: the entry before it is not lost."""
    disk = _Once()
    with Log(tmp_path / "bench.jsonl", NOW, shared=True, disk=disk) as one:
        one.record(read(TIED, one.bench))
        with Log(one.path, NOW, shared=True, disk=HastyDisk()) as other:
            other.record(read("1 clip .5", other.bench))
        with one.path.open("ab") as killed:
            killed.write(b'{"crc":"0000')
        disk.fails = True
        with pytest.raises(LogWriteError):
            one.record(read("2 clip .5", one.bench))
        assert one.refresh()
        assert followed(one) == opened(one)


def test_damage_that_is_seen_while_another_records_hides_nothing(two: tuple[Log, Log]) -> None:
    one, other = two
    with one.path.open("ab") as vandal:
        vandal.write(b"hello\n")
    one.refresh()
    other.refresh()
    other.acknowledge()
    other.record(read("1 clip .5", other.bench))
    one.acknowledge()
    assert followed(one) == opened(one)


def test_the_desk_keeps_what_lies_on_it(two: tuple[Log, Log]) -> None:
    one, other = two
    desk = Desk(one)
    hand = one.bench.find("2")
    assert hand is not None
    desk.take(hand)
    since = desk.clock_since
    other.record(read("2 clip .5", other.bench))
    one.refresh()
    assert desk.hand is not None
    assert (desk.hand.tag, desk.hand.now.overall_mm) == ("2", 71.5)
    assert desk.clock_since == since
    other.record(read("2 retire cracked", other.bench))
    one.refresh()
    assert desk.hand is not None
    assert desk.hand.tag != "2"


def test_of_several_reeds_the_one_in_hand_stays_there(two: tuple[Log, Log]) -> None:
    desk = Desk(two[0])
    for line, hand in (("2 clip .5", "2"), ("1-3 scrape tip", "2"), ("1 scrape tip", "1"), ("2-3 scrape heart", "2")):
        desk.record(desk.read(line))
        assert desk.hand is not None
        assert desk.hand.tag == hand
