"""Sound documents that are no records, or records that nobody here would write: the log opens, shows what it can, says
what it cannot, and records on."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.answers.whole_life import whole_life
from tests.store.making import HastyDisk, Triple, content, documents, names, on_disk, values
from tests.strategies import lineages, statements

from reedkin.bench.audit import audit
from reedkin.bench.bearers import TAGS_TABLE
from reedkin.charts.reed import draw_reed
from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import REED_TABLE as REED
from reedkin.domain.events import table_of
from reedkin.domain.facts import BESIDE
from reedkin.grammar.reading import read
from reedkin.store.log import Log
from reedkin.store.mending.consistency import consistency
from reedkin.store.reading.records import to_document
from reedkin.store.transfer.exporting import FORMATS, reeds_as_text

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))


def doc(kind: str = "scraped", **changes: Any) -> dict[str, Any]:
    """A document of an event, with some of its fields changed; None leaves one out."""
    fields = {"kind": kind, "tag": "7", "at": AT, "recorded": AT, "entry": "e", "facts": {}, **changes}
    return {name: value for name, value in fields.items() if value is not None}


AT = "2026-11-20T18:30:00+01:00"
TIED = (REED + "r", "r", doc("tied", facts={"instrument": "oboe", "overall_mm": 72.0}))
CLIPPED = (REED + "r", "c", doc("clipped", facts={"clip_mm": 0.5}))

ODD: dict[str, tuple[list[Triple], str]] = {
    "no kind": ([(REED + "r", "x", doc(kind=None))], "kind"),  # type: ignore[arg-type]
    "no tag": ([(REED + "r", "x", doc(tag=None))], "tag"),
    "no time": ([(REED + "r", "x", doc(at=None))], "at"),
    "a time without its offset": ([(REED + "r", "x", doc(at="2026-11-20T18:30:00"))], "offset"),
    "a strike without it": ([(REED + "r", "x", doc("struck", of="c", recorded="2026-11-20T18:30:00"))], "offset"),
    "no time at all": ([(REED + "r", "x", doc(at="yesterday"))], "yesterday"),
    "a year out of reason": ([(REED + "r", "x", doc(at="0001-01-01T00:00:00+14:00"))], "year 1"),
    "facts without names": ([(REED + "r", "x", doc(facts=[1]))], "facts"),
    "a fact of another type": ([(REED + "r", "x", doc(facts={"minutes": "ten"}))], "minutes"),
    "yes for a number": ([(REED + "r", "x", doc("clipped", facts={"clip_mm": True}))], "clip"),
    "a number for a word": ([(REED + "r", "x", doc("measured", facts={"overall_mm": {"mm": 3}}))], "overall_mm"),
    "a measure out of reason": ([(REED + "r", "x", doc("clipped", facts={"clip_mm": 1e300}))], "clip_mm"),
    "a note that is none": ([(REED + "r", "x", doc(note=["a"]))], "note"),
    "a session begun at no time": ([("sessions", "x", doc("stated", subject="x", facts={"started": "dawn"}))], "dawn"),
    "a statement of nothing": ([("lots", "x", doc("stated"))], "subject"),
    "no record at all": ([(REED + "r", "x", {})], "kind"),
    "a reed without a beginning": ([(REED + "q", "x", doc())], "began"),
    "a kind of a later version": ([(REED + "r", "x", doc("sanded", facts={"grit": 400}))], "sanded is not a kind"),
    "a table of a later version": ([("knives", "x", doc("stated", subject="k"))], "knives"),
    "an amendment of nothing": ([(REED + "r", "x", doc("amended", of="nobody"))], "not in the log"),
    "an amendment of an amendment": (
        [(REED + "r", "x", doc("amended", of="c", facts={"clip_mm": 0.5})), (REED + "r", "y", doc("amended", of="x"))],
        "of no event",
    ),
    "a strike of nothing": ([(REED + "r", "x", doc("struck", of="nobody"))], "not in the log"),
    "a strike of nothing beside": ([("lots", "x", doc("struck", of="nobody"))], "of nothing"),
    "strikes in a circle": (
        [(REED + "r", "x", doc("struck", of="y")), (REED + "r", "y", doc("struck", of="x"))], "leads back",
    ),
    "a strike of itself": ([(REED + "r", "x", doc("struck", of="x"))], "leads back"),
    "one uid in two tables": ([("lots", "c", doc("stated", subject="7"))], "also a record of reed 7"),
    "another instrument": ([(REED + "q", "q", doc("tied", tag="8", facts={"instrument": "shawm"}))], "shawm"),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_check_names_it_and_the_rest_stands(tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    triples, said = ODD[name]
    path = tmp_path / "bench.jsonl"
    path.write_bytes(content([[TIED], [CLIPPED], *([triple] for triple in triples)]))
    raw = path.read_bytes()
    assert main(["--log", str(path), "check"], NOW) == 3
    told = capsys.readouterr().out
    assert said in told
    with Log(path, NOW, disk=HastyDisk()) as log:
        look_at_everything(log)
        reed = log.bench.find("7")
        assert reed is not None
        assert reed.now.overall_mm == 71.5
        assert not log.faults  # the file itself is sound, so writing may go on
        log.record(read("7 clip .5", log.bench))
        assert log.bench.reed("r").now.overall_mm == 71
    assert path.read_bytes().startswith(raw)


def test_an_event_of_a_later_version_is_shown_as_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bench.jsonl"
    sanded = (REED + "r", "x", doc("sanded", facts={"grit": 400}, note="with care"))
    path.write_bytes(content([[TIED], [sanded], [CLIPPED]]))
    assert main(["--log", str(path), "show", "7"], NOW) == 0
    shown = capsys.readouterr().out
    assert "sanded" in shown
    assert "400" in shown
    assert "with care" in shown


@st.composite
def odd(draw: st.DrawFn) -> Triple:
    """A document of a record in which something was left out, put in, or exchanged."""
    records = draw(st.one_of(lineages(most=3), statements().map(lambda one: [one])))
    record = draw(st.sampled_from(records))
    table, uid, document = table_of(record), record.uid, to_document(record)
    for _ in range(draw(st.integers(1, 3))):
        name = draw(st.sampled_from(sorted(document)))
        what = draw(st.sampled_from(["drop", "exchange", "naive", "fact", "add", "rename"]))
        if what == "drop":
            document.pop(name)
        elif what == "exchange":
            document[name] = draw(values)
        elif what == "naive" and isinstance(document.get("at"), str):
            document["at"] = document["at"][:19]
        elif what == "fact" and isinstance(document.get("facts"), dict):
            fact = draw(st.sampled_from([*document["facts"], "overall_mm", "minutes", "score", "x"]))
            document["facts"] = {**document["facts"], fact: draw(values)}
        elif what == "add":
            document[draw(names)] = draw(values)
        if not document:
            document = {"kind": "tied"}
    if draw(st.booleans()):
        table = draw(st.sampled_from(["reed x", "reed ", *BESIDE, TAGS_TABLE, "other", table]))
    return table, uid, document


@st.composite
def logs(draw: st.DrawFn) -> list[list[Triple]]:
    records = [record for lineage in draw(st.lists(lineages(most=3), max_size=2)) for record in lineage]
    sound = [(table_of(record), record.uid, to_document(record)) for record in records]
    anything = st.tuples(names.map("reed ".__add__), names, documents)
    wild = draw(st.lists(st.one_of(odd(), anything), min_size=1, max_size=4))
    entries, seen = [], set()
    for triple in draw(st.permutations([*sound, *wild])):
        if triple[:2] not in seen:
            entries.append([triple])
            seen.add(triple[:2])
    return entries


def look_at_everything(log: Log) -> None:
    bench = log.bench
    for reed in bench.reeds():
        assert whole_life(reed, bench)
        bench.find(reed.label)
    (
        bench.at_work(),
        bench.whereabouts.handed_over(),
        bench.tags.next(),
        bench.sessions.open(),
        bench.settings.facts,
        bench.settings.a4,
    )
    for table in log.tables:
        bench.beside.subjects(table)
    for word in ("tube", "lot", "shape", "name"):
        bench.headings.known(word)
    bench.last_time.facts("scraped", "oboe")
    bench.settings.targets("oboe")
    for form in FORMATS:
        assert reeds_as_text(bench.reeds(), bench, form) is not None
    for reed in bench.at_work():
        assert draw_reed(reed.now, bench.settings.targets(reed.instrument), 60, 8)
    list(audit(bench))
    list(consistency(log))


@on_disk
@given(logs())
def test_any_documents_can_be_lived_with(tmp_path_factory: pytest.TempPathFactory, entries: list[list[Triple]]) -> None:
    path = tmp_path_factory.mktemp("log") / "bench.jsonl"
    path.write_bytes(content(entries))
    with Log(path, NOW, disk=HastyDisk()) as log:
        look_at_everything(log)
        reading = read("new1 tie oboe 72 @now", log.bench)
        assert reading.ready, reading.errors
        log.record(reading)
        reed = log.bench.find("new1")
        assert reed is not None
        look_at_everything(log)
        assert log.take_back()
    with Log(path, NOW, read_only=True) as log:
        look_at_everything(log)
