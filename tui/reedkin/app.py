"""The full-screen program: opens the log and leads from screen to screen. It only wires."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import events, work
from textual.app import App
from textual.binding import BindingType

from reedkin.bench.borrowed import Borrowed
from reedkin.domain.clock import Clock
from reedkin.domain.figures import plural
from reedkin.domain.literal import literal
from reedkin.errors import ReedkinError
from reedkin.interpreter import collect_from_now_on, take_short_turns
from reedkin.screens.bench import BenchScreen
from reedkin.screens.parts.answers import Answers
from reedkin.screens.parts.base import BaseScreen
from reedkin.screens.parts.keys import bindings
from reedkin.screens.rooms import BENCH, QUIT, ROOMS
from reedkin.screens.walk import LEAVE_WALK, Walk
from reedkin.store.errors import LogMissingError
from reedkin.store.unsent import UnsentLine
from reedkin.widgets.theme import LOOKS, THEMES, WITHOUT_TINTS
from reedkin.widgets.turns import Turns, Typed

if TYPE_CHECKING:
    from textual.driver import Driver
    from textual.notifications import SeverityLevel

    from reedkin.bench.bench import Bench
    from reedkin.desk import Desk
    from reedkin.screens.parts.program import Program
    from reedkin.store.log import Log
    from reedkin.store.merging.copies import Copy
    from reedkin.widgets.terminal_input import Ground

_WITHOUT_LOG = ("backspace", "delete", "left", "right", "home", "end", "ctrl+a", "ctrl+e", "ctrl+u", "ctrl+k", "ctrl+w")
"""Keys that change what stands on the entry line, and so need not wait until the log has been read."""
_END = (
    "SIGHUP", "SIGTERM", "SIGINT", "SIGQUIT", "SIGABRT", "SIGALRM", "SIGUSR1", "SIGUSR2", "SIGXCPU", "SIGVTALRM",
    "SIGPROF",
)  # fmt: skip
"""Signals that end a program that does not heed them, by name: not every system has them all."""
_USUAL_LOOK = "dark"
FOLLOW_SECONDS = 1.0
"""How often it is looked whether another program has recorded something."""


class ReedkinApp(App[None]):
    """reedkin on a log. `desk` is None until the log has been read, which is after the first paint."""

    TITLE = "reedkin"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = bindings((QUIT, LEAVE_WALK))
    CSS_PATH = f"screens/{BenchScreen.CSS_PATH}"
    """That of the first screen, which Textual does not load by itself."""
    CSS = (
        """
    ToastRack { dock: top; align: right top; margin: 1 0; }
    Toast { max-width: 75%; }
    RowList, ReedList, Drawn, ReedPanel, #pages, #early, #said { max-width: 150; }
    #made, #chosen, #why, #told, #notes, #worth, #answer, #basis { max-width: 150; }
    #walk { height: auto; max-width: 110; padding: 0 1; display: none; }
    #walk.-goes-on { display: block; }
    .-tiny #walk { display: none; }
    """
        + WITHOUT_TINTS
    )
    """What is told beside the work comes up at the top, where it does not cover the entry line."""

    def __init__(self, path: Path, clock: Clock | None = None, demo: bool = False, walk: bool = False) -> None:
        # A terminal that asks for no colours gets none at all; Textual alone would give it greys.
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.path = path
        self.clock = clock or Clock()
        self.demo = demo
        self.walk = Walk() if walk else None
        self.other_log: Path | None = None
        self.desk: Desk | None = None
        self.answers = Answers()
        self._unsent = UnsentLine(path)
        self._log_closed = False
        self.crash: Exception | None = None
        """What ended the program, which should not have happened."""
        self.failure: ReedkinError | None = None
        self.parting: list[str] = []
        """What is to be told when the screen is gone."""
        self._out_of_sight = False
        self._told_time = self.clock.now()
        self.turns = Turns(self, self._must_wait)
        for theme in THEMES:
            self.register_theme(theme)
        self._ground: str | None = None
        """The look that fits the terminal's own ground, where it tells."""
        self.theme = LOOKS[_USUAL_LOOK].name

    def get_driver_class(self) -> type[Driver]:
        """Textual's own driver, with a keyboard of ours where that is the one for terminals as Unix has them."""
        usual = super().get_driver_class()
        if usual.__name__ != "LinuxDriver":
            return usual
        from reedkin.widgets.terminal_input import TerminalInput

        return TerminalInput

    def on_load(self) -> None:
        self._leave_when_told()

    def get_default_screen(self) -> BenchScreen:
        """The bench, which lies under all other rooms."""
        return BenchScreen()

    def on_mount(self) -> None:
        take_short_turns()
        self._open()

    async def on_event(self, event: events.Event) -> None:
        """What is typed has its turn when all that was typed before it is done."""
        if not self.turns.holds(event):
            await super().on_event(event)

    def _must_wait(self, typed: Typed) -> bool:
        """Whether something typed has to wait for the log: a line can be written before it is there, as soon as the
        entry line is, and not entered. Or for an Enter before it, on a line that is still to be heard."""
        if self.desk is not None:
            key = typed.key if isinstance(typed, events.Key) else ""
            return isinstance(self.screen, BenchScreen) and self.screen.holds(key) and not QUIT.action(key)
        if not self._screen_stack or self.focused is None:
            return True  # typed before the program was up
        if isinstance(typed, events.Paste):
            return False
        written = typed.is_printable and typed.character != "?"
        return not (written or typed.key in _WITHOUT_LOG or QUIT.action(typed.key))

    def _leave_when_told(self) -> None:
        """End in good order when the terminal closes or the machine stops; the typed line is kept for the next one."""
        for name in _END:
            number = getattr(signal, name, None)
            if number is not None and threading.current_thread() is threading.main_thread():
                with suppress(NotImplementedError):  # Windows has no such loop
                    asyncio.get_running_loop().add_signal_handler(number, self._leave, 128 + number)

    def _leave(self, code: int) -> None:
        if any(stream is not None and stream.isatty() for stream in (sys.__stdin__, sys.__stderr__)):
            self.exit(return_code=code)
        else:
            # The terminal is gone: there is no screen to put back, and waiting to write to it could take for ever.
            self.close_log()
            os._exit(code)

    def _handle_exception(self, error: Exception) -> None:
        self.crash = self.crash or error
        super()._handle_exception(error)

    def _print_error_renderables(self) -> None:
        """What went wrong is told in a sentence and kept in a file, as with every command: `open_app` raises it."""
        if self.crash is None:
            super()._print_error_renderables()

    @work
    async def _open(self) -> None:
        """Read the log, and the modules that this takes, after the first paint: neither has to be waited for."""
        await self._painted()
        try:
            desk = await asyncio.to_thread(_desk, self.path, self.clock)
        except ReedkinError as error:
            self.failure = error
            self.exit(return_code=error.exit_code)
            return
        self._opened(desk)
        await self._painted()
        borrowed = Borrowed(desk.bench)
        await asyncio.to_thread(look_back, borrowed.bench)
        borrowed.give_back()
        collect_from_now_on()

    async def _painted(self) -> None:
        """Wait until what is to be seen by now has been painted."""
        painted = asyncio.Event()
        self.call_after_refresh(painted.set)
        await painted.wait()

    def _opened(self, desk: Desk) -> None:
        self.desk, log = desk, desk.log
        self.show_log()
        if not log.read_only and isinstance(self.screen, BenchScreen):
            self._put_back(self.screen)
        if not self.demo:
            self._back_up(log)
        self.set_interval(FOLLOW_SECONDS, self.follow)
        if log.read_only:
            self.tell(f"Reading only: nothing can be recorded here. {log.why_read_only}")
        if log.faults:
            self.show_damage()
        self.turns.go_on()

    def _put_back(self, bench: BenchScreen) -> None:
        """Put the line back that was kept for this start."""
        kept = self._unsent.take()
        if kept:
            bench.put_back(kept)

    def line_changed(self, text: str) -> None:
        """Another text stands on the entry line."""
        self._unsent.changed(text)

    def show_damage(self, gone: str = "") -> None:
        """Show what is wrong with the log, and what can be done; `gone` says why it cannot be read any more."""
        from reedkin.screens.damage import DamageScreen

        if self.desk is not None and not isinstance(self.screen, DamageScreen):
            self.turns.set_aside()  # what was typed for the bench answers no question that nobody has seen
            self.push_screen(DamageScreen(self.desk.log, gone), lambda _: self.turns.bring_back())

    def follow(self) -> None:
        """Other programs may write this log, and a program is left open overnight: show what was recorded since, and
        what time it is."""
        self._follow_log()
        was, self._told_time = self._told_time, self.clock.now()
        if self._told_time.date() != was.date():
            self.show_log()
        elif self._told_time.minute != was.minute and isinstance(self.screen, BaseScreen):
            self.screen.show_top()

    def _follow_log(self) -> None:
        try:
            if self.desk is not None and self.desk.log.refresh():
                self.show_log()
                if self.desk.log.waits:
                    self.show_damage()
            self._out_of_sight = False
        except ReedkinError as error:
            if isinstance(error, LogMissingError) and not self._out_of_sight:
                self.show_damage(f"{error} It may have been moved, or its disk is away.")
            elif not self._out_of_sight:  # once is enough
                self.tell(f"{error} What was read last is shown, and it is looked for again.")
            self._out_of_sight = True

    @work
    async def _back_up(self, log: Log) -> None:
        """Make a backup if the last run, or another program, has left the log without; then tell what a program that
        keeps the folders of two computers alike may have left beside it."""
        try:
            await asyncio.to_thread(log.back_up)
        except ReedkinError as error:
            self.tell(str(error))
        for copy in await asyncio.to_thread(_copies, log):
            self.other_log = copy.path
            more = plural(copy.lacking or 0, "record")
            self.tell(f"{copy.path.name}, beside the log, holds {more} that it lacks. To take them in: F10, then u")

    def on_unmount(self) -> None:
        self.close_log()

    def close_log(self) -> None:
        """Keep what stands on the line for the next start, make a backup and close the log; once."""
        if self._log_closed:
            return
        self._log_closed = True
        log = self.desk.log if self.desk is not None else None
        if log is not None and log.read_only:
            if self._unsent.text.strip():
                self.parting.append(f"Not recorded, since the log was open for reading only: {self._unsent.text}")
        elif not self._keep_line():
            self.parting.append(f"Not recorded, and it could not be kept for the next start: {self._unsent.text}")
        self._unsent.let_go()
        if log is not None:
            try:
                if not self.demo:
                    log.back_up()
            except ReedkinError as error:
                self.parting.append(str(error))
            log.close()

    def _keep_line(self) -> bool:
        if self.desk is not None:
            return self._unsent.keep(self.desk.with_tag(self._unsent.text))
        return not self._unsent.text.strip() or self._unsent.keep(self._unsent.text)

    # Looks

    def on_ground(self, told: Ground) -> None:
        """The terminal has told whether its ground is dark."""
        self._ground = "dark" if told.dark else "paper"
        self.look()

    def look(self) -> None:
        """The look that the maker set, else the one that fits the terminal. Without colours there is but one."""
        chosen = self.desk.bench.settings.look if self.desk is not None else None
        look = chosen or self._ground or _USUAL_LOOK
        if self.no_color or self.theme == LOOKS[look].name:
            return
        self.theme = LOOKS[look].name
        self.ansi_color = look == "terminal"  # after the theme, by which an older Textual sets it

    # For the screens

    def tell(self, text: str) -> None:
        """Tell something beside the work, which goes on."""
        if not (isinstance(self.screen, BenchScreen) and self.screen.tell(text)):
            self.notify(text, severity="warning", timeout=8)

    def notify(
        self,
        message: str,
        *,
        title: str = "",
        severity: SeverityLevel = "information",
        timeout: float | None = None,
        markup: bool = False,
    ) -> None:
        """Textual's, of any text: nothing in it is taken for markup, or steers the terminal."""
        super().notify(literal(message), title=title, severity=severity, timeout=timeout, markup=False)

    def show_log(self) -> None:
        """The log has changed: let the screen that is up show it."""
        if isinstance(self.screen, BaseScreen):
            self.screen.show_log()

    def write(self, line: str) -> None:
        """Put the beginning of a line on the entry line, if nothing stands there."""
        if isinstance(self.screen, BenchScreen):
            self.screen.write(line)

    def go(self, name: str) -> None:
        """Go to a room by its name; the bench lies under all others."""
        while len(self.screen_stack) > 1:
            self.pop_screen()
        if ROOMS[name] is not BENCH:
            self.push_screen(ROOMS[name].enter())

    def show_reed(self, reed: str) -> None:
        """Show the life of a reed by its id, in place of another's."""
        from reedkin.screens.reed import ReedScreen

        if isinstance(self.screen, ReedScreen):
            self.screen.show(reed)
        else:
            self.push_screen(ReedScreen(reed))

    def action_leave_walk(self) -> None:
        """Leave the walk around the demo for good."""
        self.walk = None
        self.show_log()

    def show_help(self) -> None:
        """Show the keys of the screen that is up, the verbs and the cautions."""
        from reedkin.screens.help import HelpScreen

        if isinstance(self.screen, BaseScreen) and not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(self.screen))


