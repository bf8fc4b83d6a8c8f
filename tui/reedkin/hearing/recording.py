"""Recordings on the entry line: `142 crow take3.wav` is what was heard in take3.wav."""

from __future__ import annotations

import stat
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from reedkin.domain.paths import named_path
from reedkin.domain.pitch import STANDARD_A4
from reedkin.errors import InputError
from reedkin.hearing.said import listens, said_instead, to_hear

if TYPE_CHECKING:
    from reedkin.hearing.crow import Crow

_MOST = 50
"""Recordings whose crows are remembered."""


class Take(NamedTuple):
    """A recording as it was at a moment: one that has been written over since is another."""

    name: str
    written: int
    size: int


@dataclass
class Recordings:
    """The crows of the recordings that entry lines name, each heard once: to hear one takes longer than a key may, so
    a screen asks what a line still waits for (`unheard`), has it heard in a thread (`hear`), and keeps that (`keep`)
    before it reads the line (`heard`)."""

    _kept: dict[Take, Crow | InputError] = field(default_factory=dict)

    def unheard(self, line: str) -> list[Take]:
        """The recordings that a line names and that have not been heard as they are now."""
        takes = []
        for one in to_hear(line):
            try:
                takes += [_take(one.recording)] if one.recording is not None else []
            except InputError:
                continue  # there is nothing to hear, which `heard` tells
        return [take for take in takes if take not in self._kept]

    @staticmethod
    def hear(take: Take) -> Crow | InputError:
        """The crow in a recording, or why there is none. Changes nothing here."""
        from reedkin.hearing.crow import hear  # takes numpy: not for the lines that need none
        from reedkin.hearing.sound import read_wav

        try:
            crow = hear(*read_wav(named_path(take.name)))
        except InputError as error:
            return error
        said = f"{take.name}: no steady note was heard. Crow for a second, close to the microphone."
        return InputError(said) if crow is None else crow

    def keep(self, take: Take, found: Crow | InputError) -> None:
        """Remember what was heard."""
        self._kept[take] = found
        while len(self._kept) > _MOST:
            del self._kept[next(iter(self._kept))]

    def heard(self, line: str, a4: float = STANDARD_A4) -> str:
        """The line with what is heard in place of each recording that it names, as it would have been typed; A4 at `a4`
        Hz. Raises InputError where a recording cannot be read, or holds no crow, and where a line asks the microphone,
        which nobody has answered."""
        if listens(line):
            raise InputError("crow listen listens on the bench, or at the prompt of reedkin add without an entry.")
        named = [(one, one.recording) for one in to_hear(line) if one.recording is not None]
        return said_instead(line, [(one, self._crow(name).entry(a4)) for one, name in named])

    def _crow(self, name: str) -> Crow:
        take = _take(name)
        if take not in self._kept:
            self.keep(take, self.hear(take))
        found = self._kept[take]
        if isinstance(found, InputError):
            raise found
        return found


def _take(name: str) -> Take:
    """The recording of a name, as it is now. Raises InputError where there is none."""
    path = named_path(name)
    try:
        found = path.stat()
    except OSError as error:
        raise InputError(f"{name}: {error.strerror or error}") from error
    if not stat.S_ISREG(found.st_mode):
        raise InputError(f"{name} is no file. Name a recording, such as take3.wav")
    return Take(name, found.st_mtime_ns, found.st_size)
