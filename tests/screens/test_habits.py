"""The habits screen and the screen of one habit: what is said, how surely, and what is always said beside it."""

from __future__ import annotations

import gc
import re
from pathlib import Path
from weakref import ref

import pytest

from reedkin.answers.habits.words import chance_words
from reedkin.screens.habit import HabitScreen
from reedkin.screens.habits import HabitsScreen
from reedkin.screens.lives import LivesScreen
from reedkin.screens.parts.choice import SeveralScreen
from reedkin.screens.reed import ReedScreen
from reedkin.screens.roll import RollScreen
from tests.screens.asking import FIVE_LIVES, SlowReading, answered
from tests.screens.conftest import Bench, Opened

ALWAYS = ("need not be the cause", "8 playing hours", "habits by hours played", "1 in 5 was believed")
ORDER = ["clear", "leaning", "unclear"]


async def to_habits(bench: Bench) -> HabitsScreen:
    await bench.keys("<f5>")
    await answered(bench)
    assert isinstance(bench.app.screen, HabitsScreen)
    return bench.app.screen


async def to_habit(bench: Bench, name: str) -> HabitScreen:
    """Open the habit with this name from the list."""
    screen = await to_habits(bench)
    assert screen._habits is not None
    names = [finding.habit.name for finding in screen._habits.report.findings]
    await bench.keys("<down>" * names.index(name) + "<enter>")
    await answered(bench)
    assert isinstance(bench.app.screen, HabitScreen)
    return bench.app.screen


@pytest.mark.usefixtures("demo")
async def test_one_row_a_habit_the_surest_first_and_the_marked_one_in_full(opened: Opened) -> None:
    async with opened() as bench:
        screen = await to_habits(bench)
        assert screen._habits is not None
        findings = screen._habits.report.findings
        ranks = [ORDER.index(finding.evidence) for finding in findings]
        assert ranks == sorted(ranks)
        first = findings[0]
        mark = {"clear": "●", "leaning": "◐", "unclear": "○"}[first.evidence]
        async for _ in bench.both_sizes():
            row = next(line for line in bench.shown.splitlines() if line.startswith("▸"))
            assert re.match(rf"▸ {mark} {first.habit.label}", row)
            assert first.direction in row
            assert re.search("[├┣]", row)
            assert f"{chance_words(first.chance)} that it matters" in bench.shown
            assert f"({first.effect.retired} worn out of {first.effect.n} reeds)" in bench.shown
            for words in ALWAYS:
                assert words in bench.shown
            assert f"{len(findings)} habits by hours played" in bench.shown


@pytest.mark.usefixtures("demo")
async def test_what_was_planted_in_the_demo_log_leads_the_list_and_the_marked_habit_is_told_of(opened: Opened) -> None:
    """The generator of the demo log makes lives end 0.77 times as fast for each day that a blank rests."""
    async with opened((80, 24)) as bench:
        screen = await to_habits(bench)
        assert screen._habits is not None
        finding = next(f for f in screen._habits.report.findings if f.habit.name == "rest_before_scraping")
        assert screen._habits.report.findings.index(finding) < 3
        assert finding.direction == "longer"
        assert finding.effect.lo < 0.77 < finding.effect.hi
        # A bad lot was gouged thicker, and the gouge has no effect of its own.
        findings = {f.habit.name: f for f in screen._habits.report.findings}
        assert findings["lot"].evidence == "clear"
        assert findings["gouge_mm"].goes_away
        # Another habit marked, and other things are told.
        await bench.keys("<end>")
        untried = screen._habits.report.untried
        assert untried
        assert "cannot be told yet" in bench.shown
        assert f"{untried[-1].habit.label}: the log cannot tell" in bench.shown
        await bench.keys("<home>" + "<down>" * [*findings].index("touch_ups"))
        assert "last 8 playing hours (or" in bench.shown


