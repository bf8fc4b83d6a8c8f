"""Lines that another program wrote: the same JSON with other spaces, other escapes, fields in another order. A log
means the same however it is spelt."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from tests.answers.whole_life import whole_life
from tests.store.making import HastyDisk, on_disk
from tests.strategies import logs

from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Event, Record, Statement, table_of
from reedkin.grammar.reading import read
from reedkin.store.log import Log
from reedkin.store.reading.lines import document_tail, entry_lines, header_line, seal
from reedkin.store.reading.records import decoded_lines, from_document, record_of, to_document, usual_records

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))


def spaced(fields: dict[str, Any]) -> str:
    return json.dumps(fields)


def escaped(fields: dict[str, Any]) -> str:
    text = json.dumps(fields, separators=(",", ":"))
    return (
        text.replace("struck", "str\\u0075ck").replace("retired", "retire\\u0064").replace("amended", "\\u0061mended")
    )


def turned(fields: dict[str, Any]) -> str:
    doc = dict(reversed(fields["doc"].items()))
    return json.dumps({"doc": doc, "by": "another", **{n: v for n, v in fields.items() if n != "doc"}})


SPELLINGS = (spaced, escaped, turned)


def respelt(content: bytes, spelling: Callable[[dict[str, Any]], str]) -> bytes:
    """A log with every line but the first written by another program."""
    header, *lines = content.splitlines(keepends=True)
    kept = ({n: v for n, v in json.loads(line).items() if n not in ("crc", "after")} for line in lines)
    return header + b"".join(seal(spelling(fields)[1:].encode()) for fields in kept)


def told(path: Path) -> list[str]:
    """All that a log says of its reeds, and how it stands with each."""
    with Log(path, NOW, read_only=True, disk=HastyDisk()) as log:
        assert not log.faults
        lives = [line for reed in log.bench.reeds() for line in whole_life(reed, log.bench)]
        at_work = [reed.label for reed in log.bench.at_work()]
        away = [reed.label for reed in log.bench.whereabouts.handed_over()]
        free = [tag for tag in "123456" if log.bench.tags.is_free(tag)]
        assert not log.misfits
        return [*lives, *at_work, "away", *away, "free", *free, *(r.uid for r in log.entries.last())]


@pytest.mark.parametrize("spelling", SPELLINGS)
def test_corrections_retirements_and_handings_over_mean_the_same(
    tmp_path: Path, spelling: Callable[[dict[str, Any]], str]
) -> None:
    ours, theirs = tmp_path / "ours.jsonl", tmp_path / "theirs.jsonl"
    with Log(ours, NOW) as log:
        for line in (
            "1-6 tie oboe 72",
            "1 clip .5",
            "2 retire cracked",
            "3 lend to a pupil",
            "4 retire worn",
            "5 tie eh 60",
        ):
            reading = read(line, log.bench)
            if reading.ready:
                log.record(reading)
        first = log.bench.find("6")
        assert first is not None
        log.strike([first.steps[0].event])
        fourth = log.bench.find("4")
        assert fourth is not None
        log.strike([fourth.steps[-1].event])
    theirs.write_bytes(respelt(ours.read_bytes(), spelling))
    assert told(theirs) == told(ours)
    with Log(theirs, NOW) as log:
        assert log.bench.find("6") is None
        assert log.bench.tags.is_free("6")
        assert [reed.tag for reed in log.bench.at_work()] == ["1", "4", "5"]


@on_disk
@given(logs())
def test_any_log_means_the_same(tmp_path_factory: pytest.TempPathFactory, records: list[Record]) -> None:
    folder = tmp_path_factory.mktemp("log")
    tails = [document_tail(table_of(record), record.uid, to_document(record)) for record in records]
    whole = header_line("l", "m") + b"".join(line for tail in tails for line in entry_lines([tail]))
    (folder / "ours").write_bytes(whole)
    for spelling in SPELLINGS:
        (folder / spelling.__name__).write_bytes(respelt(whole, spelling))
        ours, theirs = (Log(folder / name, NOW, read_only=True) for name in ("ours", spelling.__name__))
        with ours, theirs:
            assert theirs.bench.reeds() == ours.bench.reeds()
            assert _headings(theirs.bench) == _headings(ours.bench)


def _headings(bench: Bench) -> list[object]:
    return [(h.reed, h.tag, h.at, h.facts, h.over, h.void) for h in bench.headings]


@given(logs())
def test_the_usual_way_of_reading_a_record_and_the_careful_one_agree(records: list[Record]) -> None:
    for record in records:
        table, document = table_of(record), to_document(record)
        tail = document_tail(table, record.uid, document)
        (line,), (at_once,) = decoded_lines(b"{" + tail), usual_records([tail])
        assert record_of(table, line.id, line.doc) == from_document(table, record.uid, document) == record
        told = isinstance(record, Statement) or (isinstance(record, Event) and record.moved_from is None)
        assert at_once == (record if told else None)


@pytest.mark.parametrize(
    "odd",
    [
        {"entry": " "}, {"tag": ""}, {"session": "\t"}, {"at": "1899-12-31T12:00:00Z"},
        {"recorded": "3000-01-01T12:00:00Z"},
        {"kind": "struck", "of": "r"}, {"moved_from": {"reed": "s", "event": "e"}}, {"facts": {"instrument": 5}},
        {"facts": {"minutes": 45.0}}, {"facts": {"minutes": 4.5}}, {"facts": {"score": True}},
        {"facts": {"score": 1e9}}, {"facts": {"where": "tip"}}, {"facts": {"of a later version": [1]}},
        {"facts": {"of a later version": "x"}}, {},
    ],
)  # fmt: skip
def test_what_is_read_at_once_is_what_the_careful_way_finds(odd: dict[str, Any]) -> None:
    """Of two lines that are read together, one of them as usual."""
    usual = {"kind": "tied", "tag": "7", "at": "2026-03-02T12:00:00Z", "recorded": "2026-03-02T12:00:00Z", "entry": "e"}
    documents = {"r": {**usual, "facts": {"score": 8}}, "s": {**usual, **odd}}
    found = usual_records([document_tail("reed r", uid, document) for uid, document in documents.items()])
    for record, (uid, document) in zip(found, documents.items(), strict=True):
        assert record is None or record == from_document("reed r", uid, document)
    assert (None not in found) == (not odd)


@pytest.mark.parametrize(
    "at", ["2026-11-20 18:30+01:00", "2026-11-20T18:30+01:00", "20261120T183000+0100", "1936-05-01T12:00:00+00:19:32"]
)
def test_a_time_in_another_form_of_iso_8601_is_read(tmp_path: Path, at: str) -> None:
    path = tmp_path / "log.jsonl"
    doc = {"kind": "tied", "tag": "7", "at": at, "recorded": at, "entry": "e", "facts": {"instrument": "oboe"}}
    path.write_bytes(header_line("l", "m") + entry_lines([document_tail("reed r", "r", doc)])[0])
    with Log(path, NOW) as log:
        reed = log.bench.find("7")
        assert reed is not None
        assert reed.begun == datetime.fromisoformat(at)
        assert not log.misfits
