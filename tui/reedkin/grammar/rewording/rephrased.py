"""Whole phrases that say in another order what the entry line says: "3 is 59.5 mm long", "3 7 out of 10", "tie four
blanks", "played from 19:30 to 22:00". Each is put into the line's own words before it is read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from reedkin.bench.bench import Bench
from reedkin.domain.facts import begins
from reedkin.domain.instruments import instrument_named
from reedkin.domain.units import unit_named
from reedkin.domain.words import SCORES
from reedkin.grammar.rewording.between_hours import between_hours
from reedkin.grammar.rewording.doing_first import doing_first
from reedkin.grammar.rewording.glued import in_words
from reedkin.grammar.rewording.graded import graded, grades
from reedkin.grammar.rewording.playing_said import lasting_first
from reedkin.grammar.rewording.scores_said import by_initials, called_scores, of_ten, score_alone
from reedkin.grammar.rewording.thickness import thicknesses
from reedkin.grammar.rewording.things_first import things_first
from reedkin.grammar.when.moments import Moment
from reedkin.grammar.words.heads import plain, unpossessed
from reedkin.grammar.words.reeds_named import names_reeds
from reedkin.grammar.words.spoken import CALLED, NUMBER_WORDS, dozens_at
from reedkin.grammar.words.tokens import NUMBER, Problem, Token, word_at
from reedkin.grammar.words.verbs import BY_WORD, in_full, verbs_beginning


@dataclass(frozen=True, slots=True)
class Rephrased:
    """The words in the line's own, what has to be asked about that, and the moments that were said. What is put in has
    no width, or that of the words it stands for."""

    words: list[Token]
    problems: list[Problem] = field(default_factory=list)
    moments: list[Moment] = field(default_factory=list)


_MOST_AT_ONCE = 24
"""Blanks of one tying: a greater number is a length."""
_BLANKS = ("blanks", "reeds", "blank", "more")
_IS = ("is", "was", "now", "has")
_HOURS = re.compile(r"\d ?(?:h|hrs?|hours?)\b", re.IGNORECASE)
_NOTE = re.compile(r"[A-Ga-g](?:#|b|♯|♭)?")
_OCTAVES = ("3", "4", "5", "6")
"""Of notes that reeds crow."""
_WORDS = (*_IS, "my", "out", "of", "long", "overall", "and", "&")


def in_order(segment: Sequence[Token], bench: Bench) -> list[Token]:
    """The words between two semicolons with a verb of the line's before what it says."""
    return doing_first(in_words(things_first(list(segment), bench), bench), bench)


def rephrased(segment: Sequence[Token], bench: Bench) -> Rephrased:
    """The words of a clause with further such phrases put into the line's own."""
    words, asked = lasting_first(doing_first(segment, bench), bench)  # of a part that stood behind another verb
    if (said_of_it := graded(words, bench)) is not None:
        return Rephrased(*said_of_it)
    fits = (verbs_beginning(word.text) for word in words if word.kind == "word")
    verb = next((found[0] for found in fits if len(found) == 1), None)
    measure = BY_WORD["measure"]
    if verb in (None, measure) and (said := thicknesses(words)) != words:
        words, verb = said, measure
    if verb is None:
        words = _measure_last(called_scores(words))
        if not all(_no_remark(word, bench) for word in words):
            return Rephrased(words)
        return Rephrased(_length(score_alone(list(of_ten(words)), bench)))
    if verb.text is not None or verb.table is not None:
        return Rephrased(words)  # her own words stay as she wrote them
    words = [_unpossessed(word, bench) for word in _day_before(words)]
    moments: list[Moment] = []
    if any(slot.fact == "minutes" for slot in verb.slots):
        words, moments = between_hours(words, bench.clock, _behind_tags(words, bench))
        words = _lasting_behind(words, moments)
    words, problems = _counted_blanks(list(of_ten(words)), bench)
    problems += asked
    if verb.kind == "crowed":
        words, problems = _octave_apart(words, bench)
        problems = [] if _verb_behind_tags(words, bench) else problems
    if any(slot.fact in SCORES for slot in verb.slots):
        words = list(by_initials(called_scores(words)))
        words = grades(words) if verb.kind == "played" else words
    return Rephrased(words, problems, moments)


