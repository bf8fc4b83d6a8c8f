"""How far a long job is, on a terminal."""

from __future__ import annotations

import sys
from types import TracebackType
from typing import Self

from reedkin.domain.literal import literal

_BIG = 1_000_000
_WIDTH = 30


class Progress:
    """A bar on stderr for a job of `whole` bytes; nothing where the job is short or it is `unseen`."""

    def __init__(self, what: str, whole: int, unseen: bool = False) -> None:
        self._what, self._whole = literal(what), whole
        self._done = 0
        self._drawn = -1
        self._shown = whole > _BIG and not unseen and sys.stderr.isatty()

    def forward(self, by: int) -> None:
        """So many more bytes are done."""
        self._done += by
        self.share(self._done / max(1, self._whole))

    def share(self, done: float) -> None:
        """The share of the job that is done, 0 to 1."""
        filled = min(_WIDTH, int(_WIDTH * done))
        if self._shown and filled != self._drawn:
            self._drawn = filled
            print(f"\r{self._what} [{'#' * filled:{_WIDTH}}] {done:4.0%}", end="", file=sys.stderr, flush=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._shown and self._drawn >= 0:
            print(file=sys.stderr)
