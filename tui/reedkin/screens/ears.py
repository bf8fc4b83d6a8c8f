"""What the bench hears: the recordings that the entry line names, and the microphone, while the screen goes on."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Run
from reedkin.errors import InputError
from reedkin.hearing.listener import Listener, Overheard
from reedkin.hearing.said import LISTEN, listened, listens
from reedkin.screens.parts.base import BaseScreen
from reedkin.widgets.entry_line import EntryLine

if TYPE_CHECKING:
    from reedkin.hearing.recording import Take

_SHOW_SECONDS = 0.1
"""How often the note that sounds is shown anew."""


class Ears:
    """
    Hears for the entry line of a screen, in threads.

    A recording is heard while its name is typed. Enter on a line that is still to be heard waits, and what is typed
    behind it too, so that keys act in their order. Enter on a line that asks the microphone listens; a second one takes
    what was heard so far, and whatever changes the line stops it.
    """

    def __init__(self, screen: BaseScreen) -> None:
        self._screen = screen
        self._hearing: set[Take] = set()
        self._enter: Callable[[], None] | None = None
        """The Enter that waits."""
        self._listener: Listener | None = None

    @property
    def holds(self) -> bool:
        """Whether an Enter waits."""
        return self._enter is not None

    def line_changed(self) -> None:
        """Another text stands on the line: the Enter was not for this one."""
        self._enter = None
        self.stop()

    def stop(self) -> None:
        """Listen no more."""
        if self._listener is not None:
            self._listener.stop()
            self._listener = None

    # What the entry line asks

    def wait_for(self, line: str) -> bool:
        """Whether there is more to be heard before a line can be read; its recordings are, from now on."""
        takes = self._screen.desk.recordings.unheard(line)
        for take in takes:
            if take not in self._hearing:
                self._hearing.add(take)
                self._screen.run_worker(self._hear(take), group="hearing")
        if takes:
            self._say(Run(f"Listening to {takes[0].name} …", "faint"))
        elif listens(line) and self._listener is None:
            self._say(Run("Enter listens for up to four seconds, and puts the note here.", "faint"))
        return bool(takes) or listens(line)

    def wait(self, enter: Callable[[], None]) -> None:
        """Enter on such a line."""
        if self._hearing:
            self._enter = enter
        elif self._listener is not None:
            self._listener.take()
        elif listens(self._line.text):
            self._screen.run_worker(self._listen(), group="listening")

    def ask(self) -> None:
        """Ask the microphone for the line that stands there."""
        if not listens(self._line.text):
            self._line.put(self._screen.desk.with_clause(self._line.text, f"crow {LISTEN}"))
        self.wait(self._line.enter)

    # Hearing

    async def _hear(self, take: Take) -> None:
        recordings = self._screen.desk.recordings
        recordings.keep(take, await asyncio.to_thread(recordings.hear, take))
        self._hearing.discard(take)
        if self._enter is not None:
            enter, self._enter = self._enter, None
            enter()
            self._screen.reedkin.turns.go_on()
        else:
            self._line.reread()

    async def _listen(self) -> None:
        listener = self._listener = Listener()
        listening = asyncio.create_task(asyncio.to_thread(listener.listen))
        try:
            while not listening.done():
                if self._listener is listener:
                    self._show(listener)
                await asyncio.wait([listening], timeout=_SHOW_SECONDS)
        finally:
            listener.stop()
        if self._listener is listener:  # and nobody has stopped it
            self._listener = None
            self._told(listening)

    def _told(self, listening: asyncio.Task[Overheard | None]) -> None:
        line, a4 = self._line, self._screen.desk.bench.settings.a4
        try:
            overheard = listening.result()
        except InputError as error:
            line.clear()
            self._say(Run(f"✗ {error}", "error"), Run("Ctrl+P brings the line back.", "faint"))
            return
        if overheard is not None:
            line.put(listened(line.text, overheard.crow.entry(a4)))
            line.reread()
            if kept := self._screen.desk.keep_sound(overheard, line.text):
                self._screen.notify(kept)

    def _show(self, listener: Listener) -> None:
        now, a4 = listener.now, self._screen.desk.bench.settings.a4
        note = f"{now.pitch(a4)}{' in octaves' if now.octaves else ''}" if now is not None else ""
        self._say(
            Run(f"{listener.stage.value} …  {note}", "strong"),
            Run("Crow for a second. Enter takes what was heard; Escape stops.", "faint"),
        )

    def _say(self, *runs: Run) -> None:
        self._line.say(*runs)

    @property
    def _line(self) -> EntryLine:
        return self._screen.query_one(EntryLine)
