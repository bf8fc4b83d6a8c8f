"""What was done to a reed, said in other words than the line's verbs: "took .5 off 7", "7 took the wire off", "put 5mm
tubing on 7", "new oboe reed 72", "7 used for 2h", "clip from 60 to 59.5", "crow C5 5 cents flat".

Only the word that the clause does begin with is looked at, after reeds, a day and small words, so that nothing is
changed in a note.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from reedkin.bench.bench import Bench
from reedkin.bench.orders import is_somebody
from reedkin.bench.titles import setting_word
from reedkin.domain.facts import FACTS, begins
from reedkin.domain.instruments import instrument_named
from reedkin.grammar.rewording.playing_said import lasting, occasion, used
from reedkin.grammar.rewording.scores_said import SCORE
from reedkin.grammar.when.days import moment_in
from reedkin.grammar.words.reeds_named import JOINING, THROUGH
from reedkin.grammar.words.spoken import BEFORE_VERB, CALLED
from reedkin.grammar.words.tokens import Token, decimal, said_from, word_at
from reedkin.grammar.words.verbs import in_full

_PUT_ON = {"wire": "wire", "tubing": "tube"}
"""What is put on a reed and taken off it, and the verb for it."""
_IDLE = ("the", "a", "an", "its", "new", "old", "was", "has", "been", "is")
_NUMBER = re.compile(r"(\d+(?:[.,]\d+)?)(?:mm)?[.,]?")
_AMOUNT = re.compile(r"\d*[.,]\d|\d+(?:/\d+)?mm|\d/\d|[½¼¾]|half$|quarter$")
"""How much was taken off, surely in mm."""
_LENGTHS = range(20, 151)
"""A clip from one length to another has both among these, in mm."""
_TUBES = range(20, 56)
"""Lengths of a tube in mm: a greater one is that of the reed."""
_CENTS = re.compile(r"(\d{1,2}(?:[.,]\d+)?)(c|ct|cents?)?[.,]?")
_ACCIDENTALS = {f"{note} flat": "b" for note in "ABDEG"} | {f"{note} sharp": "#" for note in "DFG"}
"""Notes in words; C is what reeds crow, so that "C flat" is a C that is flat."""
_NOTES = {"h": "B", "cis": "C#", "ces": "Cb"}
"""Notes as they are called in German, where English has no other use for the word."""
_NOTE = re.compile(r"(h|cis|ces)([3-6]?)([+-].*|)", re.IGNORECASE)
_MINUTES = re.compile(r"\d{1,3}(min|mins|m|')?[.,]?")
_TO = ("to", "->", "→")
_LONGEST_NAME = 5
_OFF_PITCH = {"flat": "-", "low": "-", "sharp": "+", "high": "+"}
_MARKED = {"minus": "-", "plus": "+", "-": "-", "+": "+"}
"""Words before cents, which need no unit then."""


def doing_first(segment: Sequence[Token], bench: Bench) -> list[Token]:
    """The words of a clause with such phrases put into the line's own."""
    words = list(segment)
    place = _head(words, bench)
    place += word_at(words, place + 1) == "off" and _AMOUNT.match(word_at(words, place)) is not None  # 7 .1 off
    change = _CHANGES.get(word_at(words, place))
    if change is not None:
        return change(words, place)
    if word_at(words, place) in _TO:
        return _to_somebody(words, place, bench)
    if place < len(words) and (played := occasion(words, place)) is not words:
        return played
    verb = in_full(word_at(words, place).rstrip(":,"))
    if verb is not None and verb.kind == "clipped":
        return _between_lengths(words, place)
    if verb is not None and verb.kind == "crowed":
        return _cents(words, place)
    if verb is not None and begins(verb.kind):
        up = word_at(words, place + 1) == "up"  # tied up 41
        return _tube_behind(_from_to([*words[: place + 1], *words[place + 1 + up :]], place))
    return words


def _head(words: Sequence[Token], bench: Bench) -> int:
    """Where the clause says what was done: behind reeds, a day and small words."""
    place = 0
    while text := word_at(words, place):
        reed = text[0].isdecimal() or text[0] in "#(" or bench.find(text.rstrip(":,")) is not None
        if text == "new" or not (reed or text in BEFORE_VERB or text in CALLED or text in JOINING):
            found = moment_in([word.text for word in words[place:] if word.kind == "word"], bench.clock)
            if found is None:
                return place
            place += found[1]
        else:
            place += 1
    return place


