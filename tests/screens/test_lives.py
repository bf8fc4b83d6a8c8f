"""The lives screen: how long reeds last, what ended them, how they played, in groups, at both sizes."""

from __future__ import annotations

import gc
import re
import subprocess
import sys
import weakref
from dataclasses import replace
from pathlib import Path
from threading import Event

import numpy as np
import pytest

from reedkin.answers.lives.groups import Grouping
from reedkin.answers.lives.words import differ, split_words
from reedkin.screens.bench import BenchScreen
from reedkin.screens.lives import LivesScreen
from reedkin.screens.reed import ReedScreen
from reedkin.screens.roll import RollScreen
from reedkin.study.habits import habit_named
from reedkin.survival import LogRank
from reedkin.widgets.entry_line import EntryLine
from tests.screens.asking import FIVE_LIVES, SlowReading, answered
from tests.screens.conftest import Bench, Opened


async def to_lives(bench: Bench) -> LivesScreen:
    await bench.keys("<f4>")
    await answered(bench)
    assert isinstance(bench.app.screen, LivesScreen)
    return bench.app.screen


def row(shown: str, name: str) -> str:
    """The row of the list of groups that begins with a name."""
    return next(line for line in shown.splitlines() if re.match(rf"[ ▸]*[●○■□▲]? *{name}  ", line))


async def test_without_lives_it_says_what_is_missing(opened: Opened) -> None:
    async with opened((80, 24), "1 tie oboe 72") as bench:
        await to_lives(bench)
        async for _ in bench.both_sizes():
            assert "No reed has been played yet" in bench.shown
            assert "p 45 8" in bench.shown


async def test_five_lives_worked_by_hand(opened: Opened) -> None:
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await to_lives(bench)
        async for _ in bench.both_sizes():
            assert "5 served: 3 worn out, 1 in service, 1 lost" in bench.shown
            # Reeds, worn out, serving. The product-limit limits at n = 5 are wide: the upper one is not reached.
            assert re.search(r"3\.0 h \(1\.0 or more\) +5 +3 +1\b", row(bench.shown, "all reeds"))
            assert "Only 3 reeds retired for wear so far" in bench.shown
            assert "100%" in bench.shown


async def test_no_wear_yet_is_said_and_not_guessed_from(opened: Opened) -> None:
    async with opened((80, 24), "1 tie oboe 72", "1 play 2h 8") as bench:
        await to_lives(bench)
        assert "over half still serve" in row(bench.shown, "all reeds")
        assert "No reed has been retired for wear yet" in bench.shown


async def test_arrows_and_the_list_change_what_lives_are_split_by(opened: Opened) -> None:
    lines = (*FIVE_LIVES, "6 play 2h 7", "6 retire worn")
    async with opened((80, 24), *lines) as bench:
        await to_lives(bench)
        assert "b by instrument" in bench.shown
        assert "English horn" in bench.shown
        await bench.keys("<right>")
        await answered(bench)
        assert "b by overall length when tied" in bench.shown
        await bench.keys("<left>b")
        assert "Split the lives by" in bench.shown
        await bench.keys("<down><down><down><down><enter>")
        await answered(bench)
        assert "b by cane lot" in bench.shown
        assert re.search(r" 5 +3 +1\b", row(bench.shown, "7"))
        assert re.search(r" 1 +1 +0\b", row(bench.shown, "9"))


async def test_escape_leaves_the_list_as_it_was(opened: Opened) -> None:
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await to_lives(bench)
        await bench.keys("b<down><escape>")
        await answered(bench)
        assert "b by instrument" in bench.shown


async def test_one_instrument_or_all_and_hours_or_days(opened: Opened) -> None:
    async with opened((80, 24), *FIVE_LIVES, "6 play 2h 7", "7 join oboe 5h", "7 play 60 8") as bench:
        await to_lives(bench)
        assert "7 served" in bench.shown
        await bench.keys("ii")
        await answered(bench)
        assert "English horn only" in bench.shown
        assert "1 served" in bench.shown
        await bench.keys("id")
        await answered(bench)
        assert "d days" in bench.shown
        assert "6 served (1 of unknown days)" in bench.shown


