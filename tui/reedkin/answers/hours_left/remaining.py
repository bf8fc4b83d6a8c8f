"""Hours left as JSON takes them; apart from how they are reckoned, so that nothing heavy is loaded where none are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reedkin.domain import as_json

if TYPE_CHECKING:
    from reedkin.answers.hours_left.outlook import HoursLeft
    from reedkin.contract.reeds import RemainingJson


def remaining_as_dict(left: HoursLeft | None) -> RemainingJson:
    """Hours left as JSON takes them, null for a reed that is not in service."""
    return {
        "expected_remaining_hours": None if left is None else as_json.hours(left.middle),
        "expected_remaining_range": None if left is None else [as_json.hours(left.lo), as_json.hours(left.hi)],
    }
