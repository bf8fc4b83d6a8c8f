"""The diary: all entries by day, narrowed by words, and corrected; by the keys that it takes."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from reedkin.answers.diary.diary import Diary
from reedkin.domain.clock import FixedClock
from reedkin.screens.diary import DiaryScreen
from reedkin.screens.reed import ReedScreen
from tests.filling import fill
from tests.screens.asking import answered
from tests.screens.conftest import SIZES, Bench, Opened

MONTH = (
    "1-8 tie oboe 72 lot 7 @1 nov",
    "12 tie eh 60 name Clara @2 nov",
    "14 tie eh 60 @2 nov",
    '12 play 45 8 rehearsal "buzzes on low notes" @20 nov',
    "lot 7 40 pieces",
    "1-8 scrape tip 10m",
)
DIARY = "<f10>"


def days(bench: Bench, tag: str, kind: str) -> list[str]:
    reed = bench.desk.bench.find(tag)
    assert reed is not None
    return [f"{step.at:%d %b %H:%M}" for step in reed.of_kind(kind)]


async def test_what_was_done_newest_first(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    described: list[Diary] = []
    monkeypatch.setattr(Diary, "__repr__", lambda diary: described.append(diary) or "")
    async with opened((120, 40), *MONTH, first=DIARY) as bench:
        assert isinstance(bench.app.screen, DiaryScreen)
        assert not described  # which of ten years would take seconds
        async for _ in bench.both_sizes():
            lines = bench.shown.splitlines()
            assert "1–8: scraped tip, 10 min" in lines[2]
            assert "Wed 25 Nov 2026" in lines[2]
            assert "lot 7" in lines[3]
            assert "Fri 20 Nov 2026" in lines[4]
            assert "6 lines" in lines[1]


@pytest.mark.parametrize("size", SIZES)
async def test_a_batch_on_the_wrong_day_is_moved_in_at_most_six_keys(opened: Opened, size: tuple[int, int]) -> None:
    async with opened(size, *MONTH, first=DIARY) as bench:
        keys = ["d", "<left>", "<enter>"]
        assert len(keys) <= 6
        await bench.keys("".join(keys))
        for tag in "12345678":
            assert days(bench, tag, "scraped") == ["24 Nov 10:05"]
        assert "was 25 Nov" in bench.shown


async def test_the_preview_shows_what_it_does_before_enter(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        await bench.keys("d<left><left>")
        assert "1–8: scraped tip, 10 min: Wed 25 Nov 2026 10:05 → Mon 23 Nov 2026 10:05" in bench.shown
        await bench.keys("<escape>")
        assert days(bench, "1", "scraped") == ["25 Nov 10:05"]


async def test_an_event_on_the_wrong_reed_is_moved_in_at_most_eight_keys(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        keys = ["<down>", "<down>", "m", "1", "4", "<enter>"]
        assert len(keys) <= 8
        await bench.keys("".join(keys))
        assert days(bench, "12", "played") == []
        assert days(bench, "14", "played") == ["20 Nov 12:00"]
        assert "moved to 14" in bench.shown
        assert "moved from 12" in bench.shown
        await bench.keys("<ctrl+z>")
        assert days(bench, "12", "played") == ["20 Nov 12:00"]
        assert days(bench, "14", "played") == []
        assert "Took back" in bench.shown


async def test_a_word_is_found_in_at_most_two_keys_and_the_word(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        await bench.keys("/buzz")  # and another
        lines = bench.shown.splitlines()
        assert "buzzes on" in lines[2]
        assert "1 line" in lines[1]
        await bench.keys("<escape>")
        assert "6 lines" in bench.shown


async def test_keys_that_are_typed_ahead_act_in_order(opened: Opened) -> None:
    """Posted to the screen all at once, as a burst from the terminal is."""
    from textual import events

    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        keys = [("slash", "/"), *((c, c) for c in "buzz"), ("enter", "\r"), ("m", "m"), ("1", "1"), ("5", "5"),
                ("backspace", "\x7f"), ("4", "4"), ("enter", "\r"), ("escape", "\x1b")]  # fmt: skip
        for key, character in keys:
            bench.app.post_message(events.Key(key, character))
        await bench.settle()
        await bench.app.turns.at_rest()
        assert days(bench, "14", "played") == ["20 Nov 12:00"]
        assert "6 lines" not in bench.shown
        assert "7 lines" in bench.shown


async def test_a_line_of_several_reeds_opens_into_its_events(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        await bench.keys("<enter><down>x")
        assert "2: struck: scraped tip, 10 min" in bench.shown
        await bench.keys("<enter>")
        assert days(bench, "2", "scraped") == []
        assert days(bench, "1", "scraped") == ["25 Nov 10:05"]
        await bench.keys("x<enter>")
        assert days(bench, "2", "scraped") == ["25 Nov 10:05"]
        await bench.keys("<enter>")
        assert isinstance(bench.app.screen, ReedScreen)


async def test_tab_means_all_of_the_entry(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, "1-2 scrape heart 5m; clip .5", first=DIARY) as bench:
        await bench.keys("x<tab><enter>")
        assert [step.kind for step in bench.desk.bench.find("1").standing] == ["tied", "scraped"]


async def test_the_amend_box_shows_what_it_does_and_forgets_an_old_error(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, "12 clip .5", first=DIARY) as bench:
        await bench.keys("e<backspace>x")
        assert "✗" in bench.shown
        await bench.keys("<backspace>4")
        assert "✗" not in bench.shown
        assert "overall 59.5 → 59.6 mm" in bench.shown
        await bench.keys("<enter>")
        assert bench.desk.bench.find("12").now.overall_mm == pytest.approx(59.6)


async def test_a_question_is_answered_by_a_second_enter_and_forgotten_by_a_further_key(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, "12 clip .5", first=DIARY) as bench:
        await bench.keys("d<right><enter>")
        assert "still to come" in bench.shown
        assert days(bench, "12", "clipped") == ["25 Nov 10:06"]
        await bench.keys("<right><left><enter>")
        assert days(bench, "12", "clipped") == ["25 Nov 10:06"]
        await bench.keys("<enter>")
        assert days(bench, "12", "clipped") == ["26 Nov 10:06"]


async def test_what_cannot_be_is_refused_and_nothing_is_written(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        size = bench.desk.log.path.stat().st_size
        await bench.keys("d")
        await bench.keys("<ctrl+u>30 oct<enter>")
        assert "it was tied only on 1 Nov 2026" in bench.shown
        await bench.keys("<escape>m99<enter>")
        assert "there is no reed 99" in bench.shown
        await bench.keys("<escape><down>d")
        assert "it can only be struck" in bench.shown
        assert bench.desk.log.path.stat().st_size == size


async def test_a_tag_is_changed(opened: Opened) -> None:
    async with opened((80, 24), "6 tie oboe 72", "7 tie oboe 72", first=DIARY) as bench:
        await bench.keys("t6<enter>")
        assert "6 is in use" in bench.shown
        await bench.keys("<backspace>26<enter>")
        assert bench.desk.bench.find("26") is not None
        assert bench.desk.bench.find("7") is None
        await bench.keys("<ctrl+z>")
        assert bench.desk.bench.find("7") is not None


async def test_what_is_beside_the_reeds_is_struck(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        await bench.keys("<down>x<enter>")
        assert bench.desk.bench.beside.subjects("lots") == {}
        assert "5 lines" in bench.shown


async def test_the_lines_that_are_shown_go_into_a_file_and_to_the_clipboard(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        await bench.keys("/buzzes<enter>p")
        await bench.answer(str(tmp_path / "buzzes.txt"))
        await bench.settle()
        kept = (tmp_path / "buzzes.txt").read_text(encoding="utf-8")
        assert kept.startswith("Fri 20 Nov 2026\n")
        assert "12: played 45 min, rehearsal, scored 8" in kept
        assert "scraped" not in kept
        await bench.keys("y")
        assert bench.app.clipboard == kept.rstrip()

        # Another program records: what is marked and what was said stay, and the new line comes in above.
        await bench.keys("<escape><down>y")
        marked = next(line for line in bench.shown.splitlines() if line.startswith("▸"))
        fill(bench.app.path, bench.clock, ("14 measure tip 50",))
        bench.app.follow()
        await answered(bench)
        assert "14: measured" in bench.shown.splitlines()[2]
        assert marked in bench.shown.splitlines()
        assert "Copied" in bench.shown


async def test_to_a_day_by_typing_it_and_day_by_day(opened: Opened) -> None:
    async with opened((80, 24), *MONTH, first=DIARY) as bench:
        await bench.keys("g2 nov<enter>")
        marked = next(line for line in bench.shown.splitlines() if "▸" in line)
        assert "2 Nov 2026" in marked
        await bench.keys("<right>")
        assert "buzzes" in next(line for line in bench.shown.splitlines() if "▸" in line)
        await bench.keys("<left><left>")
        assert "1 Nov 2026" in next(line for line in bench.shown.splitlines() if "▸" in line)


async def test_an_empty_log(opened: Opened) -> None:
    async with opened((80, 24), first=DIARY) as bench:
        assert "Nothing yet: what is entered on the bench (F2) stands here." in bench.shown
        await bench.keys("exdmt<enter><up><down>/x<enter><escape><escape>")
        assert not isinstance(bench.app.screen, DiaryScreen)


async def test_on_a_reeds_screen_too(opened: Opened) -> None:
    async with opened((80, 24), *MONTH) as bench:
        await bench.enter("12")
        await bench.settle()
        await bench.keys("m14<enter>")
        assert "moved to 14" in bench.shown
        assert days(bench, "14", "played") == ["20 Nov 12:00"]
        await bench.keys("<ctrl+z>")
        assert days(bench, "12", "played") == ["20 Nov 12:00"]
        await bench.keys("<down>" * 3 + "d<left><enter>")
        assert days(bench, "12", "played") == ["19 Nov 12:00"]
        await bench.keys("t")
        await bench.keys("26<enter>")
        assert bench.desk.bench.find("26").now.name == "Clara"


async def test_the_log_of_another_computer_is_taken_in_and_each_conflict_settled_by_a_key(
    opened: Opened, log_path: Path, clock: FixedClock
) -> None:
    fill(log_path, clock, ("1 tie oboe 72", "1 p 30"))
    other = log_path.with_name("laptop.jsonl")
    shutil.copy(log_path, other)
    fill(log_path, clock, ("1 retire worn", "lot 7 left 20"))
    fill(other, clock, ("1 p 40", "lot 7 left 24"))
    async with opened((80, 24)) as bench:
        await bench.app.workers.wait_for_complete()
        assert "laptop.jsonl, beside the log, holds 2 records that it lacks" in bench.shown
        await bench.keys("<f10>")
        await bench.keys("u")
        await bench.answer(str(other.with_name("none.jsonl")))
        assert "✗" in bench.shown
        await bench.keys("u<enter>")
        assert "1 of 2 that do not go together" in bench.shown
        assert "Reed 1 was retired: worn" in bench.shown
        await bench.keys("1")
        assert "✓ 1: struck: retired: worn" in bench.shown
        assert "Both logs changed lot 7" in bench.shown
        await bench.keys("2")
        assert "Taken in: 2 records" in bench.shown
        reed = bench.desk.bench.find("1")
        assert reed is not None
        assert (reed.stage, reed.now.minutes_played) == ("in service", 70)
        assert bench.desk.bench.beside.subjects("lots")["7"]["left"] == 20
