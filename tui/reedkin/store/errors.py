"""What can go wrong with a log file, each with a sentence that says what to do."""

from __future__ import annotations

from reedkin.errors import LogError


class LogMissingError(LogError):
    """There is no file at the path that was given for reading."""

    exit_code = 2


class LogUnreadableError(LogError):
    """The file is there but cannot be read: permission, a folder, a device, a failing disk."""


class LogUnwritableError(LogError):
    """The log cannot be opened for writing: permission, a read-only disk, a folder that cannot be made."""


class LogForeignError(LogError):
    """The file belongs to another program."""


class LogNewerError(LogError):
    """The log was written by a newer version of the program."""


class LogLockedError(LogError):
    """Another program has the log open for writing."""


class LogMovedOnError(LogError):
    """Another program recorded something since the log was last looked at, which may bear on what was to be recorded;
    what it recorded has been taken in, nothing else was."""


class LogDamagedError(LogError):
    """Some lines are damaged and nobody has said that they were seen; nothing is written until then."""


class LogWriteError(LogError):
    """The entry could not be recorded. The log holds what it held before."""


class LogUnsureError(LogWriteError):
    """The disk took an entry, would not vouch for it, and did not give it back either: perhaps it was recorded. Whether
    it was is settled when the log is opened next."""


class AppendOnlyError(LogError):
    """Something tried to change or remove what is recorded."""


class DocumentError(LogError):
    """The document cannot be kept as one line of JSON that reads back as the same document."""

    exit_code = 2


class BackupError(LogError):
    """A backup could not be made, read or put back. The log is as it was."""


class MendError(LogError):
    """A mended copy could not be made. The log is as it was, and no copy was left."""
