"""Help: the keys of the screen one came from, every verb with an example, the cautions of the bench."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from reedkin.charts.canvas import Role, Run
from reedkin.domain.cautions import ALL, DEFER
from reedkin.domain.entry.verbs import VERBS
from reedkin.domain.meaning import NUMBERS
from reedkin.screens.base import BaseScreen
from reedkin.widgets.styled import styled

_KEY_NAMES = {
    "up": "↑", "down": "↓", "pageup": "PgUp", "pagedown": "PgDn", "escape": "Esc", "enter": "Enter",
    "question_mark": "?", "left": "←", "right": "→",
}  # fmt: skip

_GRAMMAR: tuple[tuple[str, Role], ...] = (
    ("[reeds] verb facts [; verb facts ...] [@when] [\"note\"]", "strong"),
    ("Without a tag, the reed in hand. 143-148 and 143,145 are several reeds; 12/1 is the first that bore 12.", ""),
    ("Any beginning of a verb will do while it is the only one; c, s, w, p, m, r, n are clip, scrape, wire, play,", ""),
    ("measure, retire, note. Numbers take units: 1/64 in, 0.3 mm, 28 awg, 1h20, 68 F.", ""),
    ("@yesterday, @10:30, @yesterday 18:00, @12 March, @2h ago, @2026-03-12 say when it happened.", ""),
    ("wire and tube alone mean as last time; scrape alone takes the minutes of the bench clock.", ""),
    ("A tag alone, then Enter, shows that reed's whole life. take back strikes the last entry.", ""),
    ("Ctrl+P and Ctrl+N bring earlier lines back; Ctrl+T sets the bench clock to zero.", ""),
)  # fmt: skip


class HelpScreen(BaseScreen):
    """Leaves with Escape, F1 or q."""

    TITLE = "help"
    CSS_PATH = "help.tcss"
    KEYS = (("Esc", "back"), ("↑↓", "scroll"))
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f1,q", "back", "Back", show=False),
    ]

    def __init__(self, came_from: Screen[object]) -> None:
        super().__init__()
        self._came_from = came_from

    def compose_body(self) -> ComposeResult:
        with VerticalScroll(id="pages"):
            yield Static(styled(self._lines()))

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one("#pages").focus()

    def action_back(self) -> None:
        self.app.pop_screen()

    def _lines(self) -> list[list[Run]]:
        title = getattr(self._came_from, "TITLE", None) or "reedkin"
        lines = [[Run(f"Keys: {title}", "strong")]]
        for keys, does in self._keys_there():
            lines.append([Run(f"  {keys:<12}", "cane"), Run(does, "")])
        lines += [[], [Run("The entry line", "strong")]]
        lines += [[Run(f"  {text}", role)] for text, role in _GRAMMAR]
        lines += [[], [Run("Verbs", "strong")]]
        for verb in VERBS:
            lines.append([Run(f"  {verb.word:<10}", "cane"), Run(verb.example, "")])
        lines += [[], [Run("What the numbers mean", "strong")]]
        for term, said in NUMBERS:
            lines.append([Run(f"  {term} ", "cane"), Run(said)])
        lines += [[], [Run("Cautions", "strong")]]
        lines += [[Run(f"  {caution}", "")] for caution in ALL]
        lines.append([Run(f"  {DEFER}", "faint")])
        return lines

    def _keys_there(self) -> list[tuple[str, str]]:
        found: dict[str, list[str]] = {}
        for owner in type(self._came_from).__mro__:
            for binding in owner.__dict__.get("BINDINGS", ()):
                if isinstance(binding, Binding) and owner.__module__.startswith("reedkin"):
                    found.setdefault(binding.description, [])
                    found[binding.description] += [_key_name(k) for k in binding.key.split(",")]
        return [(" ".join(dict.fromkeys(keys)), does) for does, keys in found.items()]


def _key_name(key: str) -> str:
    if key.startswith("ctrl+"):
        return f"Ctrl+{key[5:].upper()}"
    return _KEY_NAMES.get(key, key.upper() if len(key) > 1 else key)
