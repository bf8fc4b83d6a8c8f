"""Marks by which files that rest on the same reeds are known, and nothing else is."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

from reedkin.study.lives import Life


def marks_of(lives: Iterable[Life]) -> frozenset[str]:
    """
    A mark for each reed that served: the beginning of a digest of two random identifiers that its log gave it. Two
    copies of one log, or two logs that were merged, have the same. Without that very log
    nobody can make one, or learn anything from one: at least 70 bits of what goes in were drawn by chance.
    """
    return frozenset(_mark(life) for life in lives)


def _mark(life: Life) -> str:
    # The uid of a reed that came from a spreadsheet may be a digest of what was known of it; that of the entry that
    # took it in never is.
    begun = life.reed.steps[0].event
    return sha256(f"reedkin mark\n{begun.entry}\n{life.reed.id}".encode("utf-8", "surrogatepass")).hexdigest()[:12]
