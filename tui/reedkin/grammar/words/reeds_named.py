"""The reeds that words begin with: their tags, in lists and spans, or the name of one."""

from __future__ import annotations

import re
from collections.abc import Container, Sequence
from typing import NamedTuple

from reedkin.bench.bench import Bench
from reedkin.domain.facts import begins
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.grammar.words.heads import plain, unglued
from reedkin.grammar.words.spoken import CALLED
from reedkin.grammar.words.tags import LONGEST_TAG, expand, tags_in
from reedkin.grammar.words.tokens import Problem, Token, word_at
from reedkin.grammar.words.verbs import BY_LETTER, BY_WORD, in_full, verbs_beginning

JOINING = ("and", "&", "+")
THROUGH = ("to", "through", "thru", "-", "–")
"""Words between the first and the last of a row; of hours "till" and "until" as well, behind which no tag stands: "lent
reed 7 till 12 December"."""
_LONGEST_NAME = 4


class Tag(NamedTuple):
    """A tag as written, and where."""

    text: str
    token: Token


def tags_at(segment: Sequence[Token], bench: Bench, one: bool = False) -> tuple[list[Tag], int, list[Problem]]:
    """The tags that words begin with, how many words they take, and what is wrong with them. `one` looks at a single
    word, whatever it is."""
    count = 1 if one else _tag_words(segment, bench)
    name = " ".join(token.text for token in segment[:count])
    if count > 1 and bench.tags.named(name) is not None:
        return [Tag(name, Token(name, segment[0].start, segment[count - 1].end))], count, []
    tags: list[Tag] = []
    problems: list[Problem] = []
    place = 0
    while place < count:
        token = segment[place]
        place += 1
        text = token.text if bench.find(token.text) is not None else _usual(token.text)
        if text.lower() in JOINING or text.lower() in CALLED:
            continue
        if text.lower() in THROUGH and tags and place < count:
            text = f"{tags.pop().text}-{plain(segment[place].text)}"
            place += 1
        try:
            if listed := _by_slash(text, bench):
                tags += [Tag(tag, token) for tag in listed]
                if len(listed) == 2:
                    both = " and ".join(listed)
                    asked = f"{text} is taken for reeds {both}; for a day write @{text}"
                    problems.append(Problem(token.start, token.end, asked, "odd"))
            elif "/" in text and "," not in text:
                tags.append(Tag(text.removeprefix("#"), token))
            else:
                tags += [Tag(unstopped(tag, text, bench), token) for tag in expand(text)]
        except InputError as error:
            problems.append(Problem(token.start, token.end, str(error)))
    return list({tag.text.casefold(): tag for tag in tags}.values()), count, problems


def names_reeds(text: str, bench: Bench) -> bool:
    """Whether a word is the tags, or the name, of reeds that are there, and no verb."""
    if tags := tags_in(text):
        return all(bench.find(tag) is not None for tag in tags)
    return bool(text) and not verbs_beginning(plain(text)) and bench.find(plain(text)) is not None


def behind_reeds(words: Sequence[Token], start: int, bench: Bench, before: Container[str] = ()) -> tuple[int, bool]:
    """Where the words behind the reeds begin that are named from `start` on, with small words among them, those of
    `before` before the first; and whether there are any."""
    place, named = start, False
    while text := word_at(words, place):
        if names_reeds(text, bench):
            named = True
        elif not (text in CALLED or text in JOINING or (not named and text in before)):
            break
        place += 1
    return place, named


_LATEST_MONTH = 12


def _by_slash(text: str, bench: Bench) -> list[str]:
    """The reeds of "22/23/24", all of them there; none where it is one that bore a tag before, or may be a day."""
    pieces = text.split("/")
    day = int(pieces[1]) <= _LATEST_MONTH if len(pieces) > 1 and pieces[1].isdecimal() else True
    if day or not all(piece.isdecimal() and len(piece) < LONGEST_TAG for piece in pieces):
        return []
    there = bench.find(text) is None and all(bench.find(piece) is not None for piece in pieces)
    return pieces if there else []


