"""What is wrong with a log that was read: every fault by its line, and whether somebody has said that it was seen."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import replace

from reedkin.store.reading.faults import Fault, Flaw, excerpt
from reedkin.store.reading.lines import guess

LinesWith = Callable[[Container[bytes]], Iterable[tuple[int, bytes]]]
"""From what some lines hold (their REST) to the number and the REST of each such line, in the order of the file."""


class Findings:
    """The faults found so far. Those of lines show when the file is read, those inside a document when its table is."""

    def __init__(self, lines_with: LinesWith) -> None:
        self._lines_with = lines_with
        self._found: list[Fault] = []
        self._unplaced: dict[bytes, list[int]] = {}
        """The places in `_found` of faults whose lines are not known yet, by what the lines hold."""
        self._seen = False
        self.torn: Fault | None = None
        """The end of the file that holds no whole entry, until the next reading."""
        self._breaks: tuple[Fault, ...] = ()

    def add(self, fault: Fault) -> None:
        """A line of the file is at fault."""
        self._found.append(fault)
        if fault.blocks:
            self._seen = False

    def set_aside(self, fault: Fault) -> None:
        """The torn end was cut off and kept: told with the other faults, whatever is read next."""
        self.torn = None
        self.add(fault)

    def set_breaks(self, faults: Sequence[Fault]) -> None:
        """The places where lines are missing or were moved, according to the latest reading."""
        if not set(faults) <= set(self._breaks):
            self._seen = False
        self._breaks = tuple(faults)

    def add_flaw(self, flaw: Flaw, table: str, rest: bytes) -> None:
        """A line with a sound checksum turned out to hold no document of its own."""
        self._unplaced.setdefault(rest, []).append(len(self._found))
        fault = Fault(0, flaw.kind, flaw.message, len(rest), table, guess(rest)[1], excerpt(rest))
        self._found.append(fault)
        if fault.blocks:
            self._seen = False

    def acknowledge(self) -> None:
        """The user has seen what was found so far."""
        self._seen = True

    @property
    def block(self) -> bool:
        """Whether there is anything among them that the user has to see."""
        return bool(self._breaks) or any(fault.blocks for fault in self._found)

    @property
    def wait(self) -> bool:
        """Whether there is such a thing that nobody has said was seen."""
        return not self._seen and self.block

    def all(self) -> tuple[Fault, ...]:
        """All of them in the order of the file. Raises OSError where their lines have to be looked for."""
        self._place()
        torn = (self.torn,) if self.torn else ()
        return tuple(sorted((*self._found, *self._breaks, *torn), key=lambda fault: fault.line))

    def _place(self) -> None:
        """Find the lines of the faults that showed inside documents, in one reading of the file however many they are.
        Of lines that are alike, those that have a fault already are not meant."""
        if not self._unplaced:
            return
        known = {fault.line for fault in self._found}
        waiting = {rest: iter(places) for rest, places in self._unplaced.items()}
        for line, rest in self._lines_with(waiting):
            if line not in known and (place := next(waiting[rest], None)) is not None:
                self._found[place] = replace(self._found[place], line=line)
        self._unplaced.clear()
