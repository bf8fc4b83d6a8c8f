"""Plain tables on the command line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reedkin.domain.columns import columns, fit
from reedkin.domain.literal import literal


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int] = ()) -> Iterator[str]:
    """The lines of a table, each column as wide as its widest cell; the columns in `right` are set to the right."""
    lines = [tuple(map(literal, row)) for row in (headings, *rows)]
    widths = [max(columns(line[place]) for line in lines) for place in range(len(headings))]
    for line in lines:
        cells = (
            fit(text, width, ">" if place in right else "<")
            for place, (text, width) in enumerate(zip(line, widths, strict=True))
        )
        yield "  ".join(cells).rstrip()
