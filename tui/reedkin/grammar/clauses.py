"""The parts of an entry line: when it happened, and between the semicolons which reeds, which verb, which facts.

As she writes it: a tag may stand behind its verb and a day without an @, small words are stepped over. What could be
a reed or a fact, a word or a day, is asked.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

from reedkin.bench.bench import Bench
from reedkin.domain.facts import FACTS, begins
from reedkin.domain.reeds import HANDED_OVER
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.grammar.behind_verb import FactsRead
from reedkin.grammar.facts import read_facts
from reedkin.grammar.rephrased import rephrased
from reedkin.grammar.spoken import BEFORE_VERB, CALLED
from reedkin.grammar.tags import expand, tag_problem
from reedkin.grammar.tokens import Problem, Token, cited, segments, tokens
from reedkin.grammar.verbs import ALSO, BY_LETTER, BY_WORD, CAUSE_WORDS, Verb, in_full, verb_taking, verbs_beginning
from reedkin.grammar.when import TwoMeaningsError, When, moment_in, parse_when

NOTE = BY_WORD["note"]
LONGEST_LINE, MOST_WORDS = 10_000, 300
"""Characters of a line, and words that stand outside of quotation marks: more were pasted by mistake, and reading them
anew at every key would take a while."""
_LONGEST_WHEN = 8
_LONGEST_NAME = 4
_DECIMAL_COMMA = re.compile(r"\d+,\d+")
_LONGEST_WORD = 30
"""A longer one is a key that was held down."""
_GLUED = re.compile(r"([a-z]+)([.,]?\d.*)", re.IGNORECASE)


_TOO_LONG = (
    f"a line has at most {LONGEST_LINE:,} characters, and {MOST_WORDS} words besides a note in quotation marks; "
    "this is longer: share it out among several"
)


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
    read: FactsRead | None = None
    """What its words say; None where it has no verb, or speaks of a thing beside the reeds."""


@dataclass(frozen=True, slots=True)
class Parts:
    """A whole line: its clauses and its time."""

    clauses: tuple[Clause, ...]
    when: When | None = None
    problems: tuple[Problem, ...] = ()


def parts_of(line: str, bench: Bench) -> Parts:
    """Take a line apart. The bench tells which words are tags and names. Never fails: problems are in the result."""
    found = tokens(line) if len(line) <= LONGEST_LINE else []
    if len(line) > LONGEST_LINE or len(found) > MOST_WORDS:
        return Parts((), problems=(Problem(0, len(line), _TOO_LONG),))
    when, rest, problems = _when(found, bench)
    clauses: list[Clause] = []
    moments: list[_Moment] = []
    for segment in segments(rest):
        words, asked = rephrased(segment, bench)
        problems += asked
        reader = _ClauseReader(words, bench, when, tagged=any(c.tags for c in clauses))
        clauses.append(reader.clause())
        moments += reader.moments
    if clauses and found[-1].kind != "semicolon":
        clauses[-1] = replace(clauses[-1], final=True)
    for said, start, end in moments:
        if when is not None:
            problems.append(Problem(start, end, "the time is given twice"))
        elif said.doubt:
            problems.append(Problem(start, end, said.doubt, "odd"))
        when = when or said
    return Parts(tuple(clauses), when, tuple(problems))


_Moment = tuple[When, int, int]
"""When something happened, and where that stands."""


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
        said, count, two = _moment(words, bench)
        place += count or len(words)
        end = words[(count or len(words)) - 1].end if words else token.end
        if said is None:
            message = two or "when? write @10:30, @yesterday, @yesterday 18:00, @12 March or @2026-03-12"
            problems.append(Problem(token.start, end, message, open=place == len(found)))
        elif when is not None:
            problems.append(Problem(token.start, end, "the time is given twice"))
        elif said.doubt:
            problems.append(Problem(token.start, end, said.doubt, "odd"))
        when = when or said
    return when, rest, problems


def _moment(words: Sequence[Token], bench: Bench) -> tuple[When | None, int, str]:
    """The moment that the most words give, and how many they are; or why it could be two."""
    for count in range(len(words), 0, -1):
        try:
            return parse_when(" ".join(w.text for w in words[:count]), bench.clock), count, ""
        except TwoMeaningsError as two:
            return None, count, str(two)
        except InputError:
            continue
    return None, 0, ""


# A clause


class _ClauseReader:
    """Reads what stands between two semicolons. `tagged` says that the line has named reeds before."""

    def __init__(self, segment: Sequence[Token], bench: Bench, when: When | None, tagged: bool) -> None:
        self.bench, self.when, self.tagged = bench, when, tagged
        self.segment, self.rest = segment, list(segment)
        self.moments: list[_Moment] = []
        self.problems: list[Problem] = []

    def clause(self) -> Clause:
        self._step_over()
        tags = self._tags_before()
        if tags:
            self._step_over()
        if not self.rest:
            return Clause(tuple(tags), problems=tuple(self.problems))
        first = self.rest[0]
        if first.kind == "quote":
            return self._with_facts(tags, first, NOTE, self.rest)
        head, verb, words = self._verb(bool(tags))
        if verb is None:
            return Clause(tuple(tags), head, None, tuple(words), tuple(self.problems))
        if verb.table is not None:
            return Clause(tuple(tags), head, verb, tuple(words), tuple(self.problems))
        return self._with_facts(tags, head, verb, words)

    # Before the verb

    def _step_over(self) -> None:
        """Step over a day or a time, and over small words, that stand before what the clause says."""
        while len(self.rest) > 1 and self.rest[0].kind == "word":
            first = self.rest[0]
            texts = [t.text for t in self.rest if t.kind == "word"]
            found = moment_in(texts, self.bench.clock)
            small = first.text.lower() in BEFORE_VERB and not first.text.isdecimal()
            if found is None and not small:
                return
            if self.bench.find(first.text) is not None and not first.text[0].isdecimal():
                if found is not None:
                    message = f"{first.text} is taken as the reed; for the day write @{first.text.lower()}"
                    self.problems.append(Problem(first.start, first.end, message, "odd"))
                return
            if found is not None and (found[1] < len(self.rest) or not small):
                self.moments.append((found[0], first.start, self.rest[found[1] - 1].end))
            del self.rest[: found[1] if found is not None else 1]
            if self.rest and self.rest[0].text in (",", ":", "-"):
                del self.rest[0]

    def _tags_before(self) -> list[Tag]:
        """The tags that the rest of the clause begins with, which are taken off it."""
        if not self.rest or self.rest[0].kind != "word":
            return []
        if self._text(0).lower() == "reed" and self._called(1):
            del self.rest[0]  # reed no. 7
        called = self._called(0)
        if called == "no" and len(self.rest) == len(self.segment) and verbs_beginning(_plain(self._text(2))):
            first = self.rest[0]
            self.problems.append(
                Problem(first.start, self.rest[1].end, f"no could be note, or the number of a reed: write n, or "
                        f"{_plain(self._text(1))} {_plain(self._text(2))}")
            )  # fmt: skip
        elif called and (called != "no" or len(self.rest) < len(self.segment)):
            del self.rest[0]
        tags, count, problems = _tags(self.rest, self.bench)
        self.problems += problems
        del self.rest[:count]
        return tags

    def _text(self, place: int) -> str:
        return self.rest[place].text if place < len(self.rest) and self.rest[place].kind == "word" else ""

    def _called(self, place: int) -> str:
        """The word "reed" or "no." at `place`, where a tag stands behind it."""
        word = self._text(place).lower()
        behind = self._text(place + 1)
        sure = behind and (behind[0].isdecimal() or self.bench.find(_plain(behind)) is not None)
        return word if word in CALLED and sure and self.bench.find(word) is None else ""

    # The verb

    def _verb(self, tagged: bool) -> tuple[Token, Verb | None, list[Token]]:
        head, words = _unglued(self.rest[0]), list(self.rest[1:])
        if len(head) > 1:
            words = [head[1], *words]
        first = replace(head[0], text=_plain(head[0].text))
        if first.text.lower() in ("came", "come", "back") and (first.text == "back" or _word(words, 0) == "back"):
            return first, BY_WORD["return"], words[first.text != "back" :]
        if first.text.lower() in CAUSE_WORDS and (tagged or first.text.lower() == "worn"):
            if first.text.lower() in _ALSO_REMARKS:
                message = f"{first.text} ends its life; if it is but a remark, write note {first.text}"
                self.problems.append(Problem(first.start, first.end, message, "odd"))
            return first, BY_WORD["retire"], [first, *words]
        fits = verbs_beginning(first.text)
        if len(fits) == 1:
            return first, fits[0], words
        if tagged and not fits and self._may_be_note(first, words):
            said = " ".join(t.text for t in self.rest if t.kind == "word")
            message = f"{cited(said)}: no verb; as a note?"
            self.problems.append(Problem(first.start, self.rest[-1].end, message, "odd", offer=True))
            return first, NOTE, list(self.rest)
        self.problems.append(_no_verb(first, fits))
        return first, None, words

    def _may_be_note(self, first: Token, words: Sequence[Token]) -> bool:
        """Whether words that are no verb can be offered as a note: none is nearly a verb, none holds a digit."""
        text = first.text.lower()
        near = get_close_matches(text, [*BY_WORD, *ALSO], 1, 0.75) or verb_taking(text) or text == "take"
        return (
            not near and 1 < len(text) < _LONGEST_WORD and not any(c.isdigit() for t in (first, *words) for c in t.text)
        )

    # Facts, and tags behind the verb

    def _read(self, verb: Verb, words: Sequence[Token], head: Token) -> FactsRead:
        now = self.when.at if self.when is not None else self.moments[0][0].at if self.moments else None
        return read_facts(verb, words, self.bench.clock, now, head)

    def _with_facts(self, tags: list[Tag], head: Token, verb: Verb, words: Sequence[Token]) -> Clause:
        words = list(words)
        if not tags and head.kind == "word":
            tags = self._called_behind(verb, words)
        read = self._read(verb, words, head)
        if not tags and head.kind == "word":
            tags, words, read = self._tags_behind(head, verb, words, read)
        self.moments += read.moments
        return Clause(tuple(tags), head, verb, tuple(words), tuple(self.problems), read=read)

    def _called_behind(self, verb: Verb, words: list[Token]) -> list[Tag]:
        """The tags behind "reed", "no." or "on", and those with a mark, which are taken off the words: anywhere behind
        a verb of facts, right behind one that takes the maker's own words."""
        takes_tube = any(s.fact == "tube" for s in verb.slots)
        for place in range(len(words) - 2):
            if _word(words, place) == "reed" and _word(words, place + 1) in CALLED:
                del words[place]  # reed no. 7
                break
        for place, token in enumerate(words if verb.text is None else words[:1]):
            if token.kind != "word":
                continue
            text, behind = token.text.lower(), _word(words, place + 1)
            if text[0] == "#" and len(text) > 1 and (not takes_tube or not place):
                called = 0
            elif (text in CALLED and behind and (behind[0].isdecimal() or self.bench.find(_plain(behind)))) or (
                text == "on" and behind and _plain(behind).isdecimal() and verb.text is None and not takes_tube
                and moment_in([t.text for t in words[place:]], self.bench.clock) is None
            ):  # fmt: skip
                called = 1
            else:
                continue
            tags, count, problems = _tags(words[place + called :], self.bench, one=text not in CALLED and called == 0)
            if tags:
                self.problems += problems
                del words[place : place + called + count]
                return tags
        return []

    def _tags_behind(
        self, head: Token, verb: Verb, words: list[Token], read: FactsRead
    ) -> tuple[list[Tag], list[Token], FactsRead]:
        """Tags without a mark behind the verb, where the words make no sense without them; a number that can be both,
        a living reed and a fact, is asked."""
        as_is: tuple[list[Tag], list[Token], FactsRead] = ([], words, read)
        own_words = verb.text is not None
        sensible = read.sound and not (verb.kind == "noted" and not read.note)
        first = self._living(words, 0, verb)
        for token in words:
            asked = any(p.start <= token.start and token.end <= p.end for p in read.problems)
            if not own_words and asked and not token.text[0].isdecimal() and self._tags_in(token, verb):
                sensible = False  # a reed's name is no note
        if sensible and first is None:
            return as_is
        if sensible and first is not None:
            tags, count = first
            taken = self._taken(tags, words, 0, count, head, verb)
            if own_words and verb.kind != "noted":
                return self._of_own_words(tags, taken, read, verb)
            if all(tag.text.isdecimal() for tag in tags) and self._worth_asking(head, verb, read):
                name = ", ".join(tag.text for tag in tags)
                rest = cited(" ".join(t.text for t in words[count:])) or "…"
                what = "part of the note" if verb.kind == "noted" else "a fact"
                self._ask(tags, f"{name} is taken for {what}; for reed {name} write {name} {head.text} {rest}")
            return as_is
        found = [
            (self._taken(living[0], words, place, living[1], head, verb), living[0])
            for place in range(len(words))
            if (living := self._living(words, place, verb)) is not None
        ]
        sound = [(taken, tags) for taken, tags in found if taken[2].sound]
        if len(sound) > 1:
            names = [", ".join(t.text for t in tags) for _, tags in sound]
            message = f"which is the reed, {' or '.join(names)}? write its tag before {head.text}"
            self.problems.append(Problem(words[0].start, words[-1].end, message))
            return as_is
        if not sound:
            return as_is
        taken, tags = sound[0]
        if len(tags) == 2 and _DECIMAL_COMMA.fullmatch(tags[0].token.text):
            self._ask(tags, f"{tags[0].token.text} is taken for reeds {tags[0].text} and {tags[1].text}")
        return taken

    def _ask(self, tags: Sequence[Tag], message: str) -> None:
        self.problems.append(Problem(tags[0].token.start, tags[-1].token.end, message, "odd"))

    def _worth_asking(self, head: Token, verb: Verb, read: FactsRead) -> bool:
        """Whether a number right behind the verb that is a living reed's tag may well be meant as that: where it is odd
        as a fact, or a note would begin with it. A line that has named its reeds goes on with them."""
        odd = any(FACTS[name].odd(value) for name, value in read.facts.items() if name in FACTS)
        return not self.tagged and (odd or (verb.kind == "noted" and in_full(head.text) is not None))

    def _of_own_words(
        self, tags: list[Tag], taken: tuple[list[Tag], list[Token], FactsRead], read: FactsRead, verb: Verb
    ) -> tuple[list[Tag], list[Token], FactsRead]:
        """A tag right behind a verb that takes the maker's own words is the reed, which is asked; a number that the
        verb has a use for stays that, unless there is another."""
        name = ", ".join(tag.text for tag in tags)
        counted = {s.fact for s in verb.slots if s.bare} & read.facts.keys()
        if counted and not counted & taken[2].facts.keys():
            self._ask(tags, f"{name} is taken for a fact; for reed {name} write {name} {verb.word}")
            return [], [*(tag.token for tag in tags[:1]), *taken[1]], read
        away = [self.bench.find(tag.text) for tag in tags]
        if not counted and not (verb.kind == "returned" and all(r and r.stage == HANDED_OVER for r in away)):
            self._ask(tags, f"{name} is taken for the reed; if it is part of the text, put that in quotes")
        return taken

    def _taken(
        self, tags: list[Tag], words: Sequence[Token], place: int, count: int, head: Token, verb: Verb
    ) -> tuple[list[Tag], list[Token], FactsRead]:
        """The clause without the tags that stand among its words."""
        rest = [*words[:place], *words[place + count :]]
        return tags, rest, self._read(verb, rest, head)

    def _living(self, words: Sequence[Token], place: int, verb: Verb) -> tuple[list[Tag], int] | None:
        """The tags that the words from `place` on are of reeds that this verb can be said of, and how many words they
        take: of those at work or handed over, for a beginning those that are free. A further one needs a comma or
        "and" before it."""
        unit = _word(words, place + 1)
        if (begins(verb.kind) and place) or unit_named(unit) is not None or unit == "turns":
            return None
        tags: list[Tag] = []
        count = 0
        while place + count < len(words) and words[place + count].kind == "word":
            token = words[place + count]
            found = self._tags_in(token, verb)
            if not found:
                break
            tags += found
            count += 1
            joined = _word(words, place + count) in ("and", "&", "+")
            further = place + count + joined
            if not (joined or token.text.endswith(",")) or further >= len(words):
                break
            if not self._tags_in(words[further], verb):
                break
            count += joined
        return (tags, count) if tags else None

    def _tags_in(self, token: Token, verb: Verb) -> list[Tag]:
        """The tags that a word lists, if each can be said of this verb."""
        try:
            named = [Tag(_unstopped(text, token.text, self.bench), token) for text in expand(token.text)]
        except InputError:
            return []
        return named if token.kind == "word" and all(self._can_be(tag.text, verb) for tag in named) else []

    def _can_be(self, text: str, verb: Verb) -> bool:
        if begins(verb.kind):
            return text.isdecimal() and tag_problem(text) is None and self.bench.tags.is_free(text)
        reed = self.bench.find(text)
        return reed is not None and (reed.at_work or reed.stage == HANDED_OVER)