if TYPE_CHECKING:

    def _as_screens_see_it(app: ReedkinApp) -> Program:
        """Here the type checker sees that the app is what its screens take it for."""
        return app


def _desk(path: Path, clock: Clock) -> Desk:
    """The desk with the log at `path` on it. Raises what opening a log raises."""
    from reedkin.desk import Desk
    from reedkin.store.log import Log

    desk = Desk(Log.open(path, clock))
    desk.reeds()  # here, since reading the lineages of what is alive takes a while in a long log
    return desk


def _copies(log: Log) -> list[Copy]:
    from reedkin.store.merging.copies import copies_with_more  # not before the first paint

    return [copy for copy in copies_with_more(log.path, log) if copy.lacking and not copy.set_aside]


def look_back(make: Callable[[], Bench]) -> Bench:
    """A bench that has read what the entry line looks back at; and whatever else a first key would have to wait for."""
    import reedkin.grammar.completing.completion
    import reedkin.grammar.preview
    import reedkin.screens.ears  # noqa: F401
    from reedkin.domain.units import registry

    registry()
    bench = make()
    bench.look_back()
    return bench


def _forget_exported_size() -> None:
    """Have the terminal itself say how large it is: what a shell has exported of that may be another terminal's, and
    would put the entry line out of sight."""
    with suppress(OSError):
        if all(os.get_terminal_size(sys.stdout.fileno())):
            for name in ("COLUMNS", "LINES"):
                os.environ.pop(name, None)


def open_app(path: Path, clock: Clock | None = None, demo: bool = False, walk: bool = False) -> int:
    """Run the full-screen program on a log; returns the exit code, having told on stderr what went wrong. Raises what
    should not have happened, with the terminal as it was and the log closed."""
    _forget_exported_size()
    app = ReedkinApp(path, clock, demo, walk)
    try:
        app.run()
    finally:
        app.close_log()
    for text in (*app.parting, *([str(app.failure)] if app.failure is not None else [])):
        print(f"reedkin: {literal(text)}", file=sys.stderr)  # noqa: T201
    if app.crash is not None:
        raise app.crash
    return app.failure.exit_code if app.failure is not None else app.return_code or 0
