"""Another tag for a reed, as it is said on the entry line: `6 is 26`."""

from __future__ import annotations

import re

from reedkin.bench.bearers import TAGS_TABLE
from reedkin.bench.bench import Bench
from reedkin.bench.correcting import why_not_tag
from reedkin.domain.words import HIGHEST_SCORE
from reedkin.grammar.actions import BesideAction, Reading
from reedkin.grammar.words.tags import tag_problem
from reedkin.grammar.words.tokens import Problem

_SAID = re.compile(r"\s*(?:reed )?#?([^\s#]+) is (?:now |really |called )*(?:reed |no\.? )?#?(\d+[a-z]?)\s*", re.I)
_NEAR_MM = 5
"""A number so near to how long the reed is may be its length."""


def read_retag(line: str, bench: Bench) -> Reading | None:
    """Read a line that gives a reed another tag, which begins with a digit; None if the line is none."""
    said = _SAID.fullmatch(line)
    if said is None:
        return None
    old, new = said.groups()
    reed = bench.find(old)
    if reed is None:
        return _wrong(line, said, 1, f"there is no reed {old}") if old[0].isdecimal() else None
    if why := tag_problem(new) or why_not_tag(reed, new, bench):
        return _wrong(line, said, 2, why)
    questions = []
    if new.isdecimal() and int(new) <= HIGHEST_SCORE:
        score = f"{new} is taken as its tag from now on; if that is a score, write {old} score {new}"
        questions.append(Problem(said.start(2), said.end(2), score, "odd"))
    length = reed.now.overall_mm
    if new.isdecimal() and length is not None and abs(int(new) - length) <= _NEAR_MM:
        told = f"{new} is taken as its tag from now on; if it is so long, write {old} measure {new}"
        questions.append(Problem(said.start(2), said.end(2), told, "odd"))
    action = BesideAction(TAGS_TABLE, reed.id, {"tag": new}, bench.clock.now())
    return Reading(line, (action,), questions=tuple(questions))


def _wrong(line: str, said: re.Match[str], group: int, why: str) -> Reading:
    start, end = said.span(group)
    return Reading(line, errors=(Problem(start, end, why, open=end == len(line)),))
