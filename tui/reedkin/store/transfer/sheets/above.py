"""Cells that mean the one above them: a reed or a day that is written once for the lines below it, and ditto marks."""

from __future__ import annotations

from collections.abc import Collection, Sequence

ABOVE = "above"
"""Says of a column that where it is empty what stands above is meant: `tag:=above`."""
_DITTO = frozenset(('"', "''", "″", "〃", "„", "“", "”", "do", "do.", "ditto", "idem", "id.", "dto", "dto."))

Lines = Sequence[tuple[int, tuple[str, ...]]]


def without_dittos(lines: Lines) -> tuple[tuple[int, tuple[str, ...]], ...]:
    """Lines in whose cells ditto marks are what stands above them; one that nothing stands above is kept."""
    above: tuple[str, ...] = ()
    read = []
    for line, cells in lines:
        cells = tuple(
            above[place] if place < len(above) and above[place] and cell.casefold() in _DITTO else cell
            for place, cell in enumerate(cells)
        )
        above = tuple(cell or (above[place] if place < len(above) else "") for place, cell in enumerate(cells))
        read.append((line, cells))
    return tuple(read)


def carried(lines: Lines, places: Collection[int]) -> Lines:
    """Lines in which the empty cells of some columns have what stands above them."""
    last: dict[int, str] = {}
    read = []
    for line, cells in lines:
        last |= {place: cells[place] for place in places if cells[place]}
        read.append(
            (line, tuple(last.get(place, cell) if place in places else cell for place, cell in enumerate(cells)))
        )
    return read


def gaps(lines: Lines, place: int) -> list[int]:
    """The lines whose cell of a column is empty while it says something further up and they say more than one thing."""
    begun, found = False, []
    for line, cells in lines:
        begun = begun or bool(cells[place])
        if begun and not cells[place] and sum(map(bool, cells)) > 1:
            found.append(line)
    return found
