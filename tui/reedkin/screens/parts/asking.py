"""A screen that shows what the log was asked, and how far the work is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, TypeVar

from textual import work
from textual.binding import BindingType

from reedkin.charts.canvas import Role, Run
from reedkin.domain.columns import fold_text
from reedkin.screens.parts.keeping import HEIGHT, KINDS, WIDTH, as_file
from reedkin.screens.parts.keys import Key, Keys, bindings
from reedkin.screens.parts.reckoning import ReckoningScreen
from reedkin.widgets.drawn import Drawn
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

C = TypeVar("C")

_BAR_WIDTH = 30


def following(one: C, every: Sequence[C]) -> C:
    """The choice behind this one, and behind the last the first; one that there is no more counts as the first."""
    place = every.index(one) if one in every else 0
    return every[(place + 1) % len(every)]


class AskingScreen(ReckoningScreen):
    """Tells how the work goes on the line `#said`, which otherwise shows what `rest` was told."""

    KEYS: ClassVar[Keys] = (
        Key({"p": "to_file"}, "Put what is shown in a file: text, a picture, or a page to print", "to a file"),
        Key({"escape": "back"}, "Back, also while it is reckoning", "back"),
        Key({"y": "copy"}, "Copy what is said to the clipboard", "copy"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._at_rest: Run = Run("")

    # How the work goes

    def show_progress(self, doing: str, share: float) -> None:
        done = round(_BAR_WIDTH * share)
        self.tell_of(
            Run(f"{doing}  "), Run("━" * done, "target"), Run("┄" * (_BAR_WIDTH - done), "faint"),
            Run(f" {100 * share:3.0f}%"),
        )  # fmt: skip

    def show_rest(self) -> None:
        self.say()

    def action_back(self) -> None:
        """Leave, whatever is still being worked out: where what is typed next goes must not depend on how fast that
        is."""
        self.app.pop_screen()

    # Saying

    def rest(self, text: str, role: Role = "faint") -> None:
        """What the line above the keys shows while there is nothing else to say."""
        self._at_rest = Run(text, role)
        self.say()

    def say(self, text: str = "", role: Role = "") -> None:
        """Show a line above the keys, or what it shows at rest."""
        self.tell_of(Run(text, role) if text else self._at_rest)

    # What is asked

    def show_chosen(self, *chosen: tuple[str, str]) -> None:
        """Show on the line `#chosen` what the question is, each part behind the key that changes it."""
        runs = [run for key, what in chosen for run in (Run(key, "strong"), Run(f" {what}  ", "target"))]
        self.query_one("#chosen", SteadyText).update(styled([runs]))

    def action_clock(self) -> None:
        """Tell lives by the other clock."""
        choice = self.reedkin.answers.choice
        choice.clock = following(choice.clock, ("hours", "days"))
        self.show_log()

    # To a file

    def text_twin(self) -> tuple[str, list[str]] | None:
        """A name for a file and what is shown as lines of plain text, of whatever width; None while there is nothing to
        keep."""
        return None

    def action_copy(self) -> None:
        twin = self.text_twin()
        if twin is not None:
            self.to_clipboard(fold_text(twin[1]))

    @work
    async def action_to_file(self) -> None:
        twin = self.text_twin()
        if twin is None:
            return
        name, lines = twin

        def made(suffix: str) -> str:
            drawings = [one for drawn in self.query(Drawn) if (one := drawn.drawing(WIDTH, HEIGHT)) is not None]
            return as_file(suffix, f"reedkin: {self.TITLE}", lines, drawings)

        await self.put_into_file(f"Into which file? ({KINDS})", name, made)