async def test_what_was_chosen_holds_while_the_program_runs(opened: Opened) -> None:
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await to_lives(bench)
        await bench.keys("d<right>")
        await answered(bench)  # while it is asking, the next key would stop the asking
        await bench.keys("<escape>")
        assert isinstance(bench.app.screen, BenchScreen)
        await to_lives(bench)
        assert "d days" in bench.shown
        assert "b by overall length when tied" in bench.shown


@pytest.mark.usefixtures("demo")
async def test_what_ended_them_and_how_many_still_serve(opened: Opened) -> None:
    async with opened((120, 40)) as bench:
        screen = await to_lives(bench)
        await bench.keys("v")
        assert screen._lives is not None
        async for _ in bench.both_sizes():
            assert "v what ended them" in bench.shown
            for cause, count in screen._lives.report.ended.items():
                assert re.search(rf"{cause}.* {count}\b", bench.shown)
            assert "chipped, accident" in bench.shown
            assert "still serving" in bench.shown


@pytest.mark.usefixtures("demo")
async def test_how_they_play_is_the_mean_score_by_age(opened: Opened) -> None:
    async with opened((120, 40)) as bench:
        await to_lives(bench)
        await bench.keys("vv")
        assert "how they play" in bench.shown
        assert "Late means are of the reeds that lasted" in bench.shown


@pytest.mark.usefixtures("demo")
async def test_a_group_is_marked_drawn_against_all_and_its_reeds_listed(opened: Opened) -> None:
    async with opened((80, 24)) as bench:
        screen = await to_lives(bench)
        await bench.keys("<right><right><right>")
        await answered(bench)
        assert "b by shape" in bench.shown
        await bench.keys("<down><down>")
        marked = screen.groups[2].name
        assert f"● {marked}" in bench.shown
        assert "○ all reeds" in bench.shown
        await bench.keys("<enter>")
        assert isinstance(bench.app.screen, RollScreen)
        assert f"shape: {marked}" in bench.shown
        assert f"{screen.groups[2].n} reeds" in bench.shown
        await bench.keys("<enter>")
        assert isinstance(bench.app.screen, ReedScreen)
        await bench.keys("<escape><escape>")
        assert bench.app.screen is screen


@pytest.mark.usefixtures("demo")
async def test_the_log_rank_test_is_said_in_words(opened: Opened) -> None:
    async with opened((80, 24)) as bench:
        screen = await to_lives(bench)
        assert screen._lives is not None
        test = screen._lives.report.grouping.larger
        assert test is not None
        assert test.groups == ("english horn", "oboe")
        assert f"No clear difference (2 larger groups): chance does as much in {100 * test.p:.0f} of 100" in bench.shown


async def test_the_longest_verdict_and_where_four_instruments_are_split_are_seen_whole(opened: Opened) -> None:
    split = {"bass oboe": 12.25, "english horn": 11.25, "oboe": 10.25, "oboe d'amore": 13.25}
    none = np.zeros(2)
    async with opened((80, 24), *FIVE_LIVES) as bench:
        screen = await to_lives(bench)
        assert screen._lives is not None
        group = screen._lives.report.grouping.groups[0]
        groups = tuple(replace(group, name=name, evenings=frozenset({place})) for place, name in enumerate("ab"))
        test = LogRank(4.2, 1, 0.04, ("a", "b"), none, none, none, np.zeros((2, 2)))
        grouping = Grouping(habit_named("scraping_days"), "hours", groups, split, test, test, "", 0)
        screen.rest("  ".join((differ(grouping, 21), split_words(grouping))))
        await bench.pilot.pause()
        assert "ways to split" in bench.shown
        assert "13.25 days (da)" in " ".join(bench.shown.split())


