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
        assert self.app.turns.pressed_at == event.time
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


class Line(Input):
    """One on which a question mark may be more than a letter."""

    def on_key(self, event: events.Key) -> None:
        if event.key == "?" and not self.value:
            event.prevent_default()
            self.post_message(Asked("o"))


class Program(App[None]):
    """`o` opens the second screen and `x` leaves it; `i` goes to a line, which Enter ends."""

    AUTO_FOCUS = "#first"
    CSS = "Part, Holder { height: 1; }"
    BINDINGS = [Binding("f1", "note('at once')", priority=True), Binding("f2", "note('at last')"),
                Binding("f3", "open", priority=True)]  # fmt: skip

    def __init__(self) -> None:
        super().__init__()
        self.heard: list[str] = []
        self.woken = asyncio.Event()
        self.held = ""
        self.turns = Turns(self, lambda typed: isinstance(typed, events.Key) and typed.key == self.held)

    def compose(self) -> ComposeResult:
        with Holder():
            yield Part("first", self.heard)
        yield Line()

    async def on_event(self, event: events.Event) -> None:
        if not self.turns.holds(event):
            await super().on_event(event)

    def on_asked(self, asked: Asked) -> None:
        if asked.key == "o":
            self.action_open()
        elif asked.key == "i":
            self.query_one(Input).focus()

    def on_input_submitted(self, line: Input.Submitted) -> None:
        self.heard.append(line.value)
        line.input.clear()

    def action_note(self, what: str) -> None:
        self.heard.append(what)

    def action_open(self) -> None:
        self.push_screen(Second(self.heard))

    async def type(self, *keys: str) -> None:
        """Type keys without a pause, and wait until those are done that may have their turn."""
        for key in keys:
            await self.on_event(events.Key(key, key if len(key) == 1 else None))
        await self.turns.at_rest()


async def test_a_key_is_done_when_the_screen_that_it_opens_has_its_focus_and_the_one_it_leaves_is_gone() -> None:
    app = Program()
    async with app.run_test():
        await app.type("a", "o", "b", "x", "c", "f2", "f1", "f3", "d")
    there, back = ["first a", "first o", "late b", "late x"], ["first c", "first f2", "at last", "at once", "late d"]
    assert app.heard == [*there, *back]


async def test_a_line_is_what_was_typed_up_to_its_end_whatever_was_typed_ahead_behind_it() -> None:
    app = Program()
    async with app.run_test():
        await app.type("i", *"scp", "backspace", "r", "enter", *"ct", "left", "u", "enter", "?", "b")
    assert app.heard == ["first i", "scr", "cut", "late b"]


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


async def test_what_should_not_have_happened_is_told_to_the_program(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(_: object) -> bool:
        raise ArithmeticError("no such key")

    app, told = Program(), list[object]()
    monkeypatch.setattr(app, "call_later", lambda _, error: told.append(error))
    app.turns = Turns(app, fails)
    await app.type("a")
    assert [str(error) for error in told] == ["no such key"]
