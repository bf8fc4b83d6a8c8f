"""From lines of text with roles to what Textual shows. Nothing in the text is taken for markup."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from textual.content import Content

from reedkin.charts.canvas import Line, Run
from reedkin.domain.columns import cut, folds, indent_of
from reedkin.domain.literal import literal
from reedkin.widgets.theme import ROLES

WIDEST = 150
"""Columns of a row, or of running text, beyond which an eye loses the line."""


def styled_line(runs: Iterable[Run]) -> Content:
    """One line; whatever could steer the terminal is made visible."""
    parts = [(literal(run.text), ROLES.get(run.role, "")) for run in runs]
    return Content.assemble(*parts, strip_control_codes=False)


def styled(lines: Iterable[Iterable[Run]]) -> Content:
    """Several lines."""
    return Content("\n").join([styled_line(line) for line in lines])


def cut_line(runs: Sequence[Run], width: int) -> Sequence[Run]:
    """A line that takes at most `width` columns: as it is, or cut as plain text is."""
    shown = [replace(run, text=literal(run.text)) for run in runs]
    text = "".join(run.text for run in shown)
    kept = cut(text, width)
    return runs if kept == text else (*_cut_out(shown, 0, len(kept) - 1), Run(kept[-1:], "faint"))


def folded(lines: Iterable[Sequence[Run]], width: int, hang: int = 2) -> list[Line]:
    """Lines of at most `width` columns, the further ones of one that is folded set in by `hang` more than it."""
    return [part for line in lines for part in _folded(line, width, hang)]


def _folded(line: Sequence[Run], width: int, hang: int) -> list[Line]:
    shown = [replace(run, text=literal(run.text)) for run in line]
    text = "".join(run.text for run in shown)
    first, *further = folds(text, width, hang)
    indent = Run(" " * indent_of(text, width, hang))
    return [_cut_out(shown, *first), *((indent, *_cut_out(shown, *span)) for span in further)]


def _cut_out(runs: Sequence[Run], start: int, end: int) -> Line:
    """What of these runs lies between two places of their text."""
    found, at = [], 0
    for run in runs:
        piece = run.text[max(start - at, 0) : max(end - at, 0)]
        if piece:
            found.append(replace(run, text=piece))
        at += len(run.text)
    return tuple(found)
