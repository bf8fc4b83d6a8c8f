"""The small file by which a trial is taken in by the others of a circle: what is compared, and what it is known by.

One JSON object, with the fields of `TrialFile`. Nothing of any reed is in it, nor what is drawn: each maker who takes
it in draws by a chance of her own.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import msgspec

from reedkin.domain.facts import FACTS
from reedkin.domain.words import INSTRUMENTS
from reedkin.errors import InputError
from reedkin.store.disk.files import write_new
from reedkin.store.disk.outside import read_up_to

FORMAT = "reedkin trial of a circle"
VERSION = 1
_MOST_BYTES = 5_000

_Text = Annotated[str, msgspec.Meta(min_length=1, max_length=60)]


class TrialFile(msgspec.Struct, frozen=True):
    """A trial: its name, its two ways, whose reeds, and how many are to be worn out in the whole circle."""

    format: str
    version: int
    trial: Annotated[str, msgspec.Meta(pattern=r"\A[0-9a-f]{32}\Z")]
    name: _Text
    ways: tuple[_Text, _Text]
    planned: int
    instrument: str | None = None


def write_trial(path: Path, trial: TrialFile) -> Path:
    """Write a trial to a new file at `path` or the next free name beside it; returns where. Raises FileWriteError."""
    return write_new(path, msgspec.json.format(msgspec.json.encode(trial), indent=1).decode() + "\n")


def read_trial_file(path: Path) -> TrialFile:
    """The trial in a file. Raises InputError that says what is wrong with it."""
    try:
        trial = msgspec.json.decode(read_up_to(_MOST_BYTES, path), type=TrialFile)
    except (msgspec.MsgspecError, RecursionError, UnicodeError) as error:
        raise InputError(
            f"{path.name} holds no trial of a circle. Ask for the file that was made at its start."
        ) from error
    if trial.format != FORMAT or trial.version != VERSION:
        raise InputError(f"{path.name} holds no trial of a circle that this version of the program knows.")
    if FACTS["planned"].impossible(trial.planned) or trial.instrument not in (None, *INSTRUMENTS):
        raise InputError(f"{path.name} cannot be true: no trial is for such reeds. Ask for it again.")
    if not all(text.isprintable() and text.strip() and '"' not in text for text in (trial.name, *trial.ways)):
        raise InputError(f"{path.name} has a name or a way that nobody can type. Ask for it again.")
    return trial
