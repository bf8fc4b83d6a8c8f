"""The width of text in columns, checked against the tables of rich, which lays the screen out."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from reedkin.domain.columns import beneath, columns, cut, fit, fold, fold_text

examples = settings(deadline=None, derandomize=True)
TEXT = st.text(st.characters(exclude_categories=("Cc", "Cs", "Co", "Cn", "Zl", "Zp")))


@pytest.mark.parametrize(
    ("text", "wide"),
    [("", 0), ("reed", 4), ("中文", 4), ("ｆ", 2), ("e\u0301", 1), ("Ωμέγα", 5), ("─│⣿▴", 4), ("한글", 4)],
)
def test_columns(text: str, wide: int) -> None:
    assert columns(text) == wide == cell_len(text)


def test_letters_and_the_characters_of_drawings_are_as_wide_as_the_screen_takes_them() -> None:
    ranges = ((0x20, 0x250), (0x370, 0x530), (0x2500, 0x25E0), (0x2800, 0x2900), (0x3040, 0x3100), (0x4E00, 0x9F00))
    for start, end in ranges:
        for char in map(chr, range(start, end)):
            if unicodedata.category(char) not in ("Cc", "Cn", "Cf"):
                assert columns(char) == cell_len(char), hex(ord(char))


@given(TEXT, st.integers(0, 30), st.sampled_from("<^>"))
@examples
def test_fitted_text_is_exactly_as_wide_as_asked(text: str, width: int, align: str) -> None:
    assert columns(fit(text, width, align)) == width


@given(TEXT, st.integers(0, 30))
@examples
def test_cut_text_is_a_beginning(text: str, width: int) -> None:
    short = cut(text, width)
    assert columns(short) <= width
    assert short == text or text.startswith(short.removesuffix("…"))


def test_a_wide_character_is_not_cut_in_half() -> None:
    assert cut("中文字", 5) == "中文…"
    assert cut("中文字", 4) == "中…"


def test_what_is_cut_ends_with_a_whole_word_where_that_leaves_most_of_it() -> None:
    assert cut("Rest from tying to first scrape", 28) == "Rest from tying to first…"
    assert cut("played 21 min, practice, scored 6.5", 18) == "played 21 min…"
    assert cut("scraped tip, 5 min", 16) == "scraped tip…"  # a number is not parted from its unit
    assert cut("to unaccompanied", 12) == "to unaccomp…"
    assert fit("中文字", 4) == "中… "


@given(TEXT, st.integers(-4, 30), st.integers(0, 6))
@example("0中", 2, 1)
@examples
def test_folded_text_fits_and_keeps_its_letters(text: str, width: int, hang: int) -> None:
    lines = fold(text, width, hang)
    assert all(columns(line) <= max(width, 2) for line in lines)  # there is room for a character, be it a wide one
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_what_goes_on_is_set_in() -> None:
    assert fold("  lot 7: 10 pieces left", 14) == ["  lot 7: 10", "    pieces", "    left"]
    assert fold("a b", 3) == ["a b"]
    assert fold("", 3) == [""]
    assert fold("gouge", 3, hang=0) == ["gou", "ge"]
    assert fold_text(["tip\nheart"]) == ["tip␊heart"]


def test_cells_stand_beneath_each_other_and_what_no_row_has_takes_no_room() -> None:
    assert beneath([("7", "", "12 h"), ("142/2", "", "3 h")]) == ["7      12 h", "142/2  3 h"]


def test_a_number_stays_with_its_unit_and_a_day_with_its_month() -> None:
    assert fold("tied, blade 25 mm", 15, 0) == ["tied, blade", "25 mm"]
    assert fold("due by Thu 24 Dec, or", 14, 0) == ["due by Thu", "24 Dec, or"]
    assert fold("played 12 h 05 in all", 13, 0) == ["played", "12 h 05 in", "all"]
    assert fold("lot 7 mine", 6, 0) == ["lot 7", "mine"]
