"""The words behind `order`: whose order, and whether it is a further one or one that is there.

What asks for a number of reeds is a new order, and where the buyer has one open that is a question; one that is there
is changed by its name, or by "Meier/2" where a buyer has several.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import order_key
from reedkin.bench.orders import Order, book, buyers, said_open
from reedkin.domain.facts import Value
from reedkin.domain.figures import day_and_month
from reedkin.domain.instruments import instrument_named
from reedkin.domain.words import STRENGTHS
from reedkin.grammar.beside.unnamed_instrument import taken_for
from reedkin.grammar.words.measures import is_numeric
from reedkin.grammar.words.prices import is_money
from reedkin.grammar.words.spoken import NUMBER_WORDS
from reedkin.grammar.words.tokens import Problem, Token
from reedkin.grammar.words.verbs import BY_WORD

_LONGEST_NAME = 6
_ENDS_NAME = ("at", "each", "as", "with", "about", "med")
"""Words besides those of its facts that are no part of a buyer's name."""


class OrderSaid(NamedTuple):
    """Which order a line is about ("" is a new one), and what has to be asked about it."""

    subject: str
    problem: Problem | None = None


def name_and_rest(words: Sequence[Token], bench: Bench) -> tuple[str, list[Token]]:
    """Whose order it is: a name that is known, or the words up to a number or a fact; and the words behind it. A number
    in words counts, and "for" behind the name says what the order is for."""
    words = _buyer_first(words)
    start = int(words[0].text.lower() in ("for", "from") and len(words) > 1)
    known = {order_key(name) for name in buyers(bench)}
    for count in range(min(_LONGEST_NAME, len(words) - start), 0, -1):
        text = _unstopped(_text(words[start : start + count]))
        if order_key(text) in known or (_is_label(text, known)):
            return text, _rest(words[start + count :])
    end = start + 1
    if words[start].kind == "word":
        while end < len(words) and end - start < _LONGEST_NAME and _of_name(words[end]) and _on(words[end - 1]):
            end += 1
    return _unstopped(_text(words[start:end])), _rest(words[end:])


def _buyer_first(words: Sequence[Token]) -> Sequence[Token]:
    """ "3 eh reeds for Meier by 12 March" as "Meier 3 eh reeds by 12 March"."""
    place = next((p for p, word in enumerate(words) if word.kind == "word" and word.text.lower() == "for"), 0)
    end = place + 1
    while end < len(words) and _of_name(words[end]):
        end += 1
    counted = _counts(words[0]) or words[0].text.lower() in NUMBER_WORDS
    if not counted or place < 1 or end == place + 1:
        return words
    return [*words[place + 1 : end], *words[:place], *words[end:]]


def which_order(name: str, facts: dict[str, Value], bench: Bench, head: Token, last: Token) -> OrderSaid:
    """Which order `name` and the facts are about. What goes without saying is put into the facts: whom it is for, and
    of a new one the instrument, that of the buyer's last order or else as with a tying."""
    own = book(bench).of(name)
    numbered = f"{order_key(own[0].name)}/{own[0].place}" if len(own) == 1 else ""
    named = own[0] if numbered and numbered == order_key(name) else None
    still = [order for order in own if order.open]
    target = named or (still[0] if len(still) == 1 else None)
    facts["to"] = own[0].name if own else name
    if "count" in facts and "done" in facts:
        one = f"{still[-1].name}/{still[-1].place}" if still else name
        said = f"a number is of a new order; for one that is done or off write order {one} done"
        return OrderSaid("", Problem(head.start, last.end, said))
    if "count" in facts and named is None:
        return _further(name, facts, own, still, bench, head, last)
    if target is None and len(still) > 1:
        return OrderSaid("", Problem(head.start, last.end, f"which order, {' or '.join(map(_told, still))}?"))
    if target is None and own and said_open(bench, name):
        target = own[-1]
    if target is None:
        why = f"there is no open order {name}"
        if "done" not in facts:
            why = f"how many reeds? such as order {name} 3 eh by 12 March"
        return OrderSaid("", Problem(head.start, last.end, why, open="done" not in facts))
    if "done" in facts and target.open:
        said = f"{len(target.out)} of {target.reeds} out yet: done all the same?"
        return OrderSaid(target.uid, Problem(head.start, last.end, said, "odd"))
    return OrderSaid(target.uid)


def _further(
    name: str, facts: dict[str, Value], own: list[Order], still: list[Order], bench: Bench, head: Token, last: Token
) -> OrderSaid:
    """A new order; a question where one is open."""
    if "instrument" not in facts:
        instrument = own[-1].instrument if own else bench.headings.latest_instrument()
        if not instrument:
            message = f"for which instrument? such as order {name} 3 eh"
            return OrderSaid("", Problem(head.start, last.end, message, open=True))
        facts["instrument"] = instrument
        if not own and (asked := taken_for(instrument, bench)):
            return OrderSaid("", Problem(head.start, last.end, asked, "odd"))
    if not still:
        return OrderSaid("")
    latest = still[-1]
    said = f"{latest.name} has an order of {latest.asked} open: a further one? to change that one write "
    said += f"order {latest.name}/{latest.place} {facts['count']}"
    return OrderSaid("", Problem(head.start, last.end, said, "odd"))


def _told(order: Order) -> str:
    by = f" by {day_and_month(order.due)}" if order.due is not None else ""
    return f"{order.label} ({order.asked}{by})"


def _text(words: Sequence[Token]) -> str:
    return " ".join(token.text for token in words)


def _on(token: Token) -> bool:
    """Whether the name may go on behind a word: "Meier: three oboe" ends it."""
    return token.text[-1] not in ",:"


def _unstopped(text: str) -> str:
    return text.rstrip(",:") or text


def _is_label(text: str, known: set[str]) -> bool:
    key, slash, place = order_key(text).rpartition("/")
    return bool(slash) and place.isdecimal() and key in known


def _of_name(token: Token) -> bool:
    """Whether a word can be part of a buyer's name."""
    text = token.text.lower()
    order = BY_WORD["order"]
    ends = (*_ENDS_NAME, *NUMBER_WORDS, *STRENGTHS, *(w for slot in order.slots for w in (*slot.words, *slot.flags)))
    counts = _counts(token) or is_money(text)
    return token.kind == "word" and text not in ends and not counts and instrument_named(text) is None


def _rest(words: Sequence[Token]) -> list[Token]:
    """The words behind the name: a count in figures, and "for the recital" as its occasion."""
    found: list[Token] = []
    for place, token in enumerate(words):
        text = token.text.lower() if token.kind == "word" else ""
        behind = words[place + 1] if place + 1 < len(words) else None
        if text.rstrip(",.") in ("reed", "reeds") and found and instrument_named(found[-1].text) is not None:
            continue  # 3 oboe reeds
        if text in NUMBER_WORDS:
            token = Token(str(NUMBER_WORDS[text]), token.start, token.end)
        elif text == "for" and behind is not None and behind.kind == "word" and not _counts(behind):
            token = Token("occasion", token.start, token.end)
        found.append(token)
    return found


def _counts(token: Token) -> bool:
    """Whether a word is a number or a sum of money."""
    return is_numeric(token) or any(c.isdigit() for c in token.text) or token.text.lower() in NUMBER_WORDS
