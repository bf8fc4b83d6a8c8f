"""The page about the log file in DEVELOPERS.md is enough to read a log: a reader that was written from it alone, with
nothing but the standard library, finds in every log what the program finds."""

from __future__ import annotations

import json
import re
import zlib
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from demo_logs.build import HERE
from hypothesis import given
from tests.store.making import HastyDisk, on_disk
from tests.strategies import logs

from reedkin.domain.clock import Clock
from reedkin.domain.events import Record, Statement
from reedkin.domain.facts import BESIDE, FACTS, KINDS
from reedkin.grammar.reading import read as understood
from reedkin.store.log import Log

PAGE = Path(__file__).parents[2] / "DEVELOPERS.md"
Tables = dict[str, dict[str, dict[str, Any]]]

# The reader. It is not to use anything of the program.


def read(raw: bytes) -> Tables:
    """The documents of a log by table and id."""
    tables: Tables = {}
    entry: list[dict[str, Any]] = []
    left = 0
    *whole, last = raw.split(b"\n")
    for line in (*whole, last):
        seal = re.match(rb'\{"crc":"([0-9a-f]{8})",', line)
        sound = seal is not None and zlib.crc32(line[seal.end() :]) == int(seal[1], 16)
        fields = json.loads(line) if sound else {}
        if fields.get("format") == "reedkin log":
            assert fields["version"] == 1
            continue
        if left and fields.get("left", left - 1) != left - 1:
            left = 0
        if line is last and (not sound or fields["left"]):
            break
        left = fields["left"] if sound else max(0, left - 1)
        entry += [fields] if sound else []
        if not left:
            for one in entry:
                tables.setdefault(one["table"], {}).setdefault(one["id"], one["doc"])
            entry = []
    return tables


def struck(documents: dict[str, dict[str, Any]]) -> set[str]:
    """The ids that do not count in a table."""
    strikes = {id: doc["of"] for id, doc in documents.items() if doc["kind"] == "struck"}

    def counts(id: str) -> bool:
        return not any(of == id and counts(strike) for strike, of in strikes.items())

    return {of for strike, of in strikes.items() if counts(strike)}


def reeds(tables: Tables) -> dict[str, Any]:
    """Of each reed its tag, its events as they stand, its overall length and its hours."""
    tags = {reed: facts["tag"] for reed, facts in beside(tables, "tags").items()}
    found = {}
    for table, documents in tables.items():
        reed = table.removeprefix("reed ")
        out = struck(documents)
        if reed == table or reed in out or reed not in documents:
            continue
        said = dict(documents)
        for id, doc in sorted(documents.items()):
            if doc["kind"] == "amended" and id not in out:
                note = {"note": doc.get("note")}
                said[doc["of"]] = {**documents[doc["of"]], "at": doc["at"], "facts": doc["facts"], **note}
        events = [(id, doc) for id, doc in said.items() if doc["kind"] not in ("struck", "amended") and id not in out]
        events.sort(key=lambda event: (event[0] != reed, datetime.fromisoformat(event[1]["at"]), event[0]))
        overall, hours = None, 0.0
        for _, doc in events:
            facts = doc["facts"]
            overall = facts.get("overall_mm", overall and overall - facts.get("clip_mm", 0))
            hours += facts.get("hours_before", 0) + (facts["minutes"] / 60 if doc["kind"] == "played" else 0)
        lines = [(id, d["kind"], datetime.fromisoformat(d["at"]), d["facts"], d.get("note") or "") for id, d in events]
        found[reed] = (tags.get(reed, documents[reed]["tag"]), lines, overall, hours)
    return found


def beside(tables: Tables, table: str) -> dict[str, dict[str, Any]]:
    """What is known of each subject of a table beside the reeds."""
    documents = tables.get(table, {})
    out, known = struck(documents), {}
    for id, doc in sorted(documents.items()):
        if doc["kind"] == "stated" and id not in out:
            known.setdefault(doc["subject"], {}).update(doc["facts"])
    return known


# The same from the program


def plain(facts: Any) -> dict[str, Any]:
    return {name: list(value) if isinstance(value, tuple) else value for name, value in facts.items()}


def agrees(path: Path) -> None:
    """Both find the same in the log at `path`."""
    tables = read(path.read_bytes())
    with Log(path, Clock(), read_only=True) as log:
        ours = {
            reed.id: (
                reed.tag,
                [(step.event.uid, step.kind, step.at, plain(step.facts), step.note) for step in reed.standing],
                pytest.approx(reed.now.overall_mm, abs=1e-3) if reed.now.overall_mm is not None else None,
                pytest.approx(reed.now.hours, abs=1 / 60),
            )
            for reed in log.bench.reeds()
        }
        assert reeds(tables) == ours
        for table in (*BESIDE, "tags"):
            known = {subject: plain(facts) for subject, facts in log.bench.beside.subjects(table).items()}
            assert beside(tables, table) == known


@pytest.mark.parametrize("name", ["first_month", "three_seasons", "damaged"])
def test_a_demo_log_is_read_alike(name: str) -> None:
    agrees(HERE / f"{name}.jsonl")


@on_disk
@given(records=logs())
def test_any_log_is_read_alike(tmp_path_factory: pytest.TempPathFactory, records: list[Record]) -> None:
    path = tmp_path_factory.mktemp("log") / "bench.jsonl"
    with Log(path, Clock(), disk=HastyDisk()) as log:
        log.write(records)
        for reed in list(log.bench.reeds())[:1]:
            uid, now = log.uids.new(), log.clock.now()
            log.write([Statement(uid, "tags", reed.id, now, now, uid, {"tag": "other"})])
    agrees(path)


def test_a_log_that_ends_inside_an_entry_is_read_alike(tmp_path: Path) -> None:
    path = tmp_path / "bench.jsonl"
    with Log(path, Clock(), disk=HastyDisk()) as log:
        for line in ("1-3 tie oboe 72; scrape tip 10", "1 clip .5"):
            log.record(understood(line, log.bench))
    lines = path.read_bytes().splitlines(keepends=True)
    for end in range(1, len(lines)):
        for torn in (b"", lines[end][:-1]):
            path.write_bytes(b"".join(lines[:end]) + torn)
            agrees(path)


def test_the_page_names_every_kind_fact_table_and_word() -> None:
    page = PAGE.read_text(encoding="utf-8")
    section = page[page.index("## The log file") : page.index("## Import and export")]
    named = set(re.findall(r"(?<!`)`([^`\n]+)`(?!`)", section))
    choices = {word for fact in FACTS.values() if fact.type == "choice" for word in fact.choices}
    assert {*FACTS, *KINDS, *BESIDE, "tags", *choices} <= named
