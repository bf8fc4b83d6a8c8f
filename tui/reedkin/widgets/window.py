"""The lines of a long list that a screen has room for."""

from __future__ import annotations


def top_of(before: int, marked: int, lines: int, room: int) -> int:
    """The first line to show where `room` of so many lines fit: that shown first before, or the nearest to it
    with which the marked line is among them and no room is left over."""
    return max(0, min(before, marked, lines - room), marked - room + 1)
