"""What to say of a line that does not say all yet: reeds of which it does not tell what was done, or which are not
there, and words that may go on."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Container, Sequence
from difflib import get_close_matches
from functools import cache

from reedkin.bench.bench import Bench
from reedkin.domain.facts import FACTS
from reedkin.domain.reeds import HANDED_OVER, RETIRED
from reedkin.domain.units import SPELLINGS
from reedkin.domain.words import MONTHS
from reedkin.grammar.rewording.doing_first import SAID_OTHERWISE
from reedkin.grammar.when.days import DAYS, opens_moment
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.reeds_named import Tag
from reedkin.grammar.words.spoken import BEFORE_VERB, CALLED, NUMBER_WORDS, SMALL
from reedkin.grammar.words.tags import tag_problem
from reedkin.grammar.words.tokens import Token
from reedkin.grammar.words.verbs import ALSO, BY_WORD, CAUSE_WORDS, Verb, implied
from reedkin.grammar.words.vocabulary import vocabulary

_LENGTH = re.compile(r"\d\d[.,]\d+")
_MOST_NAMES = 200
"""Of the latest reeds with a name, among which one is sought that a word is a slip of."""
_LONGEST_PHRASE = 2
"""Words behind one that begins a phrase: "half a millimetre"."""
_LONGEST_DOING = 5
"""Words behind one that begins what was done in other words than the line's verbs: "took the old tubing right off"."""


def goes_on(line: str, start: int, end: int) -> bool:
    """Whether a word of which something is wrong may become right with what is being typed behind it: a number with its
    unit, "half" with "an hour", "the" with what it belongs to."""
    word, behind = plain(line[start:end].split(" ")[-1].lower()), line[end:].split()
    if word[-1:].isdecimal() or word in NUMBER_WORDS:
        return len(behind) == 1 and line[-1:].isalpha()
    if word in SAID_OTHERWISE:
        return len(behind) <= _LONGEST_DOING
    begins = word in SMALL or word in BEFORE_VERB or word in CALLED or opens_moment(word)
    return begins and len(behind) <= _LONGEST_PHRASE


def half_typed(line: str) -> bool:
    """Whether a line ends in the beginning of a word, or of two, that means something somewhere on it: "yester", "set
    price". A letter alone is taken for one; so are a row of reeds and a list of them that go on, "41-"."""
    words = [word.lstrip("('\"#@") for word in line.lower().replace(";", " ; ").split(" ")]
    last, both = words[-1], " ".join(words[-2:])
    if last and last[0].isdecimal() and last[-1] in "-/,.:":
        return True
    return (bool(last) and _begins_known(last)) or (len(words) > 1 and bool(words[-2]) and _begins_known(both))


def _begins_known(text: str) -> bool:
    """Whether a known word or phrase goes on from a text which is none itself."""
    known = _known()
    place = bisect_left(known, text)
    whole = place < len(known) and known[place] == text
    if whole and len(text) > 1:
        return False
    place += whole
    return place < len(known) and known[place].startswith(text)


@cache
def _known() -> tuple[str, ...]:
    """All words that mean something on a line, in order."""
    words = {"undo", "take back", "yesterday", "today", "tomorrow", *SPELLINGS, *DAYS, *MONTHS, *SAID_OTHERWISE}
    words |= {*BY_WORD, *ALSO, *CAUSE_WORDS, *SMALL, *BEFORE_VERB, *CALLED, *NUMBER_WORDS}
    for verb in BY_WORD.values():
        words |= {*vocabulary(verb), *(choice for slot in verb.slots for choice in FACTS[slot.fact].choices)}
    return tuple(sorted(words))


def no_reed(tag: str, verb: Verb, bench: Bench) -> str:
    """What to say of a tag that no reed bears: the name that it may be a slip of, or how to begin one."""
    if not any(c.isdecimal() for c in tag):
        names = {name.casefold(): name for name in bench.headings.known("name")[:_MOST_NAMES]}
        near = get_close_matches(tag.casefold(), names, 1, 0.75)
        if near and bench.tags.named(near[0]) is not None:
            return f"there is no reed {tag}; did you mean {names[near[0]]}?"
        if verb.kind in ("returned", "handed over", "retired", "heard"):
            return f"there is no reed {tag}; whose it is comes later, the reed first: 12 {verb.word}"
    return _begin(tag, bench)


def to_go_on(tags: Sequence[Tag], begun: Container[str], bench: Bench) -> str:
    """What to ask of reeds that are named, with nothing said of them yet; `begun` are those that the line begins."""
    if (said := _numbers_behind(tags, bench)) is not None:
        return said
    last = tags[-1]
    if bench.find(last.text) is None and last.text.casefold() not in begun:
        return _goes_on(last.text) or _begin(last.text, bench)
    return f"what was done to {'it' if len(tags) == 1 else 'them'}? such as {example_of(last, bench)}"


def example_of(tag: Tag, bench: Bench) -> str:
    """How a line may go on behind a tag, as it was written."""
    reed = bench.find(tag.text)
    does = {RETIRED: 'note "..."', HANDED_OVER: "return"}.get(reed.stage if reed is not None else "", "scrape 10m")
    return f"{tag.token.text} {does}"


def _numbers_behind(tags: Sequence[Tag], bench: Bench) -> str | None:
    """ "25 45 8" of the reed 25, where the others are of none at work: they were meant as facts."""
    first, others = tags[0], tags[1:]
    reeds = [bench.find(tag.text) for tag in tags]
    listed = any("," in tag.token.text or "-" in tag.token.text for tag in tags)
    if listed or not others or any((reed is not None and reed.at_work) == bool(n) for n, reed in enumerate(reeds)):
        return None
    said = " ".join(tag.text for tag in others)
    does = "measure" if _LENGTH.fullmatch(said) else "play"
    return f"what was done to {first.text}? such as {first.text} {does} {said}"


def _goes_on(tag: str) -> str:
    """What to ask of the first half of a row of reeds, or of a tag that several bore."""
    base = tag[:-1]
    if not base.isdecimal() or tag[-1] not in "-–/":
        return ""
    return f"which of them? such as {base}/1" if tag[-1] == "/" else f"up to which reed? such as {base}-{int(base) + 5}"


def _begin(tag: str, bench: Bench) -> str:
    """What to say of a tag that no reed bears: how to begin one; of "7/5" who bore that tag."""
    base, stroke, _ = tag.partition("/")
    if stroke and (bore := len(bench.tags.bearers(base))):
        said = f"{base}/1" if bore == 1 else f"{base}/1 to {base}/{bore}"
        return f"there is no reed {tag}; of that tag there {'was' if bore == 1 else 'were'} {said}"
    if tag_problem(tag) is not None:
        return f"there is no reed {tag}"
    return f"there is no reed {tag}; to begin one write {tag} tie or {tag} join"


def to_come(head: Token) -> str:
    """What to say besides where a playing lacks something that is said of one to come: "concert sat 19:30"."""
    return "; what is still to come: engage and its day" if implied(head.text) else ""
