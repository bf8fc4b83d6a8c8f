"""What to say of reeds of which a line does not say what was done, or which are not there."""

from __future__ import annotations

from collections.abc import Container, Sequence
from difflib import get_close_matches

from reedkin.bench.bench import Bench
from reedkin.domain.reeds import HANDED_OVER, RETIRED
from reedkin.grammar.words.reeds_named import Tag
from reedkin.grammar.words.tokens import Token
from reedkin.grammar.words.verbs import Verb, implied

_MOST_NAMES = 200
"""Of the latest reeds with a name, among which one is sought that a word is a slip of."""


def no_reed(tag: str, verb: Verb, bench: Bench) -> str:
    """What to say of a tag that no reed bears: the name that it may be a slip of, or how to begin one."""
    if not any(c.isdecimal() for c in tag):
        names = {name.casefold(): name for name in bench.headings.known("name")[:_MOST_NAMES]}
        near = get_close_matches(tag.casefold(), names, 1, 0.75)
        if near and bench.tags.named(near[0]) is not None:
            return f"there is no reed {tag}; did you mean {names[near[0]]}?"
        if verb.kind in ("returned", "handed over", "retired", "heard"):
            return f"there is no reed {tag}; whose it is comes later, the reed first: 12 {verb.word}"
    return _begin(tag)


def to_go_on(tags: Sequence[Tag], begun: Container[str], bench: Bench) -> str:
    """What to ask of reeds that are named, with nothing said of them yet; `begun` are those that the line begins."""
    if (said := _numbers_behind(tags, bench)) is not None:
        return said
    last = tags[-1]
    reed = bench.find(last.text)
    if reed is None and last.text.casefold() not in begun:
        return _begin(last.text)
    does = {RETIRED: 'note "..."', HANDED_OVER: "return"}.get(reed.stage if reed is not None else "", "scrape 10m")
    return f"what was done to it? such as {last.token.text} {does}"


def _numbers_behind(tags: Sequence[Tag], bench: Bench) -> str | None:
    """ "25 45 8" of the reed 25, where the others are of none at work: they were meant as facts."""
    first, others = tags[0], tags[1:]
    reeds = [bench.find(tag.text) for tag in tags]
    listed = any("," in tag.token.text or "-" in tag.token.text for tag in tags)
    if listed or not others or any((reed is not None and reed.at_work) == bool(n) for n, reed in enumerate(reeds)):
        return None
    return f"what was done to {first.text}? such as {first.text} play {' '.join(tag.text for tag in others)}"


def _begin(tag: str) -> str:
    return f"there is no reed {tag}; to begin one write {tag} tie or {tag} join"


def to_come(head: Token) -> str:
    """What to say besides where a playing lacks something that is said of one to come: "concert sat 19:30"."""
    return "; what is still to come: engage and its day" if implied(head.text) else ""
