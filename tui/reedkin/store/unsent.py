"""The line that stood on the entry line, unrecorded, when the program ended: kept beside the log for the next start,
and given to one program alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from reedkin.errors import InputError, LogError
from reedkin.store.disk.calls import Disk
from reedkin.store.disk.lock import LogLock
from reedkin.store.disk.outside import opened
from reedkin.store.errors import LogLockedError

_LONGEST = 10_000
_PATIENCE = 0.5
"""Seconds to wait for another program that writes in this moment."""
_MOST = 9
"""Lines that are kept: more screens than anybody leaves open."""


def _beside(log: Path) -> Path:
    return log.with_name(f"{log.name}.unsent")


def keep_unsent(log: Path, *lines: str, instead_of: Iterable[str] = ()) -> bool:
    """Keep lines for the next start beside those that are kept, several programs being open on one log; what this one
    was given at its start (`instead_of`) it has seen to. False if the disk refuses: they were never called recorded, so
    there is nobody left to tell."""
    with _alone(log):
        return _keep(log, lines, instead_of)


@contextmanager
def _alone(log: Path) -> Iterator[None]:
    """Keep other programs from doing the same at that moment; where no lock can be had, go on without."""
    lock = LogLock(log)
    try:
        lock.take(_PATIENCE)
    except LogError:
        yield
        return
    try:
        yield
    finally:
        lock.release()


def _keep(log: Path, lines: Iterable[str], instead_of: Iterable[str]) -> bool:
    there = kept_unsent(log)
    for line in instead_of:
        if line in there:
            there.remove(line)
    mine = [" ".join(line.split("\n")).strip()[:_LONGEST] for line in lines if line.strip()]
    kept = "\n".join([*(line for line in there if line not in mine), *mine][-_MOST:])
    try:
        if kept:
            Disk().create(_beside(log), [kept.encode("utf-8", "replace")], replace=True)
        else:
            _beside(log).unlink(missing_ok=True)
    except OSError:
        return False
    return True


class KeptLines:
    """The lines that were kept, which one program has at a time. They stay where they are until it has seen to them,
    and the lock under which it has them ends with it: whatever becomes of it, the next start is given them."""

    def __init__(self, log: Path) -> None:
        self._log = log
        self._lock = LogLock(_beside(log))

    def take(self) -> list[str]:
        """The lines that were kept; none while another program has them. Where no lock can be had, several may be given
        the same: better twice than not at all."""
        if not kept_unsent(self._log):
            return []
        try:
            self._lock.take()
        except LogLockedError:
            return []
        except LogError:
            pass
        return kept_unsent(self._log)  # as they are now that nobody else sees to them

    def let_go(self) -> None:
        """They have been seen to, or are for the next start."""
        self._lock.release()


class UnsentLine:
    """What stands on the entry line of this run, and the lines of earlier ones that were kept for it."""

    def __init__(self, log: Path) -> None:
        self.text = ""
        """What stands there and is not recorded yet."""
        self._log, self._kept_lines = log, KeptLines(log)
        self._waiting: list[str] = []
        """What was kept for this start and does not stand there."""
        self._unseen_to: list[str] = []
        """What was kept for this start and is kept still, since this run too may end at any moment."""
        self._put_back = ""
        """The one of these that was put on the line."""

    def take(self) -> list[str]:
        """The lines that were kept for this start; they stay kept until they have been seen to."""
        self._waiting = self._kept_lines.take()
        self._unseen_to = list(self._waiting)
        return list(self._waiting)

    def changed(self, text: str) -> None:
        """Another text stands on the line. Where it was emptied of one that was put back, that one was recorded, or its
        maker did not want it: it is kept no more."""
        self.text = text
        if text in self._waiting:
            self._waiting.remove(text)
            self._put_back = text
        elif self._put_back and not text.strip():
            self._put_back = ""
            keep_unsent(self._log, *self._waiting, instead_of=self._unseen_to)
            self._unseen_to = list(self._waiting)
            if not self._unseen_to:
                self.let_go()

    def keep(self, line: str) -> bool:
        """Keep a line for the next start, and with it what still waits. False if the disk refuses."""
        return keep_unsent(self._log, *self._waiting, line, instead_of=self._unseen_to)

    def let_go(self) -> None:
        """Let another program have what is kept."""
        self._kept_lines.let_go()


def kept_unsent(log: Path) -> list[str]:
    """The lines that were kept, the last one last. They stay kept until `keep_unsent` keeps others, or none: the
    program may end at any moment."""
    try:
        with opened(_beside(log)) as file:
            text = file.read(10 * _LONGEST).decode("utf-8", "replace")
    except (OSError, InputError):
        return []
    return [line.strip()[:_LONGEST] for line in text.split("\n") if line.strip()]
