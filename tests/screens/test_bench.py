"""The bench screen: a session by keyboard alone, at both sizes."""

from __future__ import annotations

import errno
import os

import pytest
from textual import events

from reedkin.domain.columns import columns
from reedkin.screens.help import HelpScreen
from reedkin.screens.reed import ReedScreen
from reedkin.widgets.entry_line import EntryLine
from reedkin.widgets.reed_list import ReedList
from reedkin.widgets.reed_panel import ReedPanel
from tests.screens.conftest import Opened

TIED = ("1-3 tie eh 60 lot 7 tube 27",)


async def test_an_empty_log_says_what_to_type_first(opened: Opened) -> None:
    async with opened() as bench:
        async for _ in bench.both_sizes():
            assert "This log is empty" in bench.shown
            assert "join eh 5h" in bench.shown
        await bench.enter("1-3 tie eh 60 lot 7 tube 27")
        assert "This log is empty" not in bench.shown
        assert len(bench.desk.bench.at_work()) == 3


async def test_from_nothing_to_a_first_answer_about_twelve_reeds_in_the_case(opened: Opened) -> None:
    async with opened() as bench:
        await bench.keys("<f3>")
        assert "1 tie oboe 72 begins one" in bench.shown
        one_line = "1-12 join eh 5h score 8"
        await bench.enter(one_line)
        await bench.keys("<f3>")
        assert "played 5 h, all of it before this log, last score 8" in bench.shown
        await bench.keys("<f6>")
        while bench.app.screen.is_busy:  # type: ignore[attr-defined]
            await bench.settle()
        assert "12. 12 " in bench.shown
        assert len(one_line) + 2 < 30, "keystrokes, Enter and F6 among them"


