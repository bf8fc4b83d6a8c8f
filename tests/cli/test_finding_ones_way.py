"""Finding one's way from a shell: the help by words, the nearest of what is unknown, completion, the page for man."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from reedkin.cli.commands import COMMANDS
from reedkin.cli.main import commands_meant
from tests.cli.conftest import CommandLine


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (("stok",), "did you mean stock"),
        (("Show", "1"), "did you mean show"),
        (("hepl",), "did you mean help"),
        (("142", "scrape"), "did you mean to record it? reedkin add 142"),
        (("clip", ".5"), "did you mean to record it? reedkin add clip"),
        (("stock", "--jsn"), "did you mean --json"),
        (("lifespans", "--clock", "hour"), "did you mean hours"),
        (("export", "csv"), "reedkin export --format csv"),
    ],
)
def test_what_is_unknown_names_the_nearest(run: CommandLine, words: tuple[str, ...], meant: str) -> None:
    run.enter("1 tie oboe 72")
    ran = run(*words)
    assert ran.code == 2
    assert meant in ran.err


@pytest.mark.parametrize(
    ("line", "meant"),
    [("stock", "stock"), ("--log show add 7 tie", "add"), ("--log=add show 7", "show"), ("", ""), ("--log show", ""),
     ("stok stock", None), ("--help show", None), ("-- show", None)],
)  # fmt: skip
def test_only_a_line_that_begins_with_a_command_is_spared_the_others(line: str, meant: str | None) -> None:
    every = [command.name for command in COMMANDS]
    wanted = every if meant is None else meant.split()
    assert [command.name for command in commands_meant(line.split())] == wanted


def test_a_file_that_is_called_as_a_format_is_written_where_it_is_meant(
    run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run.enter("1 tie oboe 72")
    monkeypatch.chdir(tmp_path)
    run.done("export", "./csv")
    assert Path("csv").read_text().startswith("tag,kind")


def test_the_help_is_searched_by_words(run: CommandLine) -> None:
    assert "F5 habits" in run.done("help", "shorter", "lives").out
    assert "28 awg" in run.done("help", "wire").out
    assert "2020-12" in run.done("help", "schema").out
    every = run.done("help").out
    assert all(f"reedkin {command.name}" in every for command in COMMANDS)
    nothing = run("help", "stok")
    assert nothing.code == 1
    assert "Near: stock" in nothing.out


def test_completion_knows_commands_options_and_tags(run: CommandLine) -> None:
    run.enter("41 tie oboe 72 lot 7", "42 tie oboe 72", "50 tie oboe 72", "42 retire never came good")

    def offered(*typed: str) -> list[str]:
        return run.done("completion", "words", "--", *typed).lines

    assert offered("st") == ["stock", "steady", "strike"]
    assert offered("show", "4") == ["41"]
    assert offered("stock", "--j") == ["--json"]
    assert offered("lifespans", "--clock", "") == ["hours", "days"]
    assert offered("cane", "")[0] == "7"
    assert offered("--log", str(run.path), "show", "5") == ["50"]
    assert offered("--log", "/no/such/log", "show", "5") == []
    assert offered("--log", "=", str(run.path), "show", "5") == offered(f"--log={run.path}", "show", "5") == ["50"]


def test_completion_knows_people_trials_backups_habits_and_entry_lines(run: CommandLine) -> None:
    run.enter("41 tie oboe 72", 'lot "Blue bag" 20 pieces', "41 lend to Anna", "trial start wire before or after eh")

    def offered(*typed: str) -> list[str]:
        return run.done("completion", "words", "--", *typed).lines

    assert offered("people", "") == ["Anna"]
    assert offered("cane", '"bl') == ["Blue bag"]
    assert offered("trial", "compare", "") == ["wire"]
    assert offered("restore", "") == ["2026-03-12T100700+0100"]
    assert offered("lifespans", "--by", "lo") == ["lot", "longest_playing"]
    assert offered("add", "41", "scr") == ["scrape"]
    assert offered("ready", "--instrument", "e") == ["eh"]
    assert offered("help", "st") == ["stock", "steady", "strike"]
    assert offered("stock", "")[0] == "--help"
    assert offered("show", "x") == []


def test_no_name_is_completed_within_quotes_that_a_shell_would_run(run: CommandLine) -> None:
    """A shell quotes what it completes, but not behind a quote that was begun."""
    run.enter("41 tie oboe 72", "42 tie oboe 72", "43 tie oboe 72", "41 lend to $(rm x)", "42 lend to D'Arc")
    run.enter("43 lend to Anna")

    def offered(begun: str) -> list[str]:
        return sorted(run.done("completion", "words", "--", "people", begun).lines)

    assert offered("") == ["$(rm x)", "Anna", "D'Arc"]
    assert offered('"') == ["Anna", "D'Arc"]
    assert offered("'") == ["$(rm x)", "Anna"]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_script_for_each_shell_is_one_that_it_can_read(run: CommandLine, shell: str) -> None:
    script = run.done("completion", shell).out
    assert "reedkin completion words --" in script
    if shutil.which(shell):
        subprocess.run([shell, "-n"], input=script, text=True, check=True, timeout=20)


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not here")
@pytest.mark.parametrize(
    ("typed", "gives"), [("Bl", ["Blue\\ bag", "Blue", "41"]), ('"Bl', ["Blue bag", "Blue", "41"])]
)
def test_bash_keeps_together_what_holds_a_space(run: CommandLine, typed: str, gives: list[str]) -> None:
    script = run.done("completion", "bash").out
    asked = f"""
    reedkin() {{ [[ $4 == cane && $5 == '{typed}' ]] && printf 'Blue bag\\nBlue\\n41\\n'; }}
    {script}
    COMP_WORDS=(reedkin cane '{typed}') COMP_CWORD=2
    _reedkin
    printf '%s\\n' "${{COMPREPLY[@]}}"
    """
    ran = subprocess.run(["bash", "-c", asked], capture_output=True, text=True, check=True, timeout=20)
    assert ran.stdout.splitlines() == gives


def test_the_page_for_man_has_every_command_and_option(run: CommandLine) -> None:
    page = run.done("help", "--man").out
    assert page.startswith(".TH REEDKIN 1")
    for command in COMMANDS:
        assert f".SS {command.name}" in page
    assert ".SH EXIT STATUS" in page
    assert "\\-\\-json" in page
    if shutil.which("groff"):
        ran = subprocess.run(
            ["groff", "-man", "-Tutf8", "-ww"], input=page, text=True, capture_output=True, check=True, timeout=20
        )
        assert ran.stderr == ""
