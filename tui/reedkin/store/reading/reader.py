"""
Reading a log: bytes -> lines -> whole entries on a shelf, with every fault reported and stepped over. Usual lines are
decoded and checked a block at a time, so that opening costs little more than reading; a block in which anything is odd
is looked at line by line.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple
from zlib import crc32

from reedkin.store.disk.calls import Disk
from reedkin.store.errors import LogForeignError, LogNewerError
from reedkin.store.reading.faults import Fault, FaultKind, Flaw, excerpt
from reedkin.store.reading.lines import (
    BOM,
    SEAL,
    SEAL_BYTES,
    VERSION,
    Gist,
    Header,
    diagnose,
    digits_of,
    gists_of,
    guess,
    link_of,
    links_seen,
    names_before,
    opened,
    read_head,
    read_header,
)
from reedkin.store.reading.pieces import EXCERPT, Ending, Piece, pieces
from reedkin.store.reading.tables import Shelf

_PATIENCE = 1000
"""Faults before the first sound line after which a file is taken for another program's."""


class Torn(NamedTuple):
    """An end of the file that holds no whole entry: from byte `offset`, which begins line `line`, `size` bytes."""

    offset: int
    line: int
    size: int


@dataclass(frozen=True)
class Break:
    """A line that does not follow on the one before it: its number, the link of the line that stood there when it was
    written, and whether that one stands elsewhere in the file."""

    line: int
    after: bytes
    moved: bool = False