def _without(words: Sequence[Token], start: int, idle: Sequence[str]) -> list[Token]:
    return [word for word in words[start:] if word.kind != "word" or word.text.lower().rstrip(".,") not in idle]


# On and off


def _took(words: list[Token], place: int) -> list[Token]:
    """ "took the wire off", "removed the tubing"; "took .5 off" is a clip."""
    said, head = said_from(words, place), words[place]
    thing = next((word for word in said if word in _PUT_ON), None)
    off = said[0] == "removed" or "off" in said
    if thing is not None and off:
        rest = _without(words, place + 1, (*_IDLE, "off", thing))
        return [*words[:place], replace(head, text=_PUT_ON[thing]), Token("off", head.end, head.end), *rest]
    measured = any(_AMOUNT.match(word) for word in said[1:3])
    if said[0] == "took" and off and measured:
        return [*words[:place], replace(head, text="clip"), *words[place + 1 :]]
    return words


def _moved(words: list[Token], place: int) -> list[Token]:
    """ "moved the wire up to 30 mm"."""
    said = said_from(words, place)
    thing = next((n for n, word in enumerate(said) if n and word not in _IDLE), 0)
    if not thing or said[thing] != "wire":
        return words
    moved = replace(words[place], text="moved")
    rest = _without(words, place + thing + 1, ("up", "down"))
    for at, word in enumerate(rest):
        if word.text.lower() == "to" and word_at(rest, at + 1)[:1].isdecimal():
            rest[at] = replace(word, text="at")  # moved the wire on 7 to 30: no reeds 7 to 30
    return [*words[:place], replace(words[place + thing], text="wire"), moved, *rest]


def _removed(words: list[Token], place: int) -> list[Token]:
    """ "the wire was removed"."""
    said = said_from(words, place)
    if "removed" not in said[1:4] or any(word not in _IDLE for word in said[1 : said.index("removed")]):
        return words
    end = place + said.index("removed")
    off = Token("off", words[place + 1].start, words[end].end)
    return [*words[:place], replace(words[place], text=_PUT_ON[said[0]]), off, *words[end + 1 :]]


def _put(words: list[Token], place: int) -> list[Token]:
    """ "put 5mm tubing on 7"; "set aside 7 for Ann" is saved."""
    said = said_from(words, place)
    if said[1:2] in (["aside"], ["by"]) and said[0] in ("put", "set"):
        return [*words[:place], replace(words[place], text="save"), *words[place + 2 :]]
    thing = next((word for word in said if word in _PUT_ON), None)
    if said[0] != "put" or thing is None or "on" not in said:
        return words
    rest = _without(words, place + 1, (*_IDLE, thing))
    if place or not any(word.text.lower() == "on" and behind.text[0].isdecimal() for word, behind in _pairs(rest)):
        rest = _without(rest, 0, ("on",))
    return [*words[:place], replace(words[place], text=_PUT_ON[thing]), *rest]


def _pairs(words: Sequence[Token]) -> list[tuple[Token, Token]]:
    return [(one, other) for one, other in pairwise(words) if one.kind == other.kind == "word"]


def _new(words: list[Token], place: int) -> list[Token]:
    """ "new tubing 5"; "new oboe reed 72" is tied."""
    behind = word_at(words, place + 1)
    if behind in _PUT_ON:
        return [*words[:place], *words[place + 1 :]]
    named = instrument_named(behind) or instrument_named(f"{behind} {word_at(words, place + 2)}")
    if behind in ("reed", "reeds", "blank", "blanks") or named is not None:
        return [*words[:place], replace(words[place], text="tie"), *words[place + 1 :]]
    return words


def _touched_up(words: list[Token], place: int) -> list[Token]:
    """ "touched up the tip": scraped."""
    if word_at(words, place + 1) != "up":
        return words
    return [*words[:place], replace(words[place], text="scrape"), *words[place + 2 :]]


