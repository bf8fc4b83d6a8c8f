"""The page on what the numbers mean: the help has all of it, on the screen and from the shell."""

from __future__ import annotations

from reedkin.domain.meaning import NUMBERS
from reedkin.screens.topics import holding, topics


def test_the_help_says_what_the_numbers_mean() -> None:
    every = topics()
    for term, said in NUMBERS:
        assert said in {topic.said for topic in holding(every, term)}
