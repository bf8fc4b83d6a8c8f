"""The walk around the demo: six steps by the maker's own keys, which takes none of them."""

from __future__ import annotations

import pytest

from reedkin.app import ReedkinApp
from reedkin.domain.columns import fold
from reedkin.screens.walk import Walk
from tests.screens.conftest import Bench, Opened

_LINES = ("12 join eh 5h overall 58 tip 50.5 score 8", "13 tie oboe 72")


@pytest.fixture
def walking(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program that is opened has the walk."""
    usual = ReedkinApp.__init__
    monkeypatch.setattr(ReedkinApp, "__init__", lambda self, path, clock: usual(self, path, clock, walk=True))


def told(bench: Bench) -> str:
    """The two rows beneath the first."""
    return " ".join(bench.shown.splitlines()[1:3])


async def test_each_step_is_done_by_her_own_keys_typed_ahead_too(opened: Opened, walking: None) -> None:
    async with opened((80, 24), *_LINES) as bench:
        assert told(bench).startswith("1 of 6 (^G leaves):  12 c .3 Enter")
        await bench.enter("12 c .3")
        assert "12: clipped 0.3 mm" in bench.shown
        assert told(bench).startswith("2 of 6 (^G leaves):  12 Enter")
        await bench.keys("12<enter><f5>")
        assert bench.app.screen.TITLE == "habits"
        assert told(bench).startswith("4 of 6 (^G leaves):  F6")
        await bench.keys("<f6><f2><ctrl+z>")
        assert "12 ▸ 12 c .3" in bench.shown
        assert told(bench).startswith("6 of 6 (^G leaves):  F1 or ?  the help")
        await bench.keys("<f1>")
        assert "That was the walk." in told(bench)
        await bench.keys("<escape>")
        assert "walk" not in bench.shown
        await bench.keys("<f1>")
        assert "That was the walk." not in bench.shown


async def test_one_key_leaves_it_on_any_screen_and_in_any_question(opened: Opened, walking: None) -> None:
    async with opened((80, 24), *_LINES) as bench:
        await bench.keys("<f5><f6>d")  # out of order: a question is asked, and the steps count
        assert "On which day?" in bench.shown
        await bench.keys("<ctrl+g><escape>")
        assert "leaves" not in bench.shown
        await bench.keys("<f2>12 c .3")
        assert "12 c .3" in bench.shown
        assert "leaves" not in bench.shown


async def test_every_step_fits_in_two_rows_of_80_columns(opened: Opened) -> None:
    async with opened((80, 24), *_LINES) as bench:
        walk, screens = Walk(), ["reed", "habits", "case"]
        for title in ("bench", *screens, "bench"):
            walk.look(title, bench.desk)
            assert len(fold("".join(run.text for run in walk.line()), 78, 0)) <= 2
        await bench.enter("12 c .3")
        walk.look("bench", bench.desk)
        assert "Ctrl+Z" in "".join(run.text for run in walk.line())