def _worked(words: list[Token], place: int) -> list[Token]:
    """ "worked on the tip", "worked the back": scraped."""
    said = said_from(words, place)
    parts = {part for name in FACTS["where"].choices for part in (name, f"{name}s")}
    on = said[1:2] == ["on"]
    if not parts & set(said[1 + on : 4 + on]):
        return words
    return [*words[:place], replace(words[place], text="scrape"), *words[place + 1 + on :]]


def _did(words: list[Token], place: int) -> list[Token]:
    """ "did a two hour rehearsal": played."""
    said = said_from(words, place)
    named = any(setting_word(word) is not None for word in said)
    if not (named and lasting(said)):
        return words
    return [*words[:place], replace(words[place], text="play"), *words[place + 1 :]]


def _part(words: list[Token], place: int) -> list[Token]:
    """ "7 tip 5 min": scraped; without the unit it may be measured."""
    glued, unit = _MINUTES.fullmatch(word_at(words, place + 1)), word_at(words, place + 2).rstrip(".,")
    ago = "ago" in (word_at(words, place + 2 + n).rstrip(".") for n in range(2))
    if glued is None or ago or not (glued[1] or unit in ("min", "mins", "minutes")):
        return words
    return [*words[:place], Token("scrape", words[place].start, words[place].start), *words[place:]]


def _off(words: list[Token], place: int) -> list[Token]:
    """ "7 .1 off": clipped."""
    if not place or not _AMOUNT.match(word_at(words, place - 1)):
        return words
    return [*words[: place - 1], replace(words[place], text="clip"), words[place - 1], *words[place + 1 :]]


def _gave(words: list[Token], place: int) -> list[Token]:
    """ "gave 7 an 8": scored."""
    said = said_from(words, place)
    if said[-2:-1] not in (["a"], ["an"]) or SCORE.fullmatch(said[-1]) is None:
        return words
    return [*words[:place], *words[place + 1 : -2], Token("score", words[-2].start, words[-2].end), words[-1]]


def _known(behind: Sequence[str], bench: Bench) -> bool:
    """Whether words begin with the name of somebody who ordered or had a reed."""
    names = (" ".join(behind[:count]) for count in range(1, _LONGEST_NAME))
    return behind[0][:1].isalpha() and is_somebody(bench, *names)


def _to_somebody(words: list[Token], place: int, bench: Bench) -> list[Token]:
    """ "7 to Ann, 28": handed over; whom it goes to is written with a capital, or known."""
    behind = [word.text.rstrip(",") for word in words[place + 1 :] if word.kind == "word"]
    if not place or not behind:
        return words
    if instrument_named(behind[0]) is not None or not (behind[0][:1].isupper() or _known(behind, bench)):
        return words
    head = words[place]
    return [*words[:place], replace(head, text="hand"), Token("to", head.end, head.end), *words[place + 1 :]]


# Tying


def _from_to(words: list[Token], place: int) -> list[Token]:
    """ "tied 143 to 146" as "tied 143-146"."""
    first, through, last = (word_at(words, place + ahead) for ahead in (1, 2, 3))
    if not (first.isdecimal() and last.isdecimal() and through in THROUGH and int(first) < int(last)):
        return words
    token = Token(f"{first}-{last}", words[place + 1].start, words[place + 3].end)
    return [*words[: place + 1], token, *words[place + 4 :]]


def _tube_behind(words: list[Token]) -> list[Token]:
    """ "on a 27 staple", "27 mm tube" as "tube 27"."""
    for place in range(2, len(words)):
        unit = word_at(words, place - 1) == "mm"
        number = _NUMBER.fullmatch(word_at(words, place - 1 - unit))
        named = any(c.isdigit() for c in word_at(words, place + 1)) or (
            place + 1 < len(words) and words[place + 1].kind == "quote"
        )
        called = word_at(words, place).rstrip(",.").removesuffix("s") in ("tube", "staple")
        if called and number and not named and decimal(number[1]) in _TUBES:
            before = place - 1 - unit
            tube = replace(words[place], text="tube")
            return [*words[:before], tube, *words[before:place], *words[place + 1 :]]
    return words


# Clipping, crowing


