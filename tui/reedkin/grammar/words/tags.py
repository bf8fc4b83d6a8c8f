"""What a maker can write on a reed: a number or a short word that the entry line can take for nothing else."""

from __future__ import annotations

import re

from reedkin.errors import InputError
from reedkin.grammar.words.verbs import BY_LETTER, BY_WORD

LONGEST_TAG = 12
MOST_TAGS = 60
"""More reeds than this at once is taken for a slip."""
_TAG = re.compile(r'[^\s,#/;@"]*\w[^\s,#/;@"]*')
_LISTED = re.compile(r"[#(]?\d+(?:[-–,+&]#?\d+)*[,:)]*")
_PLUS = re.compile(r"[+&]")
_RANGE = re.compile(r"#?(\d{1,9})[-–]#?(\d{1,9})")


def tag_problem(tag: str) -> str | None:
    """Why `tag` cannot be a new reed's tag, in a sentence; None if it can."""
    verb = BY_WORD.get(tag.lower()) or BY_LETTER.get(tag.lower())
    if verb is not None:
        return f"{tag} means {verb.word}, so it cannot be a tag: write a number or another short word"
    if not _TAG.fullmatch(tag) or _RANGE.fullmatch(tag) or len(tag) > LONGEST_TAG or not tag.isprintable():
        return f"{tag} cannot be a tag: write a number or a short word"
    return None


def expand(text: str) -> list[str]:
    """The tags (or the names of tubes) that "143-148,150" or "#4,#6" lists. Raises InputError."""
    names: list[str] = []
    for piece in filter(None, text.split(",")):
        match = _RANGE.fullmatch(piece)
        if match is None:
            names.append(piece.removeprefix("#"))
            continue
        first, last = int(match[1]), int(match[2])
        if first > last:
            raise InputError(f"{piece} runs backwards; write {match[2]}-{match[1]}")
        width = len(match[1]) if match[1].startswith("0") else 0
        names += [str(number).zfill(width) for number in range(first, min(last, first + MOST_TAGS) + 1)]
    if len(names) > MOST_TAGS:
        raise InputError(f"that is more than {MOST_TAGS} at once; write fewer")
    return [name for name in names if name]


def tags_in(text: str) -> list[str]:
    """The tags that a word of figures lists, with whatever mark or stop it has: "#7", "7-9,", "7+8:"; none where it is
    no such word. One that cannot be expanded is none."""
    if _LISTED.fullmatch(text) is None:
        return []
    try:
        return expand(_PLUS.sub(",", text.strip("#,:()")))
    except InputError:
        return []
