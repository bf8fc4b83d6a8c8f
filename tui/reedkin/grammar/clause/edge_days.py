"""A day at the edge of the maker's own words: is it when it happened, when it is due, or a part of what she says?"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from reedkin.domain.facts import FACTS
from reedkin.errors import InputError
from reedkin.grammar.clause.behind_verb import BehindVerb
from reedkin.grammar.clause.leftovers import TO_COME
from reedkin.grammar.when.days import LONGEST_MOMENT, When, day_meant, moment_in, parse_when, vague_in

PART_OF_TEXT = (
    "since", "until", "till", "before", "for", "by", "to", "after", "from", "every", "each", "next", "of", "than",
    "like", "and",
)  # fmt: skip
"""Words after which a day is part of what the maker says in her own words."""
_DAY_IN_FIGURES = re.compile(r"(?:[1-9]|1[0-2])/(?:1[3-9]|2\d|3[01])|(?:1[3-9]|2\d|30)/(?:[1-9]|1[0-2])")
"""A day and a month that no order of the two makes another day."""
_WHEN_MATTERS = ("handed over", "returned", "cleaned", "soaked")
"""What happened on a day; a note may tell of any, and what is saved is for one to come."""


def days_at_the_edges(at: BehindVerb) -> None:
    """Among the maker's own words, a day right behind the verb or at the end. It is when it happened; of what is
    saved for, the day itself; in a note, a part of it, which is asked."""
    whole = at.texts(at.place)
    whole[-1:] = [text.rstrip("!") for text in whole[-1:]]
    _at_the_edges(at, whole)
    for comma in (n for n, text in enumerate(whole[:-1]) if at.verb.text == "to" and text.endswith(",")):
        if not at.out.moments:
            _before_a_comma(at, whole[: comma + 1])
    over = next((n for n in range(len(whole)) if _name_is_over(whole[n:])), None) if at.verb.text == "to" else None
    if over is not None and not at.out.moments:
        _at_the_edges(at, whole[:over])


def _at_the_edges(at: BehindVerb, texts: Sequence[str]) -> None:
    note, due = at.verb.text == "note", any(FACTS[s.fact].type == "date" for s in at.verb.slots)
    if at.verb.kind != "noted" and not due and (found := moment_in(texts, at.clock)) is not None:
        first, last = at.words[at.place], at.words[at.place + found[1] - 1]
        at.happened(found[0], first, last)
        del at.words[at.place : at.place + found[1]]
        return
    end = at.place + len(texts)
    for start in range(max(at.place + (not note), end - LONGEST_MOMENT), end):
        behind = [text.rstrip(".") if n == len(texts) - 1 else text for n, text in enumerate(texts)]
        behind = behind[start - at.place :]
        if at.verb.kind in _WHEN_MATTERS and vague_in(behind) == len(behind):
            at.no_day(at.words[start], at.words[start + len(behind) - 1])
            return
        before = at.words[start - 1].text.lower() if start > at.place else ""
        ahead = TO_COME if at.verb.preset.get("terms") == "lent" else TO_COME[:1]
        to_come = any(text.lower() in ahead for text in texts[: start - at.place])  # will pay friday
        if before in PART_OF_TEXT or to_come or (due and at.slot_named(before)):
            continue
        said = next((f for b in (texts[start - at.place :], behind) if (f := _to_the_end(at, b, due))), None)
        if said is not None:
            _at_the_end(at, start, start + len(behind), said, note)
            return


def _before_a_comma(at: BehindVerb, texts: Sequence[str]) -> None:
    """A day that ends with a comma, which then ends the name before it: "to Ann yesterday, cash"."""
    before = len(at.words)
    _at_the_edges(at, texts)
    last = at.place + len(texts) - 1 - (before - len(at.words))
    if at.out.moments and last >= at.place:
        at.words[last] = replace(at.words[last], text=f"{at.words[last].text},")


def _name_is_over(texts: Sequence[str]) -> bool:
    """Whether what was paid begins here."""
    return texts[0] in ("price", "unpaid", "paid") or (
        texts[0] == "for" and texts[1:2] != [] and texts[1][0].isdecimal()
    )


def _to_the_end(at: BehindVerb, texts: Sequence[str], due: bool) -> When | str | None:
    """The moment that all of these words give, or the words of the day that something is due."""
    if due:
        said = " ".join(texts)
        try:
            return said if len(texts) < 4 and day_meant(said, at.now) else None
        except InputError:
            return None
    found = moment_in(texts, at.clock)
    if found is None and at.verb.text == "to" and len(texts) == 1 and _DAY_IN_FIGURES.fullmatch(texts[0]):
        return parse_when(texts[0], at.clock)  # shipped 7 to Dora 11/24
    return found[0] if found is not None and found[1] == len(texts) else None


def _at_the_end(at: BehindVerb, start: int, end: int, said: When | str, note: bool) -> None:
    first, last = at.words[start], at.words[end - 1]
    words = " ".join(t.text for t in at.words[start:end])
    day = words.lower().removeprefix("on ").rstrip(".!")
    if note:
        at.problem(first, last, f"{words} is taken as part of the note; for the day write @{day}", odd=True)
        return
    del at.words[start:end]
    if isinstance(said, str):
        at.due(first, last, said)
        return
    at.happened(said, first, last)
    if at.verb.text == "to" and len(day.split()) == 1 and day.isalpha() and day not in ("yesterday", "today"):
        message = f"{day} is taken as the day; if it is part of the name, put the whole name in quotes"
        at.problem(first, last, message, odd=True)