def _plain(text: str) -> str:
    """A word without the stop behind it."""
    return text.rstrip(",:.!") or text


def _word(words: Sequence[Token], place: int) -> str:
    return words[place].text.lower() if place < len(words) and words[place].kind == "word" else ""


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
    near = get_close_matches(text, [*BY_WORD, *ALSO], 1)
    if near:
        return f"did you mean {near[0]}?"
    return "verbs are tie, scrape, clip, wire, play, note and others; a note stands in quotes"


def _tags(segment: Sequence[Token], bench: Bench, one: bool = False) -> tuple[list[Tag], int, list[Problem]]:
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
        text = token.text
        if text.lower() in _JOINING or text.lower() in CALLED:
            continue
        if text.lower() in _THROUGH and tags and place < count:
            text = f"{tags.pop().text}-{_plain(segment[place].text)}"
            place += 1
        try:
            if "/" in text and "," not in text:
                tags.append(Tag(text.removeprefix("#"), token))
            else:
                tags += [Tag(_unstopped(tag, text, bench), token) for tag in expand(text)]
        except InputError as error:
            problems.append(Problem(token.start, token.end, str(error)))
    return list({tag.text.casefold(): tag for tag in tags}.values()), count, problems


_ALSO_REMARKS = ("flat", "leaking", "chipped", "mouldy", "moldy", "dropped", "closed")
"""Causes of the end that may be said of a reed which goes on."""
_JOINING = ("and", "&", "+")
_THROUGH = ("to", "till", "through", "-", "–")


