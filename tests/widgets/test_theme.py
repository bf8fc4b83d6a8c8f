"""The looks: everything can be read on every ground, and a terminal that tells its ground has the one that fits."""

from __future__ import annotations

from typing import get_args

import pytest

from reedkin.charts.canvas import Role
from reedkin.widgets.keyboard import Keyboard, ground_in
from reedkin.widgets.theme import BENCH, PAPER, ROLES, TERMINAL

LINES = {
    "heart", "tip", "thread", "tube", "cork", "tubing",
    *(role for role in get_args(Role) if role.endswith("-thread")),
}  # fmt: skip
"""Roles that only lines and surfaces of drawings have; all others are of texts."""


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (WCAG 2.1, definition)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (one / 12.92 if one <= 0.03928 else ((one + 0.055) / 1.055) ** 2.4 for one in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.1, definition)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_is_that_of_the_recommendation() -> None:
    """Black on white is 21 to 1, and #767676 is the lightest grey with 4.5 to 1 on white (WCAG 2.1, from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("theme", [BENCH, PAPER], ids=lambda theme: theme.name)
@pytest.mark.parametrize("role", get_args(Role))
def test_every_role_can_be_read_on_every_ground(theme, role: str) -> None:  # type: ignore[no-untyped-def]
    name = ROLES.get(role, "$foreground").split()[0].removeprefix("$")
    colour = theme.variables.get(name) or getattr(theme, {"warning": "warning"}.get(name, name))
    for ground in (theme.background, theme.surface, theme.panel):
        assert contrast(colour, ground) >= (3 if role in LINES else 4.5), (role, colour, ground)


def test_the_terminals_own_look_has_none_but_its_sixteen_colours() -> None:
    said = [*TERMINAL.variables.values(), TERMINAL.background, TERMINAL.surface, TERMINAL.panel, TERMINAL.foreground]
    assert all(str(colour).startswith("ansi_") for colour in said)
    assert set(TERMINAL.variables) == set(BENCH.variables) == set(PAPER.variables)


@pytest.mark.parametrize(
    ("told", "dark"),
    [
        ("\x1b]11;rgb:0000/0000/0000\x07", True),
        ("\x1b]11;rgb:ffff/ffff/ffff\x1b\\", False),
        ("\x1b]11;rgb:fd/f6/e3\x07", False),
        ("\x1b]11;rgb:0/2b/36\x07", True),
    ],
)
def test_a_terminal_that_tells_its_ground_is_understood(told: str, dark: bool) -> None:
    assert Keyboard().feed(told.encode()) == [told]
    assert ground_in(told) is dark
    assert ground_in("\x1b[A") is None
