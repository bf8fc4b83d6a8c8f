"""The one error of the statistics."""

from __future__ import annotations

from reedkin.errors import ReedkinError


class StatisticsError(ReedkinError):
    """The data cannot answer the question: too few, impossible, or without a finite answer. The message says which."""