def _between_lengths(words: list[Token], place: int) -> list[Token]:
    """ "from 60 to 59.5" as how much was clipped, and the length after; "half" as half a millimetre."""
    if place + 2 == len(words) and word_at(words, place + 1).rstrip(".!") == "half":
        return [*words[:-1], replace(words[-1], text=".5")]
    for start in range(place + 1, len(words) - 2):
        begin, end = (_NUMBER.fullmatch(word_at(words, at)) for at in (start, start + 2))
        if begin is None or end is None or word_at(words, start + 1) not in ("to", "->", "→", "-", "–"):
            continue
        was, now = (decimal(number[1]) for number in (begin, end))
        if not (was > now and int(was) in _LENGTHS and int(now) in _LENGTHS):
            continue
        at, last = words[start].start, words[start + 2].end
        before = words[: start - (word_at(words, start - 1) == "from")]
        said = [Token(f"{was - now:.4g}", at, last), Token("to", at, last), Token(f"{now:g}", at, last)]
        return [*before, *said, *words[start + 3 :]]
    return words


def _cents(words: list[Token], place: int) -> list[Token]:
    """ "H" as B; "B flat" as Bb; "5 cents flat", "5c sharp", "flat by 5 cents" as "-5c" and "+5c"; "0c" is on pitch."""
    for start in range(place + 1, len(words)):
        note, mark = words[start].text, _ACCIDENTALS.get(f"{words[start].text.upper()} {word_at(words, start + 1)}")
        if words[start].kind == "word" and mark is not None and len(note) == 1:
            words = [
                *words[:start],
                Token(f"{note}{mark}", words[start].start, words[start + 1].end),
                *words[start + 2 :],
            ]
            break
    articles = {
        n for n, word in enumerate(words[:-1]) if n > place and word.text == "a" and words[n + 1].text[0].isupper()
    }
    words = [word for n, word in enumerate(words) if n not in articles]  # crows a C
    words = [
        replace(word, text=_in_english(word.text))
        if n > place and word.kind == "word" else word
        for n, word in enumerate(words)
    ]  # fmt: skip
    for start in range(place + 1, len(words)):
        for count in (2, 1):
            cents = _CENTS.fullmatch("".join(word_at(words, start + n) for n in range(count)))
            if cents is None or start + count > len(words):
                continue
            first, last = start, start + count - 1
            mark = _OFF_PITCH.get(word_at(words, last + 1).rstrip(".,"), "")
            last += bool(mark)
            if not mark and cents[2]:
                first -= word_at(words, first - 1) == "by"
                mark = _OFF_PITCH.get(word_at(words, first - 1), "")
                first -= bool(mark)
            if not mark and word_at(words, first - 1) in _MARKED:
                first -= 1
                mark = _MARKED[word_at(words, first)]
            if not mark and cents[2] and decimal(cents[1]) == 0:
                mark = "+"
            if mark and (cents[2] or first > place + 1):
                token = Token(f"{mark}{cents[1]}c", words[first].start, words[last].end)
                return [*words[:first], token, *words[last + 1 :]]
    return words


def _in_english(text: str) -> str:
    """ "H" and "cis5" as B and C#5."""
    note = _NOTE.fullmatch(text.rstrip(","))
    return _NOTES[note[1].lower()] + note[2] + note[3] + text[note.end() :] if note else text


_CHANGES: Mapping[str, Callable[[list[Token], int], list[Token]]] = {
    "took": _took, "removed": _took, "moved": _moved, "wire": _removed, "tubing": _removed, "put": _put, "set": _put,
    "new": _new, "used": used, "blew": used, "broke": used, "tried": used, "try": used, "tested": used, "test": used,
    "warm": used, "warmed": used, "work": _worked, "worked": _worked,
    "touch": _touched_up, "touched": _touched_up, "did": _did, "adjust": _worked, "adjusted": _worked,
    "off": _off, "gave": _gave, "blown": used,
    **{part: _part for name in FACTS["where"].choices for part in (name, name.removesuffix("s"), f"{name}s")},
}  # fmt: skip
SAID_OTHERWISE = ("took", "removed", "moved", "put", "used", "blew", "blown", "tried", "tested", "worked", "touched")
"""Those of the words above that surely say what was done to a reed."""
