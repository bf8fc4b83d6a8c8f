"""`reedkin` by itself and `reedkin demo`: which log the full-screen program is given."""

from __future__ import annotations

import sys
from datetime import datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

from reedkin.cli import context
from reedkin.cli.commands import demo
from reedkin.domain.clock import Clock
from reedkin.store.log import Log
from tests.cli.conftest import CommandLine

Opened = list[tuple[Path, Clock, bool, bool]]


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Opened:
    """What the full-screen program was opened with, in place of opening it."""
    calls: Opened = []

    def open_app(path: Path, clock: Clock, demo: bool = False, walk: bool = False) -> int:
        calls.append((path, clock, demo, walk))
        return 0

    monkeypatch.setattr(context, "on_terminal", lambda: True)
    monkeypatch.setattr("platformdirs.user_state_path", lambda *_, **__: tmp_path / "state")
    monkeypatch.setitem(sys.modules, "reedkin.app", SimpleNamespace(open_app=open_app))
    return calls


@pytest.mark.parametrize("words", [(), ("demo",)])
def test_without_a_terminal_it_says_so(run: CommandLine, words: tuple[str, ...]) -> None:
    ran = run(*words)
    assert ran.code == 2
    assert "needs a terminal" in ran.err
    assert not run.path.exists()


def test_without_a_command_the_program_opens_the_log(run: CommandLine, opened: Opened) -> None:
    run.done()
    assert opened == [(run.path, run.clock, False, False)]


@pytest.mark.parametrize(("words", "name"), [((), "three_seasons"), (("first-month",), "first_month")])
def test_the_demo_opens_a_copy_on_its_own_last_day(
    run: CommandLine, opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str], name: str
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    ran = run.done("demo", *words)
    ((path, clock, is_demo, _),) = opened
    assert is_demo
    assert clock.now().utcoffset() == clock.local(datetime(2026, 11, 21, 20)).utcoffset() == timedelta(hours=1)
    assert str(path) in ran.out
    assert path.is_relative_to(tmp_path)
    assert path.name == f"{name}.jsonl"
    assert path.read_bytes() == demo.demo_log(name.replace("_", "-")).read_bytes()
    with Log(path, clock) as log:
        last = max(reed.last.at for reed in log.bench.reeds())
    assert timedelta(0) <= clock.now() - last < timedelta(minutes=5)


def test_a_demo_that_is_not_there(run: CommandLine, opened: Opened) -> None:
    assert run("demo", "opera").code == 2
    assert not opened


def test_the_walk_comes_with_the_first_demo_and_then_when_it_is_asked_for(
    run: CommandLine, opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    for words in (("--no-walk",), ("first-month",), (), (), ("--walk",)):
        run.done("demo", *words)
    assert [walk for *_, walk in opened] == [False, False, True, False, True]


def test_where_nothing_can_be_noted_the_walk_comes_all_the_same(
    run: CommandLine, opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    (tmp_path / "state").write_text("no folder")
    assert "--no-walk" in run.done("demo").err
    assert opened[0][-1]