@pytest.mark.usefixtures("demo")
async def test_the_other_clock_asks_again_and_both_answers_are_kept(
    opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow = SlowReading(monkeypatch)
    slow.go.set()
    async with opened((80, 24)) as bench:
        screen = await to_habits(bench)
        hours = screen._habits
        await bench.keys("d")
        await answered(bench)
        assert "habits by days in service" in bench.shown
        await bench.keys("d")
        assert screen._habits is hours
        assert slow.begun == 1


async def test_with_few_retirements_it_says_so_and_shows_how_long_reeds_last(opened: Opened) -> None:
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await to_habits(bench)
        async for _ in bench.both_sizes():
            assert "Early days: 3 reeds worn out so far" in bench.shown
            assert "all reeds, half last 3.0 h" in bench.shown
            assert "No habit can be told of yet" in bench.shown
            assert "cannot be told yet" in bench.shown
        await bench.pilot.resize_terminal(40, 12)
        await bench.settle()
        assert "▸ – Overall length when…    cannot" in bench.shown
        assert "habit" in bench.shown.splitlines()[-1]  # the keys
        await bench.keys("<enter>")
        await answered(bench)
        async for _ in bench.both_sizes():
            assert "the log cannot tell" in bench.shown


async def test_an_empty_log_is_no_trouble(opened: Opened) -> None:
    async with opened((80, 24)) as bench:
        await to_habits(bench)
        assert "no reed worn out so far" in bench.shown
        assert "and retire what is worn, such as r worn." in " ".join(bench.shown.split())
        assert "need not be the cause" not in bench.shown  # where nothing goes together yet
        await bench.keys("<enter>")
        await answered(bench)
        assert "nothing to split" in bench.shown
        await bench.keys("p<escape><f2>")
        await bench.enter("1 join oboe 5h; play 45")
        await to_habits(bench)
        assert "1 in service" in bench.shown
        assert "100%" not in bench.shown  # a curve that has not fallen would only take the place of the habits


@pytest.mark.usefixtures("demo")
async def test_one_habit_has_its_curves_medians_and_whether_it_changes_with_age(opened: Opened) -> None:
    async with opened((120, 40)) as bench:
        screen = await to_habit(bench, "tied_mm")
        answer = screen._answer
        assert answer is not None
        assert answer.one.by_age is not None
        async for _ in bench.both_sizes():
            assert answer.one.by_age.words.split(":")[0] in bench.shown
            assert "Each extra millimetre tied: lives end" in bench.shown
            for name in ("tied shorter", "tied longer"):
                row = next(line for line in bench.shown.splitlines() if re.match(rf"[▸ ]*[●○] {name}  ", line))
                group = next(group for group in answer.one.grouping.groups if group.name == name)
                assert f"{group.curve.median:.1f} h" in row
                assert re.search(rf" {group.n} +{group.retired} ", row)
            assert "Split at" in bench.shown
            assert "need not be the cause" in bench.shown


@pytest.mark.usefixtures("demo")
async def test_one_habit_within_one_lot_beside_others_and_by_days(opened: Opened) -> None:
    async with opened((80, 24)) as bench:
        screen = await to_habit(bench, "tied_mm")
        await bench.keys("l")
        await answered(bench)
        assert "l within one lot" in bench.shown
        assert "Among reeds of one cane lot:" in bench.shown
        await bench.keys("a")
        assert isinstance(bench.app.screen, SeveralScreen)
        await bench.keys("<space><enter>")
        await answered(bench)
        assert "adjusted for 1 habit" in bench.shown
        assert "Adjusted for gouge and among reeds of one cane lot:" in bench.shown
        await bench.keys("ld")
        await answered(bench)
        assert "Adjusted for gouge: " in bench.shown
        assert screen._answer is not None
        assert screen._answer.one.clock == "days"


@pytest.mark.usefixtures("demo")
async def test_of_many_lots_the_one_told_of_is_marked_and_of_a_habit_in_use_that_reeds_change_groups(
    opened: Opened,
) -> None:
    async with opened((80, 24)) as bench:
        screen = await to_habit(bench, "lot")
        assert screen._answer is not None
        assert screen._answer.one.alone is not None
        assert re.search(rf"^▸ \S {screen._answer.one.alone.word}  ", bench.shown, re.MULTILINE)
        assert len(re.findall(r"│", bench.shown)) >= 4  # between 100 and 0%
        await bench.keys("<escape>")
        await to_habit(bench, "rest_under_day")
        assert "A reed whose habit changes goes over" in bench.shown


@pytest.mark.usefixtures("demo")
async def test_the_reeds_of_a_group_and_the_life_of_one(opened: Opened) -> None:
    async with opened((80, 24)) as bench:
        screen = await to_habit(bench, "tied_mm")
        assert screen._answer is not None
        group = screen._answer.one.grouping.groups[1]
        await bench.keys("<down><enter>")
        roll = bench.app.screen
        assert isinstance(roll, RollScreen)
        assert f"overall length when tied: {group.name}   {group.n} reeds" in bench.shown.replace("\xa0", " ")
        entry = screen._answer.rolls[group.name][0]
        assert re.search(rf"▸ {entry.label} .*{re.escape(entry.value)}", bench.shown)
        await bench.keys("<enter>")
        reed = bench.app.screen
        assert isinstance(reed, ReedScreen)
        assert reed.reed is not None
        assert reed.reed.id == entry.reed
        await bench.keys("<escape><escape><escape>")
        assert isinstance(bench.app.screen, HabitsScreen)


@pytest.mark.usefixtures("demo")
async def test_what_is_shown_goes_to_a_file_as_text(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24)) as bench:
        screen = await to_habits(bench)
        twin = screen.text_twin()
        assert twin is not None
        assert screen._habits is not None
        text = "\n".join(twin[1])
        for words in (*ALWAYS, *(finding.habit.label for finding in screen._habits.report.findings)):
            assert words in text
        one = await to_habit(bench, "tied_mm")
        name, lines = one.text_twin() or ("", [])
        assert name == "habit-tied_mm.txt"
        assert lines[0] == "Overall length when tied, by hours played"
        assert any("tied longer" in line for line in lines)
        for words in ("that it matters", "as you like"):  # how sure it is, and what to do
            assert any(words in line for line in lines)
            assert words in bench.shown


