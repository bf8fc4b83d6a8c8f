"""
The file that a maker gives to a circle: what several makers' logs can be asked together, and nothing of any one reed.

One JSON object. Its fields are those of `Share`; the guide for developers says them too. Whatever else stands in such a
file is left unread, so that a later version may add to it. A file comes from somebody else, so all of it is looked at
before any is used: `read_share` gives a share of which every number can be, or says what is wrong with it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Literal

import msgspec

from reedkin.domain.words import INSTRUMENTS, spelt
from reedkin.errors import InputError
from reedkin.store.circle.trial_files import FORMAT as TRIAL_FORMAT
from reedkin.store.disk.files import write_over
from reedkin.store.disk.outside import read_up_to

FORMAT = "reedkin share"
VERSION = 1
DEFINITIONS = 1
"""Of what a life is and how each habit is reckoned. To be raised when either changes, since what was reckoned otherwise
cannot be taken together."""
MOST_BYTES = 200_000
FEWEST = 5
"""Nothing is said of fewer reeds than these, on either side of a habit."""
_MOST_REEDS = 20_000
_FURTHEST = 8.0
"""No habit makes lives end exp(8) times as fast for one standard deviation."""
_MOST_TOLD = 4.0
"""No retirement tells more of an effect than the variance of the habit among the reeds at risk; so many times as much
is allowed, since that variance is rounded and no two fits of it are alike."""

_Name = Annotated[str, msgspec.Meta(min_length=1, max_length=60, pattern=r"\A[a-z0-9_]+\Z")]
_Version = Annotated[str, msgspec.Meta(min_length=1, max_length=30, pattern=r"\A[0-9A-Za-z.+-]+\Z")]
_Mark = Annotated[str, msgspec.Meta(pattern=r"\A[0-9a-f]{12}\Z")]
_KnownBy = Annotated[str, msgspec.Meta(pattern=r"\A[0-9a-f]{32}\Z")]
_Count = Annotated[int, msgspec.Meta(ge=0, le=_MOST_REEDS)]
_Some = Annotated[int, msgspec.Meta(ge=FEWEST, le=_MOST_REEDS)]
_Hours = Annotated[int, msgspec.Meta(ge=0, le=10_000)]


class HabitShare(msgspec.Struct, frozen=True):
    """
    One habit on one clock.

    log_hazard_ratio, standard_error  for each step of the habit (a millimetre tied, say).
    reeds, retired  whose habit is known, and how many of them were worn out.
    spread          the standard deviation of the habit, in its steps, among reeds in service together.
    quarters        the maker's lower and upper quarter of it, in its own unit.
    """

    habit: _Name
    clock: Literal["hours", "days"]
    log_hazard_ratio: float
    standard_error: float
    reeds: _Some
    retired: _Some
    spread: float
    quarters: tuple[float, float]


class LivesShare(msgspec.Struct, frozen=True):
    """The lives of an instrument's reeds: how many served and were worn out, and after how many whole hours of playing
    three in four, half and one in four of them were left; none where that was not reached, or so few were worn out that
    single lives would show. blanks: how many came good, of how many of which that is settled."""

    instrument: str
    reeds: _Some
    retired: _Count
    left_after: tuple[_Hours | None, _Hours | None, _Hours | None] = (None, None, None)
    blanks: tuple[_Count, _Some] | None = None


class TrialShare(msgspec.Struct, frozen=True):
    """
    A trial of the circle. `trial` is what it is known by in the whole circle, and `mark` is this maker's own (a digest
    of her draw's uid), so that she counts once. Of each way: how many reeds were assigned, served and wore out.

    more_worn  how many more of the second way wore out than if both were alike, among her reeds of one instrument (and
               lot): the log-rank test's observed less expected, and its variance.
    """

    trial: _KnownBy
    mark: _Mark
    assigned: tuple[_Count, _Count]
    served: tuple[_Count, _Count]
    worn_out: tuple[_Count, _Count]
    more_worn: float = 0.0
    variance: float = 0.0


class Share(msgspec.Struct, frozen=True):
    """
    What a maker gives to a circle.

    program, definitions  which version made it, and by which definitions.
    reeds, retired  how many served, and how many of them were worn out.
    joined          how many of those that served came to the log in use, and so may be in another's log too.
    marks           digests by which files that rest on the same reeds are known, and nothing else is (`marks_of`).
    """

    format: str
    version: int
    program: _Version
    definitions: int
    reeds: _Count
    retired: _Count
    joined: _Count
    marks: Annotated[tuple[_Mark, ...], msgspec.Meta(max_length=64)]
    lives: Annotated[tuple[LivesShare, ...], msgspec.Meta(max_length=20)]
    habits: Annotated[tuple[HabitShare, ...], msgspec.Meta(max_length=200)]
    trials: Annotated[tuple[TrialShare, ...], msgspec.Meta(max_length=100)] = ()


class _WhichFile(msgspec.Struct):
    """What tells which file it is, before the rest is looked at."""

    format: str = ""
    version: int = 0
    definitions: int = 0


def share_bytes(share: Share) -> bytes:
    """The share as it stands in its file, fit to be read by people too."""
    return msgspec.json.format(msgspec.json.encode(share), indent=1) + b"\n"


def write_share(path: Path, share: Share) -> None:
    """Write a share to a file, in place of what it held. Raises FileWriteError."""
    write_over(path, [share_bytes(share)])


def read_share(path: Path) -> Share:
    """The share in a file. Raises InputError that says what is wrong with it."""
    return share_of(read_up_to(MOST_BYTES, path), path.name)


def share_of(text: bytes, name: str) -> Share:
    """The share that these bytes hold; `name` is what to call the file. Raises InputError."""
    if len(text) > MOST_BYTES:
        raise InputError(f"{name} is larger than any share can be; ask its maker for it again.")
    try:
        kind = msgspec.json.decode(text, type=_WhichFile)
    except (msgspec.MsgspecError, RecursionError, UnicodeError) as error:
        raise InputError(f"{name} is no file of a circle. One is made with: reedkin share FILE") from error
    if kind.format == TRIAL_FORMAT:
        raise InputError(f"{name} is a trial to be taken in, by i on the screen of trials or: reedkin trial join FILE")
    if kind.format != FORMAT:
        raise InputError(f"{name} is no file of a circle. One is made with: reedkin share FILE")
    if kind.version != VERSION or kind.definitions != DEFINITIONS:
        raise InputError(
            f"{name} was made by another version of the program, which reckons otherwise, and cannot be taken together "
            "with yours. Have it made anew once both have the same version."
        )
    try:
        share = msgspec.json.decode(text, type=Share)
    except (msgspec.MsgspecError, RecursionError, UnicodeError) as error:
        raise InputError(f"{name} is damaged or was changed: {error}. Ask its maker for it again.") from error
    for wrong in _impossible(share):
        raise InputError(f"{name} cannot be true: {wrong}. Ask its maker for it again.")
    return share


def _impossible(share: Share) -> Iterator[str]:
    """What of a share cannot be, in words."""
    if share.retired > share.reeds or share.joined > share.reeds:
        yield "it counts more reeds worn out, or come in use, than served"
    if len(set(share.marks)) != len(share.marks) or (share.reeds and not share.marks):
        yield "the marks of its reeds are missing or stand twice"
    names = [lives.instrument for lives in share.lives]
    if len(set(names)) != len(names) or not set(names) <= set(INSTRUMENTS):
        yield "it names an instrument twice, or one that there is not"
    if sum(lives.reeds for lives in share.lives) > share.reeds:
        yield "its instruments have more reeds than it has"
    for lives in share.lives:
        reached = [hours for hours in lives.left_after if hours is not None]
        if lives.retired > lives.reeds or reached != sorted(reached) or 0 in reached:
            yield f"its lives of {spelt(lives.instrument)} reeds do not fit together"
        if lives.blanks is not None and lives.blanks[0] > lives.blanks[1]:
            yield f"more of its {spelt(lives.instrument)} blanks came good than were settled"
    asked = [(habit.habit, habit.clock) for habit in share.habits]
    if len(set(asked)) != len(asked):
        yield "it tells of one habit twice"
    for habit in share.habits:
        if habit.reeds > share.reeds or habit.retired > min(share.retired, habit.reeds):
            yield f"{habit.habit.replace('_', ' ')} is told from more reeds than there are"
        yield from impossible_in(habit)
    if len({trial.trial for trial in share.trials}) != len(share.trials):
        yield "it tells of one trial twice"
    for trial in share.trials:
        yield from _impossible_trial(trial)


def impossible_in(habit: HabitShare) -> Iterator[str]:
    """What of a habit's figures cannot be, in words."""
    name = habit.habit.replace("_", " ")
    if not (habit.spread > 0 and habit.standard_error > 0):
        yield f"the spread and the standard error of {name} must be above nothing"
        return
    if abs(habit.log_hazard_ratio) * habit.spread > _FURTHEST:
        yield f"no habit matters as much as its {name}"
    # In logarithms, since the square of a number in a file may have no end.
    told = -2 * (math.log(habit.standard_error) + math.log(habit.spread))
    if told > math.log(_MOST_TOLD * habit.retired):
        yield f"so few reeds cannot tell so surely of {name}"
    if habit.quarters[0] > habit.quarters[1]:
        yield f"the quarters of {name} stand the wrong way round"


def _impossible_trial(trial: TrialShare) -> Iterator[str]:
    counts = zip(trial.assigned, trial.served, trial.worn_out, strict=True)
    if any(not assigned >= served >= worn for assigned, served, worn in counts):
        yield "a trial of it has more reeds worn out than served, or than were assigned"
    worn, more, variance = sum(trial.worn_out), trial.more_worn, trial.variance
    # No retirement adds more to the variance than a fair coin does, and only one that is certain adds none.
    if not 0 <= variance <= worn / 4 + 0.01 or abs(more) > worn + 0.01:
        yield "so few reeds cannot tell so much of a trial"
    if not variance and more:
        yield "a trial of it tells something without any reed to compare"
