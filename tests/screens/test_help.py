"""The help screen: the keys of where one came from, the grammar, every verb with what it takes."""

from __future__ import annotations

import re
from importlib import import_module

import pytest
from textual import actions

from reedkin.cli.commands.helping import _commands
from reedkin.domain.cautions import MOULD
from reedkin.grammar.words.verbs import VERBS
from reedkin.screens.help import HelpScreen
from reedkin.screens.rooms import ROOMS
from reedkin.screens.topics import _ASKED_FOR, Topic, holding, topics
from tests.screens.conftest import Bench, Opened


async def pages(bench: Bench) -> str:
    """All that the help screen holds, page by page, without what stands around each."""
    shown = _inside(bench.shown)
    scrolled = bench.app.screen.query_one("#pages")
    while scrolled.scroll_offset.y < scrolled.max_scroll_y:
        scrolled.scroll_page_down(animate=False)
        await bench.pilot.pause()
        shown += "\n" + _inside(bench.shown)
    return shown


def _inside(shown: str) -> str:
    return re.sub("[▀-▟]", "", "\n".join(shown.splitlines()[1:-1]))


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 40)])
async def test_nothing_is_wider_than_the_screen(opened: Opened, size: tuple[int, int]) -> None:
    async with opened(size) as bench:
        await bench.keys("<f1>")
        assert isinstance(bench.app.screen, HelpScreen)
        shown = await pages(bench)
        text = " ".join(shown.split())
        for verb in VERBS:
            assert verb.word in text
        assert "…" not in shown
        assert "qualified person" in text


async def test_verbs_with_what_they_take(opened: Opened) -> None:
    async with opened((120, 40)) as bench:
        await bench.keys("<f1>")
        text = " ".join((await pages(bench)).split())
        for words in (
            "retire cracked @yesterday cause (worn, closed up, cracked, chipped, mouldy, leaking, flat, dropped, lost,",
            "crow C5 -20c octaves a note such as C5, octaves or single, steady",
            "clip to 57.5 how much in mm, to a number in mm",
            "clean with a feather your own words",
            "sell to the quartet for 30 to whom, for a number",
        ):
            assert words in text


async def test_the_keys_are_those_of_the_screen_one_came_from(opened: Opened) -> None:
    async with opened((80, 24), "12 tie eh 60") as bench:
        await bench.enter("12")
        await bench.settle()
        await bench.keys("<f1>")
        assert "Keys: reed" in bench.shown
        assert "Strike what is marked" in bench.shown
        await bench.keys("<escape>")
        assert not isinstance(bench.app.screen, HelpScreen)


async def test_the_lines_fold_anew_when_the_window_changes(opened: Opened) -> None:
    async with opened((120, 40)) as bench:
        await bench.keys("<f1>")
        assert "Take the reed above or below in hand" in bench.shown
        await bench.pilot.resize_terminal(44, 20)
        await bench.settle()
        assert "Take the reed above or below in hand" not in bench.shown
        assert "Take the reed above or" in bench.shown


async def test_a_word_is_found_in_all_of_the_help_and_enter_does_it(opened: Opened) -> None:
    async with opened((80, 24), "12 tie eh 60") as bench:
        await bench.keys("<f1>/shorter lives")
        assert "F5 habits" in bench.shown
        await bench.keys("<enter>")
        assert bench.app.screen.TITLE == "habits"
        await bench.keys("<f1>/crow")
        assert "C5 -20c" in bench.shown
        await bench.keys("<enter>")
        assert bench.app.screen.TITLE == "bench"
        assert "12 ▸ crow" in bench.shown
        await bench.keys("<escape><f1>/habbits")
        assert "near: habits" in bench.shown


async def test_enter_leads_to_screens_within_to_numbers_and_to_cautions(opened: Opened) -> None:
    async with opened((80, 24), "12 tie eh 60") as bench:
        await bench.keys("<f1>/trials start")
        assert "Enter: to trials" in bench.shown
        await bench.keys("<enter>")
        await bench.settle()
        assert bench.app.screen.TITLE == "trials"
        await bench.keys("<f2><f1>/mouldy reed away")
        assert "Enter: read it in the help" in bench.shown
        await bench.keys("<enter>")
        await bench.settle()
        assert isinstance(bench.app.screen, HelpScreen)
        assert MOULD in bench.shown
        await bench.keys("<escape>")
        assert bench.app.screen.TITLE == "bench"


def test_every_hit_leads_somewhere_or_works_everywhere() -> None:
    idle = [one for one in topics() if not (one.room or one.is_to_read or one.said.endswith("from every room"))]
    assert not idle


@pytest.mark.parametrize("topic", [one for one in topics() if one.room and one.action], ids=lambda one: one.name)
def test_what_enter_does_is_something_that_its_room_can_do(topic: Topic) -> None:
    room = ROOMS[topic.room]
    screen = getattr(import_module(f"reedkin.screens.{room.name}"), room.screen)
    assert hasattr(screen, f"action_{actions.parse(topic.action)[1]}")


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("undo", "Ctrl+Z"), ("delete", "x"), ("edit", "e"), ("rename", "t"), ("forgot", "@when"),
        ("play tonight", "F6 case"), ("tour", "F7 ready"), ("student", "lend"),
        ("broken", "retire"), ("dark", "set"), ("microphone", "crow"),
        ("inches", "facts"), ("found again", "x"), ("laptop", "u"),
    ],
)  # fmt: skip
def test_everyday_words_find_what_is_called_otherwise_here(asked: str, name: str) -> None:
    assert name in [one.name for one in holding(topics(), asked)][:4]


def test_everyday_words_are_given_to_what_there_is() -> None:
    there = {(one.of, one.name) for one in (*topics(), *_commands())}
    assert {name for _, names in _ASKED_FOR for name in names} <= there
