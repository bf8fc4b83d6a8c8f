"""A screen on which what was recorded is corrected: amended, struck, taken to another day, moved to another reed, given
another tag. Each key is done with before the next is looked at, so that what is typed ahead goes where it was meant."""

from __future__ import annotations

from typing import ClassVar

from textual import actions, events, on
from textual.binding import BindingType

from reedkin.bench.correcting import Correction
from reedkin.charts.canvas import Run
from reedkin.domain.events import REED_TABLE, table_of
from reedkin.domain.figures import plural
from reedkin.errors import ReedkinError
from reedkin.screens.parts.correction_box import CorrectionBox, Doing, Marked
from reedkin.screens.parts.keys import Key, Keys, bindings
from reedkin.screens.parts.reckoning import ReckoningScreen
from reedkin.widgets.row_list import RowList

CORRECTED: Keys = (
    Key({"e": "correct('amend')"}, "Amend what is marked: have it say something else", "amend"),
    Key({"x": "correct('strike')"}, "Strike what is marked, or give what is struck back", "strike"),
)
"""What is done most to correct something, and what seldom: the bottom of a screen need not have room for the latter."""
ELSEWHERE: Keys = (
    Key({"d": "correct('day')"}, "Take what is marked to another day", "day"),
    Key({"m": "correct('move')"}, "Move what is marked to another reed", "move"),
    Key({"t": "correct('tag')"}, "Give its reed another tag", "tag"),
    Key({"ctrl+z": "take_back"}, "Take the last entry or correction back"),
)


class CorrectingScreen(ReckoningScreen):
    """Has a `CorrectionBox`, and does its keys itself, in the order in which they were typed."""

    KEYS: ClassVar[Keys] = (*CORRECTED, *ELSEWHERE)
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._tells_of_row = True
        """Whether what stands above the keys is about the marked row, and not of something that was done."""

    # What a screen says

    def marked(self) -> Marked | None:
        """What is marked; None where nothing is."""
        raise NotImplementedError

    def was_corrected(self, changed: set[str]) -> None:
        """These reeds were corrected, or what is beside the reeds was: show it."""
        raise NotImplementedError

    def tell_of(self, *runs: Run) -> None:
        super().tell_of(*runs)
        self._tells_of_row = False

    @on(RowList.Moved)
    def show_cut_off(self) -> None:
        """Say what of the marked row does not fit in it; the screen may be left by now."""
        for rows in self.query(RowList):
            rest = rows.cut_off if rows.display else ""
            self.tell_of(Run(f"… {rest}" if rest else "", "faint"))
            self._tells_of_row = True

    def renew_cut_off(self) -> None:
        """Say the same of rows that came by themselves; but what was just said of something done stays."""
        if self._tells_of_row:
            self.show_cut_off()

    def on_resize(self) -> None:
        self.call_after_refresh(self.renew_cut_off)

    # Taken away

    def text(self) -> list[str]:
        """What it shows as lines of plain text; none while there is nothing to keep."""
        raise NotImplementedError

    def action_copy(self) -> None:
        if lines := self.text():
            self.to_clipboard(lines)

    # Keys

    @property
    def box(self) -> CorrectionBox:
        return self.query_one(CorrectionBox)

    def on_key(self, event: events.Key) -> None:
        if event.key.removeprefix("f").isdecimal() and len(event.key) > 1:
            return  # leads to another screen
        if self.box.is_open:
            event.stop()
            event.prevent_default()
            self.box.key(event)
        elif self.typed(event) or self._acted(event.key):
            event.stop()
            event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        if self.box.is_open:
            event.stop()
            self.box.paste(event.text)

    def typed(self, event: events.Key) -> bool:
        """Whether a key was taken as something typed, and done with."""
        return False

    def _acted(self, key: str) -> bool:
        """Whether a key of this screen's own was done, at once."""
        action = next((action for one in self.KEYS if (action := one.action(key))), "")
        if action:
            _, name, given = actions.parse(action)
            getattr(self, f"action_{name}")(*given)
        return bool(action)

    # Doing

    def action_move(self, by: int) -> None:
        self.query_one(RowList).action_move(by)

    def action_page(self, by: int) -> None:
        self.query_one(RowList).action_page(by)

    def action_correct(self, doing: Doing) -> None:
        marked = self.marked()
        if marked is not None and (why := self.box.open(self.desk, doing, marked)):
            self.tell_of(Run(f"✗ {why}", "error"))

    def corrected(self, plan: Correction, doing: Doing, said: list[str]) -> None:
        """A correction was written."""
        self.was_corrected({after.id for _, after in plan.effects})
        more = f" (and {plural(len(said) - 1, 'more line')})" if len(said) > 1 else ""
        self.tell_of(Run(f"✓ {said[0] if said else 'Struck'}{more}", "good"), Run("  ^Z takes it back", "faint"))

    def action_take_back(self) -> None:
        desk = self.desk
        try:
            records, _ = desk.take_back()
        except ReedkinError as error:
            self.tell_of(Run(f"✗ {error}", "error"))
            return
        reeds = {table_of(record).removeprefix(REED_TABLE) for record in records}
        self.was_corrected(reeds & set(desk.bench.headings.ever()))
        self.tell_of(Run(f"Took back: {desk.summary(records)}", "warn"))
