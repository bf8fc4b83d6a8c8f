"""A line of text that is typed key by key, each key done with before the next is looked at."""

from __future__ import annotations

from textual import events

from reedkin.charts.canvas import Run
from reedkin.domain.literal import literal_cells


class Typed:
    """The text and where the cursor stands in it. `fresh` text was put there by the program: the first character that
    is typed takes its place."""

    def __init__(self, text: str = "", fresh: bool = False) -> None:
        self.text, self.cursor, self.fresh = text, len(text), fresh

    def key(self, event: events.Key) -> bool:
        """Do what a key does to the text; False where that is nothing."""
        match event.key:
            case "backspace":
                self._cut(max(0, self.cursor - 1), self.cursor)
            case "delete":
                self._cut(self.cursor, self.cursor + 1)
            case "ctrl+u":
                self._cut(0, len(self.text))
            case "ctrl+w":
                before = self.text[: self.cursor].rstrip()
                self._cut(before.rfind(" ") + 1, self.cursor)
            case "left":
                self.cursor = max(0, self.cursor - 1)
            case "right":
                self.cursor = min(len(self.text), self.cursor + 1)
            case "home" | "ctrl+a":
                self.cursor = 0
            case "end" | "ctrl+e":
                self.cursor = len(self.text)
            case _:
                if not event.is_printable or event.character is None:
                    return False
                self.insert(event.character)
        self.fresh = False
        return True

    def insert(self, text: str) -> None:
        """Put text, of which the first line counts, where the cursor stands."""
        line = next(iter(text.splitlines()), "")
        if self.fresh:
            self.text, self.cursor, self.fresh = "", 0, False
        self.text = self.text[: self.cursor] + line + self.text[self.cursor :]
        self.cursor += len(line)

    def _cut(self, start: int, end: int) -> None:
        self.text, self.cursor = self.text[:start] + self.text[end:], start

    def runs(self) -> list[Run]:
        """The text with its cursor, to be shown."""
        before, after = literal_cells(self.text[: self.cursor]), literal_cells(self.text[self.cursor :])
        return [Run(before, "cane"), Run("▏", "strong"), Run(after, "cane")]
