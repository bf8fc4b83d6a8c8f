"""The keys that are declared: what the bottom and the help say of a key is what it does."""

from __future__ import annotations

import pkgutil
from importlib import import_module

import pytest
from textual import actions
from textual.app import App
from textual.binding import Binding
from textual.screen import Screen

from reedkin import screens
from reedkin.app import ReedkinApp
from reedkin.domain.columns import columns
from reedkin.screens.parts.base import BaseScreen
from reedkin.screens.parts.keys import Key, Keys, foot
from reedkin.screens.rooms import COMMON, QUIT, ROOMS
from reedkin.widgets.key_bar import KeyBar


def with_keys(of: type[Screen[object]] = Screen) -> list[type[Screen[object]]]:
    """All screens and boxes of the program that declare keys."""
    for module in pkgutil.iter_modules(screens.__path__):
        import_module(f"reedkin.screens.{module.name}")
    found = [one for one in of.__subclasses__() if one.__module__.startswith("reedkin.") and hasattr(one, "KEYS")]
    return [*found, *(one for each in of.__subclasses__() for one in with_keys(each) if one not in found)]


SCREENS = sorted(set(with_keys()), key=lambda one: one.__name__)


@pytest.mark.parametrize("screen", SCREENS, ids=lambda one: one.__name__)
def test_each_key_of_a_screen_is_bound_to_something_that_it_can_do(screen: type[Screen[object]]) -> None:
    keys: Keys = screen.KEYS  # type: ignore[attr-defined]
    bound = {name: one.action for one in screen.BINDINGS if isinstance(one, Binding) for name in one.key.split(",")}
    if keys:
        said = {names: action for key in keys for names, action in key.does.items() if action}
        assert bound == {name: action for names, action in said.items() for name in names.split(",")}
    for action in bound.values():
        assert hasattr(screen, f"action_{actions.parse(action)[1]}") or hasattr(App, f"action_{action}")
    named = [name for key in keys for names in key.does for name in names.split(",")]
    assert len(named) == len(set(named))


@pytest.mark.parametrize("screen", SCREENS, ids=lambda one: one.__name__)
def test_a_key_of_a_screen_hides_none_that_every_screen_has(screen: type[Screen[object]]) -> None:
    common = {name for key in (*COMMON, QUIT) for names in key.does for name in names.split(",")}
    own = {name for key in screen.KEYS for names in key.does for name in names.split(",")}  # type: ignore[attr-defined]
    assert own & common <= {"f1", "question_mark"}  # which leave the help


@pytest.mark.parametrize(
    "screen", [one for one in SCREENS if issubclass(one, BaseScreen)], ids=lambda one: one.__name__
)
def test_at_80_columns_the_bottom_says_how_to_leave(screen: type[BaseScreen]) -> None:
    said = foot(screen.KEYS)
    way_out = [place for place, (_, does) in enumerate(said) if does == "back"]
    if way_out:
        shown = "  ".join(" ".join(one) for one in said[: way_out[0] + 1])
        assert columns(shown) <= 79


@pytest.mark.parametrize("name", ROOMS)
def test_a_room_is_entered_by_its_name(name: str) -> None:
    room = ROOMS[name]
    assert room.way.action(room.key) == f"go('{name}')"
    screen = getattr(import_module(f"reedkin.screens.{name}"), room.screen)
    assert name == screen.TITLE


def test_quitting_and_leaving_the_walk_are_bound_on_every_screen() -> None:
    assert [binding.key for binding in ReedkinApp.BINDINGS if isinstance(binding, Binding)] == ["ctrl+q", "ctrl+g"]


def test_what_is_said_of_keys() -> None:
    pair = Key({"up,k": "move(-1)", "down,j": "move(1)"}, "The line above or below", "line")
    assert (pair.shown, pair.in_full) == ("↑↓", "↑ k ↓ j")
    assert [pair.action(key) for key in ("k", "down", "up,k", "x")] == ["move(-1)", "move(1)", "", ""]
    back = Key({"ctrl+z": "take_back"}, "Take the last entry back")
    assert (back.shown, back.in_full) == ("^Z", "Ctrl+Z")
    assert foot((pair, back)) == [("↑↓", "line")]


def test_the_rooms_fit_80_columns_with_the_one_that_is_up_marked() -> None:
    bar = KeyBar((), (), foot(COMMON), "case")
    line = "".join(run.text for run in bar._to_rooms(79))
    assert columns(line) <= 79
    assert "F6▸case" in line
    assert line.count("▸") == 1
    assert all(room.name in line for room in ROOMS.values())