async def test_the_preview_says_what_will_be_recorded_while_typing(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        laid_out: list[object] = []
        bench.app.screen.screen_layout_refresh_signal.subscribe(bench.app.screen, laid_out.append)
        await bench.keys("c .")
        await bench.keys("5")
        assert not laid_out  # which takes as long as everything else that a key does
        async for _ in bench.both_sizes():
            assert "clipped 0.5 mm → 59.5 mm, blade 32.5 mm" in bench.shown


async def test_the_commonest_events_take_eight_keystrokes_or_fewer(opened: Opened) -> None:
    async with opened((80, 24), *TIED, "2 wire 28 awg brass; tube 5", "1 note ready") as bench:
        reed = bench.desk.hand
        assert reed is not None
        for keys, kind, facts in (
            ("s<enter>", "scraped", {}),
            ("s t 10<enter>", "scraped", {"where": ("tip",), "minutes": 10}),
            ("c .5<enter>", "clipped", {"clip_mm": 0.5}),
            ("w<enter>", "wired", {"gauge_awg": 28, "material": "brass"}),
            ("tu<enter>", "tubed", {"tubing_mm": 5.0}),
            ("p 45 8<enter>", "played", {"minutes": 45, "score": 8}),
            ("r cr<enter>", "retired", {"cause": "cracked"}),
        ):
            assert len(keys.replace("<enter>", ".")) <= 8
            await bench.keys(keys)
            last = bench.desk.bench.reed(reed.id).last
            assert (last.kind, last.facts) == (kind, facts)


async def test_arrows_change_the_reed_in_hand(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        first = bench.desk.hand
        assert first is not None
        await bench.keys("<down>")
        assert bench.desk.hand is not None
        assert bench.desk.hand.label == "2"
        await bench.keys("<up><up>")
        assert bench.desk.hand.label == "1"
        assert "▸ 1" in bench.shown


async def test_an_odd_value_is_asked_about_escape_leaves_it_and_enter_again_records_it(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("c 5")
        assert "clip 5 mm is much" in bench.shown
        await bench.keys("<escape>")
        assert bench.app.screen.query_one(EntryLine).text == "c 5"
        await bench.keys("<enter>")
        assert "clip 5 mm is much" in bench.shown
        assert bench.desk.bench.find("1").now.overall_mm == 60
        await bench.keys("<enter>")
        assert bench.desk.bench.find("1").now.overall_mm == 55


async def test_a_question_is_shown_while_typing_however_much_else_is_understood(opened: Opened) -> None:
    async with opened((80, 24), "1 tie eh 60") as bench:
        await bench.keys("scrape tip 10; crow C5; wire; clip 9; note x")
        assert "1: scraped tip, 10 min" in bench.shown
        assert "… and 4 more" in bench.shown
        assert "? clip 9 mm is much" in bench.shown


async def test_an_impossible_line_is_not_recorded_and_stays(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("c 500")
        assert "must be between" in bench.shown
        assert bench.app.screen.query_one(EntryLine).text == "c 500"
        assert len(bench.desk.bench.find("1").steps) == 1


async def test_one_key_takes_the_last_entry_back_and_gives_its_text_back(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("s tip 10; c .5")
        await bench.keys("<ctrl+z>")
        assert bench.desk.bench.find("1").now.overall_mm == 60
        assert "Took back" in bench.shown
        assert bench.app.screen.query_one(EntryLine).text == "s tip 10; c .5"
        await bench.keys("<enter>")
        assert bench.desk.bench.find("1").now.overall_mm == 59.5


async def test_take_back_on_an_empty_log_says_so(opened: Opened) -> None:
    async with opened() as bench:
        await bench.keys("<ctrl+z>")
        assert "nothing to take back" in bench.shown


async def test_a_session_starts_and_ends_with_one_key(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("<f9>")
        assert bench.desk.session is not None
        assert "session 10:01" in bench.shown
        await bench.enter("session 68 F 45% fresh knife")
        assert "20 °C, 45%, knife fresh" in bench.shown
        await bench.enter("c .5")
        event = bench.desk.bench.find("1").last.event
        assert event.session == bench.desk.session.uid
        await bench.keys("<f9>")
        assert bench.desk.session is None
        assert "session ends 25 Nov 10:01" in bench.shown


async def test_taking_back_names_what_was_said_and_how_to_clear_the_line(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("lot 7 250 g")
        await bench.keys("<ctrl+z>")
        assert "Took back: lot 7: weight 250 g" in bench.shown
        assert "clear it with Escape" in bench.shown


async def test_a_session_left_open_is_noticed_and_ended_at_its_last_entry(opened: Opened) -> None:
    async with opened((80, 24), "session start", *TIED) as bench:
        last = bench.desk.bench.find("3").last.at
        bench.clock.forward(hours=20)
        bench.app.show_log()
        await bench.pilot.pause()
        assert "was left open" in bench.shown
        session = bench.desk.session
        assert session is not None
        await bench.keys("<f9>")
        ended = bench.desk.bench.sessions.of(session.uid)
        assert ended is not None
        assert ended.ended == last


async def test_the_bench_clock_offers_the_minutes_of_a_scrape(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("<f9><down>")
        bench.clock.forward(minutes=12)
        await bench.keys("s")
        assert "scraped, 12 min" in bench.shown
        await bench.keys("<enter>")
        assert bench.desk.bench.find("2").last.facts == {"minutes": 12}
        assert bench.desk.offered_minutes is None


async def test_tab_completes_and_never_loses_what_was_typed(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("retire cr<tab>")
        assert bench.app.screen.query_one(EntryLine).text.strip() == "retire cracked"


async def test_a_tag_alone_shows_the_reed_and_escape_comes_back_with_it_in_hand(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("3")
        assert isinstance(bench.app.screen, ReedScreen)
        await bench.keys("<escape>")
        assert bench.desk.hand is not None
        assert bench.desk.hand.label == "3"
        assert "what was done to it" not in bench.shown


async def test_the_keys_say_how_to_quit_and_the_drawing_comes_back_when_a_small_window_grows(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        assert "^Q quit" in bench.shown.splitlines()[-1].replace("^Qquit", "^Q quit")
        assert "tube" in bench.shown
        await bench.pilot.resize_terminal(40, 12)
        await bench.enter("c .5")
        assert "too small" not in bench.shown
        assert "59.5" in bench.shown
        await bench.pilot.resize_terminal(80, 24)
        await bench.settle()
        assert "target" in bench.shown


async def test_help_shows_keys_verbs_and_cautions(opened: Opened) -> None:
    async with opened((120, 40)) as bench:
        await bench.keys("?")
        assert isinstance(bench.app.screen, HelpScreen)
        pages = bench.shown
        for _ in range(6):
            await bench.keys("<pagedown>")
            pages += bench.shown
        for words in (
            "Keys: bench",
            "retire cracked @yesterday",
            "Take the last entry back",
            "Cut away from the fingers",
        ):
            assert words in pages
        await bench.keys("<f1>")
        assert not isinstance(bench.app.screen, HelpScreen)


async def test_a_caution_shows_when_it_applies_once_a_session_and_whole(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("wire 28; tube 5")
        assert "Fold the wire's cut ends flat" in bench.shown
        await bench.enter("tube 4.5")
        assert "a loose piece can be swallowed." in " ".join(bench.shown.split())
        await bench.enter("tube 6")
        assert "swallowed" not in bench.shown
        await bench.keys("<f9>")
        await bench.enter("tube 5.5")
        assert "swallowed." in bench.shown


async def test_the_bench_clock_shows_at_all_times_and_that_it_begins_anew(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        assert "clock 0 min" in bench.shown
        bench.clock.forward(minutes=7)
        bench.app.show_log()
        await bench.pilot.pause()
        assert "clock 7 min" in bench.shown
        await bench.keys("<ctrl+t>")
        assert "clock 0 min" in bench.shown
        assert "it stood at 7 min" in bench.shown


async def test_taking_back_leaves_the_reed_in_hand(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("1 c .5")
        await bench.keys("<up><ctrl+z>")
        assert bench.desk.hand is not None
        assert bench.desk.hand.label == "3"


async def test_how_many_more_reeds_there_are_stands_clear_of_the_heading(opened: Opened) -> None:
    async with opened((80, 24), "1-30 tie eh 60 lot 7 tube 27") as bench:
        heading = next(line for line in bench.shown.splitlines() if " more)" in line)
        assert "last  (" in heading
        assert "more) " in heading
        # The mouse wheel looks further along them and takes none in hand; a key comes back to the one that is.
        hand, shown = bench.desk.hand, bench.app.screen.query_one(ReedList)
        shown.on_mouse_scroll_down()
        assert "▸ 1 " not in bench.shown
        assert bench.desk.hand == hand
        await bench.keys("<down>")
        assert "▸ 2 " in bench.shown
        for _ in range(20):
            shown.on_mouse_scroll_down()
        assert "\n  30 " in bench.shown
        await bench.enter("c .5")
        assert "▸ 2 " in bench.shown


async def test_keys_typed_ahead_of_a_screen_go_to_it(opened: Opened) -> None:
    async with opened((80, 24), *TIED, "1 c .5") as bench:
        for key in (*"1", "enter", *"xy", "f2", "s", "enter"):
            bench.app.post_message(events.Key(key, None))
        await bench.settle()
        await bench.app.turns.at_rest()
        reed = bench.desk.bench.find("1")
        assert [step.struck for step in reed.steps] == [False, True, False]
        assert reed.last.kind == "scraped"


async def test_a_full_disk_is_told_and_the_line_stays(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    async with opened((80, 24), *TIED) as bench:

        def full(fd: int, data: bytes) -> int:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        with monkeypatch.context() as patched:
            patched.setattr(os, "write", full)
            await bench.enter("c .5")
        assert "No space left" in bench.shown
        assert bench.app.screen.query_one(EntryLine).text == "c .5"
        assert bench.desk.bench.find("1").now.overall_mm == 60
        await bench.keys("<enter>")
        assert bench.desk.bench.find("1").now.overall_mm == 59.5


async def test_hostile_text_in_a_note_shows_literally(opened: Opened) -> None:
    async with opened((120, 40), *TIED) as bench:
        await bench.enter('1 note "[b]bold[/b] [link=x]"')
        assert "[b]bold[/b] [link=x]" in bench.shown
        bench.app.notify("told [b]\x1b[2J beside")
        await bench.settle()
        assert "told [b]␛[2J beside" in bench.shown


async def test_any_size_of_terminal_keeps_the_entry_line(opened: Opened) -> None:
    async with opened((20, 6), *TIED) as bench:
        for overall, size in ((59.5, (20, 6)), (59, (40, 10)), (58.5, (60, 16)), (58, (200, 60))):
            await bench.pilot.resize_terminal(*size)
            await bench.enter("1 c .5")
            assert bench.desk.bench.find("1").now.overall_mm == overall
            assert "▸" in bench.shown.splitlines()[-2]


async def test_pasted_lines_become_one_entry_and_none_is_lost(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        assert bench.app.focused is not None
        bench.app.focused.post_message(events.Paste("1 scrape tip 10m\r\n\n2 clip .5\n"))
        await bench.pilot.pause()
        assert bench.app.screen.query_one(EntryLine).text == "1 scrape tip 10m; 2 clip .5"
        await bench.keys("<enter>")
        assert bench.desk.bench.find("1").last.kind == "scraped"
        assert bench.desk.bench.find("2").last.kind == "clipped"


async def test_nothing_pasted_steers_the_terminal_or_hides(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        assert bench.app.focused is not None
        bench.app.focused.post_message(events.Paste('1 note "a\x1b]0;title \u202eb"'))
        await bench.pilot.pause()
        assert "␛]0;title \ufffdb" in bench.shown.splitlines()[-3]
        await bench.keys("<enter>")
        assert bench.desk.bench.find("1").last.note == "a\x1b]0;title \u202eb"


async def test_a_tag_alone_says_what_enter_does(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("3")
        assert "Enter shows the whole life of 3" in bench.shown


async def test_the_list_names_reeds_and_shows_the_last_note(opened: Opened) -> None:
    async with opened((120, 40), "12 tie eh 60 name Eva", '12 note "reedy"') as bench:
        async for _ in bench.both_sizes():
            row = next(line for line in bench.shown.splitlines() if line.startswith("▸ 12"))
            assert "12 Eva" in row
            assert "“reedy”" in row


async def test_a_name_in_wide_characters_leaves_the_columns_where_they_are(opened: Opened) -> None:
    async with opened((80, 24), "1 tie eh 60", '2 tie eh 60 name "日本語のリード"') as bench:
        lines = bench.shown.splitlines()
        rows = [line.lstrip("▸ ") for line in lines if "blank  " in line and "  tied" in line]
        assert [row[0] for row in rows] == ["1", "2"]
        assert len({columns(row[: row.index("blank")]) for row in rows}) == 1


async def test_after_a_verb_the_line_says_what_it_wants_and_what_can_come(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("p ")
        assert "how long? such as p 45 8 rehearsal" in bench.shown
        assert "practice  lesson  rehearsal  performance" in bench.shown
        await bench.keys("<ctrl+u>3 ")
        assert "scrape" in bench.shown.splitlines()[-5]
        assert "Enter shows the whole life" not in bench.shown


async def test_another_tag_is_typed_and_taken_back_and_a_note_is_offered_once_its_word_is_there(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("1 stuffy")
        assert "as a note?" not in bench.shown
        await bench.keys(" ")
        assert "as a note?" in bench.shown
        await bench.keys("<escape>1 is 26")
        assert "1 is called 26 from now on" in bench.shown
        await bench.keys("<enter>")
        assert [reed.label for reed in bench.desk.reeds()] == ["26", "2", "3"]
        await bench.keys("<ctrl+z>")
        assert [reed.label for reed in bench.desk.reeds()] == ["1", "2", "3"]


async def test_the_drawing_shows_the_reed_as_it_will_be_and_empty_rows_are_for_reeds(opened: Opened) -> None:
    async with opened((120, 40), "1-18 tie eh 60 lot 7 tube 27") as bench:
        assert " more)" not in bench.shown
        panel = bench.app.screen.query_one(ReedPanel)
        await bench.keys("3 c .5; note dull")  # what changes nothing of it comes last
        panel.look_ahead()
        await bench.settle()
        assert "as it will be" in bench.shown
        assert "╰59.5" in bench.shown
        await bench.keys("<escape>")
        assert "as it will be" not in bench.shown
        assert "╰59.5" not in bench.shown


async def test_the_look_follows_the_terminal_until_one_is_set(opened: Opened) -> None:
    from reedkin.widgets.terminal_input import Ground

    async with opened() as bench:
        assert bench.app.theme == "reedkin-bench"
        bench.app.post_message(Ground(dark=False))
        await bench.settle()
        assert bench.app.theme == "reedkin-paper"
        await bench.enter("set look terminal")
        assert (bench.app.theme, bench.app.ansi_color) == ("reedkin-terminal", True)
        await bench.enter("set look dark")
        assert (bench.app.theme, bench.app.ansi_color) == ("reedkin-bench", False)
        await bench.enter("set look light")
        assert bench.app.theme == "reedkin-paper"


async def test_a_room_is_entered_by_its_name_where_no_function_key_arrives(
    opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("Week")
        assert "Enter opens week: " in bench.shown
        assert "not a verb" not in bench.shown
        await bench.keys("<enter>")
        assert "reedkin · week" in bench.shown
        await bench.keys("?")
        assert "Keys: week" in bench.shown
        await bench.keys("?<escape>")
        assert "Week" not in bench.shown  # the line is free again
        await bench.keys("orders")
        assert "Enter opens orders, a page of the week" in bench.shown
        await bench.keys("<enter>")
        assert "orders (5 of 8)" in bench.shown
        await bench.keys("<escape>")
        await bench.enter("3 week")
        assert "reedkin · bench" in bench.shown  # what is said of a reed leads nowhere
        await bench.keys("<escape><escape>")
        await bench.enter("help")
        assert "Keys: bench" in bench.shown
        await bench.keys("<escape>")
        ended: list[int] = []
        monkeypatch.setattr(bench.app, "exit", lambda: ended.append(1))
        await bench.enter("quit")
        assert ended == [1]
