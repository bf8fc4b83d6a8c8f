"""The README: every command, every line to type and every name that it shows does, or is, what it says."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from reedkin.cli.commands import COMMANDS
from reedkin.cli.commands.demo import clock_on_last_day, demo_log
from reedkin.cli.main import main
from reedkin.domain.clock import Clock
from tests.cli.conftest import CommandLine

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
PROSE = re.sub(r"^```.*?^```$", "", README, flags=re.DOTALL | re.MULTILINE)
SHOWN = dict.fromkeys(re.findall(r"`([^`\n]+)`", PROSE))
"""All that stands as code between the words, each once."""


def blocks(name: str) -> list[str]:
    """The commands of the block of the README that is marked so."""
    (found,) = re.findall(rf"<!-- {name} -->\n```sh\n(.*?)```", README, re.DOTALL)
    return str(found).splitlines()


COMMANDS_SHOWN = [shown for shown in SHOWN if shown.split()[0] == "reedkin"]
TYPED = re.findall(r"^\| `(.+?)` \| (.+?) \|$", README, re.MULTILINE)
ENTRIES = ("set pedal on", "crow listen")
NAMES = {
    "cd": "goes to a folder",
    "python3 --version": "which Python there is",
    "sudo apt install python3-venv": "what Debian leaves out of its Python",
    "demo": "a word of the line above it",
    "--walk": "an option of it",
    "case": "a room",
    "diary": "a room",
    "?": "a key",
    "/": "a key of the help",
    ".": "this folder",
    "'.[listen,calendar]'": "extras",
    "listen": "an extra",
    "calendar": "an extra",
    "--json": "an option",
    "--schema": "an option",
}
RECORDED = [
    [("1", "tied", {"instrument": "english horn", "overall_mm": 60, "lot": "7", "tube_mm": 27})],
    [("12", "joined", {"instrument": "oboe", "hours_before": 5, "score": 8})],
    [("142", "clipped", {"clip_mm": 0.5})],
    [("142", "scraped", {"where": "tip", "minutes": 10}), ("142", "clipped", {"clip_mm": 0.5}),
     ("142", "crowed", {"crow": "C5 -20c"})],
    [("142", "played", {"minutes": 45, "setting": "rehearsal", "score": 8})],
    [("142", "retired", {"cause": "cracked"})],
]  # fmt: skip
"""What each line of the table records."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Clock]:
    path = Path(shutil.copy(demo_log("three-seasons"), tmp_path_factory.mktemp("demo")))
    return path, clock_on_last_day(path)


def test_nothing_is_shown_that_is_not_tried_here() -> None:
    known = {*COMMANDS_SHOWN, *(line for line, _ in TYPED), *ENTRIES, *NAMES}
    assert set(SHOWN) == known
    assert set(re.findall(r"<!-- (\w+) -->", README)) == {"demo", "test", "install", "ask"}


def test_it_is_a_page_and_a_half() -> None:
    assert len(re.sub(r"!\[.*?\]\(.*?\)", "", README).split()) < 1000


def test_on_windows_the_same_is_typed_as_its_shell_has_it() -> None:
    (line,) = blocks("demo")
    windows = (
        line.replace("python3", "py").replace("&&", ";").replace(".venv/bin/", ".venv\\Scripts\\").replace(" ;", ";")
    )
    assert f"```powershell\n{windows}\n```" in README


