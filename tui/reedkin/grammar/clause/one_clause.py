"""One clause of an entry line: which reeds, which verb, which facts.

As she writes it: a tag may stand behind its verb and a day without an @, small words are stepped over. What could be
a reed or a fact, a word or a day, is asked.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import NamedTuple

from reedkin.bench.bench import Bench
from reedkin.domain.facts import FACTS, KINDS, begins
from reedkin.errors import InputError
from reedkin.grammar.clause.as_a_whole import MAY_GO_ON
from reedkin.grammar.clause.behind_verb import FactsRead
from reedkin.grammar.clause.edge_days import PART_OF_TEXT
from reedkin.grammar.clause.facts import read_facts
from reedkin.grammar.clause.reeds_behind import ReedsBehind
from reedkin.grammar.clause.unnamed_reeds import all_of_them, counted
from reedkin.grammar.when.days import When, moment_in, parse_when
from reedkin.grammar.when.moments import Moment
from reedkin.grammar.words.heads import measured_by, near_verbs, no_verb, plain, unglued, unpossessed
from reedkin.grammar.words.measures import is_numeric
from reedkin.grammar.words.reeds_named import Tag, tags_at
from reedkin.grammar.words.spoken import BEFORE_VERB, CALLED
from reedkin.grammar.words.tokens import LONGEST_WORD, Problem, Token, cited, word_at
from reedkin.grammar.words.verbs import BY_WORD, CAUSE_WORDS, Verb, in_full, verb_taking, verbs_beginning
from reedkin.grammar.words.vocabulary import named_choices

NOTE = BY_WORD["note"]
_OF_A_DAY = ("payments", "lots", "tubes")
"""Tables beside the reeds of which a day that is said is when it happened, not when something is due."""
_DONE_TO_IT = ("cracked", "chipped", "dropped", "lost")
"""Causes of the end that may stand before the reed: "lost 7"."""
_REMARKS = frozenset((
    "no", "not", "too", "so", "in", "went", "hard", "late", "rather", "cold", "left", "corner", "same", "plays",
    "notes", "three", "hated", "should", "slipped", "knot", "stable", "old", "stale", "smell", "smells",
    "sound", "colour", "color", "dies", "dying", "long", "deep", "choppy", "failed", "ripped", "short", "skipped",
    "popped", "needs", "lean",
))  # fmt: skip
"""Words that begin a remark, and are no slip of a verb although one is spelt nearly so."""
_NO_NOTE = ("no", "not", "so")
"""Words that are no short form of a verb where more stands behind them: "no good" is no note "good"."""
_GIVING = ("gave", "gives", "given")
_NO_GIVING = ("up", "out", "way", "in")
"""Words behind those of a reed that was not given to anybody."""
_THINGS = ("wire", "tube", "tubing")
"""Verbs that are things as well, of which something may be said: "wire loose"."""
_MAYBE_A_SLIP, _SURELY_A_SLIP = 0.75, 0.85
_GLUED_TAG = re.compile(r"(?:reed|no\.?|nr\.?)(\d+)[:,.]?", re.IGNORECASE)
_DAY_AS_HEADING = re.compile(r"\d{1,2}/\d{1,2}:")
_PITCH = re.compile(r"[A-G][#b♯♭]?(?:[3-6]|[3-6]?[+-](?:\d\dc?|\dc))")
"""A note with its octave, or with how far off it is, as one writes it: a crow, where no verb stands. In small letters
"c5" is a clip."""


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
    when: When | None = None
    """When it happened, where the clauses of the line have times of their own."""


class ClauseRead(NamedTuple):
    """A clause, the words that it was read of, and what was said in it of the time or is wrong with it before it is
    one."""

    clause: Clause
    words: Sequence[Token]
    moments: list[Moment]
    problems: Sequence[Problem]

    @property
    def read(self) -> FactsRead:
        """What its words say, of one that has a verb and speaks of reeds."""
        assert self.clause.read is not None
        return self.clause.read


class ClauseReader:
    """Reads what stands between two semicolons. `tagged` says that the line has named reeds before."""

    def __init__(self, segment: Sequence[Token], bench: Bench, when: When | None, tagged: bool) -> None:
        self.bench, self.when, self.tagged = bench, when, tagged
        self.segment, self.rest = segment, list(segment)
        self.stepped: list[Token] = []
        """Small words right before what the clause says, which belong to a note."""
        self.tags: list[Tag] = []
        self.moments: list[Moment] = []
        self.problems: list[Problem] = []

    def clause(self) -> Clause:
        self._step_over()
        tags = self.tags = self._tags_before()
        if tags:
            self.stepped.clear()
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
            words = self._without_day(words) if verb.table in _OF_A_DAY else words
            return Clause(tuple(tags), head, verb, tuple(words), tuple(self.problems))
        return self._with_facts(tags, head, verb, words)

    # Before the verb

    def _step_over(self) -> None:
        """Step over a day or a time, and over small words, that stand before what the clause says."""
        while len(self.rest) > 1 and self.rest[0].kind == "word":
            first = self.rest[0]
            texts = [t.text for t in self.rest if t.kind == "word"]
            found = moment_in(texts, self.bench.clock) or self._heading(first.text)
            small = first.text.lower() in BEFORE_VERB and not first.text.isdecimal() and not self._begun_by_letter()
            if found is None and not small:
                return
            if self.bench.find(first.text) is not None and not first.text[0].isdecimal():
                if found is not None:
                    message = f"{first.text} is taken as the reed; for the day write @{first.text.lower()}"
                    self.problems.append(Problem(first.start, first.end, message, "odd"))
                return
            if found is not None and (found[1] < len(self.rest) or not small):
                self.moments.append((found[0], first.start, self.rest[found[1] - 1].end))
                self.stepped.clear()
            elif small:
                self.stepped.append(first)
            del self.rest[: found[1] if found is not None else 1]
            if self.rest and self.rest[0].text in (",", ":", "-"):
                del self.rest[0]

    def _begun_by_letter(self) -> bool:
        """Whether "a" is the tag of a new reed, though else it says nothing: "A tie oboe 72"."""
        verb = in_full(self._text(1)) if self._text(0).lower() == "a" else None
        return verb is not None and begins(verb.kind)

    def _heading(self, text: str) -> tuple[When, int] | None:
        """ "11/23:", the day as a heading; without the colon it may be a reed's tag."""
        if _DAY_AS_HEADING.fullmatch(text) is None:
            return None
        try:
            return parse_when(text, self.bench.clock), 1
        except InputError:
            return None

    def _tags_before(self) -> list[Tag]:
        """The tags that the rest of the clause begins with, which are taken off it."""
        if not self.rest or self.rest[0].kind != "word":
            return []
        if self._text(0).lower() == "reed" and self._called(1):
            del self.rest[0]  # reed no. 7
        glued = _GLUED_TAG.fullmatch(self._text(0))
        if glued is not None and self.bench.find(glued[0]) is None and self.bench.find(glued[1]) is not None:
            self.rest[0] = replace(self.rest[0], text=glued[1])  # reed7
        base = unpossessed(self._text(0))
        if base != self._text(0) and self.bench.find(self._text(0)) is None and self.bench.find(base) is not None:
            self.rest[0] = replace(self.rest[0], text=base)  # 7's tip is thick
        called = self._called(0)
        if called == "no" and len(self.rest) == len(self.segment) and verbs_beginning(plain(self._text(2))):
            first = self.rest[0]
            self.problems.append(
                Problem(first.start, self.rest[1].end, f"no could be note, or the number of a reed: write n, or "
                        f"{plain(self._text(1))} {plain(self._text(2))}")
            )  # fmt: skip
        elif called and (called != "no" or len(self.rest) < len(self.segment)):
            del self.rest[0]
        tags, count, problems = tags_at(self.rest, self.bench)
        self.problems += problems
        del self.rest[:count]
        return tags

    def _text(self, place: int) -> str:
        return self.rest[place].text if place < len(self.rest) and self.rest[place].kind == "word" else ""

    def _called(self, place: int) -> str:
        """The word "reed" or "no." at `place`, where a tag stands behind it."""
        word = self._text(place).lower()
        behind = self._text(place + 1)
        sure = behind and (behind.removeprefix("#")[:1].isdecimal() or self.bench.find(plain(behind)) is not None)
        return word if word in CALLED and sure and self.bench.find(word) is None else ""

    # The verb

    def _verb(self, tagged: bool) -> tuple[Token, Verb | None, list[Token]]:
        head, words = unglued(self.rest[0]), list(self.rest[1:])
        if len(head) > 1:
            words = [head[1], *words]
        first = replace(head[0], text=plain(head[0].text))
        if first.text.lower() in ("came", "come", "back") and (first.text == "back" or word_at(words, 0) == "back"):
            return first, BY_WORD["return"], words[first.text != "back" :]
        of_reed = not tagged and first.text.lower() in _DONE_TO_IT and self._reed_at(words)
        if first.text.lower() in CAUSE_WORDS and (tagged or of_reed or first.text.lower() == "worn"):
            if tagged and first.text.lower() == "lost" and word_at(words, 0) == "its":
                return self._as_note(first)
            if first.text.lower() == "flat" and self._goes_on(words):
                said = " ".join(t.text for t in (first, *words) if t.kind == "word")
                message = f"{cited(said)}: keep it as a note? if it ended its life, write retire flat"
                self.problems.append(Problem(first.start, words[-1].end, message, "odd", offer=True))
                return first, NOTE, [*self.stepped, first, *words]
            if not of_reed and _may_go_on(first.text.lower()):
                message = f"{first.text} ends its life; if it is but a remark, write note {first.text}"
                self.problems.append(Problem(first.start, first.end, message, "odd"))
            return first, BY_WORD["retire"], [first, *words]
        if _PITCH.fullmatch(self.rest[0].text):
            return first, BY_WORD["crow"], list(self.rest)
        short = first.text.lower()
        remark = short in _NO_NOTE and word_at(words, 0) != "" and not (short == "so" and is_numeric(words[0]))
        fits = () if remark else verbs_beginning(first.text)
        given_up = tagged and short in _GIVING and plain(word_at(words, 0)) in _NO_GIVING
        if given_up or (len(fits) == 1 and short in _THINGS and self._said_of_it(fits[0], words, first)):
            return self._as_note(first)
        if len(fits) == 1:
            return first, fits[0], words
        if (measure := measured_by(self.rest)) is not None:
            return first, measure, list(self.rest)
        if tagged and not fits and self._may_be_note(first, words):
            return self._as_note(first)
        self.problems.append(no_verb(first, fits, tagged, words))
        return first, None, words

    def _as_note(self, first: Token) -> tuple[Token, Verb, list[Token]]:
        """All that the clause says as a note, which is asked."""
        note = [*self.stepped, *self.rest]
        said = " ".join(t.text for t in note if t.kind == "word")
        message = f"{cited(said)}: no verb known here; keep it as a note?"
        self.problems.append(Problem(note[0].start, note[-1].end, message, "odd", offer=True))
        return first, NOTE, note

    def _said_of_it(self, verb: Verb, words: Sequence[Token], head: Token) -> bool:
        """Whether what stands behind the name of a thing is but a remark about it."""
        read = self._read(verb, words, head)
        return read.sound and not read.facts and any(problem.offer for problem in read.problems)

    def _slip_of(self, text: str, words: Sequence[Token], head: Token) -> bool:
        """Whether a word is a slip of a verb, which is so only where the line makes sense with that: "is tired" of a
        reed that is there is no tying."""
        near = near_verbs(text, _MAYBE_A_SLIP) if text not in _REMARKS else ()
        swapped = [word for word in near if sorted(word) == sorted(text)]  # reitre
        return any(self._makes_sense(word, text, words, head) for word in (swapped or near)[:1])

    def _makes_sense(self, word: str, text: str, words: Sequence[Token], head: Token) -> bool:
        verb = in_full(word)
        if verb is None or verb.table is not None:
            return True
        if begins(verb.kind):
            return not all(self.bench.find(tag.text) is not None for tag in self.tags)
        read = self._read(verb, words, head)
        lacks = KINDS[verb.kind].missing(read.facts) is not None and not read.problems
        close = bool(get_close_matches(text, [word], 1, _SURELY_A_SLIP))
        return read.sound and not any(p.offer for p in read.problems) and (close or not lacks)

    def _goes_on(self, words: Sequence[Token]) -> bool:
        """Whether more than a day is said behind a cause: "flat all evening"."""
        said = [token.text for token in words if token.kind == "word"]
        found = moment_in(said, self.bench.clock) if said else None
        return len(said) == len(words) and bool(said) and (found is None or found[1] < len(said))

    def _reed_at(self, words: Sequence[Token]) -> bool:
        """Whether a reed stands right there: "cracked 7", "lost reed 7"."""
        called = word_at(words, 0) in CALLED
        named = plain(word_at(words, int(called))).removeprefix("#")
        return bool(named) and (named[0].isdecimal() or called) and self.bench.find(named) is not None

    def _may_be_note(self, first: Token, words: Sequence[Token]) -> bool:
        """Whether words that are no verb can be offered as a note: none is nearly a verb, none holds a digit."""
        text = first.text.lower()
        taking = verb_taking(text, flags=False)
        known = taking is not None and taking.table is None and not any(t.kind == "word" for t in words)
        near = self._slip_of(text, words, first) or get_close_matches(text, CAUSE_WORDS, 1, 0.85)  # crakced
        return (
            not known
            and text not in ("take", "found")
            and (
                not near
                and (1 < len(text) < LONGEST_WORD or (text == "a" and bool(words)))
                and not any(c.isdigit() for t in _without_cents((first, *words)) for c in t.text)
            )
        )

    def _without_day(self, words: list[Token]) -> list[Token]:
        """The words about a thing beside the reeds without the day on which it happened: "paid Ann 30 on monday"."""
        end = next((n for n, word in enumerate(words) if word.kind == "quote"), len(words))
        for place in range(1, end):
            before = word_at(words, place - 1)
            found = moment_in([word.text for word in words[place:end]], self.bench.clock)
            if found is not None and before not in PART_OF_TEXT and place + found[1] == end:
                self.moments.append((found[0], words[place].start, words[end - 1].end))
                return [*words[:place], *words[end:]]
        return words

    # Facts, and tags behind the verb

    def _read(self, verb: Verb, words: Sequence[Token], head: Token) -> FactsRead:
        now = self.when.at if self.when is not None else self.moments[0][0].at if self.moments else None
        return read_facts(verb, words, self.bench.clock, now, head)

    def _with_facts(self, tags: list[Tag], head: Token, verb: Verb, words: Sequence[Token]) -> Clause:
        words, behind = list(words), ReedsBehind(self.bench, self.tagged, self._read, self.problems)
        unnamed = None if tags or self.tagged else counted(head, verb, words)
        if not tags and head.kind == "word":
            tags = behind.called(verb, words)
        read = self._read(verb, words, head)
        if not tags and head.kind == "word":
            tags, words, read = behind.unmarked(head, verb, words, read)
        behind.with_another(head, verb, words, read)
        if not tags and not self.tagged:
            unnamed = unnamed or all_of_them(head, verb, words, self.stepped)
        self.problems += [unnamed] if unnamed is not None else []
        self.moments += read.moments
        return Clause(tuple(tags), head, verb, tuple(words), tuple(self.problems), read=read)


def _may_go_on(cause: str) -> bool:
    """Whether what may be the end of a reed may be said of one which goes on, too."""
    return cause == "split" or bool(set(MAY_GO_ON) & set(named_choices(FACTS["cause"], cause)))


def _without_cents(words: Sequence[Token]) -> list[Token]:
    """The words without how far off its pitch a reed is, which a remark may tell: "10 cents sharp"."""
    return [t for n, t in enumerate(words) if word_at(words, n + 1).rstrip(",.") not in ("cent", "cents")]
