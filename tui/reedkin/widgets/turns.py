"""Keys in turn: each is done with before the next is looked at, however fast they come.

Left to itself, Textual hands each key on at once to the widget that has the focus, and carries out what a key is bound
to only when it has come back up from there. A key that is typed before that overtakes it: letters go before the
Backspace that was typed ahead of them, and into the line that Enter was about to clear.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Callable
from time import monotonic
from typing import Any

from textual import events
from textual.app import App
from textual.message_pump import MessagePump

_PATIENCE = 10.0
"""Seconds after which a key is given up that some part of the screen will not finish: it must not take the keyboard
with it."""
_LONGEST_WAIT = 0.1
"""Seconds after which what can wait is done, although there are more keys."""

Typed = events.Key | events.Paste


class Turns:
    """Deals out what is typed, one key or paste at a time. `waits` says of one whether it and all behind it must wait;
    `go_on` is to be called when that has changed."""

    def __init__(self, app: App[Any], waits: Callable[[Typed], bool]) -> None:
        self._app, self._waits = app, waits
        self._typed: deque[Typed] = deque()
        self._dealt: Typed | None = None
        self._dealing: asyncio.Task[None] | None = None
        self._later: dict[Callable[[], None], None] = {}
        self._looked = 0.0

    def holds(self, event: events.Event) -> bool:
        """Take what was just typed into the row; False for what is none of that, or has its turn."""
        if not isinstance(event, Typed) or event is self._dealt or event.is_forwarded:
            return False
        self._typed.append(event)
        self.go_on()
        return True

    def go_on(self) -> None:
        """Deal out what may be."""
        if self._dealing is None or self._dealing.done():
            self._dealing = asyncio.create_task(self._deal(), name="keys in turn")

    @property
    def waiting(self) -> bool:
        """Whether something typed has not had its turn yet."""
        return bool(self._typed)

    def when_free(self, do: Callable[[], None]) -> None:
        """Do something that need not be done before the next key: now if none is typed ahead, else once when there is
        none left, or from time to time."""
        if self._typed:
            self._later[do] = None
        else:
            self._later.pop(do, None)
            do()

    async def at_rest(self) -> None:
        """Wait until all that was typed, and may have its turn, is done with."""
        while self._dealing is not None and not self._dealing.done():
            await asyncio.wait([self._dealing])

    async def _deal(self) -> None:
        while self._typed and not self._waits(self._typed[0]):
            self._dealt = self._typed.popleft()
            self._app.post_message(self._dealt)
            try:
                async with asyncio.timeout(_PATIENCE):
                    await self._done()
            except TimeoutError:
                self._app.log.warning("a key was not finished in time", self._dealt)
            self._dealt = None
            if not self._typed or monotonic() - self._looked > _LONGEST_WAIT:
                self._catch_up()

    def _catch_up(self) -> None:
        self._looked = monotonic()
        while self._later:
            do = next(iter(self._later))
            del self._later[do]
            do()

    async def _done(self) -> None:
        """Until the key has gone up from the widget with the focus to the app, what was posted on its way has gone the
        same way, and the screen that it has opened, if any, is there and has its focus."""
        await _passed(self._app)
        before = None
        while before != (now := (self._app.screen, self._app.focused)):
            before = now
            for node in (now[1] or now[0]).ancestors_with_self:
                await _passed(node)


async def _passed(pump: MessagePump) -> None:
    """Until a part of the program has seen to all that was posted to it so far."""
    passed = asyncio.Event()
    if pump.call_later(passed.set):
        await passed.wait()
