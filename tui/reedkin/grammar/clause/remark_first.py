"""A remark before what was done: "30 rough scraped 5 min", "17 feels stuffy, clipped .2", "22 solo recital 75 min".
Where the words from the verb on make sense, that was done, and the remark is kept as a note, which is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from reedkin.bench.titles import setting_word
from reedkin.domain.facts import KINDS, begins
from reedkin.grammar.clause.leftovers import GOES_ON
from reedkin.grammar.clause.one_clause import NOTE, ClauseRead
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.spoken import SMALL
from reedkin.grammar.words.tokens import Problem, Token, cited
from reedkin.grammar.words.verbs import in_full

_LONGEST = 2
"""Words that may stand right before a verb; a remark that ends with a comma may be longer."""
_NO_REMARK = (
    *GOES_ON, "no", "not", "never", "to", "for", "of", "in", "on", "at", "with", "by", "every", "next", "without",
    "than", "like", "and", "or", "only", "the", "a", "an", "still", "need", "needs", "want", "wants", "should", "must",
    "may", "might", "can", "could", "will", "would", "please", "maybe", "perhaps", "if", "unless", "almost", "nearly",
    "hardly", "barely", "avoid", "soon", "cannot", "cant", "dont", "didnt", "wont",
)  # fmt: skip
"""Words behind which a verb is a part of the remark, or was not done: "worse after clip .5", "needs scraping 5 min"; a
word that ends in "n't" is one, too."""
_IDLE = (*SMALL, "first", "today")
"""Words of a remark that need not be kept."""


class _RemarkFirst(NamedTuple):
    """The words from the verb on, with the reeds before them, and the remark."""

    words: list[Token]
    remark: list[Token]


def _ways(told: ClauseRead) -> Iterator[_RemarkFirst]:
    """The ways in which the words of a clause that is not understood, or would be a note, may be a remark and a verb
    behind it."""
    clause, segment = told.clause, told.words
    unclear = clause.verb is None or (clause.verb is NOTE and any(p.offer for p in clause.problems))
    if not clause.tags or clause.head is None or not unclear or clause.head.kind != "word":
        return
    start = next((n for n, word in enumerate(segment) if word.start >= clause.tags[-1].token.end), len(segment))
    for place in range(start + 1, len(segment)):
        before, word = segment[place - 1], segment[place]
        if word.kind != "word" or any(c.isdigit() for c in before.text):
            return
        verb = in_full(plain(word.text)) if setting_word(plain(word.text)) is None else in_full("play")
        sure = before.text.endswith(",") or (
            place - start <= _LONGEST and not any(map(_not_done, segment[start:place]))
        )
        if verb is not None and verb.table is None and verb is not NOTE and not begins(verb.kind) and sure:
            yield _RemarkFirst([*segment[:start], *segment[place:]], list(segment[start:place]))


def _not_done(word: Token) -> bool:
    text = word.text.lower().replace("’", "'")
    return text in _NO_REMARK or text.endswith("n't")


def with_its_remark(told: ClauseRead, again: Callable[[Sequence[Token]], ClauseRead]) -> ClauseRead:
    """A clause that was read, or if it is not understood that of what was done, with the remark as its note; `again`
    reads words as a clause."""
    for way in _ways(told):
        last = way.remark[-1]
        if len(way.remark) == 1 and not last.text.endswith(","):
            moved = again([*way.words, last])
            if _sensible(moved) and not (moved.clause.problems or moved.read.problems):
                return moved  # 7 copper wire
        found = again(way.words)
        if _sensible(found):
            return _with_note(found, way.remark)
    return told


def _with_note(told: ClauseRead, remark: Sequence[Token]) -> ClauseRead:
    text = " ".join(word.text for word in remark).rstrip(" ,:")
    if all(plain(word.text).lower() in _IDLE for word in remark):
        return told
    told.read.note = f"{text} {told.read.note}".strip()
    asked = Problem(remark[0].start, remark[-1].end, f"{cited(text)}: keep it as a note?", "odd", offer=True)
    return told._replace(problems=(*told.problems, asked))


def _sensible(told: ClauseRead) -> bool:
    """Whether a clause is understood, and says something of the reeds."""
    read, verb = told.clause.read, told.clause.verb
    if read is None or verb is None or verb.kind == "noted" or not read.sound:
        return False
    if any(p.severity == "impossible" for p in (*told.problems, *told.clause.problems)):
        return False
    return bool(set(read.facts) - set(verb.preset)) and KINDS[verb.kind].missing(read.facts) is None
