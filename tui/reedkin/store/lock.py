"""
The lock of a log: one writer at a time. It is a lock of the operating system on `<log>.lock`, so it ends with the
process that holds it; the file that stays behind locks nobody out.
"""

from __future__ import annotations

from pathlib import Path

import filelock

from reedkin.store.errors import LogLockedError, LogUnwritableError


class LogLock:
    """The writer's lock of the log at `path`. Taken when made; raises LogLockedError if another has it."""

    def __init__(self, path: Path) -> None:
        # Any thread of the program may close the log, so the lock must not belong to one.
        self._lock = filelock.FileLock(path.with_name(path.name + ".lock"), timeout=0, thread_local=False)
        try:
            self._lock.acquire()
        except filelock.Timeout:
            raise LogLockedError(
                f"The log {path} is open in another window or program. "
                "Close it there to record here; until then it is open for reading only."
            ) from None
        except (OSError, NotImplementedError) as error:
            why = getattr(error, "strerror", None) or error
            raise LogUnwritableError(
                f"The log {path} cannot be locked for writing: {why}. "
                "Check that its folder may be written to; until then it is open for reading only."
            ) from error

    def release(self) -> None:
        """Let the next writer in. Releasing twice is harmless."""
        self._lock.release()
