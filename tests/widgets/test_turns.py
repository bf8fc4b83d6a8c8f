"""Keys in turn, in a program of two screens whose parts hand on what a key is for, each to the one above it."""

from __future__ import annotations

import asyncio

import pytest
from textual import events
from textual.app import App, ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input

from reedkin.widgets import turns
from reedkin.widgets.turns import Turns


class Asked(Message):
    """A part of a screen asks the one above it to do what a key is for."""

    def __init__(self, key: str) -> None:
        super().__init__()
        self.key = key


class Part(Widget, can_focus=True):
    def __init__(self, name: str, heard: list[str]) -> None:
        super().__init__(id=name)
        self._heard = heard

    async def on_key(self, event: events.Key) -> None:
        self._heard.append(f"{self.id} {event.key}")
        self.post_message(Asked(event.key))
        if event.key == "z":
            await self.app.woken.wait()


class Holder(Vertical):
    """Does nothing itself: asks what is above it in turn."""

    def on_asked(self, asked: Asked) -> None:
        asked.stop()
        self.screen.post_message(Asked(asked.key))


class Second(Screen[None]):
    """Has its focus on its second part, a while after it has come."""

    AUTO_FOCUS = "#early"

    def __init__(self, heard: list[str]) -> None:
        super().__init__()
        self._heard = heard

    def compose(self) -> ComposeResult:
        yield Part("early", self._heard)
        yield Part("late", self._heard)

    def on_screen_resume(self) -> None:
        self.call_later(self.query_one("#late").focus)

    def on_asked(self, asked: Asked) -> None:
        if asked.key == "x":
            self.dismiss()


class Program(App[None]):
    """`o` opens the second screen and `x` leaves it; `i` goes to a line, which Enter ends."""

    AUTO_FOCUS = "#first"
    CSS = "Part, Holder { height: 1; }"
    BINDINGS = [Binding("f1", "note('at once')", priority=True), Binding("f2", "note('at last')")]

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[str] = []
        self.woken = asyncio.Event()
        self.held = ""
        self.turns = Turns(self, lambda typed: isinstance(typed, events.Key) and typed.key == self.held)

    def compose(self) -> ComposeResult:
        with Holder():
            yield Part("first", self.heard)
        yield Input()

    async def on_event(self, event: events.Event) -> None:
        if not self.turns.holds(event):
            await super().on_event(event)

    def on_asked(self, asked: Asked) -> None:
        if asked.key == "o":
            self.push_screen(Second(self.heard))
        elif asked.key == "i":
            self.query_one(Input).focus()

    def on_input_submitted(self, line: Input.Submitted) -> None:
        self.heard.append(line.value)
        line.input.clear()

    def action_note(self, what: str) -> None:
        self.heard.append(what)

    async def type(self, *keys: str) -> None:
        """Type keys without a pause, and wait until those are done that may have their turn."""
        for key in keys:
            self.turns.holds(events.Key(key, key if len(key) == 1 else None))
        await self.turns.at_rest()


async def test_a_key_is_done_when_the_screen_that_it_opens_has_its_focus_and_the_one_it_leaves_is_gone() -> None:
    app = Program()
    async with app.run_test():
        await app.type("a", "o", "b", "x", "c", "f2", "f1", "o", "d")
    there, back = ["first a", "first o", "late b", "late x"], ["first c", "first f2", "at last", "at once", "first o"]
    assert app.heard == [*there, *back, "late d"]


async def test_a_line_is_what_was_typed_up_to_its_end_whatever_was_typed_ahead_behind_it() -> None:
    app = Program()
    async with app.run_test():
        await app.type("i", *"scp", "backspace", "r", "enter", *"ct", "left", "u", "enter", "?", "tab", "o", "b")
    assert app.heard == ["first i", "scr", "cut", "first o", "late b"]


async def test_what_waits_holds_back_all_behind_it_until_it_may_go_on() -> None:
    app = Program()
    async with app.run_test():
        app.held = "b"
        await app.type("a", "b", "c")
        assert app.heard == ["first a"]
        assert app.turns.waiting
        app.held = ""
        app.turns.go_on()
        await app.turns.at_rest()
    assert app.heard == ["first a", "first b", "first c"]
    assert not app.turns.waiting


async def test_what_was_typed_for_another_screen_comes_after_it_and_before_what_was_typed_since() -> None:
    app = Program()
    async with app.run_test():
        app.held = "b"
        await app.type("b", "c")
        app.turns.set_aside()
        assert not app.turns.waiting
        await app.type("o", "a", "x")
        await app.type("b", "d")
        app.held = ""
        app.turns.bring_back()
        await app.turns.at_rest()
    assert app.heard == ["first o", "late a", "late x", "first b", "first c", "first b", "first d"]


async def test_a_key_that_is_never_done_with_takes_no_other_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(turns, "_PATIENCE", 0.05)
    app = Program()
    async with app.run_test():
        await app.type("z", "f1")
        assert app.heard == ["first z", "at once"]
        app.woken.set()
