"""A key that is held down told from one that is pressed again, by when it is heard: a terminal tells no release."""

from __future__ import annotations

from enum import Enum

REPEAT_SECONDS = 0.3
"""A pedal that is heard again so soon was pressed once: a foot trembles, and a key that is held down repeats itself."""
HELD_SECONDS = 0.75
"""A key that is held down begins to repeat itself a quarter to two thirds of a second after it was pressed (as systems
are set when new; common practice, no source). So a key that is heard again by then is a second press, or the first."""
AGAIN_SECONDS = 0.15
"""Which of them it was shows soon: a key that is held down goes on, every 0.03 to 0.1 s."""
NEAR_SECONDS = 0.03
"""A system waits equally long before each first repeat. Once a key was held down it is known how long, and one that is
heard a single time so near to that was held hardly longer; no foot is so exact."""
_AS_NO_FINGER = 0.1
_REPEATS = 3
"""A key that is heard so quickly so many times on end is held down, whatever key it is."""


class Heard(Enum):
    """What a key is that was heard."""

    PRESSED = "pressed"
    UNSURE = "pressed again, or held down: what follows shows which"
    AGAIN = "the same press"


class HeldKey:
    """Hears every key, whoever it is for: how long a system waits before the first repeat is the same for all of them,
    and most makers hold an arrow or Backspace down before they hold a pedal down."""

    def __init__(self) -> None:
        self._last: tuple[str, float] | None = None
        self._waited = 0.0
        self._quick = 0
        self._before_repeat: float | None = None
        """How long the system waits, in seconds, once that was heard."""

    @property
    def known(self) -> bool:
        """Whether it was heard how long this system waits before a key that is held down repeats itself."""
        return self._before_repeat is not None

    def heard(self, key: str, at: float) -> Heard:
        """A key is heard `at` a moment in seconds."""
        before, self._last = self._last, (key, at)
        since = at - before[1] if before is not None and before[0] == key else HELD_SECONDS
        if since >= HELD_SECONDS:
            self._waited, self._quick = 0.0, 0
            return Heard.PRESSED
        if since >= REPEAT_SECONDS:
            self._waited, self._quick = since, 0
            if self._before_repeat is not None and abs(since - self._before_repeat) <= NEAR_SECONDS:
                return Heard.AGAIN
            return Heard.UNSURE
        self._quick = self._quick + 1 if since <= _AS_NO_FINGER else 0
        if self._waited and self._quick >= _REPEATS:
            self._before_repeat = self._waited
        return Heard.AGAIN
