"""The microphone as the program asks for it: sound as it comes in, or in a sentence why there is none."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from queue import Empty, SimpleQueue
from threading import Thread
from time import monotonic
from typing import IO

import numpy as np

from reedkin.errors import InputError
from reedkin.hearing.capture import DEVICE, PART, PORTAUDIO
from reedkin.hearing.crow import LOWEST_RATE
from reedkin.hearing.yin import FloatArray

_OPENING_SECONDS = 8.0
"""How long a microphone may take to open: some systems look through all their devices first."""
_WAKE_SECONDS = 0.05
"""How long at most nobody looks whether to stop."""
_AT_ONCE = 1024
"""Bytes that are taken in together: some hundredths of a second."""
_WRONG: Mapping[str, str] = {
    PART: "To listen takes one part more: pip install '.[listen]' in reedkin's folder.",
    PORTAUDIO: "To listen takes PortAudio, which this system lacks (on Debian: apt install libportaudio2).",
    DEVICE: "No microphone can be heard here ({why}).",
}
_OTHERWISE = "A recording can be heard without: crow take3.wav"


class Microphone:
    """A microphone, open while the process behind it runs. Sound is of full scale 1, at `rate` samples a second."""

    def __init__(self, output: IO[bytes]) -> None:
        self.rate = 0.0
        self._channels = 1
        self._header: SimpleQueue[bytes] = SimpleQueue()
        self._arrived: SimpleQueue[bytes] = SimpleQueue()
        """What came from the process, and nothing (b"") when it has ended."""
        self.reading = Thread(target=self._take_in, args=(output,), daemon=True)
        self.reading.start()

    def _take_in(self, output: IO[bytes]) -> None:
        self._header.put(output.readline())
        while sent := output.read(_AT_ONCE):
            self._arrived.put(sent)
        self._arrived.put(b"")

    def open(self, goes_on: Callable[[], bool]) -> bool:
        """Wait until it is open; False where it no longer `goes_on`. Raises InputError where there is none."""
        header = next(_pieces(self._header, _OPENING_SECONDS, goes_on), b"")
        if not header and not goes_on():
            return False
        if not header:
            raise InputError(f"The microphone does not answer. {_OTHERWISE}")
        said = json.loads(header)
        if "wrong" in said:
            raise InputError(f"{_WRONG[said['wrong']].format(why=said['why'])} {_OTHERWISE}")
        self.rate, self._channels = float(said["rate"]), int(said["channels"])
        if self.rate < LOWEST_RATE:
            raise InputError(f"The microphone gives too few samples a second to hear a reed. {_OTHERWISE}")
        return True

    def blocks(self, seconds: float, goes_on: Callable[[], bool]) -> Iterator[FloatArray]:
        """The sound of so many seconds, all channels taken together, piece by piece (n,), as long as it `goes_on`."""
        rest, left = b"", round(seconds * self.rate)
        for sent in _pieces(self._arrived, seconds, goes_on):
            rest += sent
            whole = len(rest) // (4 * self._channels) * 4 * self._channels
            block = np.frombuffer(rest[:whole], dtype="<f4").reshape(-1, self._channels).mean(axis=1)[:left]
            rest, left = rest[whole:], left - len(block)
            yield block.astype(np.float64)
            if not left:
                return


def _pieces(arrived: SimpleQueue[bytes], seconds: float, goes_on: Callable[[], bool]) -> Iterator[bytes]:
    """What arrives within so many seconds, up to its end: each time all that has come meanwhile, so that a slow machine
    does not fall behind."""
    end = monotonic() + seconds
    while monotonic() < end and goes_on():
        try:
            sent = [arrived.get(timeout=_WAKE_SECONDS)]
        except Empty:
            continue
        sent += [arrived.get() for _ in range(arrived.qsize())]
        if piece := b"".join(sent):
            yield piece
        if not sent[-1]:
            return


@contextmanager
def microphone(goes_on: Callable[[], bool]) -> Iterator[Microphone | None]:
    """The microphone that the system takes if none is chosen; None where it no longer `goes_on` before it is open.
    Raises InputError where there is none."""
    try:
        process: subprocess.Popen[bytes] = subprocess.Popen(
            [sys.executable, "-P", "-m", "reedkin.hearing.capture"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        )  # fmt: skip
    except OSError as error:
        raise InputError(f"The microphone cannot be opened: {error.strerror or error}. {_OTHERWISE}") from error
    with process:
        assert process.stdout is not None
        found = Microphone(process.stdout)
        try:
            yield found if found.open(goes_on) else None
        finally:
            process.kill()
            found.reading.join()
