"""The screen of what would be given to a circle: all of it is seen before it is written."""

from __future__ import annotations

from pathlib import Path

from reedkin.screens.share import ShareScreen
from reedkin.store.circle.shares import read_share
from tests.screens.asking import FIVE_LIVES, answered
from tests.screens.conftest import Opened


async def test_it_is_seen_and_then_written(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await bench.keys("<f5>")
        await answered(bench)
        await bench.keys("g")
        await answered(bench)
        assert isinstance(bench.app.screen, ShareScreen)
        for said in ("Never given: tags, days", "5 reeds served, 3 worn out", "oboe: 5, 3 worn out", "No habit yet"):
            assert said in bench.shown
        file = tmp_path / "circle.json"
        for number in range(2):  # the second time in place of the first
            await bench.keys("w")
            await bench.answer(str(file))
            await bench.keys("y" if number else "")
            assert "Written to" in bench.shown
        assert read_share(file).retired == 3
