"""Two logs that went on by themselves and are merged: what does not go together is told, and settled either way."""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from reedkin.bench.audit import audit
from reedkin.bench.correcting import Corrector
from reedkin.bench.trials import trials
from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.grammar.reading import read
from reedkin.store.log import Log
from reedkin.store.merging.conflicts.conflicts import conflicts
from reedkin.store.merging.conflicts.settling import Conflict
from reedkin.store.merging.merging import MergePlan, plan_union

START = datetime(2026, 3, 12, 10, 0, tzinfo=timezone(timedelta(hours=1)))
BASE = ("session start 20 C", "1-3 tie oboe 72 tube 47", "session end", "1 play 30m", "lot 7 cane 10.5 mm pieces 50",
        "order quartet 3 eh", "engage 20 March 19:30 oboe 2 performance")  # fmt: skip


class Pair:
    """Two logs that began alike."""

    def __init__(self, folder: Path) -> None:
        self.clock = FixedClock(START)
        self.paths = folder / "desk.jsonl", folder / "laptop.jsonl"
        self.write(0, BASE)
        shutil.copy(*self.paths)

    def write(self, which: int, lines: Sequence[str]) -> None:
        for line in lines:
            self.clock.forward(minutes=1)
            if line.startswith("$ "):
                assert (
                    main(["--log", str(self.paths[which]), *shlex.split(self.named(which, line[2:]))], self.clock) == 0
                )
                continue
            with Log(self.paths[which], self.clock) as log:
                if line == "take back":
                    log.take_back()
                    continue
                reading = read(line, log.bench)
                assert reading.ready, (line, reading.errors)
                log.record(reading)

    def named(self, which: int, line: str) -> str:
        """A command whose EVENT is written PLAYED: the first playing of reed 1."""
        with Log(self.paths[which], self.clock, read_only=True) as log:
            reed = log.bench.find("1")
            assert reed is not None
            played = reed.first("played")
            return line.replace("PLAYED", played.event.uid[-8:]) if played is not None else line

    def merged(self, into: int = 0) -> tuple[Path, list[Conflict]]:
        copy = self.paths[into].with_name(f"merged-{into}.jsonl")
        shutil.copy(self.paths[into], copy)
        with Log(self.paths[1 - into], self.clock, read_only=True) as theirs, Log(copy, self.clock) as ours:
            plan = planned(ours, theirs)
            ours.unite(plan.new)
            return copy, list(conflicts(ours.bench, plan))


def planned(ours: Log, theirs: Log) -> MergePlan:
    """What the other log would add."""
    return plan_union(ours, {table: theirs.documents(table) for table in theirs.tables})


@pytest.fixture
def pair(tmp_path: Path) -> Pair:
    return Pair(tmp_path)


@dataclass(frozen=True)
class Case:
    """What each log wrote, what is told of it, and words of every way to settle it."""

    ours: tuple[str, ...]
    theirs: tuple[str, ...]
    told: str
    ways: tuple[str, ...]


