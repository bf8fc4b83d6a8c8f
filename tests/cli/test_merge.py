"""`reedkin merge` and `reedkin retag`."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from reedkin.desk import Desk
from reedkin.store.log import Log
from reedkin.widgets.reed_list import ReedList
from tests.cli.conftest import CommandLine, Ran


@pytest.fixture
def laptop(run: CommandLine, tmp_path: Path) -> Path:
    """The log of a second computer: both began alike, then each went on by itself."""
    run.enter("session start 20 C", "1-2 tie oboe 72", "session end")
    other = tmp_path / "laptop.jsonl"
    shutil.copy(run.path, other)
    run.enter("1 clip .5", "3 tie eh 60", "2 retire cracked")
    for line in ("1 scrape tip 5m", "3 tie oboe 71.5", "4 tie oboe 72 lot 9", "take back", "lot 9 cane 10 mm"):
        run.done("add", line, log=other)
        run.clock.forward(minutes=1)
    return other


def lineages(path: Path, run: CommandLine) -> list[tuple[Any, ...]]:
    with Log(path, run.clock, read_only=True) as log:
        bench = log.bench
        lives = [
            (reed.id, reed.tag, reed.bearer, reed.now,
             [(s.event, s.at, s.facts, s.struck, bench.sessions.of(s.event.session)) for s in reed.steps])
            for reed in bench.reeds()
        ]  # fmt: skip
        return [*lives, dict(bench.beside.subjects("lots")), log.entries.last()]


def merged(run: CommandLine, into: Path, other: Path) -> tuple[Ran, Path]:
    copy = into.with_name(f"merged-{into.name}")
    shutil.copy(into, copy)
    return run.done("merge", str(other), log=copy), copy


def test_the_union_is_the_same_in_either_order(run: CommandLine, laptop: Path) -> None:
    ran, one = merged(run, run.path, laptop)
    _, two = merged(run, laptop, run.path)
    assert ran.lines[0] == "Taken in: 5 records, 2 new reeds."
    assert "4 records were in both." in ran.out
    assert lineages(one, run) == lineages(two, run)
    assert [event["kind"] for event in run.done("show", "1", "--json", log=one).json["events"]] == [
        "tied", "clipped", "scraped",
    ]  # fmt: skip


def test_merging_again_adds_nothing_and_the_other_log_is_only_read(run: CommandLine, laptop: Path) -> None:
    before = laptop.read_bytes()
    _, one = merged(run, run.path, laptop)
    after = one.read_bytes()
    assert run.done("merge", str(laptop), log=one).lines[0] == "Taken in: 0 records, 0 new reeds."
    assert (one.read_bytes(), laptop.read_bytes()) == (after, before)


def test_after_a_merge_the_latest_entry_of_both_is_the_one_to_take_back(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1-2 tie oboe 72")
    other = tmp_path / "laptop.jsonl"
    shutil.copy(run.path, other)
    run.done("add", "1 scrape tip 5m", log=other)
    run.done("add", "2 scrape tip 5m", log=other)
    run.enter("1 clip .5")
    for _, copy in (merged(run, run.path, other), merged(run, other, run.path)):
        assert run.done("add", "take back", log=copy).lines == ["Taken back: 1: clipped 0.5 mm"]
        assert run.done("add", "take back", log=copy).lines == ["Taken back: 2: scraped tip, 5 min"]


def test_a_tag_taken_on_both_is_told_and_can_be_settled(run: CommandLine, laptop: Path) -> None:
    told, one = merged(run, run.path, laptop)
    other_way, _ = merged(run, laptop, run.path)
    assert "Two reeds bore the tag 3 at the same time: 3/1 (tied" in told.err
    assert told.err == other_way.err
    assert "2 living reeds bear this tag" in run.done("check", log=one).out
    assert [line.split()[0] for line in run.done("stock", log=one).lines if line[:1] == "3"] == ["3/1", "3/2"]
    shown = ReedList()
    with Log(one, run.clock, read_only=True) as log:
        shown.show(log.bench.at_work(), None, run.clock.now())
        assert {"3/1", "3/2"} <= {shown.label_of(reed) for reed in log.bench.at_work()}
        desk = Desk(log)
        desk.take(next(reed for reed in desk.reeds() if shown.label_of(reed) == "3/1"))
        assert desk.with_tag("clip .5") == "3/1 clip .5"  # as it is kept for the next start
    assert run("retag", "3/2", "1", log=one).code == 2
    assert run("retag", "3/2", "clip", log=one).code == 2
    assert run("retag", "77", "78", log=one).code == 2
    assert run.done("retag", "3/2", "30", log=one).lines == ["3 is called 30 from now on."]
    run.done("add", "30 clip .5", log=one)
    assert run.done("show", "30", "--json", log=one).json["overall_mm"] == 71
    assert run.done("show", "3", "--json", log=one).json["instrument"] == "english horn"
    assert run.done("check", log=one).lines[-1].startswith("No fault.")


def test_a_new_tag_can_be_taken_back_and_goes_into_the_export(run: CommandLine, tmp_path: Path) -> None:
    run.enter("3 tie oboe 72", "3 clip .5")
    run.done("retag", "3", "30")
    file, other = tmp_path / "all.csv", tmp_path / "other.jsonl"
    run.done("export", str(file))
    assert [line.split(",")[0] for line in file.read_text().splitlines()] == ["tag", "30", "30"]
    run.done("import", str(file), log=other)
    assert run.done("show", "30", "--json", log=other).json["overall_mm"] == 71.5
    run.done("add", "take back")
    assert run("show", "30").code == 2
    assert run.done("show", "3", "--json").json["overall_mm"] == 71.5


def test_a_damaged_log_is_not_taken_in_unseen(run: CommandLine, laptop: Path) -> None:
    laptop.write_bytes(laptop.read_bytes().replace(b"71.5", b"71.6"))
    before = run.path.read_bytes()
    ran = run("merge", str(laptop))
    assert ran.code == 3
    assert "is damaged" in ran.err
    assert run.path.read_bytes() == before
    assert run.done("merge", "--seen", str(laptop)).lines[0] == "Taken in: 4 records, 1 new reed."


def test_records_that_differ_are_refused(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie oboe 72")
    other = tmp_path / "other.jsonl"
    with run.log() as log:
        ((table, uid, document),) = [(t, u, d) for t in log.tables for u, d in log.documents(t).items()]
    with Log(other, run.clock) as log:
        log.unite([(table, uid, {**document, "facts": {"instrument": "bass oboe"}})])
    ran = run("merge", str(other))
    assert ran.code == 3
    assert "other content" in ran.err


def test_what_cannot_be_merged(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie oboe 72")
    assert run("merge", str(tmp_path / "nothing.jsonl")).code == 2
    assert run("merge", str(run.path)).code == 2
    foreign = tmp_path / "foreign.jsonl"
    foreign.write_text("hello\n")
    assert run("merge", str(foreign)).code == 3


def test_merging_into_no_log_begins_one(run: CommandLine, laptop: Path, tmp_path: Path) -> None:
    new = tmp_path / "new.jsonl"
    run.done("merge", str(laptop), log=new)
    assert lineages(new, run) == lineages(laptop, run)
