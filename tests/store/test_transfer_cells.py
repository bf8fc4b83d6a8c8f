"""Cells of CSV: what a spreadsheet would run is neutralised, and reading gives back what was written."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedkin.store.transfer.cells import cell, neutralised, restored

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
tricky = st.text("'=+-@\t\r\n \",;a1", max_size=6)

# The beginnings that OWASP names under "CSV Injection" (from memory), and wide forms of the first four.
DANGEROUS = ("=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", "  =1")


@pytest.mark.parametrize("text", DANGEROUS)
def test_formulas_get_an_apostrophe(text: str) -> None:
    assert neutralised(text) == f"'{text}"


@pytest.mark.parametrize("text", ["dark", "C5 -20c", "1/64", "it's dark", "'quoted'", "", "a=b"])
def test_other_text_stays(text: str) -> None:
    assert neutralised(text) == text


@given(texts | tricky)
def test_reading_takes_off_exactly_what_writing_put_on(text: str) -> None:
    assert restored(neutralised(text)) == text


@given(st.lists(texts | tricky, min_size=2, max_size=4))
def test_the_csv_module_reads_what_is_written(row: list[str]) -> None:
    line = ",".join(map(cell, row)) + "\r\n"
    (read,) = csv.reader(io.StringIO(line, newline=""), strict=True)
    assert [restored(text) for text in read] == row


@given(st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**53), 2**53))
def test_numbers_are_written_bare_and_exactly(number: float) -> None:
    assert float(cell(number)) == number
    assert "'" not in cell(number)


def test_a_cell_with_a_semicolon_is_quoted_so_that_no_program_splits_it() -> None:
    assert cell("soft;=1+1") == '"soft;=1+1"'
    assert cell(True) == "yes"
    assert cell(None) == ""
