"""The week's screen, page by page, at both sizes; and what the bench says of what is due."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reedkin.bench.borrowed import Borrowed
from reedkin.bench.orders import due
from reedkin.domain.clock import FixedClock
from reedkin.domain.columns import fold_text
from reedkin.screens.bench import BenchScreen
from reedkin.screens.week import WeekScreen
from reedkin.widgets.due_line import DueLine
from tests.screens.asking import answered, first_month_at
from tests.screens.conftest import SIZES, Bench, Opened

WEEK = (
    "lot 7 cane 11 mm 10 pieces", "1-6 tie oboe 72 lot 7 tube T1", "1 scrape tip 10m", "1 play 45 8 rehearsal",
    "2 play 60 7", "2 retire cracked", "3 retire never came good", "order quartet 3 oboe by friday",
)  # fmt: skip


async def to_week(bench: Bench) -> WeekScreen:
    await bench.keys("<f8>")
    await answered(bench)
    assert isinstance(bench.app.screen, WeekScreen)
    return bench.app.screen


async def turn(bench: Bench, keys: str) -> str:
    """Press keys, and what is shown when the page has come up."""
    await bench.keys(keys)
    await answered(bench)
    return bench.shown


@pytest.mark.parametrize("size", SIZES)
async def test_an_empty_log_says_on_each_page_what_to_note(opened: Opened, size: tuple[int, int]) -> None:
    async with opened(size) as bench:
        await to_week(bench)
        assert "Nothing was noted." in bench.shown
        assert "No blank is noted yet." in await turn(bench, "v")
        assert "Nothing is measured yet." in await turn(bench, "v")
        assert "No cane is noted." in await turn(bench, "v")
        assert "No tube is noted." in await turn(bench, "<right>")
        assert "No orders. To note one: order quartet 3 eh by 12 March" in await turn(bench, "v")
        assert "Nobody has or had a reed of yours." in await turn(bench, "v")
        assert "No money is noted." in await turn(bench, "v")
        assert "Too little was noted then, or now, to compare." in await turn(bench, "v")
        assert "v week (1 of 8)  ←→ the last seven days" in await turn(bench, "v")
        assert "v people (6 of 8)" in await turn(bench, "6")
        assert "v year beside year (8 of 8)  ←→ this season up to today" in await turn(bench, "8<right>")


@pytest.mark.parametrize("size", SIZES)
async def test_a_week_counted_by_hand(opened: Opened, size: tuple[int, int], tmp_path: Path) -> None:
    async with opened(size, *WEEK) as bench:
        await to_week(bench)
        shown = re.sub(" +", " ", bench.shown)
        assert "the last seven days, Thu 19 Nov to Wed 25 Nov" in shown
        assert "Tied 6 ob (1–6)" in shown
        assert "Came good 2 ob (1, 2)" in shown
        assert "Given up 1 ob (3), never came good" in shown
        assert "Retired 2 (oboe), cracked, after 1 h" in shown
        assert "Played 1 h 45: rehearsal 45 min, setting not noted 1 h" in shown
        assert "Low only 1 oboe reed in service" in shown
        assert "Low lot 7, 4 pieces left" in shown
        assert "Due quartet: 0 of 3 oboe reeds out, due in 2 days" in shown
        if size == (80, 24):
            assert "l: labels for the tubes, to print" in await turn(bench, "4")
            await bench.keys("l")
            assert "Labels of 1 tube: into" in bench.shown
            await bench.answer(str(tmp_path / "tubes.html"))
            assert "T1</b>oboe<br>carried 6 so far" in (tmp_path / "tubes.html").read_text(encoding="utf-8")
            assert "l: labels for the tubes" not in await turn(bench, "1")
        before = await turn(bench, "<left>")
        assert "1 week ago, Thu 12 Nov to Wed 18 Nov" in before
        assert "Nothing was noted." in before
        assert "the last seven days" in await turn(bench, "<right><right>")
        await bench.keys("d")
        await bench.keys("november<enter>")
        await answered(bench)
        assert "25 days, Sun 1 Nov to Wed 25 Nov" in bench.shown
        assert "25 days, as many 1 times before, Wed 7 Oct to Sat 31 Oct" in await turn(bench, "<left>")


@pytest.mark.parametrize("size", SIZES)
async def test_the_other_pages(opened: Opened, size: tuple[int, int]) -> None:
    async with opened(size, *WEEK) as bench:
        screen = await to_week(bench)
        # Wilson's interval of 2 of 3 is 21% to 94%: worked by hand from p = 2/3, n = 3, z = 1.96.
        assert re.search(r"oboe +2 of 3 +67% +21% to 94% +3", await turn(bench, "v"))
        assert "by lot" in await turn(bench, "<right>")
        assert "by tube" in await turn(bench, "<left><left><left><left>")
        twin = screen.text_twin()
        assert twin is not None
        assert "  5 min of scraping noted" in twin[1]  # 10 minutes for two that came good
        assert "oboe, overall length when tied: 6 reeds" in await turn(bench, "v")
        assert "too few for limits: 8 are needed" in bench.shown
        assert "4 pieces left of 10, runs low" in await turn(bench, "v")
        assert "T1 (oboe)" in await turn(bench, "<right>")
        assert "quartet: 0 of 3 oboe reeds out, due in 2 days" in await turn(bench, "v")
        assert "No reed is lent." in bench.shown


async def test_lines_that_are_too_long_go_on_further_in(opened: Opened) -> None:
    lot = "lot 7 cane 11 mm 12 pieces 250 g price 60 from a friend who has a garden with a pond and cane around it"
    async with opened(
        (80, 24), lot, "1-8 tie oboe 72 lot 7", *(f"{n} retire cracked" for n in range(1, 8, 2))
    ) as bench:
        await to_week(bench)
        lines = (await turn(bench, "vvv")).splitlines()
        assert lines[2:5] == [
            "lot 7: from a friend who has a garden with a pond and cane around it, tube",
            "  cane diameter 11 mm, weight 250 g, price 60",
            "  4 pieces left of 12, runs low; 4 on the bench, 4 never came good",
        ]


async def test_what_is_beyond_the_limits_is_marked_in_the_chart(opened: Opened) -> None:
    lines = [f"{tag} tie oboe {72 + 0.2 * (tag % 2)}" for tag in range(1, 13)]
    async with opened((120, 40), *lines, "13 tie oboe 75") as bench:
        await to_week(bench)
        await turn(bench, "vv")
        async for _ in bench.both_sizes():
            assert "◆ 1 beyond the limits" in bench.shown
            assert "beyond the limits: reed 13" in bench.shown
            assert "●" in bench.shown
            assert "target 72" in bench.shown


@pytest.mark.parametrize("size", SIZES)
async def test_a_first_month(opened: Opened, log_path: Path, clock: FixedClock, size: tuple[int, int]) -> None:
    first_month_at(log_path, clock)
    async with opened(size) as bench:
        await to_week(bench)
        assert re.search(r"Tied .*, 5 ob \(11–15\)", bench.shown)
        assert re.search(r"English horn +1 of 2 +50% +9% to 91%", await turn(bench, "v"))
        assert "oboe, overall length when tied: 8 reeds" in await turn(bench, "v")
        assert re.search(r"limit \d", bench.shown)
        assert "38 pieces left of 44" in await turn(bench, "v")
        assert "21 tubes free" in await turn(bench, "<right>")
        assert "an amateur orchestra: 0 of 2 oboe reeds out" in await turn(bench, "v")


async def test_to_a_file(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), *WEEK) as bench:
        screen = await to_week(bench)
        kept = tmp_path / "kept.txt"
        await bench.keys("p")
        await bench.answer(str(kept))
        await answered(bench)
        assert "✓ Written to" in bench.shown
        twin = screen.text_twin()
        assert twin is not None
        assert kept.read_text().splitlines() == fold_text(twin[1])
        assert twin[1][0] == "Thu 19 Nov to Wed 25 Nov"
        await bench.keys("<escape>")
        assert isinstance(bench.app.screen, BenchScreen)


@pytest.mark.parametrize("size", SIZES)
async def test_the_bench_says_what_is_due_and_what_a_reed_is_saved_for(
    opened: Opened, clock: FixedClock, size: tuple[int, int]
) -> None:
    lines = ("1-2 join oboe 3h", "order quartet 1 oboe by friday", "order pupils 2 oboe by 12 December")
    async with opened(size, *lines) as bench:
        assert "Due  quartet: 0 of 1 oboe reed out, due in 2 days" in bench.shown
        assert "pupils" not in bench.shown
        clock.forward(days=10)
        await bench.enter("2 save for the recital on 12 December")
        await bench.settle()
        assert "Due  quartet: 0 of 1 oboe reed out, 8 days overdue  (and 1 more: F8)" in bench.shown
        assert "2  oboe, in service, saved for the recital on 12 Dec" in bench.shown
        await bench.enter("1 sell to quartet")
        await bench.settle()
        assert "Due  pupils: 0 of 2 oboe reeds out, due in 7 days, Sat 12 Dec" in bench.shown
        assert "quartet: 0 of 1" not in bench.shown


async def test_without_an_order_the_bench_has_no_line_for_it(opened: Opened) -> None:
    async with opened((80, 24), "1 join oboe 3h") as bench:
        assert not bench.app.screen.query_one("#due").display


async def test_an_order_that_is_taken_back_is_due_no_more(opened: Opened) -> None:
    async with opened((80, 24), "1 join oboe 3h") as bench:
        await bench.enter("order quartet 1 oboe by friday")
        await bench.settle()
        assert "Due  quartet" in bench.shown
        await bench.keys("<ctrl+z>")
        await bench.settle()
        assert "Due  quartet" not in bench.shown


async def test_what_a_thread_finds_due_in_a_log_as_it_was_is_not_shown(opened: Opened) -> None:
    async with opened((80, 24), "1 join oboe 3h", "order quartet 1 oboe by friday") as bench:
        before = Borrowed(bench.desk.bench)
        as_it_was = due(before.bench())
        await bench.enter("order pupils 2 oboe by thursday")
        await bench.settle()
        assert "Due  pupils" in bench.shown
        line = bench.app.screen.query_one(DueLine)
        line.post_message(DueLine.Found(as_it_was, before))
        await bench.settle()
        assert "Due  pupils" in bench.shown
