"""The files of a circle: read, looked at, and each maker's reeds counted once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from reedkin.errors import InputError
from reedkin.store.circle.shares import Share, read_share

MOST_FILES = 200


@dataclass(frozen=True, slots=True)
class Member:
    """A maker of the circle, called as the file is that she gave."""

    name: str
    share: Share


@dataclass(frozen=True, slots=True)
class Circle:
    """The makers whose files count, and why others do not: in whole sentences."""

    members: tuple[Member, ...]
    left_out: tuple[str, ...] = ()

    @property
    def joined(self) -> tuple[str, ...]:
        """Those of whose reeds some had been in use before they came to the log, so that another may know them too."""
        return tuple(member.name for member in self.members if member.share.joined)


def files_in(folder: Path) -> list[Path]:
    """The files of a circle in a folder, by name; none where there is no such folder. Raises InputError for one that
    cannot be looked into."""
    try:
        return sorted(path for path in folder.iterdir() if path.suffix == ".json" and not path.name.startswith("."))
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as error:
        raise InputError(
            f"The folder of your circle, {folder}, cannot be looked into ({error.strerror}): see to who may read it."
        ) from error


def files_if_any(folder: Path | None) -> list[Path]:
    """The same for an answer that goes without a circle too: what is wrong with the folder is told on the screen of the
    circle and by its command."""
    try:
        return [] if folder is None else files_in(folder)
    except InputError:
        return []


def gathered(paths: Iterable[Path], own: frozenset[str], strict: bool = False) -> Circle:
    """
    The circle of these files; `own` are the marks of her own log. What is no share that can be used is left out, and
    told. Raises InputError for it where `strict`, and for more files than any circle has.
    """
    paths = list(paths)
    if len(paths) > MOST_FILES:
        raise InputError(f"These are {len(paths)} files; a circle has at most {MOST_FILES}.")
    stems = Counter(path.stem for path in paths)
    members, left_out = [], []
    for path in paths:
        name = path.stem if stems[path.stem] == 1 else str(path.with_suffix(""))
        try:
            members.append(Member(name, read_share(path)))
        except InputError as error:
            if strict:
                raise
            left_out.append(str(error))
    return counted_once(members, own, left_out)


def counted_once(members: Sequence[Member], own: frozenset[str], left_out: Iterable[str] = ()) -> Circle:
    """The circle of these makers, of those who share reeds the one with more of them worn out; nobody who shares reeds
    with her own log, which counts by itself."""
    kept: list[Member] = []
    told = list(left_out)
    for member in sorted(members, key=lambda member: -member.share.retired):
        marks = set(member.share.marks)
        twin = next((other for other in kept if marks & set(other.share.marks)), None)
        if marks & own:
            told.append(f"{member.name} rests on reeds of your own log, which counts already: left out.")
        elif twin is not None:
            told.append(f"{member.name} and {twin.name} rest on the same reeds: they count once, as {twin.name}.")
        elif not member.share.habits and not member.share.lives and not member.share.trials:
            told.append(f"{member.name} has no habit to tell of yet.")
        else:
            kept.append(member)
    return Circle(tuple(sorted(kept, key=lambda member: member.name.casefold())), tuple(told))
