"""Words that can follow a verb: what its slots still take, and the values that the log or the targets make likely."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from reedkin.bench.bench import Bench
from reedkin.bench.engagements import ENGAGEMENTS
from reedkin.bench.orders import ORDERS, buyers, said_open
from reedkin.bench.titles import CALENDAR
from reedkin.bench.trials import TRIALS, trials
from reedkin.domain.facts import FACTS
from reedkin.domain.instruments import instrument_named
from reedkin.domain.reeds import State
from reedkin.domain.words import INSTRUMENTS, MONTHS, NEVER, spelt
from reedkin.grammar.beside.engagement_clause import read_engagement
from reedkin.grammar.beside.order_clause import name_and_rest
from reedkin.grammar.beside.statements import PAIRED, paired
from reedkin.grammar.clause.facts import read_facts
from reedkin.grammar.when.days import DAYS
from reedkin.grammar.words.tokens import Token
from reedkin.grammar.words.verbs import Slot, Verb
from reedkin.grammar.words.vocabulary import TAKES_REST
from reedkin.grammar.writing import tube_word, word_for

_KNOWN = ("lot", "shape", "thread")
_NAMED = {"lots": "lot", "tubes": "tube", ORDERS: "to", CALENDAR: ""}
"""Tables whose things have names, and the fact of the making that names them too."""
_MOST_KNOWN = 40
_TARGETED = {
    "tied": ("overall_mm", "tube_mm", "gouge_mm"),
    "joined": ("tube_mm", "gouge_mm"),
    "wired": ("gauge_awg",),
    "tubed": ("tubing_mm",),
    "crowed": ("crow",),
}
"""Facts that are chosen rather than measured, so that the target is a fair guess."""


class Suggestions:
    """What can come after `words` of a clause with `verb`, on a reed in `state` (None where it begins one)."""

    def __init__(
        self, bench: Bench, verb: Verb, words: Sequence[Token], state: State | None, minutes: int | None
    ) -> None:
        self.bench, self.verb, self.state, self.minutes = bench, verb, state, minutes
        self._subject: list[str] | None = None
        self._open_order = False
        self.read = read_facts(verb, self._past_subject(words), bench.clock)

    @property
    def free_text(self) -> bool:
        """Whether what comes next is the maker's own words."""
        awaits = self.read.awaits
        return self.verb.text is not None or (awaits is not None and awaits.fact in (*TAKES_REST, "name"))

    @property
    def wants_minutes(self) -> bool:
        return "minutes" not in self.read.facts and not self.read.only

    @property
    def likely(self) -> bool:
        """Whether the first option is likely enough to be shown before anything of it is typed."""
        return self.read.awaits is not None and self.read.awaits.fact in _KNOWN

    @property
    def options(self) -> Iterator[str]:
        """The words, likeliest first."""
        if self._subject is not None:
            yield from self._subject
            return
        if self.read.awaits is not None:
            said = self.read.awaits.fact in self.read.facts and FACTS[self.read.awaits.fact].type != "parts"
            yield from () if said else self._values(self.read.awaits)
            return
        keywords: list[str] = []
        if self.verb.kind == "handed over":  # whom it goes to and for what, before what is seldom said
            sold = self.verb.preset.get("terms", "sold") == "sold"
            named = (slot for slot in self.verb.slots if slot.words and slot.fact not in self.read.facts)
            yield from (slot.words[0] for slot in named if sold or slot.fact == "to")
            if not sold:
                return
        for slot in self.verb.slots:
            fact = FACTS[slot.fact]
            if slot.fact in self.read.facts and fact.type != "parts":
                continue
            if slot.bare or slot.flags:
                yield from self._values(slot)
            if not (slot.bare and (fact.choices or fact.type == "pitch")):
                keywords += slot.words[:1]
        yield from keywords

    def _past_subject(self, words: Sequence[Token]) -> Sequence[Token]:
        """The words after the thing that a clause beside the reeds is about; `_subject` is set where it is missing."""
        table = self.verb.table
        if table == "sessions":
            first = words[0].text.lower() if words else "-"
            starts, ends = "start".startswith(first), "end".startswith(first)
            if self.bench.sessions.open() is None and not starts:
                self._subject = [] if words else ["start"]
            return words[1:] if starts or ends else words
        if table == TRIALS:
            return self._past_trial(words)
        if table == "settings":
            return self._past_setting(list(paired(words)))
        if table == ENGAGEMENTS:
            return self._past_day(words)
        if table in _NAMED:
            said = buyers(self.bench) if table == ORDERS else reversed(list(self.bench.beside.subjects(table)))
            known = dict.fromkeys((*said, *(self.bench.headings.known(_NAMED[table]) if _NAMED[table] else ())))
            self._subject = None if words else [word_for(table, name) for name in islice(known, _MOST_KNOWN)]
            if words and table == ORDERS:
                name, rest = name_and_rest(words, self.bench)
                self._open_order = said_open(self.bench, name)
                return rest
            return words[1:]
        if table == "targets":
            count = next((n for n in (2, 1) if instrument_named(" ".join(w.text for w in words[:n]))), 0)
            self._subject = None if words and count else self._instruments()
            return words[count:]
        return words

    def _past_trial(self, words: Sequence[Token]) -> Sequence[Token]:
        """The words after the second way of a trial; before them only what starts one or ends one can be known."""
        running = [trial.label for trial in trials(self.bench) if trial.running]
        does = words[0].text.lower() if words else ""
        if not words:
            self._subject = ["start", *(["end"] if running else [])]
        elif "end".startswith(does):
            self._subject = [word_for("trial", name) for name in running] if len(words) == 1 else []
        else:
            middle = next((at for at, word in enumerate(words) if word.text.lower() == "or" and at > 2), None)
            if middle is not None and len(words) > middle + 1:
                return words[middle + 2 :]
            self._subject = ["or"] if middle is None and len(words) > 2 else []
        return ()

    def _past_day(self, words: Sequence[Token]) -> Sequence[Token]:
        """The words of an engagement without its day and hour; before them only the day can be known."""
        said = read_engagement(Token("", 0, 0), words, self.bench.clock.now())
        if said.day is None:
            numbered = bool(words) and words[-1].text.rstrip(".").isdecimal()
            self._subject = list(MONTHS) if numbered else ["today", "tomorrow", *DAYS]
        return said.rest

    def _past_setting(self, words: Sequence[Token]) -> Sequence[Token]:
        first = words[-1].text.lower() if words else ""
        if first in PAIRED:
            names = [word for slot in self.verb.slots for word in slot.words if word.startswith(f"{first} ")]
            self._subject = [name.removeprefix(f"{first} ") for name in names]
            return words[:-1]
        return words

    # Values

    def _values(self, slot: Slot) -> Iterator[str]:
        fact = FACTS[slot.fact]
        yield from slot.flags if fact.name != "done" or self._open_order else ()
        if fact.name == "instrument":
            yield from self._instruments()
        elif fact.name == "cause":
            yield from self._causes()
        elif fact.type == "parts":
            had = self.read.facts.get(fact.name, ())
            assert isinstance(had, tuple)
            yield from (part for part in fact.choices if part not in had)
        elif fact.choices:
            yield from fact.choices
        elif fact.name == "tube":
            yield from self._target("tube_mm")
            yield from self._free_tubes()
        elif fact.name in _KNOWN:
            yield from (word_for(fact.name, word) for word in self.bench.headings.known(fact.name)[:_MOST_KNOWN])
        elif fact.name == "minutes" and self.minutes and self.verb.kind == "scraped":
            yield f"{self.minutes}m"
        elif fact.name == "minutes" and self.verb.kind == "played" and self.state is not None:
            last = self.bench.last_time.facts("played", self.state.instrument) or {}
            yield from [f"{last['minutes']}"] if "minutes" in last else []
        else:
            yield from self._target(fact.name)

    def _instruments(self) -> list[str]:
        latest = self.bench.headings.latest_instrument()
        return [spelt(name) for name in sorted(INSTRUMENTS, key=lambda name: name != latest)]

    def _causes(self) -> Iterator[str]:
        causes = FACTS["cause"].choices
        served = self.state is not None and bool(self.state.playings or self.state.minutes_before)
        yield from causes if served else (NEVER, *causes)

    def _target(self, fact: str) -> Iterator[str]:
        instrument = self.read.facts.get("instrument") or (self.state.instrument if self.state else "")
        if fact in _TARGETED.get(self.verb.kind, ()) and isinstance(instrument, str) and instrument:
            value = getattr(self.bench.settings.targets(instrument), fact)
            if value is not None:
                yield value if isinstance(value, str) else f"{value:g}"

    def _free_tubes(self) -> Iterator[str]:
        """Tubes that are known and on no reed at work, the one used last first."""
        taken = {(reed.now.tube or "").casefold() for reed in self.bench.at_work()}
        yield from (tube_word(t) for t in self.bench.headings.known("tube")[:_MOST_KNOWN] if t.casefold() not in taken)
