"""Clauses that begin with somebody, or with a word before the line's verb: "Meier wants 3 oboe reeds", "Ann paid 30",
"Ann gave 5 back", "start session", "bought lot 9"; put into the line's own order."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from itertools import dropwhile, pairwise

from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import order_key
from reedkin.bench.titles import setting_word
from reedkin.domain.instruments import instrument_named
from reedkin.domain.reeds import Reed
from reedkin.domain.units import unit_named
from reedkin.grammar.rewording.called_off import called_off
from reedkin.grammar.rewording.playing_said import lasting
from reedkin.grammar.when.days import ahead_in, moment_in
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.prices import is_money
from reedkin.grammar.words.reeds_named import JOINING
from reedkin.grammar.words.spoken import BEFORE_VERB, CALLED, NUMBER_WORDS, dozens_at
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import verbs_beginning

_LONGEST_NAME = 4
_ORDERED = (
    ("ordered",), ("wants",), ("needs",), ("would", "like"), ("asked", "for"), ("asks", "for"),
    ("orders",),
)  # fmt: skip
_PAID = (("paid", "me"), ("paid", "us"), ("paid", "his"), ("paid", "her"), ("paid",))
_BEFORE_REED = ("me", "us", "that", "reed", "reeds", "her", "his", "the", "my", ":")
_GAVE_BACK = ("gave", "given", "brought", "sent", "handed")
_TELLS = ("says", "said", "tells", "told", "writes", "wrote", "thinks", "reports")
_OF_IT = ("is", "are", "was", "were", "has", "have", "it")
_DONE = ("ordered", "paid", "given", "brought", "sent", "handed", "returned", "bought", "borrowed", "taken")
"""What somebody "has" done."""
_BEGAN = ("new", "bought", "got", "another", "cane", "a", "i", "we", "opened", "ordered")
"""Words before a lot of cane or a staple that say that it is there."""
_OF_SESSION = ("room", "temp", "temperature", "humidity", "knife")
_SHARP = ("sharpened", "sharp")
_OF_KNIFE = (*_SHARP, "fresh", "dull")
_WARMTH = re.compile(r"\d{1,3}(?:[.,]\d)?°?[cf]")
"""How warm a room is, with the unit at the number: a clip stands behind its tag with a space."""
_SOME_HOURS = 6
"""So many and fewer are likelier how long something took: "friday 2h"."""
_OF_THINGS = ("lot", "staple", "order")


def things_first(words: list[Token], bench: Bench) -> list[Token]:
    """The words of a clause in the line's own order."""
    first, second = word_at(words, 0), word_at(words, 1)
    if second == "session" and first in ("start", "begin", "end", "stop"):
        does = replace(words[0], text="start" if first == "begin" else "end" if first == "stop" else first)
        return [words[1], does, *words[2:]]
    thing = next((place for place in range(1, 5) if word_at(words, place).rstrip(":") in _OF_THINGS), None)
    if thing is not None and all(word_at(words, place) in _BEGAN for place in range(thing)):
        return [replace(words[thing], text=words[thing].text.rstrip(":")), *words[thing + 1 :]]
    if first == "a4" and second[:1].isdecimal():
        return [Token("set", words[0].start, words[0].start), *words]
    if (played := _to_be_played(words, bench)) is not None:
        return played
    if _WARMTH.fullmatch(first) and bench.find(first) is None and (not second or second[-1] == "%" or second == "rh"):
        return [*(Token(text, words[0].start, words[0].start) for text in ("session", "room")), *words]
    if first == "sharpened" and "knife" in (second, word_at(words, 2)):
        return [Token("session", words[0].start, words[0].start), replace(words[0], text="fresh"), *words[1:]]
    if first in _OF_SESSION and (second[:1].isdecimal() or second in _OF_KNIFE):
        room = replace(words[0], text="room") if first.startswith("temp") else words[0]
        words = [Token("session", words[0].start, words[0].start), room, *words[1:]]
    if word_at(words, 0) == "session":
        return [replace(word, text="fresh") if word.text.lower() in _SHARP else word for word in words]
    if (off := called_off(words, bench)) is not None:
        return off
    if first == "got" and second == "paid":
        words, first, second = words[1:], second, word_at(words, 2)
    if (bought := _lot_last(words)) is not None:
        return bought
    if first == "payment" and second == "from" and len(words) > 2:
        return [replace(words[0], text="paid"), *words[2:]]
    if first == "received" or (first == "got" and is_money(second.rstrip("0123456789.,"))):
        turned = _paid_from([replace(words[0], text="paid"), *words[1:]])
        return words if turned is None else turned
    if first == "paid" and (turned := _paid_from(words)) is not None:
        return turned
    return _person_first(words, bench)


