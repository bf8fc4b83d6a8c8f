"""Reeds that each have an amount of their own behind one verb, or none: "played 11 for 20 and 12 for 30", "45 min on 7,
30 on 8", "sold 7 for 20 and 9 for 25", "7 clip .3, 8 .2", "7 20 min, 8 25 min". They are parted into a clause for
each."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from reedkin.bench.bench import Bench
from reedkin.domain.facts import FACTS
from reedkin.domain.units import unit_named
from reedkin.grammar.rewording.graded import GRADE, OF_TEN
from reedkin.grammar.rewording.playing_said import lasts
from reedkin.grammar.rewording.reed_by_reed import JOINTS, is_pitch
from reedkin.grammar.words.heads import measured_by, plain
from reedkin.grammar.words.measures import is_numeric
from reedkin.grammar.words.reeds_named import JOINING, names_reeds
from reedkin.grammar.words.spoken import plain_measures
from reedkin.grammar.words.tokens import Token, decimal, word_at
from reedkin.grammar.words.verbs import BY_WORD, Verb, verbs_beginning
from reedkin.grammar.words.vocabulary import NUMBERS

_FILLERS = ("is", "was", "gets", "got", "at", "=", "a", "an", "now")
"""Words between a reed and how good or how long it is."""
_ARTICLES = ("a", "an", "gets", "got")
_LENGTH = re.compile(r"(\d{2,3}[.,]\d+)(?:mm)?|(\d{2,3})mm")
_LONGEST_MM = 150
"""Of a reed."""


def each_its_own(segment: Sequence[Token], bench: Bench) -> list[list[Token]]:
    """The words of a clause, parted into one for each reed with its amount. What stands behind the last of them, such
    as where it was played, is said of all."""
    if segment and bench.find(plain(segment[0].text)) is not None:
        return _reeds_first(segment, bench) or [list(segment)]
    fits = verbs_beginning(word_at(segment, 0))
    if len(fits) != 1 or not _takes_amounts(fits[0]):
        return [list(segment)]
    if len(goes := _to_each(segment, fits[0], bench)) > 1:
        return goes
    words = plain_measures(segment)
    if listed := _listed(words, fits[0], bench):
        return listed
    if not any(word.text.lower() in ("for", "on") for word in segment):
        return [list(segment)]
    pairs: list[list[Token]] = []
    place = 1
    while (taken := _pair(words, place, fits[0])) > 0:
        pairs.append(words[place : place + taken])
        place += taken
        if word_at(words, place) in JOINTS and _pair(words, place + 1, fits[0]):
            place += 1
    behind = words[place:]
    of_one = len(pairs) == 1 and (word_at(pairs[0], 1) != "for" or fits[0].text is not None)
    if not pairs or of_one or any(is_numeric(word) for word in behind):
        return [list(segment)]
    if any(bench.find(_tag(pair).text) is None for pair in pairs) or len({word_at(p, 1) == "for" for p in pairs}) > 1:
        return [list(segment)]
    return [[words[0], *_tag_first(pair), *behind] for pair in pairs]


def _to_each(words: Sequence[Token], verb: Verb, bench: Bench) -> list[list[Token]]:
    """ "sold 7 to Anna for 30 and 8 to Max", parted before further reeds that go to somebody else."""
    parts: list[list[Token]] = [[]]
    for place, word in enumerate(words):
        before, gone = word_at(words, place - 1), any(said.text.lower() == "to" for said in parts[-1])
        if verb.text == "to" and gone and (before in JOINTS or before.endswith(",")) and _goes(words, place, bench):
            parts[-1] = parts[-1][: len(parts[-1]) - (before in JOINTS)]
            parts.append([words[0]])
        parts[-1].append(word)
    return parts


def _goes(words: Sequence[Token], place: int, bench: Bench) -> bool:
    """Whether reeds stand at `place` with "to" behind them; a number before a comma may be a price: "to Ann, 30, 8"."""
    end = place
    while names_reeds(word_at(words, end), bench) or (end > place and word_at(words, end) in JOINING):
        if word_at(words, end).endswith(","):
            return False
        end += 1
    return end > place and word_at(words, end) == "to"


def _reeds_first(segment: Sequence[Token], bench: Bench) -> list[list[Token]]:
    """ "7 clip .3, 8 .2" and, where amounts say of themselves what they are, "7 20 min, 8 25 min", "7 8/10, 8 6/10", "7
    is an 8 and 9 a 6", "7 is 70.2, 8 70.4"; empty where it is no such list."""
    words = [_without_colon(word) for word in plain_measures(segment)]
    tag = replace(words[0], text=plain(words[0].text))
    fits = verbs_beginning(plain(word_at(words, 1)))
    if len(fits) == 1 and _takes_amounts(fits[0]) and word_at(words, 1) not in _FILLERS:
        return _listed([words[1], tag, *words[2:]], fits[0], bench)
    if measured_by(words[1:]) is BY_WORD["measure"]:
        head = Token("measure", tag.start, tag.start)
        found = _listed([head, tag, *words[2:]], BY_WORD["measure"], bench)
        return [[*one[:3], words[1], *one[3:]] for one in found]  # 7 opening 1.3mm, 8 1.4mm
    kept = [tag, *(word for word in words[1:] if word_at([word], 0) not in _FILLERS)]
    graded = {n for n, word in enumerate(words) if word_at(words, n - 1) in _ARTICLES and GRADE.fullmatch(_bare(word))}
    first = _bare(kept[1]) if len(kept) > 1 else ""
    if lasts(kept, 1):
        verb = BY_WORD["play"]
    elif OF_TEN.fullmatch(first) or graded:
        verb = BY_WORD["score"]
    elif (length := _LENGTH.fullmatch(first)) is not None and 20 <= decimal(length[1] or length[2]) <= _LONGEST_MM:
        verb = BY_WORD["measure"]
    elif is_pitch(first):
        verb = BY_WORD["crow"]
    else:
        return []
    head = Token(verb.word, tag.start, tag.start)
    found = _listed([head, *kept], verb, bench)
    if verb.kind == "played":  # whether it is played is still asked
        return [[*one[2:]] for one in found]
    return found