CASES = {
    "retired and played": Case(
        ("1 retire worn",), ("1 play 40m", "1 play 50m"),
        "was retired: worn on 12 Mar 2026 (here), and after that played 40 min on 12 Mar 2026 and 1 more (there)",
        ("it was not retired", "those 2 do not count"),
    ),
    "sold and scraped": Case(
        ("1 sell to the quartet",), ("1 scrape tip 5m",), "sold to the quartet",
        ("it was not handed over", "does not count"),
    ),
    "retired twice": Case(
        ("1 retire worn",), ("1 retire cracked",), "was retired twice: retired: worn on 12 Mar 2026 (here) and",
        ("only retired: worn", "only retired: cracked"),
    ),
    "clipped twice, which is too much": Case(
        ("1 clip 14",), ("1 clip 14",), "no longer than the tube", ("does not count",),
    ),
    "taken back and worked on": Case(
        ("$ strike BEGUN2",), ("2 scrape tip 5m",), "Reed 2 was taken back here, and scraped tip",
        ("it was tied after all",),
    ),
    "one event corrected twice": Case(
        ("$ amend PLAYED --says 'p 35'",), ("$ amend PLAYED --says 'p 45 8'",),
        "was corrected in both: “play 35 min” here", ("the one here counts",),
    ),
    "struck and corrected": Case(
        ("$ strike PLAYED",), ("$ amend PLAYED --says 'p 45 8'",), "was taken out here, and corrected there",
        ("it counts, as corrected",),
    ),
    "moved to two reeds": Case(
        ("$ move PLAYED --to 3",), ("$ move PLAYED --to 2",), "was moved in both, to 3 and to 2",
        ("it was 3", "it was 2"),
    ),
    "one tag for two reeds": Case(
        ("5 tie eh 60",), ("5 tie oboe 71.5",), "Two reeds bore the tag 5 at the same time",
        ("5/2 is called 6", "5/1 is called 6"),
    ),
    "two tags for one reed": Case(
        ("$ retag 2 20",), ("$ retag 2 21",), "got another tag in both: 20 here, 21 there", ("it is called 20",),
    ),
    "two reeds on one tube": Case(
        ("5 tie oboe 72 tube T4",), ("6 tie oboe 72 tube T4",), "Tube T4 carries two reeds at work",
        ("6 is on another", "5 is on another"),
    ),
    "a lot": Case(
        ("lot 7 left 20",), ("lot 7 left 24 price 3",), "Both logs changed lot 7: pieces left 20 here",
        ("what was said here", "what was said there"),
    ),
    "a lot in other respects": Case(
        ("lot 9 cane 10 mm",), ("lot 9 pieces 40",), "Both logs changed lot 9",
        ("what was said here", "what was said there"),
    ),
    "a tube": Case(
        ("staple T4 46 mm",), ("staple T4 47 mm",), "Both logs changed tube T4",
        ("what was said here", "what was said there"),
    ),
    "a target": Case(
        ("target oboe overall 71", "target oboe overall 71.5"), ("target oboe overall 70",),
        "Both logs changed the targets of oboe", ("what was said here", "what was said there"),
    ),
    "an order": Case(
        ("order quartet by 12 June",), ("order quartet/1 5",), "Both logs changed the order of quartet",
        ("what was said here", "what was said there"),
    ),
    "an engagement": Case(
        ("engage 20 March 3",), ("engage 20 March 1",), "Both logs changed the engagement of 2026-03-20",
        ("what was said here", "what was said there"),
    ),
    "a setting": Case(
        ("set a4 442",), ("set a4 440",), "Both logs changed the settings",
        ("what was said here", "what was said there"),
    ),
    "trials of one name": Case(
        ("trial start wire before or after eh for 40",), ("trial start wire none or one eh for 40",),
        "Two trials are called wire", ("wire/2 ends", "wire/1 ends"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_each_conflict_is_told_and_settled_by_a_key_or_a_command(pair: Pair, case: Case) -> None:
    for which, lines in enumerate((case.ours, case.theirs)):
        pair.write(which, [begun(pair, which, line) for line in lines])
    path, found = pair.merged()
    (conflict,) = found
    assert case.told in conflict.message
    assert len(conflict.ways) == len(case.ways)
    for words, way in zip(case.ways, conflict.ways, strict=True):
        assert words in way.words
        number = conflict.ways.index(way)
        by_key, by_command = (path.with_name(f"{number}-{how}.jsonl") for how in ("key", "command"))
        for copy in (by_key, by_command):
            shutil.copy(path, copy)
        with Log(path, pair.clock) as log:
            plan = conflict.ways[conflict.ways.index(way)].plan(Corrector(log.bench, log.uids))
            assert not plan.errors
        with Log(by_key, pair.clock) as log:
            log.write(plan.records)
            settled = stands(log)
        if "…" in way.command:
            continue  # the tube's name is hers to say
        assert way.command.startswith("reedkin ")
        yes = ["--yes"] if way.command.split()[1] in ("strike", "amend") else []
        assert main(["--log", str(by_command), *shlex.split(way.command)[1:], *yes], pair.clock) == 0
        with Log(by_command, pair.clock, read_only=True) as log:
            assert stands(log) == settled
            assert [one for one in audit(log.bench) if one.severity == "impossible"] == []


def begun(pair: Pair, which: int, line: str) -> str:
    with Log(pair.paths[which], pair.clock, read_only=True) as log:
        reed = log.bench.find("2")
        assert reed is not None
        return line.replace("BEGUN2", reed.id[-8:])


def stands(log: Log) -> list[Any]:
    bench = log.bench
    lives = [
        (reed.tag, reed.bearer, reed.void, [(s.kind, s.at, dict(s.facts), s.note) for s in reed.standing])
        for reed in bench.reeds()
    ]
    beside = {table: bench.beside.subjects(table) for table in ("lots", "tubes", "targets", "orders", "settings")}
    return [lives, beside, [(trial.label, trial.running) for trial in trials(bench)]]


def test_what_goes_together_is_no_conflict(pair: Pair) -> None:
    pair.write(0, ["1 play 20m", "5 tie oboe 72 tube T1", "lot 8 cane 11 mm", "target oboe overall 71", "set a4 442",
                   "trial start wire before or after eh", "2 retire cracked",
                   "$ amend PLAYED --says 'p 35'"])  # fmt: skip
    pair.write(1, ["1 play 40m", "6 tie oboe 72 tube T2", "lot 9 cane 11 mm", "target eh overall 61", "set public 7",
                   "order soloist 2 oboe", "1 clip .5", "$ amend PLAYED --says 'p 35'"])  # fmt: skip
    for into in (0, 1):
        assert pair.merged(into)[1] == []


def test_what_was_played_before_a_retirement_is_none_either(pair: Pair) -> None:
    pair.write(1, ["1 play 40m"])
    pair.write(0, ["1 retire worn"])
    assert pair.merged()[1] == []


def test_merged_again_nothing_is_told_twice(pair: Pair) -> None:
    pair.write(0, ["1 retire worn", "lot 7 left 20"])
    pair.write(1, ["1 play 40m", "lot 7 left 24"])
    path, found = pair.merged()
    assert len(found) == 2
    with Log(pair.paths[1], pair.clock, read_only=True) as theirs, Log(path, pair.clock) as ours:
        plan = planned(ours, theirs)
        assert (plan.new, list(conflicts(ours.bench, plan))) == ((), [])


def test_the_other_way_round_the_same_is_told(pair: Pair) -> None:
    pair.write(0, ["1 retire worn", "5 tie eh 60"])
    pair.write(1, ["1 play 40m", "5 tie oboe 71"])
    (one, two) = (sorted(found.message for found in pair.merged(into)[1]) for into in (0, 1))
    sides = {"(here)": "(there)", "(there)": "(here)"}
    assert one == [re.sub(r"\(t?here\)", lambda side: sides[side.group()], message) for message in two]


# Later


def _checked(pair: Pair, capsys: pytest.CaptureFixture[str]) -> str:
    capsys.readouterr()
    assert main(["--log", str(pair.paths[0]), "check"], pair.clock) in (0, 3)
    return capsys.readouterr().out


def test_what_was_left_as_it_is_is_told_by_check_until_it_is_settled(
    pair: Pair, capsys: pytest.CaptureFixture[str]
) -> None:
    pair.write(0, ["1 retire worn", "lot 7 pieces 40"])
    pair.write(1, ["1 retire cracked", "lot 7 pieces 45"])
    assert main(["--log", str(pair.paths[0]), "merge", str(pair.paths[1])], pair.clock) == 0
    told = capsys.readouterr().err
    assert "retired twice" in told
    said = _checked(pair, capsys)
    assert said.startswith("2 things do not go together since logs were merged")
    assert "retired twice" in said
    pair.write(0, ["2 scrape tip 5m"])  # whatever else is recorded
    commands = [line.partition(": reedkin ")[2] for line in said.splitlines() if ": reedkin " in line]
    main(["--log", str(pair.paths[0]), *shlex.split(commands[0])], pair.clock)
    assert _checked(pair, capsys).startswith("1 thing does not go together since logs were merged")
    main(["--log", str(pair.paths[0]), *shlex.split(commands[-1])], pair.clock)
    assert "go together" not in _checked(pair, capsys)


def test_two_logs_that_go_together_leave_nothing_to_settle(pair: Pair, capsys: pytest.CaptureFixture[str]) -> None:
    pair.write(0, ["2 scrape tip 5m"])
    pair.write(1, ["3 scrape tip 5m"])
    pair.paths[0].with_name(".desk.jsonl.merged.1234.new").write_bytes(b"half")  # a merge was killed once
    assert main(["--log", str(pair.paths[0]), "merge", str(pair.paths[1])], pair.clock) == 0
    assert "go together" not in _checked(pair, capsys)
    assert not list(pair.paths[0].parent.glob("*.merged*"))


def test_what_is_kept_of_a_merge_may_be_damaged_and_harms_nothing(
    pair: Pair, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = pair.paths[0].with_name("desk.jsonl.merged")
    for damage in (b"[", b"[1]", b"[" * 100_000, b"\xff\x00"):
        kept.write_bytes(damage)
        before = pair.paths[0].read_bytes()
        assert main(["--log", str(pair.paths[0]), "check"], pair.clock) == 0
        assert "is damaged" in capsys.readouterr().err
        pair.write(1, ["3 scrape tip 5m"])
        pair.write(0, ["2 scrape tip 5m"])
        before = pair.paths[0].read_bytes()
        assert main(["--log", str(pair.paths[0]), "merge", str(pair.paths[1])], pair.clock) == 3
        assert "Remove that file" in capsys.readouterr().err
        assert pair.paths[0].read_bytes() == before


def test_another_version_of_the_log_in_its_folder_is_told_while_it_holds_more(
    pair: Pair, capsys: pytest.CaptureFixture[str]
) -> None:
    """As programs leave it that keep the folders of two computers alike, where both had written."""
    other = pair.paths[1].rename(pair.paths[1].with_name("desk (other computer's 2026-03-12).jsonl"))
    pair.paths = pair.paths[0], other
    (other.parent / "strange.jsonl").symlink_to(other.parent / "nowhere")
    (other.parent / "bytes").write_bytes(b"\xff" * 1000)
    assert "another version" not in _checked(pair, capsys)
    pair.write(1, ["3 scrape tip 5m"])
    said = _checked(pair, capsys)
    assert "is another version of this log and holds 1 record that it lacks" in said
    command = next(line.partition(": reedkin ")[2] for line in said.splitlines() if ": reedkin merge" in line)
    assert main(["--log", str(pair.paths[0]), *shlex.split(command)], pair.clock) == 0
    assert "another version" not in _checked(pair, capsys)
    other.write_bytes(other.read_bytes().partition(b"\n")[0] + b"\n")
    assert "another version" not in _checked(pair, capsys)
