"""What is asked about reeds of which nothing was written for long: whether they are still there."""

from __future__ import annotations

from collections.abc import Sequence

from reedkin.domain.figures import plural, tag_list
from reedkin.domain.reeds import Reed
from reedkin.domain.words import NOT_KNOWN

_NAMED = 8
"""So many are named in a sentence."""


def which(unseen: Sequence[Reed], most: int = _NAMED) -> str:
    """Their tags, the first of them where they are many: "1, 3, 12–14 and 9 more"."""
    few = len(unseen) <= most + 1
    named = tag_list(reed.label for reed in (unseen if few else unseen[:most]))
    return named if few else f"{named} and {len(unseen) - most} more"


def not_counted(unseen: Sequence[Reed]) -> str:
    """That they are left out, in a sentence."""
    are = plural(len(unseen), "reed is", "reeds are")
    return f"{are} not counted, since nothing was written of {_them(unseen)} for long: {which(unseen)}."


def still_there(unseen: Sequence[Reed]) -> list[str]:
    """The question in plain lines, with what one types for either answer; none where there is no such reed."""
    if not unseen:
        return []
    they_are = "it is" if len(unseen) == 1 else "they are"
    return [
        f"Still there? {which(unseen)}: nothing was written of {_them(unseen)} for longer than you leave reeds alone, "
        f"so {they_are} not counted on.",
        f"If {they_are} gone: reedkin add '{gone_line(unseen)}'. Of one that is there, write anything: "
        f"reedkin add '{unseen[0].label} note still here'",
    ]


def gone_line(unseen: Sequence[Reed]) -> str:
    """The entry line by which they are retired, nobody knowing why: "1, 3, 12-14 retire not known"."""
    return f"{tag_list(reed.label for reed in unseen).replace('–', '-')} retire {NOT_KNOWN}"


def _them(unseen: Sequence[Reed]) -> str:
    return "it" if len(unseen) == 1 else "them"
