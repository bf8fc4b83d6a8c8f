"""What two logs say that does not go together, once they were merged: one after the other, each settled by a key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from reedkin.bench.correcting import Corrector
from reedkin.charts.canvas import Role, Run
from reedkin.errors import ReedkinError
from reedkin.grammar.correcting.corrections import plan_words
from reedkin.screens.parts.keys import Key, Keys, aside, bindings
from reedkin.store.log import Log
from reedkin.store.merging.conflicts.settling import Conflict
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

_MOST_WAYS = 9


class ConflictScreen(ModalScreen[None]):
    """Shows one conflict at a time with the ways to settle it: a digit takes that way, Enter leaves it as it is."""

    CSS_PATH = "conflicts.tcss"
    KEYS: ClassVar[Keys] = (
        Key({str(number): f"settle({number})" for number in range(1, _MOST_WAYS + 1)}, "Settle it so", "settles it"),
        Key({"enter": "next"}, "Leave this one as it is", "leaves this one as it is"),
        Key({"escape": "leave"}, "Leave all that are left as they are", "leaves all"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, log: Log, conflicts: Sequence[Conflict]) -> None:
        super().__init__()
        self._log, self._conflicts = log, conflicts
        self._place = 0
        self._said: list[Run] = []

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            yield SteadyText(id="conflict")
            yield Static(styled([aside(self.KEYS[1:])]))

    def on_mount(self) -> None:
        self._show()

    @property
    def _conflict(self) -> Conflict:
        return self._conflicts[self._place]

    def _show(self) -> None:
        count = f"{self._place + 1} of {len(self._conflicts)} that do not go together"
        lines = [self._said] if self._said else []
        lines += [[Run(count, "strong")], [Run(self._conflict.message)], []]
        for number, way in enumerate(self._conflict.ways[:_MOST_WAYS], 1):
            lines.append([Run(f"{number} ", "strong"), Run(way.words)])
        if not self._conflict.ways:
            lines.append([Run("There is nothing to settle; it is only good to know.", "faint")])
        self.query_one("#conflict", SteadyText).update(styled(lines))

    def action_settle(self, number: int) -> None:
        if not 1 <= number <= len(self._conflict.ways):
            return
        try:
            plan = self._conflict.ways[number - 1].plan(Corrector(self._log.bench, self._log.uids))
            if plan.errors:
                self._say(f"✗ {'; '.join(plan.errors)}", "error")
                return
            words = plan_words(plan, self._log.bench) if plan.effects else [self._conflict.ways[number - 1].words]
            self._log.write(plan.records)
        except ReedkinError as error:
            self._say(f"✗ {error}", "error")
            return
        self._go_on(f"✓ {'; '.join(words)}", "good")

    def action_next(self) -> None:
        self._go_on("Left as it is.", "faint")

    def _go_on(self, said: str, role: Role) -> None:
        if self._place + 1 == len(self._conflicts):
            self.dismiss()
            return
        self._place += 1
        self._say(said, role)

    def _say(self, text: str, role: Role) -> None:
        self._said = [Run(text, role)]
        self._show()

    def action_leave(self) -> None:
        self.dismiss()
