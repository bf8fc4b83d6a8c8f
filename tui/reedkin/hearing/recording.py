"""A recording on the entry line: `142 crow take3.wav` is what was heard in take3.wav."""

from __future__ import annotations

import re
from pathlib import Path

from reedkin.domain.paths import named_path
from reedkin.domain.pitch import STANDARD_A4
from reedkin.errors import InputError

_NAMED = re.compile(r"\bcrow(?:ed|s)?\s+(?:\"([^\"]+\.wav)\"|(\S+\.wav))(?=\s|;|$)", re.IGNORECASE)


def names_recording(line: str) -> bool:
    """Whether an entry line names a recording of a crow."""
    return _NAMED.search(line) is not None


def heard_line(line: str, a4: float = STANDARD_A4, folder: Path = Path()) -> str:
    """
    The line with what is heard in place of each recording that it names, as it would have been typed; A4 at `a4` Hz. A
    path without a beginning is looked for in `folder`.

    Raises InputError where a recording cannot be read, or holds no crow.
    """
    if not names_recording(line):
        return line
    from reedkin.hearing.crow import hear  # takes numpy: not for the lines that need none
    from reedkin.hearing.sound import read_wav

    def heard(match: re.Match[str]) -> str:
        named = match[1] or match[2]
        crow = hear(*read_wav(folder / named_path(named)))
        if crow is None:
            raise InputError(f"{named}: no steady note was heard. Crow for a second, close to the microphone.")
        return crow.entry(a4)

    return _NAMED.sub(heard, line)
