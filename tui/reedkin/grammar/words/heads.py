"""The word that a clause begins with, which is its verb; and what to write where it is none."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from functools import lru_cache

from reedkin.grammar.words.spoken import NUMBER_WORDS
from reedkin.grammar.words.tokens import Problem, Token, cited, word_at
from reedkin.grammar.words.verbs import ALSO, BY_WORD, CAUSE_WORDS, Verb, in_full, verb_taking, verbs_beginning
from reedkin.grammar.words.vocabulary import of_others

_GLUED = re.compile(r"([a-z]+)([.,]?\d.*)", re.IGNORECASE)
_SHORTEST = 4
"""Letters of the beginning of a word that stands for a measure without a verb."""
_LONGEST_BEHIND_NUMBER = 2
"""Words behind a number with which it may still become a phrase: "71.9 mm long"."""
_ALIKE, _NEARLY = 0.65, 0.8
"""How alike a slip and its word are: with the same first letter, and without."""
_KEYS = {
    "help": "F1 shows how a line is written",
    "quit": "Ctrl+Q leaves the program",
    "exit": "Ctrl+Q leaves the program",
}
"""What a key does and no line."""
_OWED = "what is owed comes of what was sold: 12 sell to Ann for 30 unpaid"
_WANTED = "how many? such as order Ann 3 oboe"
_FOUND = "one that was lost and is found goes on once its loss is struck: mark that in the diary (F10)"
_TRIED = "how long? such as 12 play 10 min; how good? such as 12 score 8"
_SAID_OF_SOMEBODY = {
    "owes": _OWED, "owe": _OWED, "owed": _OWED, "wants": _WANTED, "needs": _WANTED, "ordered": _WANTED,
    "found": _FOUND, **dict.fromkeys(("tried", "tested", "try", "test"), _TRIED),
}  # fmt: skip
"""Words that the line has no verb for, or not so much as that needs, and what to write."""
_TO_BE_DONE = ("needs", "need", "should", "must", "wants", "could")
_CLIPPED = re.compile(r"[0-3]?[.,]\d+(?:mm)?")
_MARKS = ("tip_from_mm", "heart_from_mm")
_FRACTION = re.compile(r"\d\d[.,]\d")


def plain(text: str) -> str:
    """A word without the stop behind it."""
    return text.rstrip(",:.!") or text


def unpossessed(text: str) -> str:
    """A name or a tag without the possessive behind it: "Anna's", "7’s"."""
    return text.replace("’", "'").removesuffix("'s")


def unglued(token: Token) -> list[Token]:
    """ "p45" as "p 45", where "p" is a verb."""
    match = _GLUED.fullmatch(token.text)
    if match is None or not verbs_beginning(match[1]):
        return [token]
    cut = token.start + len(match[1])
    return [Token(match[1], token.start, cut), Token(match[2], cut, token.end)]


def measured_by(words: Sequence[Token]) -> Verb | None:
    """The verb of a clause that begins with the word of a measure or of a score and a number: "opening 1.5", "response
    8"; those of tip and heart only where they are too far from the butt for minutes of scraping."""
    said, behind = word_at(words, 0), word_at(words, 1 + (word_at(words, 1) in ("is", "was", "of", "now")))
    if plain(behind) in NUMBER_WORDS:
        behind = str(NUMBER_WORDS[plain(behind)])
    if not behind[:1].isdecimal() and behind[:1] not in (".", ","):
        return None
    for verb in (BY_WORD["measure"], BY_WORD["score"]):
        named = [word for slot in verb.slots for word in slot.words if word.startswith(said)]
        marks = any(slot.fact in _MARKS and said in slot.words for slot in verb.slots)
        exact = any(said in slot.words for slot in verb.slots)
        if (exact or (len(named) == 1 and len(said) >= _SHORTEST)) and not (marks and not _FRACTION.match(behind)):
            return verb
    return None


def no_verb(token: Token, fits: Sequence[Verb], tagged: bool = False, behind: Sequence[Token] = ()) -> Problem:
    """That a word is no verb, or could be several; `tagged` says that reeds are named before it, and `behind` is what
    comes after it."""
    made = BY_WORD["tie"]
    if tagged and not fits and verb_taking(token.text.lower()) is made:
        message = (
            f"{token.text} goes with tie; of a reed that is there already it stands on a line of its own, without a "
            "time or a note"
        )
    elif tagged and token.text.lower() in _TO_BE_DONE:
        message = f"what is still to be done is a note; write note before {token.text}"
    elif fits:
        message = f"{token.text} could be {' or '.join(v.word for v in fits)}"
    else:
        message = f"{cited(token.text)} is not a verb; {_instead(token.text.lower(), behind)}"
    measured = token.text[:1].isdecimal() and len(behind) <= _LONGEST_BEHIND_NUMBER
    return Problem(token.start, token.end, message, open=measured, half_typed=measured and bool(behind))


@lru_cache(maxsize=256)
def near_verbs(text: str, alike: float) -> tuple[str, ...]:
    """The verbs in full, three at most, that a word is so much alike; the word is asked about at every key."""
    return tuple(get_close_matches(text, [*BY_WORD, *ALSO], 3, alike))


@lru_cache(maxsize=256)
def nearly_verbs(text: str) -> list[str]:
    """The verb in full that a word may be a slip of, those with its first letter before others."""
    words = [*BY_WORD, *ALSO]
    alike = get_close_matches(text, [word for word in words if word[0] == text[0]], 3, _ALIKE)
    swapped = [word for word in alike if sorted(word) == sorted(text)]  # reitre
    return (swapped or alike)[:1] or get_close_matches(text, words, 1, _NEARLY)


def _instead(text: str, behind: Sequence[Token]) -> str:
    """What to write in place of a word that is no verb; a verb that comes later in the sentence is to come first."""
    if text == "take":
        return "take back strikes the last entry"
    if text in ("strike", "delete"):
        return "take back strikes the last entry; what is older is struck in the diary (F10) or with reedkin strike"
    if (other := of_others(text)) is not None:
        return other
    if taking := verb_taking(text):
        return f"it goes with one, such as {taking.word} {text}"
    amount = text.lstrip("+-=")
    if _CLIPPED.fullmatch(amount):
        return f"what was done? such as clip {amount}"
    if amount[:1].isdecimal():
        return f"what was done? such as play {amount} or scrape {amount}"
    if text in _SAID_OF_SOMEBODY:
        return _SAID_OF_SOMEBODY[text]
    if text == "took":
        return "write what was done: clip .2, scrape tip or wire off"
    if text in CAUSE_WORDS:
        return f"the reed stands first, such as 12 {text}"
    if text in _KEYS:
        return _KEYS[text]
    near = get_close_matches(text, CAUSE_WORDS, 1, 0.85) or nearly_verbs(text)
    if near:
        return f"did you mean {near[0]}?"
    if said := _SAID_OF_SOMEBODY.get(plain(word_at(behind, 0))):
        return said
    later = (in_full(plain(word.text)) for word in behind if word.kind == "word")
    if (verb := next((one for one in later if one is not None), None)) is not None:
        return f"what was done comes first, such as {verb.example.partition('  or')[0]}"
    return "verbs are tie, scrape, clip, wire, play, note and others; a note stands in quotes"