async def test_a_key_leads_to_another_screen_while_the_log_is_read(
    opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow = SlowReading(monkeypatch)
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await bench.keys("<f5>")
        slow.waiting.wait(10)
        await bench.keys("<f4>")
        assert isinstance(bench.app.screen, LivesScreen)
        slow.go.set()
        await answered(bench)
        assert "3 worn out" in bench.shown
        assert slow.stopped == 1


async def test_quitting_while_the_log_is_read_stops_the_thread(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    slow = SlowReading(monkeypatch)
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await bench.keys("<f5>")
        slow.waiting.wait(10)
        await bench.keys("<ctrl+q>")
    while not slow.stopped:
        slow.go.wait(0.01)
    assert slow.stopped == 1


async def test_a_screen_that_was_left_is_let_go_although_its_log_was_read_anew(opened: Opened) -> None:
    left: list[ref[HabitsScreen]] = []
    async with opened((80, 24), *FIVE_LIVES) as bench:
        for _ in range(5):
            await bench.enter('5 note "as before"')
            left.append(ref(await to_habits(bench)))
            await bench.keys("<f2>")
        gc.collect()
        # Textual remembers some that were up last; set aside for good, every one would stay.
        # One that was up while much was read is set aside with it (`interpreter.uncollected`).
        assert sum(one() is None for one in left) >= 2


@pytest.mark.usefixtures("demo")
async def test_any_size_of_terminal(opened: Opened) -> None:
    async with opened((20, 6)) as bench:
        for size in ((20, 6), (40, 12), (60, 18), (200, 60)):
            await bench.pilot.resize_terminal(*size)
            await bench.keys("<f2>")
            await to_habits(bench)
            await bench.keys("<down><enter>")
            await answered(bench)
            assert isinstance(bench.app.screen, HabitScreen)
            await bench.keys("<down><enter>")
            assert "reedkin" in bench.shown
