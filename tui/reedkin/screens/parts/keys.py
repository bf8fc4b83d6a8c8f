"""The keys of a screen, each declared once: its binding, its place in the line at the bottom and its line of the help
are made from that."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from textual.binding import Binding, BindingType

from reedkin.charts.canvas import Run

_NAMES = {
    "up": "↑", "down": "↓", "pageup": "PgUp", "pagedown": "PgDn", "escape": "Esc", "enter": "Enter",
    "question_mark": "?", "slash": "/", "left": "←", "right": "→", "space": "Space", "home": "Home", "end": "End",
    "plus": "+", "minus": "-", "equals_sign": "=",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Key:
    """
    One thing that a key does, or several keys that belong together, such as two arrows.

    does  what each key does as an action, by the names that Textual has for it ("up,k" is one key with two names); no
          action where the screen, or a part of it, takes the key itself.
    help  what that is, in the help.
    foot  the same in a word or two, for the line at the bottom; empty for a key that is left to the help.
    """

    does: Mapping[str, str]
    help: str
    foot: str = ""
    priority: bool = False

    @property
    def shown(self) -> str:
        """Its keys as the line at the bottom has room for: "↑↓", "^Z"."""
        return "".join(_name(names.split(",")[0], "^") for names in self.does)

    @property
    def in_full(self) -> str:
        """All its keys: "↑ k ↓ j", "Ctrl+Z"."""
        return " ".join(_name(name, "Ctrl+") for names in self.does for name in names.split(","))

    def action(self, pressed: str) -> str:
        """What it does when this key is pressed; nothing for another's."""
        return next((action for names, action in self.does.items() if pressed in names.split(",")), "")


Keys = tuple[Key, ...]


def along(one: str, first: str, last: str) -> Keys:
    """The keys that go along what is listed, one by one, by pages and to its ends: "line", "newest line", "oldest"."""
    end = 1_000_000_000
    return (
        Key({"up,k": "move(-1)", "down,j": "move(1)"}, f"The {one} above or below"),
        Key({"pageup": "page(-1)", "pagedown": "page(1)"}, "Further up or down"),
        Key({"home": f"move({-end})", "end": f"move({end})"}, f"The {first}, or the {last}"),
    )


def bindings(keys: Iterable[Key]) -> list[BindingType]:
    """The keys as Textual binds them."""
    return [
        Binding(names, action, key.help, show=False, priority=key.priority)
        for key in keys
        for names, action in key.does.items()
        if action
    ]


def foot(keys: Iterable[Key]) -> list[tuple[str, str]]:
    """What the line at the bottom says of them."""
    return [(key.shown, key.foot) for key in keys if key.foot]


def aside(keys: Iterable[Key]) -> list[Run]:
    """The same for a box that asks something, as a line in it."""
    return [run for shown, does in foot(keys) for run in (Run(shown, "strong"), Run(f" {does}   ", "faint"))]


def rows(of: str) -> Key:
    """The arrows that go through a list."""
    return Key({"up,k": "", "down,j": ""}, f"The {of} above or below", of)


def enter(help: str, foot: str) -> Key:
    """Enter on a row of a list."""
    return Key({"enter": ""}, help, foot)


DO = Key({"enter": ""}, "Do what is asked", "does it")
LEAVE = Key({"escape": "leave"}, "Leave it as it is", "leaves it")
"""What closes a box that asks something."""


def _name(key: str, ctrl: str) -> str:
    if key.startswith("ctrl+"):
        return f"{ctrl}{key[5:].upper()}"
    return _NAMES.get(key, key.upper() if len(key) > 1 else key)
