"""A reed's score at the end of what is said of it: "7 is a solid 8", "12 feels like a 6 today", "25 is playing well,
about an 8", "9 rather stuffy, 5/10". It is put first, as a score; what else is said is kept as a note, which is
asked."""

from __future__ import annotations

import re
from collections.abc import Sequence

from reedkin.bench.bench import Bench
from reedkin.grammar.rewording.scores_said import of_ten
from reedkin.grammar.when.days import moment_in
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.reeds_named import behind_reeds
from reedkin.grammar.words.spoken import BEFORE_VERB, SMALL
from reedkin.grammar.words.tokens import Problem, Token, cited, word_at
from reedkin.grammar.words.verbs import in_full, verbs_beginning

GRADE = re.compile(r"(?:10|\d(?:[.,]\d+)?)[.!,]?")
OF_TEN = re.compile(r"(?:10|\d(?:[.,]\d+)?)/10[.!,]?")
_ARTICLES = ("a", "an")
_LIKE = ("like", "about", "around", "maybe")
_IDLE = SMALL | BEFORE_VERB | {"feels", "felt", "like", "sounds", "plays", "playing", "seems", "now", "today", "still"}
"""Words at the edges of what is said that add nothing to a score."""
_NO_DOING = ("playing", "crows", "peeps")
"""Verbs that a remark may hold: "is playing really well"."""


def graded(words: Sequence[Token], bench: Bench) -> tuple[list[Token], list[Problem]] | None:
    """The words of a clause with its score in the line's own words, and what has to be asked; None where it is none."""
    words = list(of_ten(words))
    first = behind_reeds(words, 0, bench)[0]
    begins = verbs_beginning(plain(word_at(words, first)))
    found = None if len(begins) == 1 else _grade_at_the_end(words, first, bench)
    if found is None:
        return None
    place, end = found
    remark = list(words[first : place - (word_at(words, place - 1) in _ARTICLES)])
    while remark and remark[0].text.lower() in _IDLE:
        del remark[0]
    while remark and remark[-1].text.lower().rstrip(",") in _IDLE:
        del remark[-1]
    if any(_does(word) for word in words[first:place]):
        return None
    number = Token(words[place].text.rstrip(".,!"), words[place].start, words[place].end)
    asked = []
    reed = bench.find(number.text) if word_at(words, place - 1) in _LIKE else None
    if reed is not None and reed.at_work:
        message = f"{number.text} is taken for the score; a remark about reed {number.text} stands in quotes"
        asked.append(Problem(number.start, number.end, message, "odd"))
    said = [Token("score", number.start, number.start), number, *words[end:]]
    if not remark:
        return [*words[:first], *said, *words[place + 1 : end]], asked
    text = " ".join(word.text for word in remark).rstrip(",")
    note = Token(text, remark[0].start, remark[-1].end, "quote")
    asked.append(Problem(note.start, note.end, f"{cited(text)}: keep it as a note?", "odd", offer=True))
    return [*words[:first], *said, *words[place + 1 : end], note], asked


def grades(words: Sequence[Token]) -> list[Token]:
    """The facts of a playing with "a solid 8" as "solid score 8"."""
    found: list[Token] = []
    for place, word in enumerate(words):
        last = place + 1 == len(words) or words[place + 1].kind == "quote" or word.text[-1] in ".,!"
        article = next((back for back in (1, 2) if word_at(words, place - back) in _ARTICLES), 0)
        if last and article and word.kind == "word" and GRADE.fullmatch(word.text):
            del found[len(found) - article]
            found.append(Token("score", word.start, word.start))
        found.append(word)
    return found


def _grade_at_the_end(words: Sequence[Token], first: int, bench: Bench) -> tuple[int, int] | None:
    """Where the score stands, and where the words end that go with it: behind it comes nothing more but a day."""
    end = next((n for n, word in enumerate(words) if word.kind == "quote"), len(words))
    for place in range(first, end):
        text = word_at(words, place)
        like = word_at(words, place - 1) in _LIKE and word_at(words, place - 2) not in ("", *_LIKE[1:])
        adjective = word_at(words, place - 1).isalpha() and word_at(words, place - 2) in _ARTICLES
        said = word_at(words, place - 1) in _ARTICLES or like or adjective
        if not (OF_TEN.fullmatch(text) or (said and place > first and GRADE.fullmatch(text))):
            continue
        behind = [word.text for word in words[place + 1 : end]]
        moment = moment_in(behind, bench.clock) if behind else None
        if not behind or (moment is not None and moment[1] == len(behind)):
            return place, end
    return None


def _does(word: Token) -> bool:
    """Whether a word says that something was done, so that the number may be part of that, or holds a number itself."""
    text = word.text.lower().rstrip(",.")
    return any(c.isdigit() for c in text) or (in_full(text) is not None and text not in _NO_DOING)
