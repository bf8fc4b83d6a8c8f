"""The screen of readiness: a question, its answer in a sentence, what to tie and by when, at both sizes."""

from __future__ import annotations

import re
from functools import partial
from pathlib import Path

import pytest

from reedkin.answers.ready import readiness
from reedkin.domain.clock import FixedClock
from reedkin.screens.ready import ReadyScreen
from tests.screens.asking import answered, first_month_at
from tests.screens.conftest import Bench, Opened


@pytest.fixture(autouse=True)
def few_paths(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fewer paths than the program takes: what the chances are is tested elsewhere, and a tenth of the time will do."""
    monkeypatch.setattr("reedkin.answers.ready.readiness", partial(readiness, paths=100))


async def to_ready(bench: Bench) -> ReadyScreen:
    await bench.keys("<f7>")
    await answered(bench)
    assert isinstance(bench.app.screen, ReadyScreen)
    return bench.app.screen


def chance(shown: str) -> int:
    """The chance that is told, in %."""
    found = re.search(r"stock the chance is (under|over)? ?(\d+)%", shown.replace("\n", " "))
    assert found is not None
    return 0 if found[1] == "under" else 100 if found[1] == "over" else int(found[2])


async def test_an_empty_log_leans_on_common_practice_and_says_so(opened: Opened) -> None:
    async with opened() as bench:
        await to_ready(bench)
        async for _ in bench.both_sizes():
            assert "2 English horn reeds to play in public on Wed 9 Dec 2026, in 14 days" in bench.shown
            # Without a reed and without a blank there is none: by hand, no chance at all.
            assert chance(bench.shown) == 0
            assert "Of 0 in service and 0 on the bench, 0 then" in bench.shown
            assert "No reed is noted: by common practice alone (v). On the bench: 1 join oboe 5h" in bench.shown
        await bench.keys("v")
        async for _ in bench.both_sizes():
            assert "two blanks of three come" in bench.shown
            assert re.search(r"For 80%.*: (tie \d+ blanks by|not even 24)", bench.shown)


async def test_a_first_month(opened: Opened, log_path: Path, clock: FixedClock) -> None:
    first_month_at(log_path, clock)
    async with opened((120, 40)) as bench:
        screen = await to_ready(bench)
        async for _ in bench.both_sizes():
            assert "2 oboe reeds to play in public on Sun 6 Dec 2026, in 14 days" in bench.shown
            assert "Of 3 in service and 5 on the bench" in bench.shown
            assert re.search(r"100%.*50%.*0 +1? .*blanks", bench.shown, re.DOTALL)
        two = chance(bench.shown)
        await bench.keys("<up><up><up>")
        await answered(bench)
        async for _ in bench.both_sizes():
            assert "↑↓ 5 reeds" in bench.shown
            assert chance(bench.shown) <= two
        twin = screen.text_twin()
        assert twin is not None
        assert twin[0] == "ready-2026-12-06.txt"
        assert twin[1][0].startswith("5 oboe reeds to play in public on Sun 6 Dec 2026")


async def test_today_there_is_what_is_good_today(opened: Opened) -> None:
    lines = ("1-3 join oboe 3h", "1 play 30 9", "2 play 30 8", "3 play 30 5")
    async with opened((80, 24), *lines) as bench:
        await to_ready(bench)
        await bench.keys("d")
        await bench.enter("today")
        await answered(bench)
        # By hand: two of the three score 7 or more and one far less, and hardly anything more is played.
        assert "on Wed 25 Nov 2026, today: with" in bench.shown
        assert chance(bench.shown) > 90
        assert re.search(r"For 80%, 90%.*: there is just enough\.", bench.shown)
        await bench.keys("<left>")
        assert "d Wed 25 Nov 2026" in bench.shown
        await bench.keys("<up>")
        await answered(bench)
        assert chance(bench.shown) < 10
        await bench.keys("<down><down><down><down>")
        await answered(bench)
        assert "↑↓ 1 reed  " in bench.shown


async def test_each_key_changes_the_question(opened: Opened) -> None:
    async with opened((80, 24), "1 join oboe 3h", "1 play 30 9") as bench:
        await to_ready(bench)
        await bench.keys("i<right>h")
        await bench.enter("many")
        assert "✗ many is no number of hours" in bench.shown
        await bench.keys("<ctrl+u>")
        await bench.enter("9")
        await answered(bench)
        assert "h 9 h of rehearsals" in bench.shown
        assert "d Thu 10 Dec 2026" in bench.shown
        assert "2 oboe d'amore reeds" in bench.shown
        await bench.keys("d")
        await bench.enter("2026-01-01")
        assert "✗ that day is past" in bench.shown
        await bench.keys("<ctrl+u>")
        await bench.enter("2029-01-01")
        await answered(bench)
        assert "✗ 1 Jan 2029 is more than a year ahead" in bench.shown
        await bench.keys("<escape><f7>")
        await bench.pilot.pause()
        assert "d Mon 1 Jan 2029" in bench.shown


async def test_to_a_file(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), "1 join oboe 3h", "1 play 30 9") as bench:
        await to_ready(bench)
        kept = tmp_path / "kept.txt"
        await bench.keys("p")
        await bench.answer(str(kept))
        await answered(bench)
        assert "✓ Written to" in bench.shown
        assert "For 80%" in kept.read_text()
