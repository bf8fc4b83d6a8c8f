"""What reeds cost, as people say it: "25 each", "at 25", "for 25 euros", "€25 apiece", "75 in all". Money is in
whatever the maker counts in: its sign or its name is stepped over."""

from __future__ import annotations

import re
from collections.abc import Sequence

from reedkin.domain.instruments import instrument_named
from reedkin.domain.words import MONTHS
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import Verb

_SIGN = (
    "[€$£¥₹₽₺]|e|eur|euros?|usd|dollars?|bucks|gbp|pounds?|quid|chf|sfr|francs?|jpy|yen|aud|cad|nzd|"
    "kr|kronor|kroner|sek|nok|dkk|czk|kč|pln|zł|huf"
)
"""Signs, codes (ISO 4217) and names of money."""
_AMOUNT = re.compile(
    rf"({_SIGN})?(\d{{1,3}}(?:[.,'’]\d{{3}})+|\d+(?:[.,]\d{{1,2}})?)([.,](?:--?|[–—]))?({_SIGN})?[.,]?", re.IGNORECASE
)
_THOUSANDS = re.compile(r"\d{1,3}(?:[.,'’]\d{3})+")
_MONEY = re.compile(rf"(?!e[.,]?$)({_SIGN})[.,]?", re.IGNORECASE)  # 28e, and no e apart: 3 e may become eh
_BEFORE = ("for", "at", "à", "price", "costs", "cost")
_EACH = (
    ("each",), ("ea",), ("ea.",), ("apiece",), ("a", "piece"), ("per", "piece"), ("a", "reed"), ("per", "reed"),
    ("each", "one"), ("for", "each"),
)  # fmt: skip
_IN_ALL = (("in", "all"), ("in", "total"), ("altogether",), ("together",), ("total",), ("all", "told"))
_NOT_PAID = (("not", "paid", "yet"), ("not", "yet", "paid"), ("not", "paid"), ("still", "unpaid"))
_HOURS = 24
"""A number behind "at" that is more is no time of day."""
_SHORTEST_MONTH = 3
_LONGEST = 12
"""Digits of a sum."""
_REEDS = ("reed", "reeds")


def is_money(text: str) -> bool:
    """Whether a word is a sign or a name of money: "€", "euros"."""
    return _MONEY.fullmatch(text) is not None


def sum_of_money(text: str) -> float | None:
    """A sum as a price list has it, with its sign or its name: "25 €", "$1,200.50", "22,50", "40,-"; None where it is
    none."""
    bare = re.sub(rf"^(?:{_SIGN})|(?:{_SIGN})$|[.,](?:--?|[–—])", "", "".join(text.split()), flags=re.IGNORECASE)
    whole, *cents = re.split(r"[.,](?=\d{1,2}$)", bare, maxsplit=1)
    digits = re.sub(r"[.,'’](?=\d{3}(?:\D|$))", "", whole)
    return float(".".join((digits, *cents))) if digits.isdecimal() and len(digits) < _LONGEST else None


def takes_price(verb: Verb) -> bool:
    return any(slot.fact == "price" for slot in verb.slots)


def plain_prices(words: Sequence[Token], verb: Verb) -> tuple[list[Token], bool, bool]:
    """The words with each price among them as "price 25", and whether it is that of all reeds together, or said to be
    that of each. A number alone
    is no price: it has a word before it that says so, a sign of money, or "each" or "in all" behind it."""
    found: list[Token] = []
    in_all, each, place = False, False, 0
    owed = any("unpaid" in slot.flags for slot in verb.slots)
    while place < len(words):
        if owed and (count := _behind(words, place, _NOT_PAID)):
            found.append(Token("unpaid", words[place].start, words[place + count - 1].end))
            place += count
            continue
        read = _price_at(words, place, verb)
        if read is None:
            found.append(words[place])
            place += 1
            continue
        amount, count, together, of_each = read
        last = words[place + count - 1]
        found += [Token("price", words[place].start, words[place].end), Token(amount, words[place].start, last.end)]
        in_all, each = in_all or together, each or of_each
        place += count
    return found, in_all, each


def _price_at(words: Sequence[Token], start: int, verb: Verb) -> tuple[str, int, bool, bool] | None:
    """The amount that is said from `start` on, by how many words, and whether it is for all together, or for each."""
    place, each = start, False
    if word_at(words, place) == "each" and word_at(words, place + 1):
        place, each = place + 1, True
    before = word_at(words, place) if word_at(words, place) in _BEFORE else ""
    place += bool(before)
    signed = _MONEY.fullmatch(word_at(words, place)) is not None
    place += signed
    amount = _AMOUNT.fullmatch(word_at(words, place))
    if amount is None:
        return None
    place += 1
    signed = signed or bool(amount[1] or amount[3] or amount[4])
    if _MONEY.fullmatch(word_at(words, place)):
        place, signed = place + 1, True
    several = verb.kind in ("order", "handed over")
    if before == "for" and not signed and _is_month(word_at(words, place)):
        return None  # for 15 dec
    behind, together = (_behind(words, place, _EACH), _behind(words, place, _IN_ALL)) if several else (0, 0)
    place += behind or together
    dear = before == "at" and verb.preset.get("terms") == "sold" and (sum_of_money(amount[2]) or 0) > _HOURS
    counted = word_at(words, place) in _REEDS or instrument_named(word_at(words, place)) is not None
    if not (signed or behind or together) and (counted or not (each or dear or _says_price(before, verb))):
        return None
    number = re.sub(r"[.,'’]", "", amount[2]) if _THOUSANDS.fullmatch(amount[2]) else amount[2]
    return number, place - start, bool(together), each or bool(behind)


def _is_month(word: str) -> bool:
    name = word.rstrip(".,")
    return len(name) >= _SHORTEST_MONTH and any(month.startswith(name) for month in MONTHS)


def _says_price(before: str, verb: Verb) -> bool:
    """Whether a word before a plain number makes it a price: "at 18" of a reed handed over may be the time of day."""
    return before in ("costs", "cost", "à") or (before in ("for", "at") and verb.kind == "order")


def _behind(words: Sequence[Token], place: int, phrases: Sequence[Sequence[str]]) -> int:
    """How many words of the first of these phrases stand at `place`."""
    return next(
        (len(p) for p in phrases if [word_at(words, place + n).rstrip(",.") for n in range(len(p))] == list(p)), 0
    )
