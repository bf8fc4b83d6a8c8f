"""What stands on an input line, with nothing in it that could steer the terminal or hide."""

from __future__ import annotations

from rich.highlighter import Highlighter
from rich.text import Text

from reedkin.domain.literal import literal_cells


class Visible(Highlighter):
    """Shows each character that is not seen as one that is; the value of the line stays as it was typed or pasted."""

    def highlight(self, text: Text) -> None:
        text.plain = literal_cells(text.plain)
