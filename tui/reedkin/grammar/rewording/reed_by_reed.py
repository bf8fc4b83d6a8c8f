"""Several reeds of each of which something is told, one after the other: "17 p 45, 22 p 60", "7 clip .5 and 9 crow C5",
"30 c .3 31 c .2". They are parted where a further reed stands with what was done to it."""

from __future__ import annotations

from collections.abc import Sequence

from reedkin.bench.bench import Bench
from reedkin.bench.titles import setting_word
from reedkin.domain.facts import begins
from reedkin.domain.pitch import parse_pitch
from reedkin.domain.words import HIGHEST_SCORE
from reedkin.errors import InputError
from reedkin.grammar.rewording.doing_first import SAID_OTHERWISE
from reedkin.grammar.rewording.glued import in_words, scored_by_initial
from reedkin.grammar.when.days import moment_in, month_named
from reedkin.grammar.words.heads import measured_by, plain
from reedkin.grammar.words.measures import is_numeric
from reedkin.grammar.words.reeds_named import JOINING, behind_reeds, names_reeds
from reedkin.grammar.words.spoken import BEFORE_VERB
from reedkin.grammar.words.tags import tags_in
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import BY_WORD, CAUSE_WORDS, Verb, implied, in_full, verbs_beginning

JOINTS = ("and", "then", "&", "+")
"""Words with which a further thing is told."""
_SAYING = ("was", "is", "has", "been", "got")
"""Words between a reed and what was done to it."""
_SHORTEST = 2
"""Words of a line of reed after reed: "22p45, 17p30"."""


def at_reeds(segment: Sequence[Token], bench: Bench) -> list[list[Token]]:
    """The words between two semicolons, parted before each further reed, or several, that has a verb of its own; they
    have to begin with a reed themselves, since else those that come later may be meant for all of it."""
    if len(segment) < _SHORTEST:
        return [list(segment)]
    start = _behind_first(segment, bench)
    if not start:
        return [list(segment)]
    parts: list[list[Token]] = [list(segment[:start])]
    for place in range(start, len(segment)):
        if place >= start and _further(segment, place, bench) and not _is_note(parts[-1], bench):
            while len(parts[-1]) > 1 and word_at(parts[-1], len(parts[-1]) - 1) in JOINTS:
                parts[-1].pop()
            parts.append([])
        parts[-1].append(segment[place])
    return parts


def _is_note(part: Sequence[Token], bench: Bench) -> bool:
    """Whether what is said of reeds is a note, to which all belongs that stands behind it."""
    first = word_at(part, behind_reeds(part, 0, bench)[0])
    return verbs_beginning(plain(first)) == (BY_WORD["note"],)


def _behind_first(segment: Sequence[Token], bench: Bench) -> int:
    """The place from which on a further reed may begin: behind the reeds that these words begin with, after small
    ones, and one word more; 0 where they begin with none."""
    place, named = behind_reeds(segment, _behind_day(segment, bench), bench, BEFORE_VERB)
    glued = _unglued(segment[place], bench) if word_at(segment, place) and not named else []
    return place + 1 if named or (len(glued) > 1 and names_reeds(word_at(glued, 0), bench)) else 0


def _unglued(word: Token, bench: Bench) -> Sequence[Token]:
    """A word that begins with a number and goes on with letters in its parts: "22p45"."""
    return in_words([word], bench) if word.text[0].isdecimal() and any(c.isalpha() for c in word.text) else ()


def _behind_day(segment: Sequence[Token], bench: Bench) -> int:
    """Where the words behind a day begin that these words begin with."""
    if names_reeds(word_at(segment, 0), bench) and month_named(word_at(segment, 1).rstrip(".,")) is None:
        return 0
    found = moment_in([word.text for word in segment if word.kind == "word"], bench.clock)
    return found[1] if found is not None else 0


def _further(segment: Sequence[Token], place: int, bench: Bench) -> bool:
    """Whether a further reed with what was done to it begins at `place`. It has a comma or "and" before it; without
    one, what stands there is an amount, and it is no score."""
    before, text = word_at(segment, place - 1), plain(word_at(segment, place))
    joined = before in JOINTS or before.endswith(",")
    if segment[place].kind != "word" or not before or not (joined or _amount(segment[place - 1])):
        return False
    if not joined and text.isdecimal() and len(text) < 3 and int(text) <= HIGHEST_SCORE:
        return False
    glued = _unglued(segment[place], bench)
    if len(glued) > 2 and names_reeds(word_at(glued, 0), bench):
        return joined or not scored_by_initial(glued[1], glued[2])  # 22p45, 17p30, and not p 45 8r7
    count = 0
    while names_reeds(word_at(segment, place + count), bench) or (count and word_at(segment, place + count) in JOINING):
        count += 1
    if count and word_at(segment, place + count - 1).endswith(","):
        return False
    while word_at(segment, place + count) in _SAYING and count:
        count += 1
    verb = _verb_at(segment, place + count) if count else _verb_at(segment, place + 1)
    beginning = verb is not None and begins(verb.kind)
    return verb is not None and (bool(tags_in(text)) if beginning else count > 0)


def _verb_at(segment: Sequence[Token], place: int) -> Verb | None:
    """The verb that surely stands at `place`: in full, or short with a number or a pitch behind it."""
    text, behind = plain(word_at(segment, place)), segment[place + 1] if place + 1 < len(segment) else None
    if not text:
        return None
    if text == "to" and behind is not None and behind.text[:1].isupper():
        return in_full("hand")
    if text in CAUSE_WORDS:
        return in_full("retire") if text != "flat" else None  # crow C5, 8 flat
    if measured := measured_by(segment[place:]):
        return measured
    if setting_word(text) is not None or implied(text):
        return in_full("play") if behind is not None and is_numeric(behind) else None
    if text in SAID_OTHERWISE and behind is not None:
        return in_full("scrape")  # or another that is said of it in other words
    fits = verbs_beginning(text)
    if len(fits) != 1 or fits[0].table is not None:
        return None
    told = behind is not None and _amount(behind)
    unsure = in_full(text) is None or fits[0].kind == "scored"  # p 45, 8 score
    return None if (unsure and not told) or text == "h" else fits[0]  # of time


def _amount(word: Token) -> bool:
    """Whether a word is a number, with or without its unit, or what a reed crows."""
    text = plain(word.text)
    if word.kind != "word" or is_numeric(word) or text.lower() in ("min", "mins", "minutes", "hours", "mm", "h", "m"):
        return word.kind == "word"
    return is_pitch(text)


def is_pitch(text: str) -> bool:
    """Whether a word is a note as one writes it, "C", "Bb4", "C+10"; "a" is none."""
    if not text[:1].isupper():
        return False
    try:
        parse_pitch(text)
    except InputError:
        return False
    return True
