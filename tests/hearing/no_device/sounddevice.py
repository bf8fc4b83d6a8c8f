"""In the place of sounddevice, for the process that captures sound: a microphone made of what MADE_SOUND names.

A file of 32 bit floats at 44100 samples a second is what it hears, and then nothing comes any more; "none" is no
device, "no part" and "no PortAudio" are what else can be missing, "mute" never opens, and "crash" ends the process.
"""

import os
from pathlib import Path
from threading import Event

_MADE = os.environ["MADE_SOUND"]
if _MADE == "no part":
    raise ImportError("No module named 'sounddevice'")
if _MADE == "no PortAudio":
    raise OSError("PortAudio library not found")
if _MADE == "crash":
    os.abort()


class PortAudioError(Exception):
    pass


def query_devices(kind: str) -> dict[str, float]:
    if _MADE == "none":
        raise PortAudioError("Error querying device -1")
    return {"max_input_channels": 32, "default_samplerate": 44100.0}


class RawInputStream:
    """Gives sound as fast as it is taken."""

    def __init__(self, samplerate: float, channels: int, dtype: str) -> None:
        assert (samplerate, channels, dtype) == (44100, 2, "float32")
        print("Expression 'ret' failed: a driver that writes where it may not", file=os.sys.stderr)

    def __enter__(self) -> "RawInputStream":
        if _MADE == "mute":
            Event().wait()
        self._left = Path(_MADE).read_bytes()
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def read(self, frames: int) -> tuple[bytes, bool]:
        """Frames of two channels of which the second hears nothing, as many microphones are wired."""
        if not self._left:
            Event().wait()
        block, self._left = self._left[: 4 * frames], self._left[4 * frames :]
        return b"".join(block[at : at + 4] + b"\0\0\0\0" for at in range(0, len(block), 4)), False
