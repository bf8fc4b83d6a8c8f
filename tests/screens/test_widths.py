"""What a very wide or a tall screen makes of its room."""

from __future__ import annotations

from reedkin.widgets.reed_panel import ReedPanel
from reedkin.widgets.styled import WIDEST
from tests.screens.conftest import Opened

_LINES = ("1-4 join oboe 5h score 8", "1 p 45 8", "2 p 30 7")


async def test_no_row_is_wider_than_the_eye_follows(opened: Opened) -> None:
    async with opened((200, 60), *_LINES) as bench:
        for key, title in (("<f5>", "habits"), ("<f6>", "case"), ("<f8>", "week"), ("<f1>", "help")):
            await bench.keys(key)
            while getattr(bench.app.screen, "is_busy", False):
                await bench.settle()
            assert title == bench.app.screen.TITLE
            assert max(len(line) for line in bench.shown.splitlines()) <= WIDEST


async def test_where_the_case_leaves_room_the_marked_reed_is_drawn_and_the_week_has_what_follows(
    opened: Opened,
) -> None:
    async with opened((120, 40), *_LINES, first="<f6>") as bench:
        assert bench.app.screen.query_one(ReedPanel).display
        assert "3. " in bench.shown
        await bench.keys("<f8>")
        while bench.app.screen.is_busy:  # type: ignore[attr-defined]
            await bench.settle()
        assert "── yield and cost" in bench.shown
        await bench.pilot.resize_terminal(80, 24)
        await bench.settle()
        await bench.keys("v<f8>")
        assert "── yield and cost" not in bench.shown
