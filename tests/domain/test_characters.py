"""Characters of foreign keyboards, phones and spreadsheets, taken for what they look like."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedkin.domain.characters import in_decimals, looks_like, plain_cell, plain_word


@given(st.text())
def test_places_in_a_line_stay_where_they_are(text: str) -> None:
    assert len(looks_like(text)) == len(text)
    assert looks_like(looks_like(text)) == looks_like(text)


@pytest.mark.parametrize(
    ("taken", "typed", "meant"),
    [
        (looks_like, "１２", "12"),
        (looks_like, "ｐｌａｙ；", "play;"),
        (looks_like, "٤٥", "45"),
        (looks_like, "1⁄64", "1/64"),
        (looks_like, "10‑12", "10-12"),
        (plain_word, "–20c", "-20c"),
        (plain_word, "−20c", "-20c"),
        (plain_word, "10—12", "10-12"),
        (plain_word, "45’", "45'"),
        (plain_word, "1/64”", '1/64"'),
        (plain_word, "play\u200b", "play"),
        (plain_word, "\u202e", ""),
        (plain_word, "Wre\u0301n", "Wr\u00e9n"),
        (plain_word, "O’Brien", "O’Brien"),
        (plain_word, "—", "—"),
        (plain_cell, "7½", "7.5"),
        (plain_cell, "1 ⅓ h", "1.3333 h"),
        (plain_cell, "30\u00a0min", "30 min"),
        (plain_cell, "2025‑02‑02", "2025-02-02"),
        (plain_cell, "１", "1"),
        (plain_cell, "hart – aber gut", "hart – aber gut"),
    ],
)
def test_it_is_taken_for_what_it_looks_like(taken: Callable[[str], str], typed: str, meant: str) -> None:
    assert taken(typed) == meant


def test_fractions_of_one_character_in_decimals() -> None:
    assert [in_decimals(sign) for sign in "½⅔⅛"] == [".5", ".6667", ".125"]