def _to_be_played(words: list[Token], bench: Bench) -> list[Token] | None:
    """ "concert 12 dec 2 oboe reeds" as an engagement: what is played on a reed names no instrument."""
    texts = [word.text for word in words if word.kind == "word"]
    now = bench.clock.now()
    before = ahead_in(texts, now)
    if before is not None and setting_word(word_at(words, before[3])) is not None:
        occasion, rest = words[before[3]], words[before[3] + 1 :]
        return _to_be_played([occasion, *words[: before[3]], *rest], bench)  # fri 26 june 20h concert oboe 2
    count = 1 + (setting_word(word_at(words, 1)) is not None)
    setting = setting_word(word_at(words, count - 1))
    if setting is None or (setting_word(word_at(words, 0)) is None and word_at(words, 0) != "general"):
        return None
    days = ((place, ahead_in(texts[place:], now)) for place in range(count, len(texts)))
    place, day = next((one for one in days if one[1] is not None), (0, None))
    said = [text.lower().rstrip(",.") for text in texts[count:]]
    pairs = list(pairwise([*said, ""]))
    named = any(len(text) > 1 and instrument_named(text) is not None for text in said)
    wanted = any(number.isdecimal() and reeds == "reeds" for number, reeds in pairs)
    on_reeds = any(
        word in ("on", *CALLED) and behind[:1].isdecimal() and ahead_in(texts[count + n :], now) is None
        for n, (word, behind) in enumerate(pairs)
    )
    hour = _its_hour(texts[count:], now)
    to_come = hour is not None and (hour > _SOME_HOURS or not lasting(said))
    if day is None or on_reeds:
        return None
    behind = said if day[1] is None or day[1].hour <= _SOME_HOURS else texts[place + day[3] :]
    if not (to_come or ((named or wanted) and not lasting(behind))):
        return None
    first, last = words[0], words[count - 1]
    return [Token("engage", first.start, first.start), Token(setting, first.start, last.end), *words[count:]]


def _its_hour(texts: Sequence[str], now: datetime) -> int | None:
    """The hour of words that are nothing but that and a day to come, or today: "9 jan 20h"; None of others."""
    day, hour, _, count = ahead_in(texts, now) or (None, None, "", 0)
    if day is None or hour is None or count < len(texts) or (day, hour) < (now.date(), now.time()):
        return None
    return hour.hour


def _lot_last(words: list[Token]) -> list[Token] | None:
    """ "bought 250 g of cane, lot 13, 90 euros" as "lot 13 250 g, 90 euros"."""
    if word_at(words, 0) not in _BEGAN:
        return None
    place = next((n for n in range(1, len(words) - 1) if word_at(words, n).rstrip(":") == "lot"), None)
    if place is None:
        return None
    before = [word for n, word in enumerate(words[1:place], 1) if not _idle_of_lot(words, n)]
    return [words[place], words[place + 1], *before, *words[place + 2 :]]


def _idle_of_lot(words: Sequence[Token], place: int) -> bool:
    """Whether a word before "lot" says nothing; "cane" says something before a number."""
    text = word_at(words, place).rstrip(",:")
    measured = word_at(words, place) == "cane" and word_at(words, place + 1)[:1].isdecimal()
    return text in ("of", "some", "new") or (text == "cane" and not measured)


def _paid_from(words: list[Token]) -> list[Token] | None:
    """ "paid 30 from Ann" as "paid Ann 30"."""
    place = next((p for p in range(2, 4) if word_at(words, p) in ("from", "by", "of")), None)
    if place is None or not word_at(words, 1).lstrip("€$£")[:1].isdecimal() or not word_at(words, place + 1):
        return None
    return [words[0], *words[place + 1 :], *words[1:place]]


def _person_first(words: list[Token], bench: Bench) -> list[Token]:
    for count in range(1, min(_LONGEST_NAME, len(words) - 1) + 1):
        name = words[:count]
        if not _of_name(name[-1], bench, first=count == 1):
            return words
        if word_at(words, count) in ("has", "have") and word_at(words, count + 1) in _DONE:
            words = [*words[:count], *words[count + 1 :]]
        for phrases, verb in ((_ORDERED, "order"), (_PAID, "paid")):
            found = next((p for p in phrases if _stand(words, count, p)), None)
            if found is not None and verb == "order":
                words = _one_reed(words, count + len(found))
            if found is not None and _counts(words, count + len(found)):
                head = Token(verb, words[count].start, words[count + len(found) - 1].end)
                return [head, *name, *words[count + len(found) :]]
        for said_of in (_back, _got, _told):
            if (turned := said_of(words, count, bench)) is not None:
                return turned
    return words


