"""The parts of an entry line: when it happened, and between the semicolons which reeds, which verb, which words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from reedkin.bench.bench import Bench, begins
from reedkin.errors import InputError
from reedkin.grammar.tags import expand
from reedkin.grammar.tokens import Problem, Token, cited, segments, tokens
from reedkin.grammar.verbs import BY_LETTER, BY_WORD, Verb, verb_taking, verbs_beginning
from reedkin.grammar.when import When, parse_when

NOTE = BY_WORD["note"]
_LONGEST_WHEN = 5
_LONGEST_NAME = 4
_GLUED = re.compile(r"([a-z]+)([.,]?\d.*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Tag:
    """A tag as written, and where."""

    text: str
    token: Token


@dataclass(frozen=True, slots=True)
class Clause:
    """What stands between two semicolons. `tags` is empty where none is written here; a clause that is only a note
    has the verb `note` and its `head` is the note. `final` says that the line ends in this clause."""

    tags: tuple[Tag, ...] = ()
    head: Token | None = None
    verb: Verb | None = None
    words: tuple[Token, ...] = ()
    problems: tuple[Problem, ...] = ()
    final: bool = False


@dataclass(frozen=True, slots=True)
class Parts:
    """A whole line: its clauses and its time."""

    clauses: tuple[Clause, ...]
    when: When | None = None
    problems: tuple[Problem, ...] = ()


def parts_of(line: str, bench: Bench) -> Parts:
    """Take a line apart. The bench tells which words are tags and names. Never fails: problems are in the result."""
    found = tokens(line)
    when, rest, problems = _when(found, bench)
    clauses = [_clause(segment, bench) for segment in segments(rest)]
    if clauses and found[-1].kind != "semicolon":
        clauses[-1] = replace(clauses[-1], final=True)
    return Parts(tuple(clauses), when, tuple(problems))


# The time


def _when(found: Sequence[Token], bench: Bench) -> tuple[When | None, list[Token], list[Problem]]:
    when: When | None = None
    rest: list[Token] = []
    problems: list[Problem] = []
    place = 0
    while place < len(found):
        token = found[place]
        place += 1
        if token.kind != "at":
            rest.append(token)
            continue
        words: list[Token] = []
        for follower in found[place : place + _LONGEST_WHEN]:
            if follower.kind != "word":
                break
            words.append(follower)
        said, count = _moment(words, bench)
        place += count or len(words)
        end = words[-1].end if words else token.end
        if said is None:
            message = "when? write @10:30, @yesterday, @yesterday 18:00, @12 March or @2026-03-12"
            problems.append(Problem(token.start, end, message, open=place == len(found)))
        elif when is not None:
            problems.append(Problem(token.start, end, "the time is given twice"))
        when = when or said
    return when, rest, problems


def _moment(words: Sequence[Token], bench: Bench) -> tuple[When | None, int]:
    """The moment that the most words give, and how many they are."""
    for count in range(len(words), 0, -1):
        try:
            return parse_when(" ".join(w.text for w in words[:count]), bench.clock), count
        except InputError:
            continue
    return None, 0


# Tags and verb


def _clause(segment: Sequence[Token], bench: Bench) -> Clause:
    tags, count, problems = _tags(segment, bench)
    rest = segment[count:]
    if not rest:
        return Clause(tuple(tags), problems=tuple(problems))
    if rest[0].kind == "quote":
        return Clause(tuple(tags), rest[0], NOTE, tuple(rest), tuple(problems))
    head, words = _unglued(rest[0]), tuple(rest[1:])
    if len(head) > 1:
        words = (head[1], *words)
    fits = verbs_beginning(head[0].text)
    if len(fits) != 1:
        problems.append(_no_verb(head[0], fits))
    verb = fits[0] if len(fits) == 1 else None
    return Clause(tuple(tags), head[0], verb, words, tuple(problems))


def _unglued(token: Token) -> list[Token]:
    """ "p45" as "p 45", where "p" is a verb."""
    match = _GLUED.fullmatch(token.text)
    if match is None or not verbs_beginning(match[1]):
        return [token]
    cut = token.start + len(match[1])
    return [Token(match[1], token.start, cut), Token(match[2], cut, token.end)]


def _no_verb(token: Token, fits: Sequence[Verb]) -> Problem:
    if fits:
        message = f"{token.text} could be {' or '.join(v.word for v in fits)}"
    else:
        message = f"{cited(token.text)} is not a verb; {_instead(token.text.lower())}"
    return Problem(token.start, token.end, message)


def _instead(text: str) -> str:
    """What to write in place of a word that is no verb."""
    if text == "take":
        return "take back strikes the last entry"
    if taking := verb_taking(text):
        return f"it goes with one, such as {taking.word} {text}"
    near = get_close_matches(text, BY_WORD, 1)
    return f"did you mean {near[0]}?" if near else "verbs are tie, scrape, clip, wire, play, note and others"


def _tags(segment: Sequence[Token], bench: Bench) -> tuple[list[Tag], int, list[Problem]]:
    """The tags that a clause begins with, how many words they take, and what is wrong with them."""
    count = _tag_words(segment, bench)
    name = " ".join(token.text for token in segment[:count])
    if count > 1 and bench.named(name) is not None:
        return [Tag(name, Token(name, segment[0].start, segment[count - 1].end))], count, []
    tags: list[Tag] = []
    problems: list[Problem] = []
    for token in segment[:count]:
        try:
            if "/" in token.text and "," not in token.text:
                tags.append(Tag(token.text.removeprefix("#"), token))
            else:
                tags += [Tag(text, token) for text in expand(token.text)]
        except InputError as error:
            problems.append(Problem(token.start, token.end, str(error)))
    return list({tag.text.casefold(): tag for tag in tags}.values()), count, problems


def _tag_words(segment: Sequence[Token], bench: Bench) -> int:
    """How many words at the beginning of a clause are tags or a reed's name."""
    if segment[0].kind != "word":
        return 0
    count = 0
    while count < len(segment) and segment[count].kind == "word":
        if not (_surely_tags(segment[count].text) or (count and segment[count - 1].text.endswith(","))):
            break
        count += 1
    if count:
        return count
    for length in range(min(_LONGEST_NAME, len(segment)), 1, -1):
        if bench.named(" ".join(token.text for token in segment[:length])) is not None:
            return length
    return int(_may_be_tag(segment, bench))


def _surely_tags(text: str) -> bool:
    """Whether a word at the beginning of a clause can only be tags: "142", "#eva", "143,eva", "eva/2"."""
    if text[0].isdecimal() or (text[0] == "#" and len(text) > 1):
        return True
    return ("," in text or "/" in text) and len(_unglued(Token(text, 0, len(text)))) == 1


def _may_be_tag(segment: Sequence[Token], bench: Bench) -> bool:
    """Whether the first word is a reed's tag or name rather than a verb: a word that is a verb in full never is."""
    text = segment[0].text.lower()
    if text in BY_WORD or text in BY_LETTER:
        return False
    next_ = segment[1].text.lower() if len(segment) > 1 and segment[1].kind == "word" else ""
    follows = len(verbs_beginning(_unglued(Token(next_, 0, len(next_)))[0].text)) == 1
    if not verbs_beginning(_unglued(segment[0])[0].text):
        return follows or bench.find(text) is not None
    begins_one = next_ in BY_WORD and begins(BY_WORD[next_].kind)
    return follows and (begins_one or bench.find(text) is not None)