class Reader:
    """
    Reads a log onto a shelf and can go on from where it stopped. After `read`, `offset` and `line` tell how far whole
    entries reach; `torn` is what follows them, if anything; `touched` are the tables that got lines, each with how many
    it had before. `link` is what the next line is to name the last one by, and `breaks` are the places where lines are
    missing or were moved, as long as no later line says that they are known.
    """

    def __init__(self, path: Path, disk: Disk, shelf: Shelf, report: Callable[[Fault], None]) -> None:
        self.header: Header | None = None
        self.offset = 0
        self.line = 0
        self.torn: Torn | None = None
        self.link = b""
        self.breaks: list[Break] = []
        self.unended = False
        """Whether the last line that was taken lacks its newline."""
        self.touched: dict[str, int] = {}
        self._path = path
        self._disk = disk
        self._shelf = shelf
        self._report = report
        self._header_rest = b""
        self._sums: set[int] = set()
        self._further: list[list[int]] = []
        """The checksums of further lines, which are seldom asked for."""
        self._known: dict[str, tuple[list[bytes], set[bytes], int]] = {}
        """The lines of tables in which a repeat was suspected, with how many of them are in the set."""
        self._faults = 0
        self._sure = False
        """Whether the line before is the one that `link` is of, and not damage."""
        self._header_link = b""
        self._reset_entry()

    def _reset_entry(self) -> None:
        self._left = 0
        self._entry: dict[tuple[str, bytes], None] = {}
        self._entry_start: tuple[Piece, int] | None = None
        self._entry_line = 0
        self._entry_link = b"", False
        self._hurt = False

    def read(self, fd: int) -> None:
        """Read from where the last reading stopped to the end of the file. Raises OSError and the LogErrors below."""
        self.torn = None
        self.touched.clear()
        in_bulk = self.line == 0
        unfinished: Piece | None = None
        if self.unended:
            self._step_over_newline(fd)
        for piece in pieces(self._disk, fd, self.offset):
            if piece.ending is Ending.UNFINISHED:
                unfinished = piece
                break
            if piece.ending is Ending.ENDLESS:
                self._take_endless(piece)
            elif not (in_bulk and self.line and self._take_block(piece)):
                for place in range(len(piece.lines)):
                    self._take_line(piece, place)
            self.line += len(piece.lines)
            self.offset = piece.offset + piece.size
        self._finish(unfinished)
        if in_bulk:
            self.touched = dict.fromkeys(self._shelf.lines, 0)
        self._look_at_breaks()

    def wrote(self, lines: Sequence[bytes], size: int) -> None:
        """These lines were written at the end by the owner, who needs not read them: the file has `size` bytes."""
        self.line += len(lines)
        self.offset, self.unended = size, False
        self.link, self._sure = link_of(lines[-1]), True
        self.breaks.clear()  # they had been seen, and the first of the lines says so

    def _step_over_newline(self, fd: int) -> None:
        """Where the newline of the last line has come since, go on behind it."""
        os.lseek(fd, self.offset, os.SEEK_SET)
        if self._disk.read(fd, 1) == b"\n":
            self.offset += 1
            self.unended = False

    def _take_unfinished(self, piece: Piece) -> bool:
        """Take a last line that lacks nothing but its newline: some editors strip it. Its checksum is right and nothing
        of its entry is to follow, so it was recorded whole."""
        line = self._without_mark(piece.lines[0])
        rest = opened(line) or opened(line.removesuffix(b"\r")) if piece.size == len(piece.lines[0]) else None
        if rest is None:
            return False
        head = read_head(rest)
        ends = read_header(rest) is not None if isinstance(head, Flaw) else head.left == 0
        if not ends:
            return False
        self._take_line(piece, 0)
        self.line += 1
        self.offset, self.unended = piece.offset + piece.size, True
        return True

    def _finish(self, unfinished: Piece | None) -> None:
        if unfinished and self._take_unfinished(unfinished):
            unfinished = None
        end = unfinished.offset + unfinished.size if unfinished else self.offset
        if self._left and any(one.line >= self._entry_line for one in self.breaks):
            self._end_short()  # another program moved these lines to the end; the rest of theirs stands elsewhere
        elif self._left and not self._hurt and self._entry_start:
            # The entry was not written to its end, so none of it was ever called recorded.
            piece, place = self._entry_start
            self.offset = piece.offset + sum(len(line) + 1 for line in piece.lines[:place])
            self.line = self._entry_line - 1
            self.link, self._sure = self._entry_link
        else:
            self._shelve_entry()
        self._reset_entry()
        if self.offset < end:
            self.torn = Torn(self.offset, self.line + 1, end - self.offset)
        if self.header is None and not self._shelf.lines and not _is_new(self.line, unfinished):
            raise self._foreign()

    def _foreign(self) -> LogForeignError:
        return LogForeignError(
            f"{self._path} is not a log of this program, or nothing in it can be read. It was left as it is. "
            "Choose another file, or restore a backup."
        )

    # Lines, a block at a time

    def _take_block(self, piece: Piece) -> bool:
        """Take all lines of a piece if each is as usual, every checksum holds, none repeats and each follows on the one
        before it; otherwise take nothing: False."""
        rests = [line[SEAL_BYTES:] for line in piece.lines]
        sums = list(map(crc32, rests))
        gists = gists_of(piece.lines)
        if gists is None or self._may_repeat(gists, rests, sums):
            return False
        links = digits_of(sums)
        before = [self.link.decode() if self._sure else gists[0].after, *links[:-1]]
        if [gist.crc for gist in gists] != links or not _follow([gist.after for gist in gists], before):
            return False
        was, self.link, self._sure = (self.link, self._sure), links[-1].encode(), True
        self._further.append(sums)

        def singly(places: Iterable[int]) -> None:
            for place in places:
                self._take_rest(piece, place, rests[place], (before[place].encode(), True) if place else was)

        whole = _whole_entries(self._left, [gist.left for gist in gists])
        singly(range(whole.start))
        if whole:
            self._shelf.add_all(gists[whole.start : whole.stop], rests[whole.start : whole.stop])
        singly(range(whole.stop, len(rests)))
        return True

    def _may_repeat(self, gists: list[Gist], rests: list[bytes], sums: list[int]) -> bool:
        """Whether one of some lines may stand twice: neither all their identifiers are new nor all their checksums.
        (Two lines may have one.)"""
        if self._shelf.glance.all_new(gists) and {rest for _, rest in self._entry}.isdisjoint(rests):
            return False
        distinct = set(sums)
        return len(distinct) < len(sums) or not self._all_sums().isdisjoint(distinct)

    def _all_sums(self) -> set[int]:
        """The checksums of all lines so far."""
        self._sums.update(*self._further)
        self._further.clear()
        return self._sums

    # Lines, one by one

    def _take_line(self, piece: Piece, place: int) -> None:
        line = self._without_mark(piece.lines[place]) if not place else piece.lines[place]
        number = self.line + place + 1
        rest = opened(line) or opened(line.removesuffix(b"\r"))  # some programs change every line's end
        if number == 1 and self._take_header(line, rest):
            return
        if rest is None:
            self._take_damaged(number, line, len(line), diagnose(line))
        elif rest == self._header_rest or self._is_repeat(rest):
            self._fault(number, line, len(line), Flaw(FaultKind.REPEAT, "The line stands in the log twice."))
            self._count_off(rest)
        else:
            self._take_next(piece, place, rest)

    def _without_mark(self, line: bytes) -> bytes:
        """The first line of a piece, without the mark that some editors put before the first line of a file."""
        return line if self.line else line.removeprefix(BOM)

    def _take_next(self, piece: Piece, place: int, rest: bytes) -> None:
        """Take a line with a sound checksum, having looked whether it follows on the one before it."""
        number, after = self.line + place + 1, names_before(rest)
        before = self.link, self._sure
        self.link, self._sure = link_of(piece.lines[place]), True
        told = self._take_rest(piece, place, rest, before)
        if after and before[1] and after != before[0] and not told:
            self.breaks.append(Break(number, after))

    def _take_header(self, line: bytes, rest: bytes | None) -> bool:
        """Take the first line, unless it is a document's."""
        header = read_header(rest) if rest is not None else None
        if header is None:
            flaw = Flaw(FaultKind.HEADER, "The first line, which names the format, is damaged or missing.")
            self._fault(1, line, len(line), flaw)
            return rest is None or isinstance(read_head(rest), Flaw)
        if header.version > VERSION:
            raise LogNewerError(
                f"The log {self._path} was written by a newer version of the program (format {header.version}; "
                f"this one knows {VERSION}). Nothing was changed. Install the newer version."
            )
        self.header, self._header_rest = header, rest or b""
        self.link = self._header_link = link_of(line)
        self._sure = True
        return True

    def _is_repeat(self, rest: bytes) -> bool:
        checksum, known = crc32(rest), self._all_sums()
        if checksum not in known:
            known.add(checksum)
            return False
        head = read_head(rest)
        if isinstance(head, Flaw):
            return False
        return rest in self._lines_of(head.table) or (head.table, rest) in self._entry

    def _lines_of(self, table: str) -> set[bytes]:
        """The lines on the shelf of a table, so that each question takes the same time however many there are."""
        lines = self._shelf.of(table)
        of, known, count = self._known.get(table, (lines, set[bytes](), 0))
        if of is not lines:
            known, count = set(), 0
        known.update(lines[count:])
        self._known[table] = lines, known, len(lines)
        return known

    def _take_rest(self, piece: Piece, place: int, rest: bytes, before: tuple[bytes, bool]) -> bool:
        """Take a line with a sound checksum: the next of the entry under way, or the first of another; `before` is the
        link of the line before, and whether that is sure. True if lines were missing before it, which was told."""
        number = self.line + place + 1
        head = read_head(rest)
        if isinstance(head, Flaw):
            line = piece.lines[place]
            self._take_damaged(number, line, len(line), head)
            return True
        left = head.left
        told = bool(self._left and left != self._left - 1)
        if told:
            told = not self._hurt
            self._end_short()
        if not self._left:
            self._entry_start, self._entry_line, self._hurt = (piece, place), number, False
            self._entry_link = before
        self._entry[head.table, rest] = None
        self._left = left
        if not left:
            self._shelve_entry()
        return told

    def _count_off(self, rest: bytes) -> None:
        """A repeated line can be the next of the entry under way, which then wants one less to be whole."""
        head = read_head(rest)
        if self._left and not isinstance(head, Flaw) and head.left == self._left - 1:
            self._left = head.left
            if not self._left:
                self._shelve_entry()

    def _shelve_entry(self) -> None:
        for table, rest in self._entry:
            self.touched.setdefault(table, len(self._shelf.of(table)))
            self._shelf.add(table, rest)
        self._entry = {}
        self._left = 0

    def _end_short(self) -> None:
        """Another entry begins before the one under way was complete."""
        if not self._hurt:
            message = f"The entry that begins here lacks {self._left} of its lines; the others were kept."
            self._count(Fault(self._entry_line, FaultKind.INCOMPLETE, message))
        self._shelve_entry()

    # The chain of lines

    def _look_at_breaks(self) -> None:
        """Of the breaks that were found, leave out those that a later line says are known, and those after which no
        whole entry came; and see which are of lines that stand elsewhere."""
        if not self.breaks:
            return
        known = set()
        if self.touched:
            known = {link for lines in self._shelf.lines.values() for rest in lines for link in links_seen(rest)}
        sums = self._all_sums()
        self.breaks = [
            replace(one, moved=one.after == self._header_link or int(one.after, 16) in sums)
            for one in self.breaks
            if one.line <= self.line and one.after not in known
        ]

    # Faults

    def _take_endless(self, piece: Piece) -> None:
        flaw = Flaw(FaultKind.ENDLESS, f"The line has {piece.size} bytes, more than any line of a log.")
        self._take_damaged(self.line + 1, piece.lines[0], piece.size, flaw)

    def _take_damaged(self, number: int, line: bytes, size: int, flaw: Flaw) -> None:
        if flaw.kind is not FaultKind.EMPTY:  # where nothing stands, nothing stood before the next line
            self._sure = False
        if self._left:
            flaw = Flaw(flaw.kind, flaw.message + " Its entry is incomplete; the other lines of it were kept.")
            self._hurt = True
            self._left -= 1
            if not self._left:
                self._shelve_entry()
        self._fault(number, line, size, flaw)

    def _fault(self, number: int, line: bytes, size: int, flaw: Flaw) -> None:
        table, id = guess(line)
        self._count(Fault(number, flaw.kind, flaw.message, size, table, id, excerpt(line)))

    def _count(self, fault: Fault) -> None:
        self._report(fault)
        self._faults += 1
        if self._faults >= _PATIENCE and self.header is None and not self._shelf.lines:
            raise self._foreign()


def _follow(named: list[str], links: list[str]) -> bool:
    """Whether each of some lines that names the one before it names it by its link."""
    return named == links or all(not name or name == link for name, link in zip(named, links, strict=True))


def _whole_entries(left: int, lefts: Sequence[int]) -> range:
    """Which of some lines are whole entries among themselves, by how many lines of its entry are left after each, and
    after the one before them: not those that end the entry under way, nor those that begin one that goes on behind
    them. None are, where some line does not count down."""
    start, stop = 0, len(lefts)
    while left and start < stop:
        left = lefts[start]
        start += 1
    while stop > start and lefts[stop - 1]:
        stop -= 1
    inside = lefts[start:stop]
    counts = not any(inside) or all(after == before - 1 for before, after in pairwise(inside) if before)
    return range(start, stop) if counts else range(start, start)


def _is_new(lines: int, unfinished: Piece | None) -> bool:
    """Whether a file with nothing sound in it is empty, or broke off while its first line was being written."""
    if lines or unfinished is None:
        return not lines
    line, start = unfinished.lines[0].removeprefix(BOM), SEAL[:8]
    return unfinished.size < EXCERPT and (line.startswith(start) or start.startswith(line))
