"""A list of rows of which one is marked."""

from __future__ import annotations

import pytest
from textual.geometry import Size

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


def test_what_does_not_fit_begins_where_the_row_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = RowList()

    def shown_and_rest(text: str, width: int) -> tuple[str, str]:
        monkeypatch.setattr(RowList, "size", Size(width, 1))
        rows.show([[Run(text)]])
        return rows.render().plain, rows.cut_off

    assert shown_and_rest("tied, lot 13, shape F", 23) == ("▸ tied, lot 13, shape F", "")
    assert shown_and_rest("tied, lot 13, shape F", 17) == ("▸ tied, lot 13…", "shape F")
    assert shown_and_rest("tied, lot 13, shape F", 14) == ("▸ tied, lot…", "13, shape F")
    assert shown_and_rest("at unaccompanied, twice", 13) == ("▸ at unaccom…", "unaccompanied, twice")
