"""Identifiers that sort by time and are unique across machines: UUID version 7 (RFC 9562, section 5.7)."""

from __future__ import annotations

import os
import re
import threading
import time
from collections.abc import Callable, Container
from uuid import UUID

from reedkin.errors import LogError

NAME_LENGTH = 8
"""So many last characters of a uid name a record to people. Of 100,000 records one pair may share them (5e9 pairs, 4e9
names): then more of the uid is asked for."""
_SHAPE = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


def uuid7(milliseconds: int, low: int) -> str:
    """A version 7 UUID of a Unix time in milliseconds (48 bits) and 74 further bits, as RFC 9562 lays it out."""
    number = (milliseconds & (1 << 48) - 1) << 80 | 7 << 76 | (low >> 62 & 0xFFF) << 64
    return str(UUID(int=number | 2 << 62 | low & (1 << 62) - 1))


def _parts(uid: str) -> tuple[int, int]:
    """The milliseconds and the further bits that `uuid7` made an identifier of."""
    number = UUID(uid).int
    return number >> 80, (number >> 64 & 0xFFF) << 62 | number & (1 << 62) - 1


def is_uid(text: str) -> bool:
    """Whether `text` has the shape of an identifier made here."""
    return _SHAPE.fullmatch(text) is not None


def _milliseconds() -> int:
    return time.time_ns() // 1_000_000


def last_of_millisecond(uid: str) -> str:
    """The last identifier that can be made in the millisecond of this one."""
    return uuid7(milliseconds_of(uid), (1 << 74) - 1)


def milliseconds_of(uid: str) -> int:
    """The Unix time in milliseconds of an identifier."""
    return UUID(uid).int >> 80


def _drawn(bits: int) -> int:
    """A number of so many bits, drawn by the system."""
    return int.from_bytes(os.urandom(10), "big") >> 80 - bits


class UidMaker:
    """Makes identifiers of which each sorts after the one before, even within a millisecond or when the clock
    is set back (RFC 9562, section 6.2, method 2: the random part counts on).

    `milliseconds` tells the Unix time; `after` is an identifier, such as a log's latest, that all of them sort after.
    """

    def __init__(self, milliseconds: Callable[[], int] = _milliseconds, after: str = "") -> None:
        self._milliseconds = milliseconds
        self._lock = threading.Lock()
        self._last = _parts(after) if after else (0, 0)

    def go_on_after(self, uid: str) -> None:
        """Let all that are made from now on sort after this one, too."""
        with self._lock:
            self._last = max(self._last, _parts(uid))

    def new(self) -> str:
        """The next one. Raises LogError where the last of all was made already."""
        with self._lock:
            now = self._milliseconds()
            then, low = self._last
            low += 1 + _drawn(32)
            if now > then or low >> 74:
                then, low = max(now, then + 1), _drawn(73)
            if then >> 48:
                raise LogError(
                    "Not recorded: the log has an identifier from the end of all time, so that none can sort after it. "
                    "Another program wrote it, or a clock ran wild. To go on from before it: reedkin backups"
                )
            self._last = (then, low)
            return uuid7(then, low)


def uid_of_content(milliseconds: int, content: str) -> str:
    """The identifier of an imported row that has none: its time, and a digest of what it says in place of chance,
    so that the same file imported twice adds nothing the second time."""
    from hashlib import sha256  # takes a while to load, which no start has to wait for

    return uuid7(milliseconds, int.from_bytes(sha256(content.encode()).digest()[:10], "big") >> 6)


def free_uid(uid: str, taken: Container[str]) -> str:
    """An identifier of some content, or where it is taken another of the same time and content that is not."""
    while uid in taken:
        uid = uid_of_content(milliseconds_of(uid), f"again {uid}")
    return uid
