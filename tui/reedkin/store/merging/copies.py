"""Other versions of a log in its own folder. A program that keeps the folders of two computers alike puts one there,
under a name of its own choosing, where both were written at once; nobody sees it unless it is told."""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from reedkin.domain.figures import plural
from reedkin.errors import LogError
from reedkin.store.backups.backups import aside_stem
from reedkin.store.disk.logfile import first_line
from reedkin.store.log import Log
from reedkin.store.scan import scan


@dataclass(frozen=True, slots=True)
class Copy:
    """Another version of a log, and how many records it holds that the log lacks; None where it cannot be read."""

    path: Path
    lacking: int | None
    set_aside: bool = False
    """Whether this program put it there itself, when a backup took the log's place."""

    @property
    def told(self) -> str:
        """What a command says of it, with the command that takes in what it holds."""
        if self.lacking is None:
            return f"{self.path} seems to be another version of this log, and cannot be read"
        records = plural(self.lacking, "record")
        return (
            f"{self.path} is another version of this log and holds {records} that it lacks: written on another "
            f"computer, or set aside. To take them in: reedkin merge {shlex.quote(str(self.path))}"
        )


def copies_with_more(log: Path, held: Log) -> Iterator[Copy]:
    """The files in the folder of a log that began as it did and hold what it lacks. Reads the first line of every file
    there, and all of those that have the same."""
    real = Path(os.path.realpath(log))
    first = first_line(real)
    try:
        files = sorted(real.parent.iterdir()) if first else []
    except OSError:  # a folder that one may pass through and not look into
        return
    for path in files:
        if path == real or not path.is_file() or first_line(path) != first:
            continue
        aside = path.name.startswith(aside_stem(real))
        try:
            documents = scan(path).documents
        except LogError:
            yield Copy(path, None, aside)
            continue
        if lacking := sum(len(of_table.keys() - held.documents(table)) for table, of_table in documents.items()):
            yield Copy(path, lacking, aside)