def _unstopped(tag: str, written: str, bench: Bench) -> str:
    """A tag without a stop behind it, unless a reed is called so, or it is marked as a tag: "7:"."""
    return tag if written[0] == "#" or bench.find(tag) is not None else _plain(tag)


def _tag_words(segment: Sequence[Token], bench: Bench) -> int:
    """How many words at the beginning of a clause are tags or a reed's name."""
    if segment[0].kind != "word":
        return 0
    count = 0
    while count < len(segment) and segment[count].kind == "word":
        text = segment[count].text
        joined = count and segment[count - 1].text.endswith(",")
        if not (_surely_tags(text) or (joined and in_full(_plain(text)) is None)):
            further = segment[count + 1].text if count + 1 < len(segment) else ""
            numbers = count and further and further[0].isdecimal() and segment[count + 1].kind == "word"
            if not (numbers and text.lower() in (*_JOINING, *_THROUGH)):
                break
            count += 1
        count += 1
    if count:
        return count
    for length in range(min(_LONGEST_NAME, len(segment)), 1, -1):
        if bench.tags.named(" ".join(token.text for token in segment[:length])) is not None:
            return length
    return int(_may_be_tag(segment, bench))


def _surely_tags(text: str) -> bool:
    """Whether a word at the beginning of a clause can only be tags: "142", "#eva", "143,eva", "eva/2"."""
    if text[0].isdecimal() or (text[0] == "#" and len(text) > 1):
        return True
    if text.endswith(",") and verbs_beginning(_plain(text)):
        return False
    return ("," in text or "/" in text) and len(_unglued(Token(text, 0, len(text)))) == 1


def _may_be_tag(segment: Sequence[Token], bench: Bench) -> bool:
    """Whether the first word is a reed's tag or name rather than a verb: a word that is a verb in full never is."""
    text = segment[0].text.lower()
    if text in BY_WORD or text in BY_LETTER:
        return False
    next_ = _plain(segment[1].text.lower()) if len(segment) > 1 and segment[1].kind == "word" else ""
    follows = len(verbs_beginning(_unglued(Token(next_, 0, len(next_)))[0].text)) == 1
    if not verbs_beginning(_unglued(segment[0])[0].text):
        return follows or bench.find(text) is not None
    begins_one = next_ in BY_WORD and begins(BY_WORD[next_].kind)
    return follows and (begins_one or bench.find(text) is not None)
