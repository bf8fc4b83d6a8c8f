"""What an entry line would record."""

from __future__ import annotations

from reedkin.domain.facts import Facts
from reedkin.grammar.actions import ReedAction
from reedkin.grammar.reading import Reading


def actions(reading: Reading) -> list[tuple[str, str, Facts]]:
    assert not reading.errors, [p.message for p in reading.errors]
    return [(a.tag, a.kind, a.facts) for a in reading.actions if isinstance(a, ReedAction)]
