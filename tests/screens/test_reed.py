"""The reed screen: a whole life, amended, struck, put in a file."""

from __future__ import annotations

from pathlib import Path

import pytest

from reedkin.screens.parts.prompt import PromptScreen
from reedkin.screens.reed import ReedScreen
from tests.screens.conftest import SIZES, Opened

LIFE = (
    "lot 7 tube cane 11 mm from the south slope",
    "session start 20 C 45% fresh knife",
    "9 tie eh 60 lot 7 tube T1 27; retire never came good",
    '12 tie eh 60 lot 7 shape A2 tube T1 27 thread red name "Clara"',
    "12 measure tip 50.5 heart 43.5; clip 1; clip 1; clip .5",
    "12 wire 28 brass; tube 5; crow C5 -20c",
    "12 p 45 8 rehearsal",
    '12 p 30 7 "a little dull"',
)


REED = "12<enter>"


async def test_the_whole_life_shows(opened: Opened) -> None:
    async with opened((120, 40), *LIFE, first=REED) as bench:
        assert isinstance(bench.app.screen, ReedScreen)
        async for _ in bench.both_sizes():
            for words in (
                "12 Clara (red thread): English horn, in service",
                "from the south slope",
                "before it 1 reed: 9",
                "clipped 0.5 mm  58 → 57.5 mm",
                "played 45 min, rehearsal, scored 8",
                "1 h 15 in all",
                "h left (four times in five",
            ):
                assert words in bench.shown


async def test_the_room_and_the_knife_show_beside_an_event(opened: Opened) -> None:
    async with opened((120, 40), *LIFE, first=REED) as bench:
        assert "20 °C, 45%, knife fresh" in bench.shown


@pytest.mark.parametrize("size", SIZES)
async def test_charts_of_length_and_playability(opened: Opened, size: tuple[int, int]) -> None:
    async with opened(size, *LIFE, first=REED) as bench:
        if size == (80, 24):
            await bench.keys("c")
        assert "too small" not in bench.shown
        assert "mm" in bench.shown
        assert "Playability over hours played" in bench.shown


async def test_an_event_is_amended_and_what_it_said_stays_to_be_seen(opened: Opened) -> None:
    async with opened((120, 40), *LIFE, first=REED) as bench:
        await bench.keys("<up><up><up><up><up>e")
        assert "▸ clip 0.5" in bench.shown
        at = bench.desk.bench.find("12").steps[4].at
        await bench.keys("<backspace>4<enter>")
        await bench.settle()
        assert bench.desk.bench.find("12").now.overall_mm == pytest.approx(57.6)
        assert "was clipped 0.5 mm" in bench.shown
        assert bench.desk.bench.find("12").steps[4].at == at


async def test_an_amendment_that_cannot_be_is_refused_and_stays_on_the_line(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("e<ctrl+u>clip 1<enter>")
        assert "same kind" in bench.shown
        assert "▸ clip 1" in bench.shown
        assert bench.app.screen.max_scroll_y == 0  # the box leaves the last lines of the screen where they are
        assert "F10 diary" in bench.shown
        await bench.keys("<escape>")
        assert bench.desk.bench.find("12").now.minutes_played == 75


async def test_an_event_is_struck_and_given_back(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("x")
        assert "Strike it? It stays in the log, struck out." in bench.shown
        await bench.keys("y")
        await bench.settle()
        assert bench.desk.bench.find("12").now.minutes_played == 45
        assert "struck: played 30 min" in bench.shown
        await bench.keys("xy")
        await bench.settle()
        assert bench.desk.bench.find("12").now.minutes_played == 75


async def test_no_is_no(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("xn")
        assert bench.desk.bench.find("12").now.minutes_played == 75


async def test_a_beginning_is_not_struck_from_under_its_reed(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("<home>x")
        assert "strike the later events first" in bench.shown


async def test_the_history_goes_to_a_file_and_never_over_another(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        for name, words in (("life.txt", "played 45 min"), ("life.csv", "played"), ("life.jsonl", "{")):
            taken = tmp_path / name
            taken.write_text("mine")
            await bench.keys("p")
            bench.app.screen.query_one("#answer").value = str(taken)
            await bench.keys("<enter>")
            await bench.settle()
            assert taken.read_text() == "mine"
            assert words in (tmp_path / name.replace(".", "-2.")).read_text()


async def test_a_folder_that_is_not_there_is_told(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("p")
        bench.app.screen.query_one("#answer").value = str(tmp_path / "nowhere" / "x.txt")
        await bench.keys("<enter>")
        await bench.settle()
        assert "Not written: No such file" in bench.shown


async def test_a_digit_asks_for_another_tag(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("9")
        assert isinstance(bench.app.screen, PromptScreen)
        await bench.keys("<enter>")
        await bench.settle()
        assert "9: English horn, retired" in bench.shown


async def test_an_unknown_tag_is_told_and_stays(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("77<enter>")
        assert "there is no reed 77" in bench.shown
        await bench.keys("<escape>")
        assert isinstance(bench.app.screen, ReedScreen)


async def test_arrows_go_through_the_reeds_that_bore_a_tag(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, "9 tie oboe 72", first="9<enter>") as bench:
        assert "9: oboe, blank" in bench.shown
        await bench.keys("<left>")
        await bench.settle()
        assert "9/1: English horn, retired" in bench.shown
        await bench.keys("<right>")
        await bench.settle()
        assert "9: oboe, blank" in bench.shown


async def test_the_time_of_an_event_is_amended(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("e")
        assert "It stays at 25 Nov 2026" in bench.shown
        await bench.keys(" @12:30 today<enter>")
        assert "still to come" in bench.shown
        await bench.keys("<enter>")
        await bench.settle()
        assert f"{bench.desk.bench.find('12').last.at:%H:%M}" == "12:30"


async def test_the_arrows_still_move_after_the_charts_were_shown(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.keys("cc")
        await bench.keys("<up>")
        assert "▸ 25 Nov 2026 10:06  played 45 min" in bench.shown


async def test_what_does_not_fit_of_the_marked_event_stands_below(opened: Opened) -> None:
    note = "the low register speaks late and the top is a little sharp in a cold church"
    async with opened((80, 24), *LIFE, f'12 note "{note}"', first=REED) as bench:
        shown = " ".join(bench.shown.split())
        assert note not in shown
        assert "sharp in a cold church" in shown
        await bench.keys("<up>")
        assert "cold church" not in bench.shown


async def test_a_note_with_control_characters_cannot_steer_the_terminal_when_amended(opened: Opened) -> None:
    async with opened((80, 24), "12 tie eh 60", '12 note "a\x1b]0;b"', first=REED) as bench:
        await bench.keys("e")
        assert 'note "a␛]0;b"' in bench.shown


async def test_what_comes_late_to_a_screen_that_is_being_left_is_harmless(opened: Opened) -> None:
    async with opened((80, 24), *LIFE, first=REED) as bench:
        await bench.app.screen.query("*").remove()  # as leaving it does, while a resize is still on its way
        await bench.pilot.resize_terminal(100, 30)
        await bench.keys("<f2>")
        assert "12" in bench.shown


async def test_the_care_card_is_a_page_to_print(opened: Opened, tmp_path: Path) -> None:
    async with opened((80, 24), "12 tie eh 60") as bench:
        await bench.enter("12")
        await bench.keys("g")
        assert "The care card of 12" in bench.shown
        await bench.answer(str(tmp_path / "card.html"))
        await bench.settle()
        assert "✓ Written to" in bench.shown
        assert "English horn reed 12" in (tmp_path / "card.html").read_text(encoding="utf-8")
