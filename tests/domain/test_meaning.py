"""The page on what the numbers mean: the same words in the README as on the help screen."""

from __future__ import annotations

from pathlib import Path

from reedkin.domain.meaning import NUMBERS


def test_the_readme_says_what_the_help_screen_says() -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    for term, said in NUMBERS:
        assert f"**{term}** {said}" in readme
