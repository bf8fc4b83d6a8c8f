"""Characters of foreign keyboards, phones and spreadsheets, taken for what they look like."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedkin.domain.characters import in_decimals, looks_like, plain_cell, plain_word


@given(st.text())
def test_places_in_a_line_stay_where_they_are(text: str) -> None:
    assert len(looks_like(text)) == len(text)
    assert looks_like(looks_like(text)) == looks_like(text)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("１２", "12"),
        ("ｐｌａｙ；", "play;"),
        ("٤٥", "45"),
        ("1⁄64", "1/64"),
        ("10‑12", "10-12"),
    ],
)
def test_what_looks_like_ascii_is_taken_for_it(typed: str, meant: str) -> None:
    assert looks_like(typed) == meant


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("–20c", "-20c"),
        ("−20c", "-20c"),
        ("10—12", "10-12"),
        ("45’", "45'"),
        ("1/64”", '1/64"'),
        ("play\u200b", "play"),
        ("\u202e", ""),
        ("Wre\u0301n", "Wr\u00e9n"),
        ("O’Brien", "O’Brien"),
        ("—", "—"),
    ],
)
def test_a_word_is_taken_as_one_types_it(typed: str, meant: str) -> None:
    assert plain_word(typed) == meant


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("7½", "7.5"),
        ("1 ⅓ h", "1.3333 h"),
        ("30\u00a0min", "30 min"),
        ("2025‑02‑02", "2025-02-02"),
        ("１", "1"),
        ("hart – aber gut", "hart – aber gut"),
    ],
)
def test_a_cell_is_in_plain_figures(typed: str, meant: str) -> None:
    assert plain_cell(typed) == meant


def test_fractions_of_one_character_in_decimals() -> None:
    assert [in_decimals(sign) for sign in "½⅔⅛"] == [".5", ".6667", ".125"]