@pytest.mark.parametrize("line", blocks("ask"))
def test_every_question_is_answered(demo: tuple[Path, Clock], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    program, *words = shlex.split(line, comments=True)
    assert program == "reedkin"
    path, clock = demo
    assert main(["--log", str(path), *words], clock) == 0
    assert len(capsys.readouterr().out.splitlines()) > 2


@pytest.fixture
def in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where FILE is a spreadsheet."""
    monkeypatch.chdir(tmp_path)
    Path("FILE").write_text("Reed,Instrument,Tied on,Length\n7,oboe,25/02/2026,72 mm\n8,oboe,26/02/2026,71.5 mm\n")


@pytest.mark.usefixtures("in_a_folder")
@pytest.mark.parametrize("shown", COMMANDS_SHOWN)
def test_every_command_does_something(run: CommandLine, typed, shown: str) -> None:
    run.enter("1 tie oboe 72")
    words = shown.split()[1:]
    if not words or words == ["--log", "FILE"]:
        assert "The full-screen program needs a terminal" in run(*words).err  # tests/terminal gives it one
        return
    if words[0] in ("share", "import"):
        typed("y")
    if words[0] == "share":
        Path("FILE").unlink()
    for command in COMMANDS if "COMMAND" in words else (None,):
        ran = run.done(*(command.name if command and word == "COMMAND" else word for word in words))
        assert len(ran.lines) > 1 or words[0] == "export"
    if words[0] in ("share", "export"):
        assert Path(words[1]).read_text()
    if words[0] == "import":
        assert (run.log().bench.find("7") is None) == ("--dry-run" in words)


def test_every_line_of_the_table_records_what_is_said_beside_it(run: CommandLine) -> None:
    run.enter("142 tie eh 60; tubing 5 @10 march")
    for (line, said), expected in zip(TYPED, RECORDED, strict=True):
        run.done("add", line if line[0].isdigit() else f"142 {line}")
        events = run.done("diary", "--json").json["events"]
        entry = max(events, key=lambda event: event["uid"])["entry"]
        own = sorted((event for event in events if event["entry"] == entry), key=lambda event: str(event["uid"]))
        told = [(e["tag"], e["kind"], e["facts"]) for e in own]
        if "six English horn" in said:
            assert [tag for tag, *_ in told] == [str(tag) for tag in range(1, 7)]
            told = told[:1]
        assert told == expected, said
        run.clock.forward(minutes=1)
    assert events
    retired = next(event for event in events if event["kind"] == "retired")
    assert retired["at"].startswith("2026-03-11")


def test_the_keys_and_what_else_can_be_typed_are_in_the_help(run: CommandLine) -> None:
    help_ = run.done("help").out
    for key in ("F1", "?", "F10", "Ctrl+Z", "Ctrl+Q", "/", "alone, such as week", *ENTRIES):
        assert key in help_, key
    run.enter("set pedal on")


def test_the_pictures_load_nothing_and_show_what_is_said_of_them() -> None:
    for name in re.findall(r"\(demo_logs/pictures/(\w+)\.svg\)", README):
        picture = (ROOT / "demo_logs" / "pictures" / f"{name}.svg").read_text(encoding="utf-8")
        assert f"reedkin&#160;·&#160;{name}" in picture
        assert set(re.findall(r"https?://[^\"\s<]+", picture)) == {"http://www.w3.org/2000/svg"}
        assert "Reckoning" not in picture
    for linked in re.findall(r"\]\(([^)]+)\)", README):
        assert (ROOT / linked).exists(), linked


def ways_to_install() -> Iterator[list[str]]:
    """The commands that install it for good, those behind "to update:" too."""
    for line in blocks("install"):
        command, _, said = line.partition("#")
        yield command.split()
        if ":" in said:
            yield said.partition(":")[2].split()


def test_it_installs_for_good_and_updates(tmp_path: Path) -> None:
    """By uv, where it is there with what it built before, as in a run on a bare machine: without a network. pipx and
    pip install the very same from the same folder."""
    ways = list(ways_to_install())
    assert [way[0] for way in ways] == ["pipx", "pipx", "uv", "uv", "pip"]
    assert all(way[-1] == "." and "install" in way for way in ways)
    uv = shutil.which("uv", path=f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}")
    cached = None if uv is None else subprocess.run([uv, "cache", "dir"], capture_output=True, text=True).stdout.strip()
    if uv is None or not list(Path(str(cached)).glob("wheels-*")):
        pytest.skip("uv is not here, or has nothing to install from")
    there = {"UV_TOOL_DIR": str(tmp_path / "tools"), "UV_TOOL_BIN_DIR": str(tmp_path / "bin"), "UV_OFFLINE": "1"}
    for way in ways:
        if way[0] == "uv":
            subprocess.run([uv, *way[1:]], cwd=ROOT, env={**os.environ, **there}, check=True, timeout=60)
            ran = subprocess.run(
                [tmp_path / "bin" / "reedkin", "--version"], capture_output=True, text=True, check=True, timeout=20
            )
            assert ran.stdout.startswith("reedkin 1")
