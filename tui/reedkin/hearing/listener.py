"""Listening to a reed as it crows, for a few seconds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from threading import Event
from typing import TYPE_CHECKING

from reedkin.errors import InputError

if TYPE_CHECKING:
    from reedkin.hearing.crow import Crow
    from reedkin.hearing.listening import Hearing
    from reedkin.hearing.yin import FloatArray

LONGEST_SECONDS = 4.0
"""How long it is listened."""
_LOOK_SECONDS = 0.2


class Stage(Enum):
    """How far listening is."""

    OPENING = "Opening the microphone"
    LISTENING = "Listening"


@dataclass(frozen=True, slots=True)
class Overheard:
    """A crow, and the sound (n,) that it was heard in."""

    crow: Crow
    sound: FloatArray
    rate: float


class Listener:
    """Listens once, in whatever thread; others look meanwhile how far it is (`stage`) and which note sounds (`now`),
    and may end it."""

    def __init__(self, seconds: float = LONGEST_SECONDS) -> None:
        self._seconds = seconds
        self._enough, self._over = Event(), Event()
        self.stage = Stage.OPENING
        self.now: Crow | None = None

    def stop(self) -> None:
        """Hear nothing."""
        self._over.set()

    def take(self) -> None:
        """Take what was heard so far."""
        if self.stage is Stage.LISTENING:
            self._enough.set()

    def listen(self, opened: Callable[[], None] = lambda: None) -> Overheard | None:
        """Listen until the reed has crowed steadily for a second, for a few seconds at most; None where it was stopped.
        `opened` is called once the microphone is open.

        Raises InputError where there is no microphone, and where nothing but silence or noise was heard.
        """
        from reedkin.hearing.listening import Hearing  # takes numpy, which only this thread need wait for
        from reedkin.hearing.microphone import microphone

        with microphone(self._goes_on) as source:
            if source is None:
                return None
            self.stage = Stage.LISTENING
            opened()
            hearing, looked = Hearing(source.rate), 0.0
            for block in source.blocks(self._seconds, self._goes_on):
                hearing.add(block)
                if hearing.seconds - looked >= _LOOK_SECONDS:
                    looked = hearing.seconds
                    self.now = hearing.now()
                    if (crow := hearing.settled()) is not None:
                        return Overheard(crow, hearing.sound, hearing.rate)
        return None if self._over.is_set() else self._judged(hearing)

    def _goes_on(self) -> bool:
        return not (self._enough.is_set() or self._over.is_set())

    @staticmethod
    def _judged(hearing: Hearing) -> Overheard:
        from reedkin.hearing.crow import hear, is_silent

        sound = hearing.sound
        crow = hear(sound, hearing.rate)
        if crow is not None:
            return Overheard(crow, sound, hearing.rate)
        if is_silent(sound):
            raise InputError("Nothing was heard: is the microphone on, and may this program use it?")
        raise InputError("No steady note was heard. Crow for a second, close to the microphone.")
