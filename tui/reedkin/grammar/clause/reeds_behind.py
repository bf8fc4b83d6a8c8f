"""The reeds that are named behind the verb, as one says it: clip 7 .5, played 45 min on no. 7."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from itertools import islice, pairwise

from reedkin.bench.bench import Bench
from reedkin.domain.checks import FAR_FROM_TARGET_MM
from reedkin.domain.facts import FACTS, begins
from reedkin.domain.instruments import instrument_named
from reedkin.domain.reeds import HANDED_OVER
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.grammar.clause.behind_verb import FactsRead
from reedkin.grammar.when.days import moment_in
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.prices import sum_of_money
from reedkin.grammar.words.reeds_named import JOINING, THROUGH, Tag, tags_at, unstopped
from reedkin.grammar.words.spoken import CALLED
from reedkin.grammar.words.tags import expand, tag_problem
from reedkin.grammar.words.tokens import Problem, Token, cited, word_at
from reedkin.grammar.words.verbs import Verb, in_full
from reedkin.grammar.words.vocabulary import NUMBERS

_FEW = 10
"""As many minutes behind a verb in full are as likely a tag, and so are those that nobody rounded to five."""
_MOST_TRIED = 16
"""Places of a line at which a tag without a mark is looked for: for each the whole line is read anew."""
_NUMBERS = re.compile(r"\d+(?:[-–,/]\d+)*(?!\S)")
_DECIMAL_COMMA = re.compile(r"\d+,\d+")

Told = tuple[list[Tag], list[Token], FactsRead]
"""The reeds, the words without them, and what these say."""


class ReedsBehind:
    """Finds them. `tagged` says that the line has named reeds before; `read` reads the words of a verb, given its head;
    what is to be asked is added to the problems."""

    def __init__(
        self,
        bench: Bench,
        tagged: bool,
        read: Callable[[Verb, Sequence[Token], Token], FactsRead],
        problems: list[Problem],
    ) -> None:
        self._bench, self._tagged, self._read, self._problems = bench, tagged, read, problems

    def called(self, verb: Verb, words: list[Token]) -> list[Tag]:
        """The tags behind "reed", "no." or "on", and those with a mark, which are taken off the words: anywhere behind
        a verb of facts, right behind one that takes the maker's own words."""
        takes_tube = any(s.fact == "tube" for s in verb.slots)
        for place in range(len(words) - 2):
            if word_at(words, place) == "reed" and word_at(words, place + 1) in CALLED:
                del words[place]  # reed no. 7
                break
        for place, token in enumerate(words if verb.text in (None, "to") else words[:1]):
            if token.kind != "word" or (begins(verb.kind) and instrument_named(word_at(words, place - 1))):
                continue  # an oboe reed 72 mm long
            text, behind = token.text.lower(), word_at(words, place + 1)
            headed = not place and token.text[-1] == ":" and token.text[:-1].isdecimal()  # measured 28: 71.2
            if (headed and self._can_be(token.text[:-1], verb)) or (
                text[0] == "#" and len(text) > 1 and (not takes_tube or not place)
            ):
                called = 0
            elif (text in CALLED and behind and (behind[0].isdecimal() or self._bench.find(plain(behind)))) or (
                text == "on" and behind and plain(behind).isdecimal() and verb.text is None and not takes_tube
                and moment_in([t.text for t in words[place:]], self._bench.clock) is None
            ) or self._of_reed(verb, words, place):  # fmt: skip
                called = 1
            else:
                continue
            behind_it = words[place + called :]
            tags, count, problems = tags_at(
                behind_it[: self._joined(behind_it)], self._bench, one=text not in CALLED and called == 0
            )
            if tags:
                self._problems += problems
                del words[place : place + called + count]
                return tags
        return []

    def _joined(self, words: Sequence[Token]) -> int:
        """How many of the words, which begin with a tag, may be tags: a further one has a comma, "and" or "to" before
        it, so that "no. 12 40" is 40 minutes, no unit behind it: "on 3 and 11, 2 hours", and is a number or a reed's
        name."""
        count = 1
        while count < len(words):
            between = word_at(words, count) in (*JOINING, *THROUGH)
            further = word_at(words, count + between)
            measured = _is_unit(word_at(words, count + between + 1))
            named = _NUMBERS.match(plain(further)) or further[:1] == "#" or self._bench.find(plain(further)) is not None
            if measured or not named or not (between or words[count - 1].text.endswith(",")):
                return count
            count += 1 + between
        return count

    def _of_reed(self, verb: Verb, words: Sequence[Token], place: int) -> bool:
        """Whether "of 7" at `place` is of a living reed: "the tip of 7", ".5 off 7"."""
        word, last = word_at(words, place), plain(word_at(words, place + 1))
        taken = any(word in (*s.words, *s.flags) for s in verb.slots)
        if word not in ("of", "off", "from") or verb.text is not None or taken or not last.isdecimal():
            return False
        unit = word_at(words, place + 2)
        return self._can_be(last, verb) and unit_named(unit) is None and not begins(verb.kind)

    def unmarked(self, head: Token, verb: Verb, words: list[Token], read: FactsRead) -> Told:
        """Tags without a mark behind the verb, where the words make no sense without them; a number that can be both,
        a living reed and a fact, is asked."""
        as_is: Told = ([], words, read)
        own_words = verb.text is not None
        sensible = _so_far(read, verb) and not (verb.kind == "noted" and not read.note)
        first = self._living(words, 0, verb)
        for token in words:
            asked = any(p.start <= token.start and token.end <= p.end for p in read.problems)
            if not own_words and asked and not token.text[0].isdecimal() and self._tags_in(token, verb):
                sensible = False  # a reed's name is no note
        if verb.text == "to" and (sold := self._sold(words, verb, head)) is not None:
            return sold
        if sensible and first is None:
            return as_is
        if first is not None and self._surely_first(verb, read, first[0]):
            return self._taken(first[0], words, 0, first[1], head, verb)
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
            (self._taken(tags, words, place, count, head, verb), tags)
            for place, tags, count in islice(self._all_living(words, verb), _MOST_TRIED)
        ]
        sound = [(taken, tags) for taken, tags in found if _so_far(taken[2], verb)]
        if len(sound) > 1:
            names = [", ".join(t.text for t in tags) for _, tags in sound]
            message = f"which is the reed, {' or '.join(names)}? write its tag before {head.text}"
            self._problems.append(Problem(words[0].start, words[-1].end, message))
            return as_is
        if not sound:
            return self._of_none(head, verb, words, read) or as_is
        taken, tags = sound[0]
        if len(tags) == 2 and _DECIMAL_COMMA.fullmatch(tags[0].token.text):
            self._ask(tags, f"{tags[0].token.text} is taken for reeds {tags[0].text} and {tags[1].text}")
        return taken

    def _of_none(self, head: Token, verb: Verb, words: Sequence[Token], read: FactsRead) -> Told | None:
        """Numbers right behind the verb that make sense as tags alone, of reeds of which it cannot be said: taken for
        tags, so that what is wrong with these is told: "sold 4 to Ann", of one that cracked."""
        first = words[0].text if words and words[0].kind == "word" else ""
        if not _NUMBERS.fullmatch(first) or _is_unit(word_at(words, 1)) or self._tagged:
            return None
        said = next((name for name, span in read.spans.items() if span == (words[0].start, words[0].end)), "")
        if said and FACTS[said].odd(read.facts[said]) is None:
            return None
        try:
            tags = [Tag(text, words[0]) for text in expand(first)]
        except InputError:
            return None
        known = begins(verb.kind) or any(self._bench.find(tag.text) is not None for tag in tags)
        taken = self._taken(tags, words, 0, 1, head, verb)
        return taken if known and taken[2].sound else None

    def _surely_first(self, verb: Verb, read: FactsRead, tags: Sequence[Tag]) -> bool:
        """Whether the number right behind the verb is a tag and no fact: one that no reed is long, the next tag where
        no reed of its instrument is so long, or in "clip 7 to 71" one that nobody clips when it is said how long the
        reed is then."""
        if begins(verb.kind):
            overall = read.facts.get("overall_mm", 60)
            if FACTS["overall_mm"].odd(overall) is not None:
                return True
            instrument = read.facts.get("instrument") or self._bench.headings.latest_instrument()
            if not isinstance(instrument, str) or not isinstance(overall, (int, float)):
                return False
            far = abs(overall - self._bench.settings.targets(instrument).overall_mm) > FAR_FROM_TARGET_MM
            return far and [tag.text for tag in tags] == [self._bench.tags.next()]
        clipped = read.facts.get("clip_mm")
        return clipped is not None and "overall_mm" in read.facts and FACTS["clip_mm"].odd(clipped) is not None

    def _sold(self, words: Sequence[Token], verb: Verb, head: Token) -> Told | None:
        """ "sold Max 7 for 25", "gave Max 7 and 8": living reeds' tags behind the name, and before the price where
        there may be one, are the reeds, asked."""
        unpaid = verb.preset.get("terms") != "sold" and self._living(words, 0, verb) is None
        for place in range(1, len(words)):
            living = self._living(words, place, verb) if word_at(words, place)[:1].isdecimal() else None
            if living is None:
                continue
            behind = word_at(words, place + living[1])
            paid = behind in ("for", "at", "price") or (not unpaid and sum_of_money(behind) is not None)
            if not paid and not (unpaid and place + living[1] == len(words)):
                continue
            if self._tagged or word_at(words, place - 1) in ("for", "at", "price", "to"):
                return None
            taken = self._taken(living[0], words, place, living[1], head, verb)
            name = ", ".join(tag.text for tag in living[0])
            self._ask(living[0], f"{name} is taken for the reed; if it is part of the name, put that in quotes")
            return taken
        return None

    def with_another(self, head: Token, verb: Verb, words: Sequence[Token], read: FactsRead) -> None:
        """Ask about a number that is taken for the score and may be a further reed: "7 p 45 with 8"."""
        start, end = read.spans.get("score", (-1, -1))
        for before, token in pairwise(words):
            if (token.start, token.end) == (start, end) and before.text.lower() in ("with", "and", "on"):
                reed = self._bench.find(plain(token.text))
                if verb.kind == "played" and reed is not None and reed.at_work:
                    message = (
                        f"{token.text} is taken for the score; for reed {reed.label} write its tag before {head.text}"
                    )
                    self._problems.append(Problem(before.start, end, message, "odd"))

    def _ask(self, tags: Sequence[Tag], message: str) -> None:
        self._problems.append(Problem(tags[0].token.start, tags[-1].token.end, message, "odd"))

    def _worth_asking(self, head: Token, verb: Verb, read: FactsRead) -> bool:
        """Whether a number right behind the verb that is a living reed's tag may well be meant as that: where it is odd
        as a fact, or a note would begin with it. A line that has named its reeds goes on with them."""
        odd = any(FACTS[name].odd(value) for name, value in read.facts.items() if name in FACTS)
        minutes = read.facts.get("minutes")
        uneven = isinstance(minutes, int) and (minutes <= _FEW or minutes % 5 != 0)  # played 7; played 207 10
        return not self._tagged and (odd or ((verb.kind == "noted" or uneven) and in_full(head.text) is not None))

    def _of_own_words(self, tags: list[Tag], taken: Told, read: FactsRead, verb: Verb) -> Told:
        """A tag right behind a verb that takes the maker's own words is the reed, which is asked; a number that the
        verb has a use for stays that, unless there is another."""
        name = ", ".join(tag.text for tag in tags)
        counted = {s.fact for s in verb.slots if s.bare} & read.facts.keys()
        away = [self._bench.find(tag.text) for tag in tags]
        with_somebody = all(reed is not None and reed.stage == HANDED_OVER for reed in away)
        if verb.kind == "heard" and with_somebody and (taken[2].facts or taken[2].note):
            self._ask(tags, f"{name} is taken for the reed; for a score write score {name}")
            return taken
        if counted and len(tags) == 1 and not counted & taken[2].facts.keys():
            self._ask(tags, f"{name} is taken for a fact; for reed {name} write {name} {verb.word}")
            return [], [*(tag.token for tag in tags[:1]), *taken[1]], read
        said = taken[1] or not any(slot.fact == "price" for slot in verb.slots)
        sure = said and all(tag.text.isdecimal() for tag in tags) and verb.kind != "returned"  # lend 7 Ann
        if not counted and not sure and not (verb.kind == "returned" and with_somebody):
            self._ask(tags, f"{name} is taken for the reed; if it is part of the text, put that in quotes")
        return taken

    def _taken(self, tags: list[Tag], words: Sequence[Token], place: int, count: int, head: Token, verb: Verb) -> Told:
        """The clause without the tags that stand among its words."""
        rest = [*words[:place], *words[place + count :]]
        return tags, rest, self._read(verb, rest, head)

    def _living(self, words: Sequence[Token], place: int, verb: Verb) -> tuple[list[Tag], int] | None:
        """The tags that the words from `place` on are of reeds that this verb can be said of, and how many words they
        take: of those at work or handed over, for a beginning those that are free. A further one needs a comma or
        "and" before it."""
        unit = word_at(words, place + 1).rstrip(".,")
        if unit == "in" and word_at(words, place + 2).isalpha():
            unit = ""  # 3 in rehearsal
        if (
            (verb.text is None and word_at(words, place - 1) in ("at", "a", "an"))
            or (begins(verb.kind) and place)
            or unit_named(unit) is not None
            or unit in ("turns", "times", "x")
        ):
            return None
        tags: list[Tag] = []
        count = 0
        while place + count < len(words) and words[place + count].kind == "word":
            token = words[place + count]
            row = self._row(words, place + count, verb)
            found = row or self._tags_in(token, verb)
            if not found:
                break
            tags += found
            count += 3 if row else 1
            joined = word_at(words, place + count) in JOINING
            further = place + count + joined
            in_a_row = _takes_no_number(verb) and word_at(words, further).isdecimal()  # lend 7 8 Ann
            if not (joined or token.text.endswith(",") or in_a_row) or further >= len(words):
                break
            measured = _is_unit(word_at(words, further + 1))  # 17, 5 min
            if measured or not self._tags_in(words[further], verb):
                break
            count += joined
        return (tags, count) if tags else None

    def _row(self, words: Sequence[Token], place: int, verb: Verb) -> list[Tag]:
        """The tags of "33 to 36" behind a verb of a reed's own words, all of which it can be said of."""
        first, through, last = (plain(word_at(words, place + ahead)) for ahead in range(3))
        if (
            verb.text not in ("how", "occasion")
            or through not in THROUGH
            or not (first.isdecimal() and last.isdecimal())
        ):
            return []
        row = Token(f"{first}-{last}", words[place].start, words[place + 2].end)
        return self._tags_in(row, verb) if int(first) < int(last) else []

    def _all_living(self, words: Sequence[Token], verb: Verb) -> Iterator[tuple[int, list[Tag], int]]:
        """Every place at which such tags stand, with them and how many words they take; those of one list once."""
        place = 0
        while place < len(words):
            living = self._living(words, place, verb)
            if living is not None:
                yield place, *living
            place += living[1] if living is not None else 1

    def _tags_in(self, token: Token, verb: Verb) -> list[Tag]:
        """The tags that a word lists, if each can be said of this verb."""
        try:
            named = [Tag(unstopped(text, token.text, self._bench), token) for text in expand(token.text)]
        except InputError:
            return []
        return named if token.kind == "word" and all(self._can_be(tag.text, verb) for tag in named) else []

    def _can_be(self, text: str, verb: Verb) -> bool:
        if begins(verb.kind):
            return text.isdecimal() and tag_problem(text) is None and self._bench.tags.is_free(text)
        reed = self._bench.find(text)
        return reed is not None and (reed.at_work or reed.stage == HANDED_OVER)


def _so_far(read: FactsRead, verb: Verb) -> bool:
    """Whether what was read makes sense, or will with what its last word waits for: "sell 7 to Ann for"."""
    return read.sound or (verb.text == "to" and read.awaits is not None and len(read.problems) == 1)


def _takes_no_number(verb: Verb) -> bool:
    """Whether a number behind a verb can only be a tag."""
    counted = any(slot.bare and FACTS[slot.fact].type in NUMBERS for slot in verb.slots)
    return not counted and verb.kind != "noted"


def _is_unit(word: str) -> bool:
    """Whether a word behind a number is its unit; a letter alone may be a verb, or a part of the reed."""
    return (len(plain(word)) > 1 or plain(word) == "h") and unit_named(plain(word)) is not None