def _lasting_behind(words: list[Token], moments: Sequence[Moment]) -> list[Token]:
    """How long something lasted at the end, where it was said before the verb, since what is right behind that may be
    tags: "between 9 and 11 played 7"."""
    spans = {(start, end) for _, start, end in moments}
    place = next((n for n, word in enumerate(words) if (word.start, word.end) in spans), None)
    verb = next((n for n, word in enumerate(words) if in_full(plain(word.text)) is not None), 0)
    if place is None or place > verb:
        return words
    end = next((n for n, word in enumerate(words) if word.kind == "quote"), len(words))
    return [*words[:place], *words[place + 1 : end], words[place], *words[end:]]


def _verb_behind_tags(words: Sequence[Token], bench: Bench) -> int:
    """Where the verb stands, if reeds are named before it; 0 if none are."""
    place = next((n for n, w in enumerate(words) if w.kind == "word" and len(verbs_beginning(w.text)) == 1), 0)
    tags = (re.split("[-–,]", word.text.strip("#,:()"))[0] for word in words[:place])
    return place if any(bench.find(tag) is not None for tag in tags) else 0


def _behind_tags(words: Sequence[Token], bench: Bench) -> int:
    """Where no tags can stand any more: behind the verb, if reeds are named before it, or behind "on 7"; else 0."""
    pairs = enumerate(pairwise(words), 1)
    on = next((n for n, (word, tag) in pairs if word.text.lower() == "on" and names_reeds(tag.text, bench)), 0)
    return _verb_behind_tags(words, bench) or on


def _no_remark(word: Token, bench: Bench) -> bool:
    """Whether a word can be part of a score or a length that is said of reeds without a verb."""
    text = word.text.lower().rstrip(",.!:")
    known = text in _WORDS or text in NUMBER_WORDS or text in CALLED or unit_named(text) is not None
    return word.kind != "word" or known or any(c.isdigit() for c in text) or bench.find(text) is not None


# When


def _day_before(words: Sequence[Token]) -> Iterator[Token]:
    """ "45 day before yesterday" as "45 the day before yesterday": no 45 days."""
    for place, token in enumerate(words):
        if [word_at(words, place + ahead) for ahead in range(3)] == ["day", "before", "yesterday"]:
            yield Token("the", token.start, token.start)
        yield token


def _unpossessed(word: Token, bench: Bench) -> Token:
    """ "7's" as 7, where there is such a reed."""
    base = unpossessed(word.text)
    if word.kind != "word" or base == word.text or bench.find(word.text) is not None or bench.find(base) is None:
        return word
    return replace(word, text=base)


# How good, how long it is


def _length(words: list[Token]) -> list[Token]:
    """ "3 is now 59.5 mm long" as a measure; without a word of length the number has a fraction."""
    place = next((p for p in range(1, len(words) - 1) if word_at(words, p) in _IS), None)
    if place is None:
        return _length_alone(words)
    begin = place
    while word_at(words, place) in _IS:
        place += 1
    number, units = word_at(words, place), place + 1
    glued = number.removesuffix("mm")
    ends = ("long", "overall", "now")
    while unit_named(word_at(words, units)) is not None or word_at(words, units).rstrip(".!") in ends:
        units += 1
    if units < len(words) and words[units].kind == "word":
        return words
    sure = units > place + 1 or glued != number or not number.isdecimal()
    if not NUMBER.fullmatch(glued) or not sure:
        return words
    verb = replace(words[begin], text="measure")
    kept = [w for w in words[place:units] if w.text.lower().rstrip(".!") not in ends]
    return [*words[:begin], verb, *kept, *words[units:]]


def _length_alone(words: list[Token]) -> list[Token]:
    """ "3 57.5mm", "3 57.5 mm" as a measure."""
    long = word_at(words, len(words) - 1).rstrip(".!") in ("long", "overall")
    words = words[: len(words) - (long or word_at(words, len(words) - 1) == "now")]
    last = len(words) - 1 - (word_at(words, len(words) - 1) in ("mm", "mm."))
    number = word_at(words, last).rstrip(".").removesuffix("mm")
    with_unit = long or last < len(words) - 1 or number != word_at(words, last).rstrip(".")
    if last < 1 or not with_unit or not NUMBER.fullmatch(number):
        return words
    return [*words[:last], Token("measure", words[last].start, words[last].start), *words[last:]]