def _usual(text: str) -> str:
    """Tags in the ways people put them: "(12)", "1+3", "1..3"."""
    text = text.strip("()") if text[0] == "(" or text[:-1].isdecimal() else text
    text = re.sub(r"(?<=\d)(?:\.\.+|…)(?=\d)", "-", text)
    return re.sub(r"(?<=\d)[+&](?=\d)", ",", text) or text


def unstopped(tag: str, written: str, bench: Bench) -> str:
    """A tag without a stop behind it, unless a reed is called so, or it is marked as a tag: "7:"."""
    return tag if written[0] == "#" or bench.find(tag) is not None else plain(tag)


def _tag_words(segment: Sequence[Token], bench: Bench) -> int:
    """How many words at the beginning of a clause are tags or a reed's name."""
    if segment[0].kind != "word":
        return 0
    count = 0
    while count < len(segment) and segment[count].kind == "word":
        text = segment[count].text
        joined = count and segment[count - 1].text.endswith(",")
        if _measured(segment, count, bench) or (count and _DAY.fullmatch(text)):
            break  # 7 45 min; 7 3.5. p 45
        if count and not joined and text[-1] == "," and text[:-1].isalpha() and bench.find(text[:-1]) is None:
            break  # 7 stuffy, clip more
        if not (_surely_tags(text) or (joined and in_full(plain(text)) is None and plain(text) not in BY_LETTER)):
            further = segment[count + 1].text if count + 1 < len(segment) else ""
            numbers = count and further and further[0].isdecimal() and segment[count + 1].kind == "word"
            if not (numbers and text.lower() in (*JOINING, *THROUGH)):
                break
            count += 1
        count += 1
    if count or _measured(segment, 0, bench):
        return count
    for length in range(min(_LONGEST_NAME, len(segment)), 1, -1):
        if bench.tags.named(" ".join(token.text for token in segment[:length])) is not None:
            return length
    return int(_may_be_tag(segment, bench))


_LASTING = re.compile(r"\d+(?:[.,]\d+)?(?:h\d*|min|mins|')[.,]?")
_DAY = re.compile(r"\d{1,2}\.\d{1,2}\.(?:\d{4}|\d\d)?")
_AMOUNT = re.compile(r"\d+(?:[.,]\d+)?")
_IN_MM = re.compile(r"\d+(?:[.,]\d+)?mm[.,]?")


def _measured(segment: Sequence[Token], place: int, bench: Bench) -> bool:
    """Whether a number is a measure, with its unit behind it: letters alone may be verbs, "7 8 h to Ann"."""
    text = segment[place].text.lower()
    behind = segment[place + 1].text.lower().rstrip(",.") if place + 1 < len(segment) else ""
    unit = len(behind) > 1 and behind != "in" and (unit_named(behind) is not None or behind in ("cent", "cents"))
    glued = _LASTING.fullmatch(text) or _IN_MM.fullmatch(text)
    return (bench.find(segment[place].text) is None and glued is not None) or (
        unit and _AMOUNT.fullmatch(text) is not None
    )


def _surely_tags(text: str) -> bool:
    """Whether a word at the beginning of a clause can only be tags: "142", "#eva", "143,eva", "eva/2"."""
    if text[0].isdecimal() or (text[0] in "#(" and text[1:2].isdecimal()) or (text[0] == "#" and len(text) > 1):
        return True
    if text.endswith(",") and verbs_beginning(plain(text)):
        return False
    return ("," in text or "/" in text) and len(unglued(Token(text, 0, len(text)))) == 1


def _may_be_tag(segment: Sequence[Token], bench: Bench) -> bool:
    """Whether the first word is a reed's tag or name rather than a verb: a word that is a verb in full never is."""
    text = segment[0].text.lower()
    if text in BY_WORD or text in BY_LETTER:
        return False
    next_ = plain(segment[1].text.lower()) if len(segment) > 1 and segment[1].kind == "word" else ""
    follows = len(verbs_beginning(unglued(Token(next_, 0, len(next_)))[0].text)) == 1
    if not verbs_beginning(unglued(segment[0])[0].text):
        return follows or bench.find(text) is not None
    begins_one = next_ in BY_WORD and begins(BY_WORD[next_].kind)
    return follows and (begins_one or bench.find(text) is not None)
