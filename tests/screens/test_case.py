"""The case screen: what to play, in order, and why, at both sizes."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

from reedkin.domain.clock import FixedClock
from reedkin.domain.columns import fold_text
from reedkin.screens.case import CaseScreen
from reedkin.screens.reed import ReedScreen
from tests.screens.asking import answered, first_month_at
from tests.screens.conftest import Bench, Opened

CASE = ("1-3 join oboe 3h", "1 play 30 9", "2 play 30 6", "3 play 30 8", "4 tie oboe 72", "4 scrape tip 10m; crow C5")
"""Three oboe reeds that joined in use, the first the best and the second the worst, and a blank that has crowed."""


async def to_case(bench: Bench) -> CaseScreen:
    await bench.keys("<f6>")
    await answered(bench)
    assert isinstance(bench.app.screen, CaseScreen)
    return bench.app.screen


def order(shown: str) -> list[tuple[str, str]]:
    """The places and tags of the rows; no place for a reed that is only nearly ready."""
    return re.findall(r"^(?:▸ )? *(?:(\d+\.|–) +)?(\w+) +(?:ob|eh|da|bo) ", shown, re.MULTILINE)


async def test_an_empty_case_says_how_a_reed_gets_into_it(opened: Opened) -> None:
    async with opened() as bench:
        screen = await to_case(bench)
        async for _ in bench.both_sizes():
            assert "The case is empty." in bench.shown
            assert "1 join oboe 5h score 8" in bench.shown
        assert screen.text_twin() is None
        await bench.keys("oisd<escape>s<enter>")
        assert isinstance(bench.app.screen, CaseScreen)
        await bench.keys("<escape>")
        assert not isinstance(bench.app.screen, CaseScreen)


async def test_the_best_is_played_in_public_and_saved_at_practice(opened: Opened) -> None:
    async with opened((120, 40), *CASE) as bench:
        await to_case(bench)
        await bench.keys("<down><down>")
        async for _ in bench.both_sizes():
            assert "o for practice" in bench.shown
            # All were played alike and as lately: by hand, at practice the worst spares two better ones, the best
            # spares none; in public the order turns, and below a score of 7 none is played.
            assert order(bench.shown) == [("1.", "2"), ("2.", "3"), ("3.", "1"), ("", "4")]
            assert "3 h 30" in bench.shown
            assert "nearly ready" in bench.shown
            assert "1: your best: save it, form 9" in bench.shown
        await bench.keys("oo<down><down>")
        async for _ in bench.both_sizes():
            assert "o for a performance" in bench.shown
            assert order(bench.shown) == [("1.", "1"), ("2.", "3"), ("–", "2"), ("", "4")]
            assert "2: rather not: form 6" in bench.shown
            assert "* none of yours is worn out yet" in bench.shown


async def test_a_reed_is_saved_for_an_occasion_and_freed_again(opened: Opened) -> None:
    async with opened((80, 24), *CASE) as bench:
        await to_case(bench)
        await bench.keys("<down>s")
        await bench.enter("the recital on 12 December")
        await answered(bench)
        assert re.search(r"3 +ob .* the recital$", bench.shown, re.MULTILINE)
        assert order(bench.shown)[2] == ("–", "3")
        assert bench.desk.bench.find("3").now.saved_for == "the recital"  # type: ignore[union-attr]
        await bench.keys("ood")
        await bench.enter("12 december")
        assert "d Sat 12 Dec" in bench.shown
        assert order(bench.shown)[0] == ("1.", "3")
        assert "3: saved for the recital on 12 Dec" in bench.shown
        await bench.keys("s")
        await bench.enter("off")
        await answered(bench)
        assert order(bench.shown)[0] == ("1.", "1")


async def test_a_day_that_is_past_or_none_is_refused(opened: Opened) -> None:
    async with opened((80, 24), *CASE) as bench:
        await to_case(bench)
        await bench.keys("d")
        await bench.enter("2026-01-01")
        assert "✗ that day is past" in bench.shown
        await bench.keys("<escape>d")
        await bench.enter("someday")
        assert "✗ someday is not a day known here" in bench.shown
        await bench.keys("<escape>")
        assert "d today" in bench.shown


async def test_a_first_month(opened: Opened, log_path: Path, clock: FixedClock) -> None:
    first_month_at(log_path, clock)
    async with opened() as bench:
        screen = await to_case(bench)
        async for _ in bench.both_sizes():
            assert len(order(bench.shown)) == 7
        assert screen.instruments == ["english horn", "oboe"]
        await bench.keys("i")
        async for _ in bench.both_sizes():
            assert "English horn only" in bench.shown
            assert {tag for _, tag in order(bench.shown)} == {"88", "6", "4", "10"}
        await bench.keys("<enter>")
        await bench.settle()
        assert isinstance(bench.app.screen, ReedScreen)


async def test_to_a_file(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), *CASE) as bench:
        screen = await to_case(bench)
        kept = tmp_path / "kept.txt"
        await bench.keys("p")
        await bench.answer(str(kept))
        await answered(bench)
        assert "✓ Written to" in bench.shown
        lines = kept.read_text().splitlines()
        assert lines[0] == "For practice on Wed 25 Nov 2026, oboe:"
        assert lines[1].startswith("1. reed 2: form 6")
        twin = screen.text_twin()
        assert twin is not None
        assert fold_text(twin[1]) == lines


async def test_labels_of_the_case_are_a_sheet_to_print(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), *CASE, first="<f6>") as bench:
        await bench.keys("l")
        assert "Labels of 4 reeds" in bench.shown
        await bench.answer(str(tmp_path / "labels.html"))
        await bench.settle()
        assert (tmp_path / "labels.html").read_text(encoding="utf-8").count('class="piece label"') == 4


async def test_reeds_unseen_for_long_are_asked_about_and_u_puts_their_end_on_the_entry_line(
    opened: Opened, clock: FixedClock
) -> None:
    forty = [f"{1 + n % 2} play 30 8 @{(clock.now() - timedelta(days=80 - n)).date()}" for n in range(80)]
    old = f"@{(clock.now() - timedelta(days=90)).date()}"
    async with opened((80, 24), f"1-4 tie oboe 72 {old}", f"3, 4 play 30 8 {old}", *forty) as bench:
        await to_case(bench)
        assert [tag for _, tag in order(bench.shown)] == ["1", "2"]
        assert "Still there? 3, 4: unseen for long. u: they are gone" in bench.shown
        await bench.keys("u")
        assert "▸ 3, 4 retire not known" in bench.shown
        await bench.keys("<enter><enter>")
        await to_case(bench)
        assert "Still there?" not in bench.shown
        await bench.keys("u")
        assert isinstance(bench.app.screen, CaseScreen)


async def test_left_open_overnight_it_is_as_of_the_new_day(opened: Opened, clock: FixedClock) -> None:
    async with opened((80, 24), *CASE) as bench:
        await to_case(bench)
        evening = clock.now()
        clock.forward(minutes=2)
        bench.app.follow()
        assert f"{clock.now():%H:%M}" in bench.shown.splitlines()[0]
        clock.forward(hours=22)
        assert clock.now().date() > evening.date()
        bench.app.follow()
        await answered(bench)
        assert f"{clock.now():%a} {clock.now().day}" in bench.shown.splitlines()[0]
        assert len(re.findall(r"22 h|23 h", bench.shown)) >= 3
