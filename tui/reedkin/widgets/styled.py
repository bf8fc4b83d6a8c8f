"""From lines of text with roles to what Textual shows. Nothing in the text is taken for markup."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content

from reedkin.charts.canvas import Run
from reedkin.domain.literal import literal
from reedkin.widgets.theme import ROLES


def styled_line(runs: Iterable[Run]) -> Content:
    """One line; whatever could steer the terminal is made visible."""
    parts = [(literal(run.text), ROLES.get(run.role, "")) for run in runs]
    return Content.assemble(*parts, strip_control_codes=False)


def styled(lines: Iterable[Iterable[Run]]) -> Content:
    """Several lines."""
    return Content("\n").join([styled_line(line) for line in lines])
