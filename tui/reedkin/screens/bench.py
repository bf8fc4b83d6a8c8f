"""The bench: where a session happens. The reeds at work, the one in hand, and the entry line under the hands."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical

from reedkin.charts.canvas import Role, Run
from reedkin.domain.cautions import AT_THE_BENCH
from reedkin.domain.columns import fold
from reedkin.domain.held_key import HeldKey
from reedkin.errors import ReedkinError
from reedkin.screens.parts.base import BaseScreen
from reedkin.screens.parts.keys import Key, Keys, bindings
from reedkin.screens.rooms import DIARY, HELP, QUIT, REED, ROOMS, TO_ANSWERS
from reedkin.store.errors import LogDamagedError
from reedkin.widgets.due_line import DueLine
from reedkin.widgets.entry_line import Behind, EntryLine, WayThere
from reedkin.widgets.foot_panel import FootPanel
from reedkin.widgets.recent import Recent
from reedkin.widgets.reed_list import ReedList
from reedkin.widgets.reed_panel import Foreseen, ReedPanel
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.grammar.completing.completion import Completion
    from reedkin.grammar.reading import Reading
    from reedkin.screens.ears import Ears
    from reedkin.screens.foot import Foot

_GREETING: tuple[tuple[str, Role], ...] = (
    ("This log is empty. What to type first, on the line below:", "strong"),
    ("", ""),
    ("the reeds already in your case, all at once or each with its hours played", "faint"),
    ("   1-12 join eh        1 join eh 5h overall 58 score 8; 2 join oboe 3h", "cane"),
    ("blanks you have just tied", "faint"),
    ("   3-8 tie eh 60 lot 7 tube 27", "cane"),
    ("and then, with a reed in hand (arrow keys change it)", "faint"),
    ("   scrape tip 10m      clip .5      wire      tube 5      crow C5 -20c", "cane"),
    ("   play 45 8 rehearsal                   retire cracked", "cane"),
    ("", ""),
    ("Any beginning of a verb will do: c .5 clips half a millimetre.", "faint"),
    ("A spreadsheet of reeds comes in from the shell: reedkin import FILE", "faint"),
    ("Tab completes. F9 starts a work session. F1 or ? shows every key and verb.", "faint"),
)

_SESSION = Key({"f9": "session"}, "Start a work session, or end the one that runs", "session")
_TAKE_BACK = Key({"ctrl+z": "take_back"}, "Take the last entry back", "take back")
_LISTEN = Key({"ctrl+l": "listen"}, "Hear the reed crow, as crow listen does; crow a.wav takes a recording", "listen")
_HAND = Key({"up": "hand(-1)", "down": "hand(1)"}, "Take the reed above or below in hand", "reed in hand")


class BenchScreen(BaseScreen):
    """The screen the program opens on."""

    TITLE = "bench"
    CSS_PATH = "bench.tcss"
    KEYS: ClassVar[Keys] = (
        _SESSION,
        _TAKE_BACK,
        _HAND,
        Key({"pageup": "hand(-8)", "pagedown": "hand(8)"}, "Further up or down"),
        Key({"ctrl+t": "restart_clock"}, "Set the bench clock to zero"),
        _LISTEN,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._ear: Ears | None = None
        """What is heard; None until a line has been written."""
        self._foot: Foot | None = None
        """What the feet do; None until the log has been read."""
        self._keys = HeldKey()

    def foot(self) -> Keys:
        return HELP, _SESSION, _TAKE_BACK, REED, DIARY.way, QUIT, TO_ANSWERS, _HAND, _LISTEN

    def here(self) -> Keys:
        return _SESSION, _TAKE_BACK, _HAND, _LISTEN

    def compose_body(self) -> ComposeResult:
        yield DueLine(id="due")
        with Horizontal(id="body"):
            with Vertical(id="left"):
                yield SteadyText(id="greeting")
                yield ReedList(id="reeds")
            with Vertical(id="right"):
                yield ReedPanel(id="hand")
                yield Recent(id="recent")
                yield FootPanel(id="foot")
        behind = Behind(
            read=self._read,
            wait=lambda enter: self._ears.wait(enter),
            complete=self._complete,
            explain=self._explain,
            foresee=self._foresee,
            record=self._record,
            look=self._look_up,
            help=self.action_help,
            leads_to=self._leads_to,
            foot=self._pressed,
            heard=self._keys.heard,
            changed=self._changed,
            when_free=self.reedkin.turns.when_free,
        )
        yield EntryLine(behind, id="entry")

    def on_mount(self) -> None:
        super().on_mount()
        self._line.focus_line()
        self.set_interval(20, self._tick)

    @property
    def _line(self) -> EntryLine:
        return self.query_one(EntryLine)

    def holds(self, key: str) -> bool:
        """Whether a key has to wait: for an Enter that waits itself, all but Escape; for a pedal, all others."""
        heard = self._ear is not None and self._ear.holds and key != "escape"
        return heard or (self._foot is not None and self._foot.holds(key))

    def put_back(self, kept: list[str]) -> None:
        """Put the last line on the entry line that was not recorded when the program ended, and the others with those
        that can be brought back; all of them, if something stands there by now or is typed ahead."""
        free = not self._line.text and not self.reedkin.turns.waiting
        for line in kept[:-1] if free else kept:
            self._line.keep(line)
        if free:
            self._line.put(kept[-1])
            self._line.say(Run("This line was not recorded when the program ended. Enter records it now.", "warn"))
        else:
            self.notify("A line was not recorded when the program ended: Ctrl+P brings it back.")

    def write(self, line: str) -> None:
        """Put the beginning of a line on the entry line, if nothing stands there."""
        if not self._line.text:
            self._line.put(line)

    def tell(self, text: str) -> bool:
        """Say something above the entry line; False if what is being typed has that place."""
        free = not self._line.text
        if free:
            self._line.say(Run(f"! {text}", "warn"))
        return free

    # What the entry line asks

    def _read(self, line: str) -> Reading | None:
        if not self._log_is_there or self._ears.wait_for(line):
            return None
        return self.desk.read(line)

    def _changed(self, text: str) -> None:
        self._ears.line_changed()
        if text:
            self.remove_class("-foot")
        self.reedkin.line_changed(text)

    def _pressed(self, key: str, at: float | None) -> bool:
        if not self._log_is_there:
            return False
        taken = self._feet.key(key, self.reedkin.turns.pressed_at if at is None else at)
        if taken:
            self.show_top()
        return taken

    @property
    def _ears(self) -> Ears:
        if self._ear is None:
            from reedkin.screens.ears import Ears  # not before the first paint

            self._ear = Ears(self)
        return self._ear

    @property
    def _feet(self) -> Foot:
        if self._foot is None:
            from reedkin.screens.foot import Foot

            self._foot = Foot(
                self.desk,
                self._line.say,
                self._stepped,
                self._care,
                self._keys,
                self.set_timer,
                self.reedkin.turns.go_on,
            )
        return self._foot

    def _stepped(self, tag: str, done: Run, hand: str, further: str) -> None:
        """Show what a pedal did, in place of the drawing."""
        self.query_one(FootPanel).show(tag, done, hand, further)
        self.add_class("-foot")
        self._show_soon()

    def _complete(self, line: str) -> Completion | None:
        return self.desk.complete(line) if self._log_is_there else None

    def _explain(self, reading: Reading) -> list[str]:
        return self.desk.explain(reading)

    @property
    def _log_is_there(self) -> bool:
        """Whether the log has been read: before that a line can be written and nothing else, since every other key
        waits."""
        return self.reedkin.desk is not None

    def _foresee(self, reading: Reading | None) -> None:
        last = self.desk.foreseen(reading) if reading is not None else None
        ahead = None
        if last is not None:
            ahead = Foreseen(last.tag, last.after, self.desk.bench.settings.targets(last.after.instrument))
        self.query_one(ReedPanel).foresee(ahead)

    # Showing

    def on_screen_suspend(self) -> None:
        if self._ear is not None:
            self._ear.stop()

    def show_log(self) -> None:
        self.show_top()
        if not self._log_is_there:
            return
        desk = self.desk
        reeds, hand = desk.reeds(), desk.hand
        empty = not reeds and len(desk.bench) == 0
        self.set_class(empty, "-empty")
        if empty:
            self.query_one("#greeting", SteadyText).update(styled([[Run(text, role)] for text, role in _GREETING]))
        self.query_one(ReedList).show(reeds, hand, desk.clock.now())
        self._show_hand()
        self.query_one(DueLine).look(desk.bench)
        self._line.reread()

    def _show_soon(self) -> None:
        """Show the log as it is now, once for all that is typed ahead."""
        self.reedkin.turns.when_free(self.show_log)

    def _show_hand(self) -> None:
        desk = self.desk
        hand = desk.hand
        panel, recent = self.query_one(ReedPanel), self.query_one(Recent)
        if hand is None:
            panel.show(None, None)
            recent.show(None, None)
            self._line.set_prompt("reed")
            return
        panel.show(hand, desk.bench.settings.targets(hand.instrument), f"clock {desk.minutes_in_hand} min")
        recent.show(hand, desk.clock.now())
        self._line.set_prompt(self.query_one(ReedList).label_of(hand))

    def _tick(self) -> None:
        """The time goes on: the bench clock and how long ago things were."""
        if self._log_is_there:
            desk = self.desk
            self.show_top()
            self.query_one(ReedList).show(desk.reeds(), desk.hand, desk.clock.now())
            self._show_hand()
            self.query_one(DueLine).look(self.desk.bench)

    # Doing

    def _record(self, reading: Reading) -> None:
        desk = self.desk
        if reading.takes_back:
            self._line.clear()
            self.action_take_back()
            return
        if self._feet.turns_on(reading):
            self._line.clear()
            self._feet.learn()
            return
        try:
            said, since = desk.explain(reading), desk.clock_since
            entry = desk.record(reading)
        except ReedkinError as error:
            self._line.say(Run(f"✗ {error}", "error"))
            if isinstance(error, LogDamagedError):
                self.reedkin.show_damage()
            return
        self._line.clear()
        self._show_soon()
        if now := self._feet.entered(entry, since):
            said.append(now)
        care = self._care(reading)
        done = [Run(f"✓ {line}", "good") for line in said[: 3 - len(care)]]
        if len(said) > len(done):
            done[-1] = Run(f"{done[-1].text}  (and {len(said) - len(done)} more)", "good")
        self._line.say(*done, *[Run(line, "faint") for line in care])

    def _care(self, reading: Reading) -> list[str]:
        """The first cautions of an entry, in as many whole lines as leave room for what was done."""
        desk, lines = self.desk, list[str]()
        for caution in desk.cautions(reading):
            more = fold(caution, max(20, self.size.width - 2), hang=0)
            if lines and len(lines) + len(more) > 2:
                break
            lines += more
            desk.cautioned(caution)
        return lines[:2]

    def _look_up(self, tag: str) -> None:
        reed = self.desk.bench.find(tag)
        if reed is not None:
            self._line.clear()
            self._line.say()
            if reed.at_work:
                self.desk.take(reed)
            self.reedkin.show_reed(reed.id)

    def _leads_to(self, line: str) -> WayThere | None:
        """Where a line leads that is the name of a room, of a page of the week, of the help or of the way out."""
        from reedkin.screens.pages import view_named  # not before the first paint

        name = line.strip().casefold()
        if name in ROOMS:
            return WayThere(f"opens {name}: {ROOMS[name].about}", lambda: self.reedkin.go(name))
        if (view := view_named(name)) is not None:
            return WayThere(f"opens {name}, a page of the week", lambda: self._open_page(view))
        if name == HELP.foot:
            return WayThere("opens the help", self.action_help)
        return WayThere("ends the program", self.app.exit) if name in ("quit", "exit") else None

    def _open_page(self, view: int) -> None:
        from reedkin.screens.week import WeekScreen

        self.app.push_screen(WeekScreen(view))

    @on(ReedList.Picked)
    def _picked(self, event: ReedList.Picked) -> None:
        self.desk.take(self.desk.bench.reed(event.reed))
        self.show_log()
        self._line.focus_line()

    def action_hand(self, by: int) -> None:
        self.remove_class("-foot")
        self.desk.step(by)
        self._show_soon()

    def action_restart_clock(self) -> None:
        before = self.desk.minutes_in_hand
        self.desk.restart_clock()
        self._show_hand()
        self._line.reread()
        if not self._line.text:
            self._line.say(Run(f"✓ The bench clock begins anew; it stood at {before} min.", "good"))

    def action_listen(self) -> None:
        """Hear the reed in hand, or the one that is named on the line: as if `crow listen` had been entered."""
        self._ears.ask()

    def action_take_back(self) -> None:
        """Strike the last entry and put what was typed for it back on the line."""
        desk = self.desk
        try:
            records, typed = desk.take_back()
        except ReedkinError as error:
            self._line.say(Run(f"✗ {error}", "error"))
            return
        self._show_soon()
        if typed and not self._line.text:
            self._line.put(typed)
        stays = "It stays in the log, struck out."
        if typed and self._line.text == typed:
            stays += " Mend the line, or clear it with Escape."
        self._line.say(Run(f"Took back: {desk.summary(records)}", "warn"), Run(stays, "faint"))

    def action_session(self) -> None:
        desk = self.desk
        try:
            reading = desk.switch_session()
        except ReedkinError as error:
            self._line.say(Run(f"✗ {error}", "error"))
            return
        self.show_log()
        if desk.session is not None:
            known = "Room and knife, if you know them: session 20 C 45% fresh knife"
            self._line.say(Run("✓ Session started.", "good"), Run(known), Run(AT_THE_BENCH, "faint"))
        else:
            self._line.say(*[Run(f"✓ {line}", "good") for line in desk.explain(reading)])
