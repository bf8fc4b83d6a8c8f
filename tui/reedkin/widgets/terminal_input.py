"""Textual's driver for terminals, with what comes from them taken apart by `Keyboard` first."""

from __future__ import annotations

import os
import signal
from selectors import EVENT_READ, SelectSelector

from textual import constants, events
from textual._xterm_parser import FOCUSIN, XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

from reedkin.widgets.keyboard import ESCAPE, Keyboard, ground_in

ASK_GROUND = "\x1b]11;?\x1b\\"
"""Asks a terminal for the colour of its ground (xterm's control sequences, OSC 11); one that does not know it is
silent."""
_LOOK_AGAIN_SECONDS = 0.1
"""How often it is looked whether the program ends."""


class Ground(Message):
    """The terminal has told whether its ground is dark."""

    def __init__(self, dark: bool) -> None:
        super().__init__()
        self.dark = dark


class TerminalInput(LinuxDriver):
    """Hands each piece to Textual's parser by itself, so that it never has to guess where a sequence ends."""

    def start_application_mode(self) -> None:
        super().start_application_mode()  # type: ignore[no-untyped-call]
        if os.environ.get("TERM", "") not in ("", "linux", "dumb"):
            self.write(ASK_GROUND)
            self.flush()

    def run_input_thread(self) -> None:
        """Read what the terminal sends until the program ends, or the terminal does."""
        keyboard, parser = Keyboard(), XTermParser(self._debug)
        with SelectSelector() as selector:
            selector.register(self.fileno, EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(constants.ESCAPE_DELAY if keyboard.waiting else _LOOK_AGAIN_SECONDS):
                    sent = self._read()
                    if not sent:
                        os.kill(os.getpid(), signal.SIGHUP)
                        return
                    self._hand_on(keyboard.feed(sent), parser)
                elif keyboard.waiting:
                    self._hand_on(keyboard.give_up(), parser)

    def _read(self) -> bytes:
        """What the terminal has sent; nothing if it is gone. Of that the system tells by a signal, but only the program
        whose controlling terminal it was; any other would go on for ever, unseen."""
        try:
            return os.read(self.fileno, 4096)
        except OSError:
            return b""

    def _hand_on(self, pieces: list[str], parser: XTermParser) -> None:
        for piece in pieces:
            if piece == ESCAPE:
                self.process_message(events.Key("escape", ESCAPE))
                continue
            dark = ground_in(piece)
            if dark is not None:
                self.send_message(Ground(dark))
                continue
            found = list(parser.feed(piece))
            for event in found:
                self.process_message(event)
            if piece.startswith(ESCAPE) and not found:
                # The parser may be waiting for more of a sequence that it does not know: one that it does ends that.
                list(parser.feed(FOCUSIN))
