"""Names of files as they are typed."""

from __future__ import annotations

from pathlib import Path

import pytest

from reedkin.domain.paths import here, in_a_name, named_path
from reedkin.errors import InputError


def test_the_home_folder_is_meant_by_a_tilde(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    assert named_path(" ~/reeds.txt ") == tmp_path / "reeds.txt"


@pytest.mark.parametrize("text", ["~nosuch-somebody/x", "", "  ", "a\0b"])
def test_what_names_no_file_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        named_path(text)


def test_a_folder_that_is_gone_is_no_fault(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    assert here("week.txt") == "week.txt"


@pytest.mark.parametrize(("label", "name"), [("12/1", "12-1"), ("Ö 7b", "Ö-7b"), ("..\\7\x1b[2J\u202e", "..-7--2J-")])
def test_a_label_in_a_name_leads_nowhere_and_hides_nothing(label: str, name: str) -> None:
    assert in_a_name(label) == name
