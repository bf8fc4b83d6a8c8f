"""The parts of an entry line: when it happened, and its clauses. One may go on with another's verb, or its reeds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from reedkin.bench.bench import Bench
from reedkin.domain.facts import begins
from reedkin.domain.figures import tag_list
from reedkin.grammar.clause.one_clause import Clause, ClauseRead, ClauseReader
from reedkin.grammar.clause.remark_first import with_its_remark
from reedkin.grammar.rewording.each_its_own import each_its_own
from reedkin.grammar.rewording.glued import respaced
from reedkin.grammar.rewording.reed_by_reed import at_reeds
from reedkin.grammar.rewording.rephrased import in_order, rephrased
from reedkin.grammar.rewording.several_days import several_days, several_instruments
from reedkin.grammar.rewording.several_done import at_verbs
from reedkin.grammar.when.days import When
from reedkin.grammar.when.each_day import each_day
from reedkin.grammar.when.moments import Moment, when_in
from reedkin.grammar.when.times import times
from reedkin.grammar.words.numbers_said import numbers_said
from reedkin.grammar.words.tokens import Problem, Token, segments, tokens

LONGEST_LINE, MOST_WORDS = 10_000, 300
"""Characters of a line, and words that stand outside of quotation marks: more were pasted by mistake, and reading them
anew at every key would take a while."""
_TOO_LONG = (
    f"a line has at most {LONGEST_LINE:,} characters, and {MOST_WORDS} words besides a note in quotation marks; "
    "this is longer: share it out among several"
)
_PART_BY_PART = ("scraped", "measured")


class Parts(NamedTuple):
    """A whole line: its clauses, and the time of all of them where they have none of their own."""

    clauses: tuple[Clause, ...]
    when: When | None = None
    problems: tuple[Problem, ...] = ()


def parts_of(line: str, bench: Bench) -> Parts:
    """Take a line apart. The bench tells which words are tags and names. Never fails: problems are in the result."""
    found = tokens(line) if len(line) <= LONGEST_LINE else []
    if len(line) > LONGEST_LINE or len(found) > MOST_WORDS:
        return Parts((), problems=(Problem(0, len(line), _TOO_LONG),))
    parts = (numbers_said(respaced(words, bench), bench) for words in segments(found))
    when, parted, problems = _moments_behind([one for said in parts for one in each_day(said, bench.clock)], bench)
    clauses: list[Clause] = []
    moments: list[list[Moment]] = []
    for words, behind in parted:
        begun, tagged = len(clauses), any(c.tags for c in clauses)
        for segment in _parted(words, bench):
            named = any(c.tags for c in clauses)
            told = _clause_of(segment, bench, when, named)
            if (
                (told.clause.verb is None or _put_in(told.clause))
                and clauses
                and (again := _with_verb(segment, told.clause, clauses[-1]))
            ):
                carried = _clause_of(again, bench, when, named)
                told = carried if _goes_on(carried.clause) else told
            clauses.append(told.clause)
            moments.append([*behind, *told.moments])
            problems += told.problems
        if not tagged:
            clauses[begun:] = _reeds_said_last(clauses[begun:])
    if clauses and found[-1].kind != "semicolon":
        clauses[-1] = replace(clauses[-1], final=True)
    timed = times(moments, when, bench.clock)
    if timed.common is None:
        clauses = [replace(clause, when=own) for clause, own in zip(clauses, timed.each, strict=True)]
    return Parts(tuple(clauses), timed.common, (*problems, *timed.problems))


def _clause_of(segment: Sequence[Token], bench: Bench, when: When | None, named: bool) -> ClauseRead:
    """The clause that some words are; `named` says that the line has named reeds before."""

    def again(words: Sequence[Token]) -> ClauseRead:
        said = rephrased(words, bench)
        reader = ClauseReader(said.words, bench, when, named)
        clause = reader.clause()
        return ClauseRead(clause, said.words, [*said.moments, *reader.moments], said.problems)

    return with_its_remark(again(segment), again)


def _put_in(clause: Clause) -> bool:
    """Whether a clause is taken as played only because it tells how long something lasted."""
    head, verb = clause.head, clause.verb
    return verb is not None and verb.kind == "played" and head is not None and head.start == head.end


def _with_verb(segment: Sequence[Token], clause: Clause, before: Clause) -> list[Token]:
    """The words of a clause that names reeds and no verb, with that of the clause before: "7 scrape tip 5; 8 heart 5";
    of what is done part by part also where it names none: "scrape tip 5; heart 5". No words where there is nothing to
    go on with."""
    verb, head = before.verb, clause.head
    words = [token for token in segment if token.kind == "word"]
    if verb is not None and verb.kind == "scored" and head is None and len(words) == len(clause.tags) == 2:
        return [words[0], Token(verb.word, words[1].start, words[1].start), words[1]]  # 7 score 8; 9 7
    if verb is None or verb.table is not None or verb.text is not None or head is None:
        return []
    if not clause.tags:
        return [Token(verb.word, head.start, head.start), *segment] if verb.kind in _PART_BY_PART else []
    place = next((n for n, word in enumerate(segment) if word.start == head.start and word.kind == "word"), 0)
    if not place:
        return []
    return [*segment[:place], Token(verb.word, head.start, head.start), *segment[place:]]


def _reeds_said_last(said: Sequence[Clause]) -> list[Clause]:
    """What is said in one breath, with the reeds behind the last of it, is of these, which is asked: "wired and tubed
    7"."""
    place = next((n for n, clause in enumerate(said) if clause.tags), 0)
    before = said[:place]
    if not before or any(c.verb is None or c.verb.table or begins(c.verb.kind) or c.problems for c in before):
        return list(said)
    tags = said[place].tags
    name, first = tag_list([tag.text for tag in tags]), before[0].head
    assert first is not None
    message = f"all of it is taken to be of {name}; for the reed in hand write ; behind what was done to that"
    asked = Problem(first.start, tags[-1].token.end, message, "odd")
    return [replace(c, tags=tags, problems=(*c.problems, asked)) for c in before] + list(said[place:])


def _goes_on(clause: Clause) -> bool:
    """Whether a clause makes sense with the verb of the one before, with nothing left to ask."""
    read = clause.read
    return read is not None and bool(read.facts) and not read.note and not read.problems and not clause.problems


def _moments_behind(
    wholes: Sequence[list[Token]], bench: Bench
) -> tuple[When | None, list[tuple[list[Token], list[Moment]]], list[Problem]]:
    """The time behind an @, which is that of the whole line; the words between the semicolons without it; and what is
    wrong. Where several of these have an @, it is of their own."""
    told = [when_in(whole, bench) for whole in wholes]
    problems = [
        replace(problem, open=problem.open and n == len(told) - 1)
        for n, (_, _, found) in enumerate(told)
        for problem in found
    ]
    several = len({when for when, _, _ in told if when is not None}) > 1
    parted: list[tuple[list[Token], list[Moment]]] = []
    for whole, (when, rest, _) in zip(wholes, told, strict=True):
        own = [(when, whole[0].start, whole[-1].end)] if when is not None and several else []
        parted.append((rest, own))
    return None if several else next((when for when, _, _ in told if when is not None), None), parted, problems


def _parted(whole: list[Token], bench: Bench) -> Iterator[list[Token]]:
    """The words of each clause between two semicolons: further verbs, reeds that have an amount each, and days on each
    of which something is to be played, begin one."""
    for day in several_days(whole):
        for own in at_reeds(day, bench):
            for part in at_verbs(in_order(own, bench)) if own else ():
                for one in several_instruments(part):
                    yield from each_its_own(one, bench)
