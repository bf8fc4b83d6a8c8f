"""The screen of the season: the weeks, what to tie, and a plan that is changed."""

from __future__ import annotations

import pytest

from reedkin.screens.season import SeasonScreen
from tests.screens.asking import answered
from tests.screens.conftest import Bench, Opened


@pytest.fixture(autouse=True)
def few_paths(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer paths than the program takes: what the chances are is tested elsewhere."""
    monkeypatch.setattr("reedkin.answers.season.question.PATHS", 60)


async def to_season(bench: Bench) -> SeasonScreen:
    await bench.keys("<f7>")
    await answered(bench)
    await bench.keys("s")
    await answered(bench)
    assert isinstance(bench.app.screen, SeasonScreen)
    return bench.app.screen


async def test_a_plan_and_her_own(opened: Opened) -> None:
    async with opened((80, 24)) as bench:
        for line in (
            "1-3 join oboe 2h score 9",
            "1-3 play 45 9",
            'engage 18 dec 19:30 4 "gala"',
            "engage 4 dec oboe 1",
        ):
            await bench.keys(f"{line}<enter>")
        screen = await to_season(bench)
        assert "So that each reaches 90%, " in bench.shown or "It runs short first on Fri 18 Dec" in bench.shown
        assert "▾" in bench.shown
        assert "←→ week of 25 Nov  i ob  +- tie " in bench.shown
        await bench.keys("<right><right><right>")
        before = screen._blanks.get(("oboe", 3), 0)
        await bench.keys("++")
        await answered(bench)
        assert "Your own plan, " in bench.shown
        assert f"week of 16 Dec  i ob  +- tie {before + 2} blanks  b your own plan" in bench.shown
        await bench.keys("-----")
        await answered(bench)
        assert "At most 6 blanks in a week" in bench.shown
        await bench.keys("b")
        await answered(bench)
        assert "b the best plan" in bench.shown
        found = screen.text_twin()
        assert found is not None
        assert any("Fri 18 Dec 2026 19:30 4 ob  performance" in line for line in found[1])
        await bench.keys("<escape>")  # where she came from, the concert that comes next was asked about unasked
        assert "↑↓ 1 reed  i oboe  d Fri 4 Dec 2026" in bench.shown


async def test_without_engagements_it_says_how_to_enter_one(opened: Opened) -> None:
    async with opened((80, 24)) as bench:
        await to_season(bench)
        assert "No engagement is to come. To enter one: engage 12 March" in bench.shown
        await bench.keys("c")
        assert "Nothing is to be tied." in bench.shown
