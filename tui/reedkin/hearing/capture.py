"""The microphone, in a process of its own: what drives it may write on the terminal, hang or crash, and takes nothing
with it here. Run as `python -m reedkin.hearing.capture`, it writes a line of JSON that tells the rate and the channels,
or what is wrong, and then sound as 32 bit floats until it is ended.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from typing import Any

BLOCKS_A_SECOND = 20
PART, PORTAUDIO, DEVICE = "part", "portaudio", "device"
"""What can be wrong: sounddevice, PortAudio or a device is missing."""


def main() -> int:
    threading.Thread(target=_end_with_the_program, daemon=True).start()
    try:
        import sounddevice
    except ImportError as error:
        return _wrong(PART, error)
    except OSError as error:
        return _wrong(PORTAUDIO, error)
    try:
        _capture(sounddevice)
    except BrokenPipeError:
        return 0  # nobody listens any more
    except (sounddevice.PortAudioError, ValueError) as error:
        return _wrong(DEVICE, error)
    return 0


def _capture(sounddevice: Any) -> None:
    device = sounddevice.query_devices(kind="input")
    channels = min(2, int(device["max_input_channels"]))
    rate = float(device["default_samplerate"])
    with sounddevice.RawInputStream(samplerate=rate, channels=channels, dtype="float32") as stream:
        _write(json.dumps({"rate": rate, "channels": channels}).encode() + b"\n")
        while True:
            block, _ = stream.read(round(rate / BLOCKS_A_SECOND))
            _write(bytes(block))


def _write(sent: bytes) -> None:
    sys.stdout.buffer.write(sent)
    sys.stdout.buffer.flush()


def _wrong(what: str, error: Exception) -> int:
    _write(json.dumps({"wrong": what, "why": str(error)}).encode() + b"\n")
    return 2


def _end_with_the_program() -> None:
    """End when the program does that asked for the sound, also where the device gives none."""
    while sys.stdin.buffer.read(1):
        pass
    os._exit(0)


if __name__ == "__main__":
    sys.exit(main())
