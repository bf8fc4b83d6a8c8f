"""An export of a whole log and its import stand for the log: every record comes back as it was written."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.store.test_transfer_identity import CLOCK, logs, value_of

from reedkin.bench.bench import Bench
from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Record, table_of
from reedkin.domain.facts import BESIDE, FACTS
from reedkin.domain.uid import uuid7
from reedkin.store.log import Log
from reedkin.store.reading.records import from_document, to_document
from reedkin.store.transfer.exporting import FORMATS, whole_lines
from reedkin.store.transfer.mapping import ColumnMap
from reedkin.store.transfer.read_rows import lines_of, rows_of
from reedkin.store.transfer.whole import documents_of, is_whole

Documents = dict[str, dict[str, Any]]

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=6)
odd_values = texts | st.booleans() | st.integers(-5, 5) | st.floats(-9, 9) | st.lists(texts, max_size=3)


def back(content: str) -> Documents:
    rows = list(rows_of(lines_of(io.BytesIO(content.encode())), ColumnMap()))
    assert not rows or is_whole(rows)
    documents, faults = documents_of(rows)
    assert faults == []
    return {table: dict(of_table) for table, of_table in documents.items()}


def sent(documents: Documents, form: str) -> str:
    return "".join(whole_lines([(t, u, d) for t, of_table in documents.items() for u, d in of_table.items()], form))


def of_bench(bench: Bench) -> Documents:
    records: list[Record] = [r for reed in bench.headings.ever() for r in bench.lineages.records(reed)]
    documents: Documents = {}
    for record in (*records, *bench.beside.records()):
        documents.setdefault(table_of(record), {})[record.uid] = to_document(record)
    return documents


@given(bench=logs())
@settings(max_examples=25)
def test_whatever_a_log_holds_comes_back(bench: Bench) -> None:
    documents = of_bench(bench)
    for form in FORMATS:
        assert back(sent(documents, form)) == documents, form


@st.composite
def said_beside(draw: st.DrawFn) -> Documents:
    table = draw(st.sampled_from([*BESIDE, "tags", "of a later version"]))
    names = draw(st.lists(st.sampled_from([*BESIDE.get(table, BESIDE["lots"]).facts, "tag", "note"]), unique=True))
    facts = {name: draw(value_of(name) if name in FACTS else texts) for name in names}
    uid, subject = uuid7(draw(st.integers(1, 2**47)), 7), draw(texts.filter(lambda text: text.strip()))
    at = "2026-03-12T10:07:00.5+05:30"
    kept = {name: list(value) if isinstance(value, tuple) else value for name, value in facts.items()}
    return {table: {uid: {"kind": "stated", "subject": subject, "at": at, "recorded": at, "entry": uid, "facts": kept}}}


@pytest.mark.parametrize("form", FORMATS)
@given(documents=said_beside())
@settings(max_examples=50, deadline=None, derandomize=True)
def test_what_was_said_beside_comes_back(form: str, documents: Documents) -> None:
    assert back(sent(documents, form)) == documents


@pytest.mark.parametrize("form", FORMATS)
@given(
    facts=st.dictionaries(st.sampled_from([*FACTS, "of_a_later_version", "tag", "kind"]), odd_values, max_size=4),
    further=st.dictionaries(st.sampled_from(["correction", "later", "moved_from"]), texts, max_size=2),
    note=texts, tag=texts.filter(lambda text: text.strip()),
)  # fmt: skip
@settings(max_examples=50, deadline=None, derandomize=True)
def test_what_another_version_wrote_comes_back(
    form: str, facts: dict[str, Any], further: dict[str, str], note: str, tag: str
) -> None:
    uid, at = uuid7(5, 7), "2026-03-12T10:07+01:00"
    document = {"kind": "steamed", "tag": tag, "at": at, "recorded": at, "entry": uid, "facts": facts, "note": note}
    document |= further
    try:
        from_document(f"reed {uid}", uid, document)
    except ValueError:
        return  # no record at all, which the log tells of
    assert back(sent({f"reed {uid}": {uid: document}}, form)) == {f"reed {uid}": {uid: document}}


# Through the commands

LINES = ("session start 20 C", "1-2 tie oboe 72 lot 7", "session end", "1 play 30 7 \"=dark, 'even'\"",
         "lot 7 pieces 50", "target oboe overall 71", "order quartet 2 oboe", "1 sell to quartet for 30",
         "paid quartet 30", "set a4 442", "trial start wire before or after eh for 40", "2 scrape tip 5m", "take back",
         "2 note x")  # fmt: skip


@pytest.mark.parametrize("form", FORMATS)
def test_a_log_made_of_its_export_is_the_log(tmp_path: Path, form: str, capsys: pytest.CaptureFixture[str]) -> None:
    one, two, file = tmp_path / "one.jsonl", tmp_path / "two.jsonl", tmp_path / f"whole.{form}"
    clock = FixedClock(CLOCK.now())
    for line in LINES:
        clock.forward(minutes=1)
        assert main(["--log", str(one), "add", "--yes", *line.split()], clock) == 0
    with Log(one, clock, read_only=True) as log:
        reed = log.bench.find("2")
        assert reed is not None
    for words in (["retag", "2", "20"], ["move", reed.last.event.uid[-8:], "--to", "1", "--yes"]):
        assert main(["--log", str(one), *words], clock) == 0
    assert main(["--log", str(one), "export", "--whole", "--format", form, str(file)], clock) == 0
    assert main(["--log", str(two), "import", "--dry-run", str(file)], clock) == 0
    assert not two.exists()
    assert main(["--log", str(two), "import", str(file)], clock) == 0
    with Log(one, clock, read_only=True) as ours, Log(two, clock, read_only=True) as theirs:
        documents = [{t: dict(log.documents(t)) for t in sorted(log.tables)} for log in (ours, theirs)]
        assert documents[0] == documents[1]
        assert ours.entries.last() == theirs.entries.last()
    size = two.stat().st_size
    capsys.readouterr()
    assert main(["--log", str(two), "import", str(file)], clock) == 0
    assert "0 records" in capsys.readouterr().out
    assert two.stat().st_size == size


def test_rows_that_are_no_records_are_faults_and_nothing_is_recorded(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    uid, at = uuid7(5, 7), "2026-03-12T10:07+01:00"
    good = {"kind": "tied", "tag": "1", "at": at, "recorded": at, "entry": uid, "facts": {"instrument": "oboe"}}
    head, row = sent({f"reed {uid}": {uid: good}}, "csv").splitlines()
    bad = [row.replace(at, "soon"), row.replace(uid, "x"), row + '"{"', row + "[1]", row.replace("oboe", "kazoo"),
           row.replace(",1,tied", ",2,tied") if ",1,tied" in row else row.replace("1,tied", "2,tied")]  # fmt: skip
    file = tmp_path / "whole.csv"
    file.write_text("\n".join([head, row, *bad]) + "\n")
    assert main(["--log", str(tmp_path / "log.jsonl"), "import", str(file)], CLOCK) == 2
    told = capsys.readouterr().err
    assert [line.split(" line ")[1].split(":")[0] for line in told.splitlines() if " line " in line] == [
        "3", "4", "5", "6", "7", "8",
    ]  # fmt: skip
    assert not (tmp_path / "log.jsonl").exists()