async def test_what_is_shown_goes_to_a_file_as_text(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await to_lives(bench)
        path = tmp_path / "kept.txt"
        await bench.keys("p")
        await bench.answer(str(path))
        await answered(bench)
        assert "Written to" in bench.shown
        text = path.read_text()
        assert "half last 3.0 h (1.0 or more)" in text
        assert re.search(r"2\.0 h +60 \(", text)


async def test_keys_answer_while_the_log_is_read_and_escape_leaves(
    opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However slow the computer is, what is typed after Escape goes to the bench."""
    slow = SlowReading(monkeypatch)
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await bench.keys("<f4>")
        screen = bench.app.screen
        assert isinstance(screen, LivesScreen)
        assert screen.is_busy
        await bench.keys("v")
        assert "what ended them" in bench.shown
        await bench.keys("<escape>p")
        assert isinstance(bench.app.screen, BenchScreen)
        assert bench.app.screen.query_one(EntryLine).text == "p"
        slow.go.set()
        await bench.settle()
        await bench.keys("<ctrl+u><f4>")
        await answered(bench)
        assert "3 worn out" in bench.shown
        assert (slow.begun, slow.stopped) == (2, 1)


async def test_what_takes_long_says_so_from_its_imports_on(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    """On the first question of the day a slow disk may take longer over numpy than over the log."""
    slow, imported = SlowReading(monkeypatch), Event()
    monkeypatch.setattr("reedkin.screens.parts.reckoning.TELL_SECONDS", 0.01)
    monkeypatch.setattr("reedkin.charts.plot.prepare", imported.wait)
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await bench.keys("<f4>")
        while "Reading the log  ┄" not in bench.shown:
            await bench.pilot.pause()
        assert "┄   0%" in bench.shown
        imported.set()
        while " 50%" not in bench.shown:
            await bench.pilot.pause()
        slow.go.set()
        await answered(bench)
        assert "Reading the log" not in bench.shown
        while bench.app.screen._telling is not None:  # type: ignore[attr-defined]
            await bench.pilot.pause()


async def test_the_log_is_read_once_until_it_changes(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    slow = SlowReading(monkeypatch)
    slow.go.set()
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await to_lives(bench)
        await bench.keys("<right>d<escape>")
        await to_lives(bench)
        assert slow.begun == 1
        await bench.keys("<escape>")
        await bench.enter("5 retire worn")
        await bench.keys("<left><left>")
        await to_lives(bench)
        assert slow.begun == 2
        assert "4 worn out" in bench.shown


async def test_what_is_recorded_while_the_log_is_read_is_not_missed(
    opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow = SlowReading(monkeypatch)
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await bench.keys("<f4>")
        slow.waiting.wait(10)
        bench.desk.record(bench.desk.read("5 retire worn"))
        slow.go.set()
        await answered(bench)
        assert slow.begun == 2
        assert "4 worn out" in bench.shown
        assert bench.desk.bench.find("5").now.cause == "worn"


async def test_any_size_of_terminal(opened: Opened) -> None:
    async with opened((20, 6), *FIVE_LIVES) as bench:
        for size in ((20, 6), (40, 12), (60, 18), (200, 60)):
            await bench.pilot.resize_terminal(*size)
            await bench.keys("<f2>")
            await to_lives(bench)
            await bench.keys("v<right>v<down>")
            await answered(bench)
            assert "reedkin" in bench.shown


async def test_hostile_names_show_literally(opened: Opened) -> None:
    async with opened((80, 24), '1-2 tie oboe 72 lot "[b]x[/b]"', "1 play 60 8", "1 retire worn") as bench:
        bench.app.answers.choice.by = "lot"
        await to_lives(bench)
        assert "[b]x[/b]" in bench.shown


def test_the_screens_load_nothing_of_the_analysis_by_themselves() -> None:
    program = (
        "import sys, reedkin.screens.lives, reedkin.screens.habits, reedkin.screens.habit, reedkin.screens.roll\n"
        "print([name for name in ('numpy', 'plotext', 'reedkin.study.lives') if name in sys.modules])"
    )
    source = Path(__file__).parents[2] / "tui"
    done = subprocess.run(
        [sys.executable, "-c", program], env={"PYTHONPATH": str(source)}, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


async def test_what_is_out_of_date_is_let_go_without_the_collector(opened: Opened) -> None:
    """The collector is kept from what was read, so nothing of it may hold on to itself."""
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await to_lives(bench)
        assert bench.app.answers.study is not None
        study = weakref.ref(bench.app.answers.study)
        gc.disable()
        try:
            await bench.keys("<escape>")
            await bench.enter("5 retire worn")
            await to_lives(bench)
            assert study() is None
        finally:
            gc.enable()
