"""The diary: all that was recorded, of all reeds and beside them, by day, the newest first; narrowed by words."""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from reedkin.bench.bearers import TAGS_TABLE
from reedkin.bench.bench import Bench
from reedkin.bench.correcting import alike
from reedkin.bench.orders import ORDERS, orders
from reedkin.bench.trials import is_look
from reedkin.domain.describe import describe
from reedkin.domain.events import Place, Statement
from reedkin.domain.instruments import SHORT_NAMES
from reedkin.domain.reeds import Reed, Step
from reedkin.grammar.preview import beside_words

if TYPE_CHECKING:
    from reedkin.answers.question import Asked
    from reedkin.study.ticks import Tick

_TOKEN = re.compile(r"\d+(?:[.,]\d+)?|[^\W\d_]+")


class DiaryLine(NamedTuple):
    """What one entry said alike of some reeds at one moment; or of something beside them (`said`): of an order that was
    there, which `order` it is."""

    at: datetime
    entry: str
    steps: tuple[Step, ...] = ()
    said: Statement | None = None
    order: str = ""

    @property
    def day(self) -> date:
        """The day on which it happened, by the clock of the place where it did."""
        return self.at.date()

    @property
    def struck(self) -> bool:
        return bool(self.steps) and self.steps[0].struck

    @property
    def places(self) -> tuple[Place, ...]:
        """Where its events stand."""
        return tuple(Place(step.event.reed, step.event.uid) for step in self.steps)


@dataclass(frozen=True)
class Diary:
    """The lines of a log, newest day first, and the reeds that they are about."""

    lines: tuple[DiaryLine, ...]
    reeds: Mapping[str, Reed]

    @cached_property
    def _days(self) -> list[int]:
        return [-line.at.date().toordinal() for line in self.lines]

    def place_of(self, day: date) -> int:
        """The place of the first line of a day, or else of the next day before it on which there is one; that of the
        last line where there is none."""
        return min(bisect_left(self._days, -day.toordinal()), max(0, len(self.lines) - 1))

    def between(self, first: date | None, last: date | None) -> Diary:
        """What was done on these days and those between."""
        kept = (one for one in self.lines if (not first or one.day >= first) and (not last or one.day <= last))
        return Diary(tuple(kept), self.reeds)

    def holding(self, words: str) -> Diary:
        """The lines that hold every one of these words, each at the beginning of a word; a number only whole."""
        wanted = [_wanted(token) for token in tokens(words)]
        if not wanted:
            return self
        texts = self._texts
        kept = tuple(
            line
            for line, text in zip(self.lines, texts, strict=True)
            if all(any(one in part for part in text) for one in wanted)
        )
        return Diary(kept, self.reeds)

    def get_ready(self) -> None:
        """Make what words are looked for in, which takes a moment in a long log; any thread may."""
        _ = self._texts

    @cached_property
    def _texts(self) -> list[tuple[str, ...]]:
        """The words of each line, ready to be looked through: what many lines say alike is made once."""
        facts: dict[tuple[str, int], str] = {}
        of_reed = {one: _searched(_about_reed(reed)) for one, reed in self.reeds.items()}
        texts: list[tuple[str, ...]] = []
        for line in self.lines:
            if not line.steps:
                texts.append(
                    (_searched(said_words(line.said, self.reeds, line.order)),) if line.said is not None else ()
                )
                continue
            first = line.steps[0]
            key = first.kind, id(first.facts)
            if key not in facts:
                facts[key] = _searched(f"{first.kind} {describe(first.kind, first.facts)}")
            parts = (facts[key], *(of_reed[step.event.reed] for step in line.steps))
            texts.append((*parts, _searched(first.note)) if first.note else parts)
        return texts


@dataclass(frozen=True, slots=True)
class DiaryQuestion:
    """What was done, day by day?"""

    def answer(self, asked: Asked, tick: Tick) -> Diary:
        return diary_of(asked.bench, tick)


