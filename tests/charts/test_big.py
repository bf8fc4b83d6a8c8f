"""Tags drawn large."""

from __future__ import annotations

import pytest

from reedkin.charts.big import ROWS, big

SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-/.'"


def test_no_two_signs_look_alike() -> None:
    assert len({tuple(big(sign, 10)) for sign in SIGNS}) == len(SIGNS)


@pytest.mark.parametrize("tag", ["1", "148", "12/1", "7b", "a-very-long1", "gänseblume", "\x1b[2J", ""])
@pytest.mark.parametrize("width", [10, 39, 59])
def test_a_tag_has_five_rows_that_fit(tag: str, width: int) -> None:
    rows = big(tag, width)
    assert len(rows) == ROWS
    assert all(len(row) <= width for row in rows)
    assert "\x1b" not in "".join(rows)


def test_what_has_no_large_signs_stands_as_it_is() -> None:
    assert big("müller", 39)[2] == "müller"
    assert big("143", 39)[2] == "  ██    ██████  ██████"
