"""How strong a reed is asked for, and what was said of the strength of one, out of people's own words.

A strength has five names, from soft to hard (common practice, no source). What is "too hard" is said of a reed; what
is "softer, please" asks for a softer one than the last and says the same of that. Words that may mean something else,
such as "hard to tune", say nothing here.
"""

from __future__ import annotations

import re

from reedkin.domain.words import STRENGTHS

TOO_HARD, TOO_SOFT = "too hard", "too soft"
_HARD, _SOFT = r"(?:hard|stiff|strong|heavy|resistant)", r"(?:soft|weak|light)"
_BY_DEGREE = r"(?:too|bit|little|touch|rather|slightly|so)\s+"
_NO_STRENGTH = r"(?!\s+(?:to\s+(?!blow|play)|in\b|a\b|work))"
_NOT = r"(?<!not )(?<!n't )(?<!n’t )(?<!never )"
_SAID = {
    TOO_HARD: re.compile(rf"{_NOT}\b{_BY_DEGREE}{_HARD}\b{_NO_STRENGTH}|{_NOT}\b(?:softer|lighter|easier)\b"),
    TOO_SOFT: re.compile(rf"{_NOT}\b{_BY_DEGREE}{_SOFT}\b{_NO_STRENGTH}|{_NOT}\b(?:harder|stiffer|stronger)\b"),
}
_NOT_TOO = re.compile(rf"(?:\b(?:not?|nothing)|n't|n’t)\s+(?:too|so|very)\s+({_HARD}|{_SOFT})\b")
_MEDIUM = re.compile(r"\bmed(?:ium|\.)?(?:[\s-]*(soft|hard))?(?!\w)")
_PLAIN = re.compile(rf"{_NOT}\b(?<!too )(soft|hard)(?:ish)?\b(?!\s+(?:to|work|in)\b)")


def strength_asked(text: str) -> str:
    """The strength that words ask for: "medium soft please" is "medium soft", "not too hard" remains so; "" where they
    name none."""
    said = " ".join(text.casefold().split())
    if (found := _NOT_TOO.search(said)) is not None:
        return f"not {TOO_SOFT if re.fullmatch(_SOFT, found[1]) else TOO_HARD}"
    if (found := _MEDIUM.search(said)) is not None:
        return f"medium {found[1]}" if found[1] else "medium"
    if strength_said(said):
        return ""
    found = _PLAIN.search(said)
    return found[1] if found is not None and found[1] in STRENGTHS else ""


def strength_said(text: str) -> str:
    """Whether words say that a reed is too hard or too soft; "" where they say neither, or both."""
    said = " ".join(text.casefold().split())
    found = [what for what, pattern in _SAID.items() if pattern.search(said) is not None]
    return found[0] if len(found) == 1 else ""
