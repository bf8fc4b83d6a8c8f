"""An instrument that a line leaves out: the one tied for last is taken, which is asked where it could be another."""

from __future__ import annotations

from reedkin.bench.bench import Bench
from reedkin.domain.instruments import short_name
from reedkin.domain.words import spelt


def taken_for(instrument: str, bench: Bench) -> str:
    """What to ask of the instrument that was taken; empty for a maker who never made reeds for another."""
    others = [short_name(one) for one in bench.headings.known("instrument") if one != instrument]
    return f"for {spelt(instrument)}, as you tied last? If not, add {' or '.join(others)}" if others else ""
