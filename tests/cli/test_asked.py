"""Questions at a terminal: what Enter alone means, and that a name in them steers nothing."""

from __future__ import annotations

import io
import sys

import pytest

from reedkin.cli.asked import agreed


@pytest.mark.parametrize(
    ("answer", "usual", "yes"),
    [("\n", False, False), ("\n", True, True), ("Y\n", False, True), ("n\n", True, False), ("", False, False)],
)
def test_what_is_taken_for_yes(monkeypatch: pytest.MonkeyPatch, answer: str, usual: bool, yes: bool) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(answer))
    assert agreed("Record it?", usual) is yes


def test_a_name_in_a_question_steers_no_terminal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n"))
    agreed("Write it to a\x1b[2J?")
    assert capsys.readouterr().err == "Write it to a␛[2J? [y/N] "
