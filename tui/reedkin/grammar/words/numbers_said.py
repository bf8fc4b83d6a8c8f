"""Numbers as one dictates them: "forty five", "point three", "seventy one point five", "reed one hundred forty two",
"seven eight and nine clipped"; put into figures where they can be nothing else. One of a single word may be a part of
what is said ("the best one"), so it counts only beside what takes a number: a reed, a lot, cents."""

from __future__ import annotations

from collections.abc import Sequence

from reedkin.bench.bench import Bench
from reedkin.domain.facts import FACTS, begins
from reedkin.domain.units import unit_named
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.prices import is_money
from reedkin.grammar.words.spoken import CALLED, NUMBER_WORDS
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import BY_WORD, CAUSE_WORDS, in_full, verbs_beginning

_NOUGHT = ("zero", "nought", "oh")
_REEDS = ("reed", "reeds")
_NUMBERED = {"lot": ("lot", "lots"), "tube": ("tube", "tubes"), "staple": ("tube", "tubes")}
"""Words that have a number behind them, or a name: the fact and the table of which one has that."""
_PARTS = FACTS["where"].choices
_BEFORE = ("minus", "plus", "hour", "at", *_PARTS)
"""Words that have a number behind them, with which no remark goes on: "at one corner"."""
_AFTER = ("", "then", "and", "with", "from", *(part for part in _PARTS if part[-1] != "s"))
"""What goes on behind such a number; "tip two sides" says how many sides."""
_BEHIND = ("cent", "cents", "percent", "degrees", "pieces")
"""Words that have a number before them."""
_OF_REED = ("on", "of", "off")
"""Words that have a reed behind them, at the end: ".3 off seven"."""
_BESIDE = ("for", "by", "with", "in")
"""Words behind a reed that stands behind the verb: "played seven for an hour"."""
_OF_HOURS = ("to", "past", "o'clock")
"""Words behind a number of the time of day: "twenty five past eight"."""


def numbers_said(words: Sequence[Token], bench: Bench) -> list[Token]:
    """The words between two semicolons with such numbers in figures; a note stays as it was said."""
    said = [plain(word_at(words, place)) for place in range(len(words))]
    if not any(text in NUMBER_WORDS or text == "point" for text in said):
        return list(words)
    found: list[Token] = []
    place, of_reeds = 0, _reeds_first(said, bench)
    while place < len(words):
        if verbs_beginning(said[place]) == (BY_WORD["note"],) and word_at(words, place) not in CALLED:
            return [*found, *words[place:]]
        before = said[place - 1] if place else ""
        if before in _REEDS:
            of_reeds = _listed(said, place, bench)
        elif place == 1 and in_full(before) is not None:
            end = _listed(said, place, bench)
            of_reeds = (
                end if said[end : end + 1] and said[end] in _BESIDE and _there(said, place, end, bench) else of_reeds
            )
        text, count = _number(said, place, bench if place < of_reeds else None)
        behind = said[place + count] if place + count < len(said) else ""
        numbered = place == 1 and word_at(words, 0) in CALLED
        beside = place < of_reeds or numbered or behind in _BEHIND or is_money(behind) or before in _NUMBERED
        beside = beside or (_has_number(before) and (_ends(behind) or words[place].text.endswith(",")))
        beside = beside or (not behind and before in _OF_REED and bench.find(text) is not None)
        if _is_name(words[place : place + max(1, count)], before, bench):
            count = 0
        if (count > 1 or (count == 1 and beside)) and (place < of_reeds or behind not in _OF_HOURS):
            last = words[place + count - 1]
            found.append(Token(text + last.text[len(plain(last.text)) :], words[place].start, last.end))
            place += count
        else:
            found.append(words[place])
            place += 1
    return found


def _has_number(before: str) -> bool:
    """Whether a word has a number behind it: a part, or what is soaked, of which else the number would be the way."""
    verb = in_full(before)
    return before in _BEFORE or (verb is not None and verb.kind == "soaked")


def _ends(behind: str) -> bool:
    """Whether what was said with a number is over before this word, or it is its unit."""
    return behind in _AFTER or unit_named(behind) is not None or in_full(behind) is not None


def _is_name(words: Sequence[Token], before: str, bench: Bench) -> bool:
    """Whether words that are a number as well name something: "Twenty One", a reed called Seven, the lot seven."""
    text = words[0].text
    if len(words) > 1 and words[1].text[:1].isupper():
        return True
    fact, table = _NUMBERED.get(before, ("", ""))
    known = [*bench.headings.known(fact), *bench.beside.subjects(table)] if table else []
    return bench.find(plain(text)) is not None or plain(text).casefold() in (name.casefold() for name in known)


def _reeds_first(said: Sequence[str], bench: Bench) -> int:
    """Where the numbers end that a clause begins with, if they are reeds of which a verb tells something; else 0."""
    end = _listed(said, 0, bench)
    behind = said[end] if end < len(said) else ""
    verb = in_full(behind)
    if not end or (verb is None and behind not in CAUSE_WORDS):
        return 0
    return end if _there(said, 0, end, bench) or (verb is not None and begins(verb.kind)) else 0


def _there(said: Sequence[str], place: int, end: int, bench: Bench) -> bool:
    """Whether all numbers of a list are reeds that are there."""
    there = True
    while place < end:
        text, count = _number(said, place, bench)
        there = there and (not count or bench.find(text) is not None)
        place += max(1, count)
    return there


def _listed(said: Sequence[str], start: int, bench: Bench) -> int:
    """Where a list of numbers ends that begins at a place, with "and" between them."""
    place = end = start
    while place < len(said) and ((count := _number(said, place, bench)[1]) or (place > start and said[place] == "and")):
        place += max(1, count)
        end = place if count else end
    return end


def _number(said: Sequence[str], place: int, bench: Bench | None = None) -> tuple[str, int]:
    """The number that is said from a place on, in figures, and how many words say it. With a bench one in two halves
    counts, too, where a reed is called so: "one forty two"; and none does where they may be two reeds as well."""
    whole, count = _whole(said, place)
    if bench is not None and whole < 10:
        rest, more = _whole(said, place + count)
        one = count == 1 and rest >= 10 and bench.find(f"{whole}{rest}") is not None
        two = count == 1 and rest >= 10 and bench.find(str(whole)) is not None and bench.find(str(rest)) is not None
        if two and not (one and said[place - 1 : place] == ["reed"]):
            return "", 0
        if one:
            return f"{whole}{rest}", 1 + more
    point = place + (count or (said[place] in _NOUGHT))
    digits = ""
    if said[point : point + 1] == ["point"]:
        for text in said[point + 1 :]:
            digit = 0 if text in _NOUGHT else NUMBER_WORDS.get(text, 10)
            if digit >= 10:
                break
            digits += str(digit)
    return (f"{whole}.{digits}", point + 1 + len(digits) - place) if digits else (str(whole), count)


def _whole(said: Sequence[str], place: int) -> tuple[int, int]:
    """The whole number below a thousand at a place, and how many words say it; (0, 0) where none does."""
    first, count = NUMBER_WORDS.get(said[place], 0) if place < len(said) else 0, 1
    if not first:
        return 0, 0
    if said[place + 1 : place + 2] == ["hundred"] and first < 10:
        joined = said[place + 2 : place + 3] == ["and"]
        rest, more = _whole(said, place + 2 + joined)
        return first * 100 + rest, 2 + (joined + more if more else 0)
    ones = NUMBER_WORDS.get(said[place + 1], 0) if place + 1 < len(said) else 0
    if first % 10 == 0 and first > 10 and 0 < ones < 10:
        first, count = first + ones, 2
    return first, count
