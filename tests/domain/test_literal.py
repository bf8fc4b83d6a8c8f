"""Text from outside is shown as it is written and can do nothing."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reedkin.domain.literal import literal, literal_cells

BIDIRECTIONAL = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""All characters that Unicode gives the property Bidi_Control (Unicode Standard Annex 9, table 1 and 2.7)."""

ANY_TEXT = st.text(st.characters())
examples = settings(deadline=None, derandomize=True)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain, with a dash – and a quote ’", "plain, with a dash – and a quote ’"),
        ("\x1b[31mred\x1b[0m", "␛[31mred␛[0m"),
        ("\x1b]0;title\x07", "␛]0;title␇"),
        ("a\tb\rc\nd\x00e\x7f", "a␉b␍c␊d␀e␡"),
        ("\x9b31m", "\\x9b31m"),
        ("reed \u202eevil", "reed \\u202eevil"),
        ("a\u2028b\ufeffc\u200bd\u00ade", "a\\u2028b\\ufeffc\\u200bd\\xade"),
        ("broken \udc80", "broken \\udc80"),
        ("hidden \U000e0041", "hidden \\U000e0041"),
        ("[bold]markup[/bold] {x} %s", "[bold]markup[/bold] {x} %s"),
        ("中文 né́e Ωραία", "中文 né́e Ωραία"),
        ("می\u200cروم", "می\u200cروم"),
        ("\u2764\ufe0f \U0001f469\u200d\U0001f3a4", "\u2764 \U0001f469\U0001f3a4"),
        ("deux\u00a0: trois", "deux\u00a0: trois"),
        ("", ""),
    ],
)
def test_shown(text: str, shown: str) -> None:
    assert literal(text) == shown


def test_every_bidirectional_control_is_spelled_out() -> None:
    for char in BIDIRECTIONAL:
        assert literal(char) == f"\\u{ord(char):04x}"


@given(ANY_TEXT)
@examples
def test_nothing_is_left_that_a_terminal_obeys(text: str) -> None:
    shown = literal(text)
    assert not {"Cc", "Cs", "Zl", "Zp"} & {unicodedata.category(char) for char in shown}
    assert not set(shown) & set(BIDIRECTIONAL)
    assert literal(shown) == shown
    shown.encode("utf-8")


@examples
@given(ANY_TEXT)
def test_one_for_one_is_as_long_and_as_harmless(text: str) -> None:
    shown = literal_cells(text)
    assert len(shown) == len(text)
    assert literal(shown) == shown
    assert literal_cells("a\x1b[31m \u202eb") == "a␛[31m \ufffdb"
