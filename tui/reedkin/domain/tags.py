"""What a maker can write on a reed: a number or a short word that the entry line can take for nothing else."""

from __future__ import annotations

import re

from reedkin.domain.entry.verbs import BY_WORD

LONGEST_TAG = 12
_TAG = re.compile(r'[^\s,#/;@"]+')
_RANGE = re.compile(r"\d+-\d+")


def tag_problem(tag: str) -> str | None:
    """Why `tag` cannot be a new reed's tag, in a sentence; None if it can."""
    if not _TAG.fullmatch(tag) or _RANGE.fullmatch(tag) or len(tag) > LONGEST_TAG or tag.lower() in BY_WORD:
        return f"{tag} cannot be a tag: write a number or a short word"
    return None
