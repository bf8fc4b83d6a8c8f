"""What the bench hears: the recordings that the entry line names, while the screen goes on."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Run
from reedkin.screens.base import BaseScreen
from reedkin.widgets.entry_line import EntryLine

if TYPE_CHECKING:
    from reedkin.hearing.recording import Take


class Ears:
    """Hears for the entry line of a screen, in threads. Enter on a line that is still to be heard waits, and what is
    typed behind it too, so that keys act in their order."""

    def __init__(self, screen: BaseScreen) -> None:
        self._screen = screen
        self._hearing: set[Take] = set()
        self._enter: Callable[[], None] | None = None
        """The Enter that waits."""

    @property
    def holds(self) -> bool:
        """Whether an Enter waits."""
        return self._enter is not None

    def let_go(self) -> None:
        """Another text stands on the line: the Enter was not for this one."""
        self._enter = None

    def wait(self, enter: Callable[[], None]) -> None:
        """Do what Enter does when the line has been heard."""
        if self._hearing:
            self._enter = enter

    def wait_for(self, line: str) -> bool:
        """Whether a line names recordings that are still to be heard; they are, from now on."""
        takes = self._screen.desk.recordings.unheard(line)
        for take in takes:
            if take not in self._hearing:
                self._hearing.add(take)
                self._screen.run_worker(self._hear(take), group="hearing")
        if takes:
            self._line.say(Run(f"Listening to {takes[0].name} …", "faint"))
        return bool(takes)

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

    @property
    def _line(self) -> EntryLine:
        return self._screen.query_one(EntryLine)
