"""A text that is set again and again, mostly to what it says already."""

from __future__ import annotations

from textual.content import Content
from textual.visual import VisualType
from textual.widgets import Static


class SteadyText(Static):
    """Textual's Static has the whole screen laid out anew each time its text is set, which takes longer than reading a
    line does. This one asks for that only where its place goes by its text and that has another size now; and does
    nothing at all where it says the same already."""

    def update(self, content: VisualType = "", *, layout: bool = True) -> None:
        """Say something else."""
        before = self.content
        if isinstance(before, Content) and isinstance(content, Content) and before.is_same(content):
            return
        super().update(content, layout=False)
        if layout and self._has_outgrown_its_place():
            self.refresh(layout=True)

    def _has_outgrown_its_place(self) -> bool:
        styles, size = self.styles, self.content_size
        if not styles.auto_dimensions:
            return False
        if not size.width or (styles.width is not None and styles.width.is_auto):
            return True
        return self.get_content_height(size, self.app.size, size.width) != size.height
