"""What was ordered or engaged and is called off: "cancel Anna's order", "Anna doesn't want them any more", "concert
cancelled 12 dec"; put into the line's own words."""

from __future__ import annotations

from collections.abc import Sequence

from reedkin.bench.bench import Bench
from reedkin.bench.titles import setting_word
from reedkin.grammar.words.heads import unpossessed
from reedkin.grammar.words.reeds_named import names_reeds
from reedkin.grammar.words.spoken import CALLED
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import BY_LETTER, BY_WORD

_CANCELLED = ("cancelled", "canceled", "cancels", "cancel")
_NOT = ("doesn't", "doesnt", "don't", "dont", "does", "no")
_WANTED = ("want", "wants", "need", "needs")
_SAYING = ("cancel", "do", "no")
"""Beginnings of the words with which something is called off."""
_LONGEST_NAME = 4
_IDLE = ("the", "order", "orders", "of", "from", "for", "has", "have", "is", "was", "her", "his", "their", "my", "on")


def called_off(words: Sequence[Token], bench: Bench) -> list[Token] | None:
    """The words as "order Anna off" or "engage 12 dec off"; None where nothing is called off, and where a reed or a
    verb stands first: "7 doesn't want to speak", "note concert cancelled"."""
    first = word_at(words, 0)
    if first in BY_WORD or first in BY_LETTER or first in CALLED or names_reeds(first, bench):
        return None
    if not any(word_at(words, n).startswith(_SAYING) for n in range(_LONGEST_NAME + 1)):
        return None
    said = [word_at(words, place).replace("’", "'").rstrip(",.:") for place in range(len(words))]
    place = next((n for n, text in enumerate(said[: _LONGEST_NAME + 1]) if text in _CANCELLED), None)
    if place is None:
        place = next((n for n in range(1, min(_LONGEST_NAME, len(said))) if _not_wanted(said, n)), None)
        rest = list(words[:place]) if place is not None else []
    else:
        rest = [*words[:place], *words[place + 1 :]]
    if place is None:
        return None
    played = [n for n, word in enumerate(rest) if setting_word(word_at([word], 0)) is not None]
    kept = [word for n, word in enumerate(rest) if n not in played and word_at([word], 0) not in _IDLE]
    if not (kept or played) and "order" not in said:
        return None
    head = words[place]
    verb = Token("engage" if played else "order", head.start, head.end)
    bases = ((word, unpossessed(word.text)) for word in kept)
    named = [word if base == word.text else Token(base, word.start, word.end) for word, base in bases]
    return [verb, *named, Token("off", head.start, head.end)] if named or played else [verb]


def _not_wanted(said: Sequence[str], place: int) -> bool:
    """Whether "doesn't want" or "no longer needs" stands at `place`."""
    behind = said[place + 1 : place + 4]
    return (
        said[place] in _NOT
        and any(text in _WANTED for text in behind)
        and (said[place] not in ("does", "no") or behind[0] in ("not", "longer"))
    )