def _without_colon(word: Token) -> Token:
    """A number without the colon behind it: "30: 70.1"."""
    return replace(word, text=word.text[:-1]) if word.text[:-1].isdecimal() and word.text[-1] == ":" else word


def _bare(word: Token) -> str:
    return plain(word.text) if word.kind == "word" else ""


def _listed(words: Sequence[Token], verb: Verb, bench: Bench) -> list[list[Token]]:
    """ "score 7 8, 8 7, 9 6": a tag and an amount each, a comma or "and" between, or an amount that is no tag; what
    stands behind the last without a number is said of all. Empty where it is no such list."""
    found: list[list[Token]] = []
    place, tail = 1, list[Token]()
    while place < len(words):
        amount = _amount(words, place + 1, verb)
        last = place + amount
        tag = plain(word_at(words, place))
        sure = verb.kind == "scored" or amount > 1 or not plain(word_at(words, place + 1)).isdecimal()
        if not amount or not tag.isdecimal() or bench.find(tag) is None or tag != word_at(words, place) or not sure:
            tail = list(words[place:])
            break
        said = [replace(word, text=plain(word.text)) for word in words[place + 1 : last + 1]]
        found.append([words[0], Token("reed", words[place].start, words[place].start), words[place], *said])
        place = last + 1
        joined = word_at(words, place) in JOINTS
        apart = joined or word_at(words, last).endswith(",") or not plain(word_at(words, last)).isdecimal()
        if place < len(words) and not apart:
            return []
        place += joined
    listed = len(found) > 1 and verb.kind != "handed over" and not any(map(is_numeric, tail))
    return [[*one, *tail] for one in found] if listed else []


def _takes_amounts(verb: Verb) -> bool:
    """Whether an amount behind a verb is one of its facts: its minutes, a length, what was paid."""
    counted = any(slot.bare and FACTS[slot.fact].type in (*NUMBERS, "pitch") for slot in verb.slots)
    return verb.kind == "handed over" or (counted and verb.text is None and verb.table is None)


def _pair(words: Sequence[Token], place: int, verb: Verb) -> int:
    """How many words from `place` on are a reed "for" an amount, or an amount "on" a reed; 0 if none are."""
    amount = _amount(words, place)
    if amount and word_at(words, place + amount) == "on" and verb.text is None:
        return amount + 2 if _is_tag(words, place + amount + 1) else 0
    if _is_tag(words, place) and word_at(words, place + 1) == "for":
        amount = _amount(words, place + 2)
        return amount + 2 if amount else 0
    return 0


def _is_tag(words: Sequence[Token], place: int) -> bool:
    """Whether a number stands here that may be a tag: one without a unit behind it."""
    measured = unit_named(plain(word_at(words, place + 1))) is not None
    return plain(word_at(words, place)).isdecimal() and not measured


def _amount(words: Sequence[Token], place: int, verb: Verb | None = None) -> int:
    """How many words an amount takes here; of what crows, a pitch is one."""
    if verb is BY_WORD["crow"]:
        return int(place < len(words) and is_pitch(_bare(words[place])))
    if not word_at(words, place) or not is_numeric(words[place]):
        return 0
    return 1 + (unit_named(plain(word_at(words, place + 1))) is not None)


def _tag(pair: Sequence[Token]) -> Token:
    tag = pair[0] if word_at(pair, 1) == "for" else pair[-1]
    return replace(tag, text=plain(tag.text))


def _tag_first(pair: Sequence[Token]) -> list[Token]:
    """A pair as "reed 7 for 45 min"."""
    tag = _tag(pair)
    amount = pair[2:] if word_at(pair, 1) == "for" else pair[:-2]
    called, way = (Token(text, tag.start, tag.start) for text in ("reed", "for"))
    return [called, tag, way, *(replace(word, text=plain(word.text)) for word in amount)]