def diary_of(bench: Bench, tick: Callable[[float], None] = lambda done: None) -> Diary:
    """The diary of a whole log. Reads every lineage; `tick` is told the share done."""
    reeds: dict[str, Reed] = {}
    ids = sorted(bench.headings.ever())
    for place, one in enumerate(ids):
        tick(0.8 * place / len(ids))
        reeds[one] = bench.reed(one)
    steps = [step for reed in reeds.values() for step in reed.steps]
    return Diary(_in_order([*_of_steps(steps), *_beside(bench)]), reeds)


def renewed(diary: Diary, bench: Bench, changed: Iterable[str]) -> Diary:
    """The diary after some reeds were corrected, without going through all of them again."""
    changed = set(changed)
    reeds = {one: bench.reed(one) for one in bench.headings.ever()}  # a label may change with another reed of its tag
    steps = [step for one in changed for step in reeds[one].steps]
    entries = {step.event.entry for step in steps}
    # A line of these entries is made anew with all its reeds: one of them may say something else now.
    steps += [
        step
        for line in diary.lines
        if line.entry in entries
        for step in line.steps
        if step.event.reed not in changed
    ]  # fmt: skip
    kept = [line for line in diary.lines if line.steps and line.entry not in entries]
    return Diary(_in_order([*kept, *_of_steps(steps), *_beside(bench)]), reeds)


def _of_steps(steps: Iterable[Step]) -> Iterator[DiaryLine]:
    ordered = sorted(steps, key=lambda s: (s.at.timestamp(), s.event.entry, s.event.uid))
    for group in alike(ordered):
        yield DiaryLine(group[0].at, group[0].event.entry, tuple(group))


def _beside(bench: Bench) -> Iterator[DiaryLine]:
    """What stands of what was said beside the reeds."""
    called = {one.uid: f"{one.label} ({one.asked})" for one in orders(bench)}
    for table in dict.fromkeys(said.table for said in bench.beside.records() if isinstance(said, Statement)):
        for said in bench.beside.said(table):
            if not is_look(said):
                placed = said.table != ORDERS or said.uid == said.subject
                yield DiaryLine(said.at, said.entry, said=said, order="" if placed else called.get(said.subject, ""))


def _in_order(lines: Iterable[DiaryLine]) -> tuple[DiaryLine, ...]:
    """Newest day first, and the latest entry of a day; what one entry says stays in the order in which it was typed."""
    found = list(lines)
    found.sort(key=lambda line: (line.at.date().toordinal(), line.at.timestamp(), line.entry), reverse=True)
    return tuple(found)


# Words


def tokens(text: str) -> list[str]:
    """The words and numbers of a text, as they are looked for: `Wörter`, `d'amore` and `0.5` in any case."""
    plain = text if text.isascii() else unicodedata.normalize("NFKC", text)
    return [token.replace(",", ".") for token in _TOKEN.findall(plain.casefold())]


def _searched(text: str) -> str:
    return f" {' '.join(tokens(text))} "


def _wanted(token: str) -> str:
    return f" {token} " if token[0].isdecimal() else f" {token}"


def _about_reed(reed: Reed) -> str:
    """What a reed is found by: its tag, name and instrument."""
    state = reed.now if reed.now.instrument else reed.steps[0].before
    return f"{reed.label} {reed.tag} {state.name or ''} {state.instrument} {SHORT_NAMES.get(state.instrument, '')}"


def said_words(said: Statement | None, reeds: Mapping[str, Reed], order: str = "") -> str:
    """What was said beside the reeds, in words; of an `order` that was there, which one it is."""
    if said is None:
        return ""
    if said.table == TAGS_TABLE:
        return f"a reed is called {said.facts.get('tag')} from then on"
    if order:
        return beside_words(ORDERS, order, {name: value for name, value in said.facts.items() if name != "to"})
    return beside_words(said.table, said.subject, said.facts)
