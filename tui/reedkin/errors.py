"""The tree of errors. Every message says what is wrong and what to do about it."""

from __future__ import annotations


class ReedkinError(Exception):
    """Anything that reedkin tells its user about. `exit_code` is what the command line ends with."""

    exit_code = 1


class InputError(ReedkinError):
    """Wrong usage, or input that cannot be understood or cannot be true."""

    exit_code = 2


class LogError(ReedkinError):
    """The log cannot be read or written: damaged, locked, not ours, or the disk refuses."""

    exit_code = 3
