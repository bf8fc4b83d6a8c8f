"""The trials screen, and trials on the bench, by keyboard alone."""

from __future__ import annotations

from pathlib import Path

from reedkin.bench.trials import ASSIGNED, assignments, trials
from reedkin.domain.clock import FixedClock
from reedkin.domain.figures import tag_list
from reedkin.screens.trials import TrialsScreen
from reedkin.store.log import Log
from tests.answers.trial_logs import Maker, Plan, simulated
from tests.screens.asking import answered
from tests.screens.conftest import Opened

START = 'trial start wire "before the first clip" or "after the first clip" eh for 40'


def filled(path: Path, clock: FixedClock, maker: Maker) -> None:
    """A simulated log, opened on its last day."""
    clock.moment = maker.clock.now()
    with Log(path, clock) as log:
        log.write(maker.records)


async def test_the_bench_says_which_way_each_reed_gets(opened: Opened) -> None:
    async with opened((80, 24), START) as bench:
        await bench.keys("1-4 tie eh")
        assert "by trial wire: " in bench.shown
        await bench.keys("<enter>")
        assert "✓ by trial wire: " in bench.shown
        hand = bench.desk.hand
        assert hand is not None
        way = next(hand.of_kind(ASSIGNED)).facts["arm"]
        assert f"{hand.label}  trial wire: {way}, English horn, blank" in bench.shown
        await bench.keys("<f3>")
        await bench.settle()
        assert bench.shown.count(f"trial wire: {way}") == 2  # what it is made of, and the event


async def test_what_was_assigned_cannot_be_struck_by_itself_but_the_tying_can(opened: Opened) -> None:
    async with opened((80, 24), START, "1 tie eh 60 lot 7") as bench:
        await bench.keys("<f3>")
        await bench.settle()
        await bench.keys("x")
        assert "what chance assigned stays" in bench.shown
        await bench.keys("<escape><up>x")
        assert "never was" in bench.shown
        await bench.keys("<enter>")
        await bench.settle()
        assert bench.desk.bench.at_work() == []
        assert assignments(trials(bench.desk.bench)[0], bench.desk.bench) == []


async def test_the_trials_lie_behind_the_habits(opened: Opened) -> None:
    async with opened((80, 24), "1 tie eh 60") as bench:
        await bench.keys("<f5>")
        await answered(bench)
        assert "t trials" in bench.shown.replace("ttrials", "t trials")
        await bench.keys("t")
        await answered(bench)
        assert isinstance(bench.app.screen, TrialsScreen)
        await bench.keys("<escape>")
        assert bench.app.screen.TITLE == "habits"


async def test_a_trial_is_started_and_ended_on_the_screen(opened: Opened) -> None:
    async with opened((80, 24), "1 tie eh 60") as bench:
        bench.app.push_screen(TrialsScreen())
        await answered(bench)
        assert "No trial yet. A trial settles what the log alone cannot" in bench.shown
        await bench.keys("<enter>e")  # nothing to look at, nothing to end
        assert isinstance(bench.app.screen, TrialsScreen)
        await bench.keys("nx a or b for 9<enter>")
        assert "usual is 20 or more" in bench.shown
        await bench.keys("<enter>")
        await answered(bench)
        assert "It has started" in bench.shown
        assert "running, 0 of 9 worn out" in bench.shown
        assert bench.desk.lines == ["trial start x a or b for 9"]
        await bench.keys("ey")
        await answered(bench)
        assert "ended, 0 of 9 worn out" in bench.shown
        await bench.keys("e")
        assert "That trial has ended." in bench.shown


async def test_only_a_trial_with_two_ways_can_be_started_there(opened: Opened) -> None:
    async with opened((80, 24), "1 tie eh 60") as bench:
        bench.app.push_screen(TrialsScreen())
        await answered(bench)
        await bench.keys("nx a<enter>")
        assert "which two ways" in bench.shown
        await bench.keys("<ctrl+u>c.5<enter>")
        assert "all else is recorded" in bench.shown
        await bench.keys("<escape>")
        await bench.settle()
        assert trials(bench.desk.bench) == []
        assert bench.desk.lines == []


async def test_how_the_ways_compare_is_shown_at_any_time(opened: Opened, log_path: Path, clock: FixedClock) -> None:
    filled(log_path, clock, simulated(3, Plan(planned=100, times=1.5)))
    async with opened((120, 40)) as bench:
        bench.app.push_screen(TrialsScreen())
        await answered(bench)
        async for _ in bench.both_sizes():
            shown = " ".join(bench.shown.split())
            assert "of at most 100 reeds worn out" in shown
            assert "times as fast with “after" in shown
            assert "The chance that it is “before” that makes reeds last, and not luck:" in shown
            assert "Go on: tie each reed as it is drawn" in shown
            assert "Enter" not in bench.shown.splitlines()[-1]
        before = log_path.read_bytes()
        await bench.keys("<enter>")
        assert log_path.read_bytes() == before


async def test_a_settled_trial_says_what_to_do(opened: Opened, log_path: Path, clock: FixedClock) -> None:
    filled(log_path, clock, simulated(3, Plan(planned=60, reeds=120, of_a_lot=20, times=10.0)))
    async with opened((80, 24)) as bench:
        bench.app.push_screen(TrialsScreen())
        await answered(bench)
        shown = " ".join(bench.shown.split())
        assert "settled, " in shown
        assert "Settled: make them “before”." in shown
        assert "all that is said is of that day" in shown
        assert "A reed counts for the way it was assigned" in shown
        assert bench.shown.splitlines()[-1].startswith("↑↓ trial")
        twin = bench.app.screen.text_twin()  # type: ignore[attr-defined]
        assert twin is not None
        assert twin[0] == "trial-wire.txt"
        assert any("Settled: make them “before”" in line for line in twin[1])


async def test_a_reed_tied_otherwise_than_drawn_is_asked_about_on_the_bench(opened: Opened) -> None:
    async with opened((80, 24), "trial start length 72 or 74 ob for 40") as bench:
        await bench.keys("1-6 tie oboe 72<enter>")
        assert "trial length drew 74, and this says" in bench.shown
        assert bench.desk.bench.at_work() == []
        await bench.keys("<enter>")
        assert len(bench.desk.bench.at_work()) == 6


async def test_a_reed_to_be_made_is_shown_with_its_way(opened: Opened) -> None:
    lines = ["1-12 tie eh 60 lot 7"]
    for tag in range(1, 9):
        lines.append(f"{tag} play 1h{tag}; retire worn")
    async with opened((80, 24), START, *lines) as bench:
        bench.app.push_screen(TrialsScreen())
        await answered(bench)
        found = [one for one in assignments(trials(bench.desk.bench)[0], bench.desk.bench) if one.reed.at_work]
        made = next(line for line in bench.shown.splitlines() if "To make: " in line)
        for way, words in enumerate(("before the first clip", "after the first clip")):
            tags = [one.reed.tag for one in found if one.way == way]  # by chance, all may have the same way
            assert (f"“{words}” {tag_list(tags)}" in made) == bool(tags)


async def test_a_circles_trial_is_given_and_taken_in(opened: Opened, tmp_path: Path) -> None:
    file = tmp_path / "wire.json"
    async with opened((80, 24), "trial start wire before or after eh for 40 for the circle", "1 tie eh 60") as bench:
        await bench.keys("<f5>t")
        await answered(bench)
        assert "In the circle: you alone so far" in bench.shown
        await bench.keys("g")
        await bench.answer(str(file))
        assert "Written to" in bench.shown
        await bench.keys("i")
        await bench.answer(str(file))
        assert "there is a trial wire already" in bench.shown