def _one_reed(words: list[Token], place: int) -> list[Token]:
    """ "a new reed", "another reed" as one."""
    if dozens := dozens_at(words, place):
        return [*words[:place], dozens[0], *words[place + dozens[1] :]]
    reed = next((n for n in range(place + 1, place + 4) if word_at(words, n).rstrip(".,") == "reed"), None)
    if word_at(words, place) not in ("a", "another") or reed is None:
        return words
    kept = [word for word in words[place + 1 : reed] if word.text.lower() != "new"]
    plain_kind = not kept or instrument_named(" ".join(word.text for word in kept)) is not None
    return [*words[:place], replace(words[place], text="1"), *kept, *words[reed:]] if plain_kind else words


def _stand(words: Sequence[Token], place: int, phrase: Sequence[str]) -> bool:
    return [word_at(words, place + ahead) for ahead in range(len(phrase))] == list(phrase)


def _counts(words: Sequence[Token], place: int) -> bool:
    text = word_at(words, place)
    return text[:1].isdecimal() or text in NUMBER_WORDS or (bool(text) and is_money(text.rstrip("0123456789.,")))


def _of_name(word: Token, bench: Bench, first: bool) -> bool:
    """Whether a word can be part of the name of somebody who did something: no verb, no reed, no number."""
    text = word.text.lower()
    if word.kind != "word" or any(c.isdigit() for c in text) or text in BEFORE_VERB or bench.find(text) is not None:
        return False
    if moment_in([text], bench.clock) is not None:
        return False  # yesterday paid 30
    return not first or not verbs_beginning(text) or word.text[0].isupper()


def _got(words: list[Token], count: int, bench: Bench) -> list[Token] | None:
    """ "Emma bought 6 for 20", "Finn borrowed 6 and 7", "Ann took 6": sold, lent, handed over; "Mia lost 5" of the reed
    that Mia has."""
    does, rest = word_at(words, count), _from_reed(words[count + 1 :])
    if _reed(rest, bench) is None:
        return None
    if does in ("lost", "cracked", "dropped", "chipped"):
        theirs = _with(words[:count], rest, bench)
        return [replace(words[count], text="retire"), *rest, words[count]] if theirs and len(rest) == 1 else None
    if unit_named(word_at(rest, 1).rstrip(",.")) is not None:
        return None  # the opera took 3 hours
    verb = {"bought": "sell", "borrowed": "lend", **dict.fromkeys(("took", "taken", "has"), "hand")}.get(does)
    tags = next((n for n, word in enumerate(rest) if not _in_list(word)), len(rest))
    if verb is None or instrument_named(word_at(rest, tags)) is not None or word_at(rest, tags) in CALLED:
        return None
    way = Token("to", words[0].start, words[0].start)
    last = words[count - 1]
    name = [*words[: count - 1], replace(last, text=f"{last.text},") if tags < len(rest) else last]
    return [*rest[:tags], replace(words[count], text=verb), way, *name, *rest[tags:]]


def _in_list(word: Token) -> bool:
    return word.text[:1].isdecimal() or word.text[:1] == "#" or word.text.lower() in ("and", "&")


def _back(words: list[Token], count: int, bench: Bench) -> list[Token] | None:
    """ "Ann gave 5 back", "Ann returned 5", of the reed that Ann has."""
    does = word_at(words, count)
    said = words[count + 1 :]
    back = next((n for n, word in enumerate(said) if plain(word.text.lower()) == "back"), None)
    if does != "returned" and (back is None or does not in _GAVE_BACK):
        return None
    rest = _from_reed([word for n, word in enumerate(said) if n != back or does == "returned"])
    return [replace(words[count], text="return"), *rest] if _with(words[:count], rest, bench) else None


def _told(words: list[Token], count: int, bench: Bench) -> list[Token] | None:
    """ "Ann says 5 is worn", of the reed that Ann has: heard."""
    rest = _from_reed(words[count + 1 :])
    if word_at(words, count).rstrip(":") not in _TELLS or not _with(words[:count], rest, bench):
        return None
    end = 1
    while word_at(rest, end) in JOINING and _with(words[:count], rest[end + 1 :], bench):
        end += 2
    if word_at(rest, end) in JOINING and word_at(rest, end + 1).isdecimal():
        return None  # of which somebody else has one
    says = next((n for n in range(end, len(rest)) if word_at(rest, n) not in _OF_IT), len(rest))
    return [*rest[:end], replace(words[count], text="heard"), *rest[says:]]


def _from_reed(words: Sequence[Token]) -> list[Token]:
    """The words without those that say nothing before a reed."""
    return list(dropwhile(lambda word: word.text.lower() in _BEFORE_REED, words))


def _reed(words: Sequence[Token], bench: Bench) -> Reed | None:
    """The reed that the words begin with."""
    return bench.find(words[0].text.removeprefix("#").rstrip(",.")) if words else None


def _with(name: Sequence[Token], words: Sequence[Token], bench: Bench) -> bool:
    """Whether the words begin with a reed that somebody of this name has."""
    reed = _reed(words, bench)
    return reed is not None and order_key(reed.now.to or "") == order_key(" ".join(word.text for word in name))
