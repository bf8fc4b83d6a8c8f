"""What is wrong with the log, before anything more is written to it."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from reedkin.charts.canvas import Run
from reedkin.domain.describe import plural
from reedkin.errors import ReedkinError
from reedkin.screens.keys import Key, Keys, aside, bindings
from reedkin.store.log import Log
from reedkin.widgets.styled import styled


class DamageScreen(ModalScreen[None]):
    """Lists the faults of the log; Enter says that they were seen, so that writing may go on."""

    CSS_PATH = "damage.tcss"
    KEYS: ClassVar[Keys] = (
        Key({"enter": "seen"}, "Go on to write", "I have seen this, go on"),
        Key({"escape": "look_only"}, "Only look", "only look, write nothing"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, log: Log) -> None:
        super().__init__()
        self._log = log

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            yield Static(styled([[Run(self._headline(), "warn")]]))
            with VerticalScroll(id="faults"):
                yield Static(styled(self._lines()))
            yield Static(
                styled(
                    [
                        [Run("What could be trusted was read. The damaged lines stay in the file as they are.", "")],
                        [Run("reedkin check --mend FILE", "strong"), Run(" makes a copy without them", "")],
                        *(aside([key]) for key in self.KEYS),
                    ]
                ),
                id="ways",
            )  # fmt: skip

    def _headline(self) -> str:
        count = len(self._log.faults)
        return f"The log {self._log.path.name} has {plural(count, 'fault')}"

    def _lines(self) -> list[list[Run]]:
        lines = []
        for fault in self._log.faults:
            reed = self._log.reed_of(fault)
            which = f"line {fault.line}, reed {reed}: " if reed else f"line {fault.line}: "
            lines.append([Run(which, "strong"), Run(fault.message, "")])
            if fault.excerpt:
                lines.append([Run(f"    {fault.excerpt}", "faint")])
        return lines

    def action_seen(self) -> None:
        try:
            self._log.acknowledge()
        except ReedkinError as error:
            self.query_one("#ways", Static).update(styled([[Run(f"✗ {error}", "error")]]))
            return
        self.dismiss()

    def action_look_only(self) -> None:
        self.dismiss()
