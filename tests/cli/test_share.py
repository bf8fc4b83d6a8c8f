"""`reedkin share`: shown whole, asked, and only then written."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from reedkin.store.circle.shares import read_share
from tests.cli.conftest import CommandLine


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_it_shows_all_of_it_and_asks(run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run.enter("1-2 tie oboe 72", "1 play 45 8")
    file = tmp_path / "circle.json"
    ran = run("share", str(file))
    assert (ran.code, "add --yes" in ran.err, file.exists()) == (2, True, False)
    for answer, code in (("n\n", 1), ("\n", 1), ("y\n", 0)):
        monkeypatch.setattr(sys, "stdin", Terminal(answer))
        ran = run("share", str(file))
        assert "1 reed served, 0 worn out" in ran.out
        assert "Never given" in ran.out
        assert (ran.code, file.exists()) == (code, code == 0)
    assert read_share(file).reeds == 1
    assert run("share", str(file), "--yes").code == 2
    run.enter("2 play 30 7")
    run.done("share", str(file), "--yes", "--force")
    assert read_share(file).reeds == 2
    assert "log itself" in run("share", str(run.path), "--yes", "--force").err


def test_as_json_it_shows_the_very_file(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie oboe 72", "1 play 45 8")
    file = tmp_path / "circle.json"
    told = run.done("share", str(file), "--json").json
    assert not file.exists()
    run.done("share", str(file), "--yes")
    assert json.loads(file.read_text()) == told
