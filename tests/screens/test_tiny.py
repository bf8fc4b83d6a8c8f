"""A terminal of one cell, as a window leaves it that is drawn together."""

from __future__ import annotations

from tests.screens.asking import FIVE_LIVES, answered
from tests.screens.conftest import Opened


async def test_every_room_holds_in_one_cell_and_is_there_when_there_is_room_again(opened: Opened) -> None:
    async with opened((1, 1), *FIVE_LIVES) as bench:
        for key, name in (("3", "reed"), ("4", "lives"), ("5", "habits"), ("6", "case"), ("7", "ready"), ("8", "week"),
                          ("10", "diary")):  # fmt: skip
            await bench.keys(f"<f{key}>")
            await answered(bench)
            assert name == bench.app.screen.TITLE
        await bench.keys("<f8>8")
        await answered(bench)
        await bench.pilot.resize_terminal(80, 24)
        await bench.settle()
        assert "week" in bench.shown.splitlines()[0]
