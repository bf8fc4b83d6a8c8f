"""
How the log is asked. Each folder beside this module is one question: how it is asked and what the answer holds
(`question.py`), the reckoning, its words and its JSON.

A screen and a command ask the same question and so cannot differ.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from typing import TYPE_CHECKING, Protocol, TypeVar

if TYPE_CHECKING:
    from reedkin.bench.bench import Bench
    from reedkin.study.study import Study
    from reedkin.study.ticks import Tick

A = TypeVar("A", covariant=True)


class Asked:
    """A log that is asked: its `bench`, which is the asking thread's own, and its study. The study is read when a
    question first needs it, and kept for the next one, unless it was read before."""

    def __init__(self, bench: Bench, study: Study | None = None) -> None:
        self.bench = bench
        self._study = study

    @property
    def studied(self) -> bool:
        """Whether the study was read already."""
        return self._study is not None

    @property
    def study(self) -> Study:
        """The lives of the log. Reads every lineage."""
        if self._study is None:
            from reedkin.study.study import Study

            self._study = Study.of_bench(self.bench)
        return self._study


class Question(Hashable, Protocol[A]):
    """Something to ask the log. Two equal questions have the same answer while the log is the same."""

    def answer(self, asked: Asked, tick: Tick) -> A:
        """The answer. Touches nothing but the log that is asked, so it may run in a thread of its own."""


class Told(Protocol):
    """An answer that a command shows: the whole of it as JSON, and as plain lines of whatever width."""

    def to_json(self) -> Mapping[str, object]: ...
    def lines(self) -> list[str]: ...
