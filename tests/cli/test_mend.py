"""`reedkin check --mend`."""

from __future__ import annotations

from pathlib import Path

from demo_logs.build import HERE

from tests.cli.conftest import CommandLine


def test_a_mended_copy_is_clean_and_says_what_was_lost(run: CommandLine, tmp_path: Path) -> None:
    run.enter("7 tie oboe 72", "7 clip .5", "7 clip .4")
    raw = run.path.read_bytes().replace(b"0.5", b"0.6")
    run.path.write_bytes(raw)
    copy = tmp_path / "mended.jsonl"
    ran = run("check", "--mend", str(copy))
    assert ran.code == 3  # the log has a fault as before
    assert "line 3 of reed 7: left out; what it recorded is lost" in ran.out
    assert str(copy) in ran.out
    assert f"{copy}.damaged" in ran.out
    assert run.path.read_bytes() == raw
    assert raw.splitlines()[2] in Path(f"{copy}.damaged").read_bytes()
    run.done("check", log=copy)
    assert run.done("show", "7", "--json", log=copy).json["overall_mm"] == 71.6
    run.done("add", "7 clip .2", log=copy)


def test_what_a_mended_copy_lacks_can_be_had_from_a_backup(run: CommandLine, tmp_path: Path) -> None:
    run.enter("7 tie oboe 72")
    run.clock.forward(days=1)
    run.enter("7 clip .5", "8 tie eh 60")  # the day's backup is made after the first of them
    run.path.write_bytes(run.path.read_bytes().replace(b'"kind":"tied","tag":"7"', b'"kind":"tied","tag":"9"'))
    copy = tmp_path / "mended.jsonl"
    advice = run("check", "--mend", str(copy)).lines[-1]
    assert "may be in a backup" in advice
    assert run("show", "7", log=copy).code == 2
    run.done(*advice.partition(f"{copy} ")[2].split(), log=copy)
    run.done("check", log=copy)
    assert run.done("show", "7", "--json", log=copy).json["overall_mm"] == 71.5
    assert {reed["tag"] for reed in run.done("stock", "--json", log=copy).json["reeds"]} == {"7", "8"}


def test_a_sound_log_needs_no_copy(run: CommandLine, tmp_path: Path) -> None:
    run.enter("7 tie oboe 72")
    ran = run.done("check", "--mend", str(tmp_path / "mended.jsonl"))
    assert "Nothing to mend" in ran.out
    assert not (tmp_path / "mended.jsonl").exists()


def test_a_file_that_is_there_is_left_alone(run: CommandLine, tmp_path: Path) -> None:
    run.enter("7 tie oboe 72", "7 clip .5")
    run.path.write_bytes(run.path.read_bytes()[:-4])
    (tmp_path / "hers").write_bytes(b"hers")
    ran = run("check", "--mend", str(tmp_path / "hers"))
    assert ran.code == 3
    assert "already" in ran.err
    assert (tmp_path / "hers").read_bytes() == b"hers"


def test_the_damaged_demo_log_can_be_mended(run: CommandLine, tmp_path: Path) -> None:
    copy = tmp_path / "mended.jsonl"
    ran = run("check", "--json", "--mend", str(copy), log=HERE / "damaged.jsonl")
    assert {fault["line"] for fault in ran.json["faults"] if "line" in fault} >= {21, 41, 61, 76, 91}
    assert "Mended copy" in ran.err
    report = run("check", "--json", log=copy).json
    assert not any("line" in fault for fault in report["faults"])
