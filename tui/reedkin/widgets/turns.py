"""Keys in turn: each is done with before the next is looked at, however fast they come.

Left to itself, Textual hands each key on at once to the widget that has the focus, and carries out what a key is bound
to only when it has come back up from there. A key that is typed before that overtakes it: letters go before the
Backspace that was typed ahead of them, and into the line that Enter was about to clear.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from time import monotonic
from typing import Any

from textual import events
from textual.app import App, ScreenStackError
from textual.message_pump import MessagePump
from textual.widgets import Input

_PATIENCE = 10.0
"""Seconds after which a key is given up that some part of the screen will not finish: it must not take the keyboard
with it."""
_LONGEST_UNPAINTED = 0.25
"""Seconds after which what was done is shown, although more is typed ahead."""

Typed = events.Key | events.Paste


class Turns:
    """Deals out what is typed, one key or paste at a time. `waits` says of one whether it and all behind it must wait;
    `go_on` is to be called when that has changed."""

    def __init__(self, app: App[Any], waits: Callable[[Typed], bool]) -> None:
        self._app, self._waits = app, waits
        self._typed: deque[Typed] = deque()
        self._dealt: list[Typed] = []
        self._aside: list[Typed] = []
        self._dealing: asyncio.Task[None] | None = None
        self._later: dict[Callable[[], None], None] = {}

    def holds(self, event: events.Event) -> bool:
        """Take what was just typed into the row; False for what is none of that, or has its turn."""
        if not isinstance(event, Typed) or event.is_forwarded or any(event is dealt for dealt in self._dealt):
            return False
        self._typed.append(event)
        self.go_on()
        return True

    def go_on(self) -> None:
        """Deal out what may be."""
        if self._dealing is None or self._dealing.done():
            self._dealing = asyncio.create_task(self._deal(), name="keys in turn")
            self._dealing.add_done_callback(self._told)

    @property
    def pressed_at(self) -> float:
        """When the key was pressed whose turn it is, in the seconds of Textual's own clock."""
        return self._dealt[0].time if self._dealt else monotonic()

    @property
    def waiting(self) -> bool:
        """Whether something typed has not had its turn yet."""
        return bool(self._typed)

    def when_free(self, do: Callable[[], None]) -> None:
        """Do something that need not be done before the next key: now if none is typed ahead, else once when there is
        none left, or when it is time to show how far things are."""
        if self._typed:
            self._later[do] = None
        else:
            self._later.pop(do, None)
            do()

    def set_aside(self) -> None:
        """Keep what is typed ahead until `bring_back`: a screen comes between that its maker has not seen."""
        self._aside.extend(self._typed)
        self._typed.clear()

    def bring_back(self) -> None:
        """Deal out what was set aside, before what has been typed since."""
        self._typed.extendleft(reversed(self._aside))
        self._aside.clear()
        self.go_on()

    async def at_rest(self) -> None:
        """Wait until all that was typed, and may have its turn, is done with."""
        while self._dealing is not None and not self._dealing.done():
            await asyncio.wait([self._dealing])

    # One after another

    async def _deal(self) -> None:
        while self._may_go():
            await self._turn()
            while self._may_go():  # there are more: paint from time to time, and not for each
                with self._app.batch_update():
                    until = monotonic() + _LONGEST_UNPAINTED
                    while self._may_go() and monotonic() < until:
                        await self._turn()
                self._catch_up()
                await self._painted()
            self._catch_up()

    def _told(self, dealing: asyncio.Task[None]) -> None:
        """Let the app hear of what should not have happened here, as it hears of the like elsewhere."""
        error = None if dealing.cancelled() else dealing.exception()
        if error is not None:
            self._app.call_later(_raise, error)

    def _may_go(self) -> bool:
        return bool(self._typed) and not self._waits(self._typed[0])

    def _catch_up(self) -> None:
        while self._later:
            do = next(iter(self._later))
            del self._later[do]
            do()

    async def _painted(self) -> None:
        painted = asyncio.Event()
        self._app.call_after_refresh(painted.set)
        with suppress(TimeoutError):  # a screen that is being left is painted no more
            async with asyncio.timeout(_LONGEST_UNPAINTED):
                await painted.wait()

    async def _turn(self) -> None:
        """Deal out the next key, with the rest of its word, and wait until that is done."""
        self._dealt = [self._typed.popleft()]
        if self._is_letter(self._dealt[0]):
            while self._typed and self._is_letter(self._typed[0]):
                self._dealt.append(self._typed.popleft())
        for typed in self._dealt:
            self._app.post_message(typed)
        try:
            async with asyncio.timeout(_PATIENCE):
                await self._done(self._dealt[-1])
        except TimeoutError:
            self._app.log.warning("a key was not finished in time", self._dealt[-1])
        except ScreenStackError:
            self._typed.clear()  # the program has ended: there is no screen left
        self._dealt = []

    def _is_letter(self, typed: Typed) -> bool:
        """Whether a key puts a character on a line of text and nothing else, so that a run of them needs no waiting."""
        written = isinstance(typed, events.Key) and typed.is_printable and typed.character != "?"
        return written and isinstance(self._app.focused, Input)

    async def _done(self, typed: Typed) -> None:
        """
        Until what a key does is done: it has gone up from the widget with the focus to the app, what was posted on its
        way has gone the same way, and the screen that it has opened, if any, is there and has its focus.
        """
        before = (self._app.screen, self._app.focused)
        await _passed(self._app)
        now = (self._app.screen, self._app.focused)
        if now == before and not typed.is_forwarded:
            return  # a binding with priority: done by the app itself, before anybody else has seen the key
        if now == before and now[1] is not None and self._is_letter(typed):
            await _passed(now[1])
            return
        while True:
            before = now
            for node in (now[1] or now[0]).ancestors_with_self:
                await _passed(node)
            now = (self._app.screen, self._app.focused)
            if now == before:
                return


async def _passed(pump: MessagePump) -> None:
    """Until a part of the program has seen to all that was posted to it so far."""
    passed = asyncio.Event()
    if pump.call_later(passed.set):
        await passed.wait()


def _raise(error: BaseException) -> None:
    raise error