def _measure_last(words: list[Token]) -> list[Token]:
    """ "3 1.5 mm opening" as "3 opening 1.5 mm"."""
    last = len(words) - 1
    unit = word_at(words, last - 1) == "mm"
    number = last - 1 - unit
    named = any(word_at(words, last).rstrip(".") in slot.words for slot in BY_WORD["measure"].slots)
    glued = word_at(words, number).removesuffix("mm") != word_at(words, number)
    if not named or not (unit or glued) or not NUMBER.fullmatch(word_at(words, number).removesuffix("mm")):
        return words
    return [*words[:number], replace(words[last], text=word_at(words, last).rstrip(".")), *words[number:last]]


# What it crows


def _octave_apart(words: list[Token], bench: Bench) -> tuple[list[Token], list[Problem]]:
    """ "crow C 5" as the note C5; where there is a reed 5 as well, that is asked."""
    for place, (note, octave) in enumerate(pairwise(words)):
        number = octave.text.rstrip(",.!") if octave.kind == "word" else ""
        if note.kind == "word" and _NOTE.fullmatch(note.text) and number in _OCTAVES and place:
            said = Token(f"{note.text}{number}", note.start, octave.end)
            other = f"for reed {number} write {number} crow {note.text}"
            asked = Problem(
                said.start, said.end, f"{note.text} {number} is taken for the note {said.text}; {other}", "odd"
            )
            reed = bench.find(number)
            return [*words[:place], said, *words[place + 2 :]], [asked] if reed is not None and reed.at_work else []
    return words, []


# How many


def _counted_blanks(words: list[Token], bench: Bench) -> tuple[list[Token], list[Problem]]:
    """ "tie four blanks eh 60", "joined 5 oboe reeds" with the next free tags; a bare number that may
    be something else is asked about."""
    verb = in_full(word_at(words, 0))
    words = _dozens(words)
    number = word_at(words, 1)
    count = NUMBER_WORDS.get(number) or (int(number) if number.isdecimal() and len(number) < 3 else 0)
    if verb is None or not begins(verb.kind) or not 0 < count <= _MOST_AT_ONCE:
        return words, []
    behind = next((p for p in (2, 3, 4) if word_at(words, p).rstrip(",.") in _BLANKS), None)
    if (
        behind is not None
        and behind > 2
        and instrument_named(" ".join(word_at(words, p) for p in range(2, behind) if word_at(words, p) != "new"))
        is None
    ):
        behind = None
    said_so = behind is not None or not number.isdecimal()
    one_of_them = instrument_named(word_at(words, 2)) is not None and bench.find(number) is not None
    first = int(bench.tags.next({}))
    tags = f"{first}-{first + count - 1}" if count > 1 else str(first)
    further = " ".join(word.text for word in words[2:] if word.kind == "word")
    if not said_so and verb.kind == "joined" and not _HOURS.search(further):
        hours = f"{number} is taken for the hours it was played; for reed {number} write {number} {word_at(words, 0)}"
        of_instrument = instrument_named(word_at(words, 2)) is not None
        return words, [Problem(words[1].start, words[1].end, hours, "odd")] if of_instrument else []
    if not said_so and (not one_of_them or bench.tags.is_free(number)):
        return words, _tag_or_count(words, number, tags, bench)
    if not all(bench.tags.is_free(str(tag)) for tag in range(first, first + count)):
        return words, []
    asked = f"{number} is taken for how many: {tags}; reed {number} is there already"
    problems = [] if said_so else [Problem(words[1].start, words[1].end, asked, "odd")]
    rest = [word for place, word in enumerate(words[2:], 2) if place != behind]
    return [replace(words[1], text=tags), words[0], *rest], problems


def _dozens(words: list[Token]) -> list[Token]:
    """ "a dozen" and "half a dozen" behind the verb in figures."""
    if (found := dozens_at(words, 1)) is None:
        return words
    number, count = found
    return [words[0], number, Token("reeds", number.end, number.end), *words[1 + count :]]


def _tag_or_count(words: Sequence[Token], number: str, tags: str, bench: Bench) -> list[Problem]:
    """Ask about "tie 6 eh" where no reed 6 ever was and another tag comes next: it may be how many."""
    of_instrument = any(instrument_named(word_at(words, place)) is not None for place in (2, 3))
    if not of_instrument or bench.find(number) is not None or number in ("1", bench.tags.next({})):
        return []
    asked = f"{number} is taken for the tag of one reed; for {number} reeds write {tags} {word_at(words, 0)}"
    return [Problem(words[1].start, words[1].end, asked, "odd")]
