"""The screen of a circle: how it begins, and what others make of one's own answer."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from reedkin.screens.circle import CircleScreen
from reedkin.store.circle.shares import write_share
from tests.screens.asking import answered
from tests.screens.conftest import Opened
from tests.shares import habit, share


async def test_how_it_begins(opened: Opened) -> None:
    async with opened((80, 24)) as bench:
        await bench.keys("<f5>c")
        for said in (
            "What you give",
            "What you get",
            "years sooner",
            "where makers differ",
            "last word",
            "such as anna.json",
        ):
            assert said in bench.shown


async def test_a_folder_that_cannot_be_looked_into_is_told(
    opened: Opened, log_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (log_path.parent / "circle").mkdir()
    whole = Path.iterdir

    def closed(folder: Path) -> Iterator[Path]:
        if folder.name == "circle":
            raise PermissionError(13, "Permission denied")
        return whole(folder)

    async with opened((120, 40)) as bench:
        monkeypatch.setattr(Path, "iterdir", closed)
        await bench.keys("<f5>c")
        assert "Permission denied" in bench.shown


@pytest.mark.usefixtures("demo")
async def test_each_maker_is_drawn_in_the_row_and_ones_own_marked(opened: Opened, log_path: Path) -> None:
    folder = log_path.parent / "circle"
    folder.mkdir()
    for maker, value in enumerate((0.5, 0.4, 0.6, 0.5, -1.4), 1):
        write_share(folder / f"maker{maker}.json", share(maker, (habit(value, 0.2),)))
    (folder / "broken.json").write_text("{}")
    async with opened((80, 24)) as bench:
        await bench.keys("<f5>c")
        await answered(bench)
        assert isinstance(bench.app.screen, CircleScreen)
        row = next(line for line in bench.shown.splitlines() if line.startswith("▸"))
        assert "◆" in row
        assert "•" in row
        for said in ("You and 5 other makers", "broken.json is no file", "maker5 is unlike the others",
                     "that it matters for you", "by your log alone"):  # fmt: skip
            assert said in bench.shown
