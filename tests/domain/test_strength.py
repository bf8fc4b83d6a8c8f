"""How strong a reed is asked for, out of people's own words."""

from __future__ import annotations

import pytest

from reedkin.domain.strength import strength_asked, strength_said


@pytest.mark.parametrize(
    ("words", "asked", "said"),
    [
        ("medium soft please", "medium soft", ""),
        ("Medium-hard", "medium hard", ""),
        ("med. soft", "medium soft", ""),
        ("medium", "medium", ""),
        ("hard as last time", "hard", ""),
        ("not too hard, easy low notes", "not too hard", ""),
        ("loves it, not too soft", "not too soft", ""),
        ("a bit softer please", "", "too hard"),
        ("too hard", "", "too hard"),
        ("a little too soft for her", "", "too soft"),
        ("rather stiff", "", "too hard"),
        ("too hard to blow", "", "too hard"),
        ("medium, but a bit harder than the last", "medium", "too soft"),
        ("too hard below, too soft above", "", ""),
        # Words that mean something else
        ("too hard to tune", "", ""),
        ("hard to play", "", ""),
        ("hardly any tone", "", ""),
        ("soft in the low register", "", ""),
        ("strong tone, a bit sharp", "", ""),
        ("isn't too hard", "not too hard", ""),
        ("", "", ""),
    ],
)
def test_what_words_say_of_strength(words: str, asked: str, said: str) -> None:
    assert (strength_asked(words), strength_said(words)) == (asked, said)
