"""A list of rows of which one is marked."""

from __future__ import annotations

from reedkin.charts.canvas import Run
from reedkin.widgets.row_list import RowList


def test_the_mark_stays_with_what_its_row_is_about() -> None:
    rows = RowList()

    def marked(about: str, place: int | None = None) -> str:
        rows.show([[Run(one)] for one in about], place=place, about=about)
        return about[rows.place]

    assert marked("abc", place=1) == "b"
    assert marked("xaybc") == "b"
    assert marked("bca") == "b"
    assert marked("cda") == "c"  # b is gone: the mark stays in its place
    assert marked("dac", place=0) == "d"
