"""A session of some forty entries on six new blanks, from tying to retirement; every view of it agrees."""

from __future__ import annotations

import csv
import shutil
from contextlib import redirect_stdout
from datetime import datetime, timedelta, timezone
from io import StringIO
from pathlib import Path

import pytest

from reedkin.bench.bench import Bench
from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.store.log import Log
from tests.cli.conftest import CommandLine

STARTED = datetime(2026, 3, 12, 10, 7, tzinfo=timezone(timedelta(hours=1)))

SESSION = (
    "session start 20 C 45% fresh knife",
    "lot 7 cane 11 mm 250 g from the spring harvest",
    "143-148 tie eh 60 lot 7 tube 27 shape K gouge .62",
    "143 scrape back 8m",
    "144 scrape back 7m",
    "145 scrape back 9m",
    "146 scrape back,tip 8m",
    "147 scrape tip 6m",
    "148 scrape tip 6m; note \"soft\"",
    "148 retire never came good",
    "143-147 measure tip 50.5 heart 43.5",
    "143 clip 1",
    "143 clip 1",
    "143 clip .5",
    "144 clip 1.5",
    "145 clip to 58.5",
    "146 clip 1",
    "147 clip 1/32 in",
    "143 crow C5 -20c",
    "144 crow B4 +10c octaves",
    "143-146 wire 28 awg brass at 31",
    "147 wire 28 awg 3 turns",
    "143-147 tube",
    "144 scrape heart 4m",
    "session end",
    "143 play 45 7 practice",
    "144 play 30 6.5 practice",
    "145 play 1h20 8 rehearsal",
    "146 play 50 7.5",
    "147 play 20 5",
    "143 play 2h 8 performance",
    "145 clean with a feather",
    "145 score 8 response 9 pitch 7",
    "146 lend to a pupil",
    "144 soak 3m",
    "144 play 90 6",
    "146 return",
    "143 retire cracked",
    "144 retire worn",
    "147 retire closed up",
    "145 play 30 9 lesson",
    "clip .5",
)  # fmt: skip


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The log of the session, recorded once through the command line."""
    path, clock = tmp_path_factory.mktemp("forty") / "log.jsonl", FixedClock(STARTED)
    for line in SESSION:
        with redirect_stdout(StringIO()):
            assert main(["--log", str(path), "add", line], clock) == 0, line
        clock.forward(minutes=1)
    return path


@pytest.fixture
def session(run: CommandLine, recorded: Path) -> CommandLine:
    run.path.parent.mkdir()
    shutil.copy(recorded, run.path)
    run.clock.moment = STARTED + timedelta(hours=1)
    return run


def lineages(bench: Bench) -> set[tuple[object, ...]]:
    return {
        (reed.id, reed.tag, step.event.uid, step.kind, step.at, str(sorted(step.facts.items())), step.note,
         bench.sessions.of(step.event.session))
        for reed in bench.reeds() for step in reed.standing
    }  # fmt: skip


def test_show_agrees_with_what_was_typed(session: CommandLine) -> None:
    stages = {tag: session.done("show", str(tag), "--json").json for tag in range(143, 149)}
    assert [stages[tag]["stage"] for tag in stages] == [
        "retired", "retired", "in service", "in service", "retired", "retired",
    ]  # fmt: skip
    # 60 less 1, 1 and 0.5; less 1.5; clipped to 58.5, and 0.5 more as the last reed; less 1; less 1/32 in.
    assert [stages[tag]["overall_mm"] for tag in stages] == pytest.approx(
        [57.5, 58.5, 58.0, 59.0, 60 - 25.4 / 32, 60], abs=1e-4
    )
    assert [stages[tag]["hours_played"] for tag in stages] == pytest.approx(
        [2.75, 2, 110 / 60, 50 / 60, 20 / 60, 0], abs=1e-4
    )
    assert [stages[tag]["score"] for tag in stages] == [8, 6, 9, 7.5, 5, None]
    assert stages[143]["events"][0]["session_end"] is not None
    assert stages[148]["events"][2]["note"] == "soft"


def test_stock_agrees(session: CommandLine) -> None:
    assert [reed["tag"] for reed in session.done("stock", "--json").json["reeds"]] == ["145", "146"]


def test_nothing_is_at_fault(session: CommandLine) -> None:
    assert session.done("check").lines[-1].startswith("No fault.")


@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_importing_the_export_gives_the_same_lineages(session: CommandLine, form: str, tmp_path: Path) -> None:
    file, other = tmp_path / f"all.{form}", tmp_path / "other.jsonl"
    session.done("export", "--format", form, str(file))
    session.done("import", str(file), log=other)
    with session.log() as log, Log(other, session.clock, read_only=True) as copy:
        assert lineages(copy.bench) == lineages(log.bench)
        assert len(lineages(log.bench)) == len(file.read_text().splitlines()) - (form == "csv")
    for tag in map(str, range(143, 149)):
        assert session.done("show", tag, "--json", log=other).out == session.done("show", tag, "--json").out
    again = tmp_path / f"again.{form}"
    session.done("export", "--format", form, str(again), log=other)
    assert again.read_bytes() == file.read_bytes()


def test_the_export_counts_what_was_typed(session: CommandLine, tmp_path: Path) -> None:
    file = tmp_path / "all.csv"
    session.done("export", str(file))
    with file.open(newline="") as lines:
        kinds = [row["kind"] for row in csv.DictReader(lines)]
    expected = {"tied": 6, "scraped": 7, "measured": 5, "clipped": 8, "wired": 5, "tubed": 5, "crowed": 2, "played": 8}
    assert {kind: kinds.count(kind) for kind in expected} == expected
