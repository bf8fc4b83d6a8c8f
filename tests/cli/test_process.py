"""The command line as a process of its own: what it imports, how it ends."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

import reedkin
from reedkin.cli import main as command_line
from reedkin.cli.context import usual_log
from reedkin.cli.report import keep_report
from reedkin.domain.clock import FixedClock
from reedkin.store.log import Log
from tests.cli.conftest import CommandLine

HEAVY = ("textual", "rich", "numpy", "pint", "plotext")
_CHEAP = (
    "add 1 clip .5", "show 1", "show 1 --json", "stock", "export", "check", "--help", "cane", "tubes", "orders",
    "card 1", "week", "steady",
)  # fmt: skip
_MODULES = f"""
import sys
from reedkin.cli.main import guarded
for words in {_CHEAP}:
    try:
        code = guarded(["--log", sys.argv[1], *words.split()])
    except SystemExit as end:
        code = end.code
    assert not code, (words, code)
    heavy = [name for name in {HEAVY} if name in sys.modules]
    assert not heavy, (words, heavy)
"""
Ended = subprocess.CompletedProcess[str]


def process(*words: str, env: Mapping[str, str] | None = None, code: str | None = None) -> Ended:
    start = ["-c", code] if code else ["-m", "reedkin"]
    path = str(Path(reedkin.__file__).parents[1])
    return subprocess.run(
        [sys.executable, *start, *words], capture_output=True, text=True, encoding="utf-8", check=False, timeout=60,
        stdin=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": path, **(env or {})},
    )  # fmt: skip


def test_version_and_help() -> None:
    assert process("--version").stdout == f"reedkin {reedkin.__version__}\n"
    ran = process("--help")
    assert ran.returncode == 0
    assert "full-screen" in ran.stdout


def test_cheap_commands_import_nothing_heavy(run: CommandLine) -> None:
    """One after the other in one process, which takes a tenth of the time: what none imports is never there."""
    run.enter("1 tie oboe 72", "2 tie oboe 72", "2 retire cracked")
    ran = process(str(run.path), code=_MODULES)
    assert (ran.returncode, ran.stderr.strip()) == (0, "")


def test_a_wrong_command_is_wrong_usage() -> None:
    ran = process("juggle")
    assert ran.returncode == 2
    assert "Traceback" not in ran.stderr


def test_a_reader_that_goes_away_is_no_fault(tmp_path: Path, clock: FixedClock) -> None:
    path = tmp_path / "log.jsonl"
    with Log(path, clock) as log:
        from reedkin.domain.events import Event

        now, first = clock.now(), log.uids.new()
        log.write([
            Event(uid, first, "noted" if place else "tied", "1", now, now, uid, {} if place else {"instrument": "oboe"},
                  None, "x" * 2000)
            for place, uid in enumerate([first, *(log.uids.new() for _ in range(300))])
        ])  # fmt: skip
    running = subprocess.Popen(
        [sys.executable, "-m", "reedkin", "--log", str(path), "export"], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(Path(reedkin.__file__).parents[1])},
    )  # fmt: skip
    assert running.stdout is not None
    assert running.stderr is not None
    assert running.stdout.readline().startswith(b"tag,kind,at")
    running.stdout.close()
    assert running.wait(60) == 1
    assert running.stderr.read() == b""
    running.stderr.close()


def test_a_terminal_that_lacks_characters_is_served(run: CommandLine) -> None:
    run.enter("1 tie oboe 72 tube 47", "1 clip .5")
    ran = process("--log", str(run.path), "show", "1", env={"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert ran.returncode == 0
    assert "72 \\u2192 71.5 mm" in ran.stdout


def test_the_log_of_the_environment(run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run.enter("1 tie oboe 72")
    assert "oboe" in process("show", "1", env={"REEDKIN_LOG": str(run.path)}).stdout
    monkeypatch.delenv("REEDKIN_LOG", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert usual_log().name == "log.jsonl"
    assert "reedkin" in usual_log().parts


@pytest.mark.skipif(os.name == "nt", reason="closes the streams as a shell does with >&-")
@pytest.mark.parametrize("closed", [(1,), (2,), (0, 1, 2)])
def test_closed_streams_are_no_fault_and_nothing_is_printed_into_the_log(run: CommandLine, closed: tuple[int]) -> None:
    run.enter("1 tie oboe 72")
    ended = subprocess.run(
        ["sh", "-c", " ".join(['exec "$@"', *(f"{n}>&-" for n in closed)]), "sh",
         sys.executable, "-m", "reedkin", "--log", str(run.path), "add", "1 clip .5"],
        capture_output=True, check=False, timeout=60,
        env={**os.environ, "PYTHONPATH": str(Path(reedkin.__file__).parents[1])},
    )  # fmt: skip
    assert ended.returncode == 0
    assert run.done("show", "1", "--json").json["overall_mm"] == 71.5
    run.done("check")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_what_cannot_be_printed_is_told_and_stands(run: CommandLine) -> None:
    run.enter("1 tie oboe 72")
    with Path("/dev/full").open("w") as full:
        ended = subprocess.run(
            [sys.executable, "-m", "reedkin", "--log", str(run.path), "add", "1 clip .5"],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
            env={**os.environ, "PYTHONPATH": str(Path(reedkin.__file__).parents[1])},
        )  # fmt: skip
    assert ended.returncode == 1
    (told,) = ended.stderr.splitlines()
    assert "What was recorded stands" in told
    assert run.done("show", "1", "--json").json["overall_mm"] == 71.5


@pytest.mark.skipif(not Path("/dev/stdin").exists(), reason="needs a name for the standard input")
def test_an_export_can_be_piped_into_an_import(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie oboe 72", "1 clip .5")
    ended = subprocess.run(
        [sys.executable, "-m", "reedkin", "--log", str(tmp_path / "new.jsonl"), "import", "/dev/stdin"],
        input=run.done("export").out.encode(), capture_output=True, check=False, timeout=60,
        env={**os.environ, "PYTHONPATH": str(Path(reedkin.__file__).parents[1])},
    )  # fmt: skip
    assert ended.returncode == 0
    assert run.done("export", log=tmp_path / "new.jsonl").out == run.done("export").out


@pytest.mark.skipif(os.name == "nt", reason="names that the systems of this family refuse")
@pytest.mark.parametrize(
    "words", ["stock", "add 1 tie oboe 72", "check", "import {}", "merge {}", "export {}", "--log ok.jsonl import {}"]
)
@pytest.mark.parametrize("name", ["x" * 300, "loop", "file/log.jsonl"])
def test_a_name_that_the_system_refuses_is_told_plainly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: str, name: str
) -> None:
    (tmp_path / "loop").symlink_to("loop")
    (tmp_path / "file").touch()
    monkeypatch.chdir(tmp_path)
    path = str(tmp_path / name)
    code = command_line.guarded(["--log", path, *words.format(path).split()])
    told = capsys.readouterr().err
    assert code in (1, 2, 3)
    assert told
    assert "in the program itself" not in told


def test_words_that_are_not_understood_cannot_steer_the_terminal(run: CommandLine) -> None:
    ran = run("stock", "\x1b[31mred")
    assert ran.code == 2
    assert "\x1b" not in ran.err


def test_an_entry_that_is_not_utf_8_is_bad_input(run: CommandLine) -> None:
    run.enter("1 tie oboe 72")
    before = run.path.read_bytes()
    ran = run("add", "1 note " + b"\xff".decode("utf-8", "surrogateescape"))
    assert ran.code == 2
    assert "Nothing was recorded" in ran.err
    assert run.path.read_bytes() == before


def _raising(error: BaseException) -> object:
    def main(argv: object) -> int:
        raise error

    return main


def test_what_nobody_foresaw_is_told_and_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("platformdirs.user_log_path", lambda *_, **__: tmp_path)
    monkeypatch.setattr(command_line, "main", _raising(RuntimeError("the plaque is missing")))
    assert command_line.guarded(["show", "a name of hers"]) == 1
    said = capsys.readouterr().err
    assert "the plaque is missing" in said
    assert "Traceback" not in said
    report = (tmp_path / "errors.log").read_text()
    assert "Traceback" in report
    assert " show\n" in report
    assert "a name of hers" not in report


def test_reports_are_private_and_do_not_grow_without_end(tmp_path: Path, clock: FixedClock) -> None:
    def deeper(secret: str) -> None:
        shallower(secret)

    def shallower(secret: str) -> None:
        deeper(secret)

    hers = " ".join(["the", "bell", "note", "buzzes"])
    for number in range(15):
        with pytest.raises(RecursionError) as fault:
            deeper(hers)
        kept = keep_report(tmp_path, fault.value, f"run {number}", clock.now())
    report = kept.read_text()
    assert kept.stat().st_mode & 0o777 == 0o600
    assert len(report) < 250_000
    assert report.startswith("== ")
    assert report.count("\n== ") > 5
    assert "run 14\n" in report
    assert "run 0\n" not in report
    assert "RecursionError" in report
    assert hers not in report


def test_ctrl_c_ends_quietly(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(command_line, "main", _raising(KeyboardInterrupt()))
    assert command_line.guarded([]) == 130
    assert capsys.readouterr().err == ""
