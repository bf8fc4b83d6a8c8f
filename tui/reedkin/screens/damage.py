"""What is wrong with the log, before anything more is written to it, and what can be done about it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from reedkin.charts.canvas import Run
from reedkin.domain.figures import plural
from reedkin.errors import ReedkinError
from reedkin.screens.parts.keys import Key, Keys, aside, bindings
from reedkin.store.log import Log
from reedkin.store.reading.faults import FaultKind
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.store.merging.conflicts.settling import Conflict


class DamageScreen(ModalScreen[None]):
    """Lists the faults of the log; Enter says that they were seen, so that writing may go on. Where entries are
    missing, a key takes them in from memory and the newest backup, puts that in the log's place, or writes all that is
    still known to a file. `gone` says why the log cannot be read at all any more."""

    CSS_PATH = "damage.tcss"
    KEYS: ClassVar[Keys] = (
        Key({"m": "merge"}, "Take in what is missing", "take in what is missing, from memory and the newest backup"),
        Key({"r": "restore"}, "Put the backup in its place", "put that backup in its place"),
        Key({"w": "rescue"}, "Write what is known to a file", "write what is still known of it to a rescue file"),
        Key({"enter": "seen"}, "Go on to write", "I have seen this, go on"),
        Key({"escape": "look_only"}, "Only look", "only look, write nothing"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, log: Log, gone: str = "") -> None:
        super().__init__()
        self._log = log
        self._gone = gone
        self._short = any(fault.kind is FaultKind.SHORT for fault in log.faults)
        self._done = False

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            yield Static(styled([[Run(self._headline(), "warn")]]))
            with VerticalScroll(id="faults"):
                yield Static(styled(self._lines()))
            yield SteadyText(styled(self._told()), id="ways")

    def _told(self) -> list[list[Run]]:
        """What can be done: the keys that do something now, and how to mend where nothing is missing."""
        if self._gone:
            after = [Run("It is looked for again every second.", "faint")]
            return [*self._keys(), after]
        lines = [[Run("What could be trusted was read. The file stays as it is.", "")]]
        if not self._short:
            mend = [Run("reedkin check --mend FILE", "strong"), Run(" makes a copy without the damaged lines", "")]
            lines.append(mend)
        return [*lines, *self._keys()]

    def _keys(self) -> list[list[Run]]:
        return [aside([key]) for key in self.KEYS if all(self.check_action(does, ()) for does in key.does.values())]

    def _headline(self) -> str:
        if self._gone:
            return f"The log {self._log.path.name} cannot be read any more"
        count = len(self._log.faults)
        return f"The log {self._log.path.name} has {plural(count, 'fault')}"

    def _lines(self) -> list[list[Run]]:
        if self._gone:
            return [[Run(self._gone, "")]]
        lines = []
        for fault in self._log.faults:
            reed = self._log.reed_of(fault)
            which = f"line {fault.line}, reed {reed}: " if reed else f"line {fault.line}: "
            lines.append([Run(which, "strong"), Run(fault.message, "")])
            if fault.excerpt:
                lines.append([Run(f"    {fault.excerpt}", "faint")])
        return lines

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("merge", "restore"):
            return self._short and not self._gone and not self._done
        if action == "rescue":
            return (self._short or bool(self._gone)) and not self._done
        return not (action == "seen" and self._gone and not self._done)

    def action_seen(self) -> None:
        if self._done or self._do(self._log.acknowledge):
            self.dismiss()

    def action_merge(self) -> None:
        from reedkin.store.mending.rescue import take_in_missing

        found: list[Conflict] = []

        def take_in() -> str:
            united = take_in_missing(self._log)
            found.extend(united.conflicts)
            return f"{plural(len(united.plan.new), 'record')} taken in."

        self._do(take_in)
        if found:
            from reedkin.screens.conflicts import ConflictScreen

            self.app.push_screen(ConflictScreen(self._log, found))

    def action_restore(self) -> None:
        from reedkin.store.mending.rescue import put_back

        def put_it_back() -> str:
            done, lacking, besides = put_back(self._log, self._log.clock.now())
            said = f"The backup is in its place, with {plural(done.events, 'event')}."
            if done.aside is not None:
                said += f" The log that was there is kept in {done.aside.name}."
            if besides is not None:
                only = plural(lacking, "entry that the backup lacks is", "entries that the backup lacks are")
                said += f" {only} in {besides}: reedkin merge takes that in."
            return said

        self._do(put_it_back)

    def action_rescue(self) -> None:
        from reedkin.store.mending.rescue import rescue

        def write() -> str:
            to, count = rescue(self._log, self._log.clock.now())
            return f"{plural(count, 'record')} written to {to}"

        self._do(write)

    def _do(self, way: Callable[[], str | None]) -> bool:
        """Do it and tell what was done, or why not; True if it was done."""
        ways = self.query_one("#ways", SteadyText)
        try:
            said = way()
        except ReedkinError as error:
            ways.update(styled([[Run(f"✗ {error}", "error")], *self._told()]))
            return False
        if said is not None:
            self._done = True
            ways.update(styled([[Run(f"✓ {said}", "good")], [Run("Enter", "strong"), Run(" go on", "")]]))
        return True

    def action_look_only(self) -> None:
        self.dismiss()
