"""Two pedals under the maker's feet: the right one records the scrape of the reed in hand and takes the next reed of
the batch, the left one goes back and takes that entry away. What is recorded is what a line would have recorded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum

from reedkin.desk import Desk
from reedkin.domain.describe import describe
from reedkin.domain.events import Event, Record
from reedkin.domain.figures import tag_list
from reedkin.domain.held_key import Heard, HeldKey
from reedkin.domain.reeds import IN_PROGRESS, Reed
from reedkin.errors import ReedkinError
from reedkin.grammar.actions import Reading
from reedkin.grammar.words.verbs import BY_WORD
from reedkin.grammar.writing import facts_line

_HEARD_TWICE = "Heard twice within a moment, and counted once: press it again if you meant it twice."


class Did(Enum):
    """What a press has done."""

    RECORDED = "recorded"
    WENT_BACK = "taken back"
    ASKED = "asked"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Footfall:
    """What a press of a pedal has done: to which reed, in words, and what is in hand now."""

    did: Did
    tag: str
    words: str
    hand: str = ""
    further: str = ""
    """What comes after that, in words."""
    reading: Reading | None = None
    """What was recorded, as a line was read for it."""


@dataclass(frozen=True, slots=True)
class _Scrape:
    """An entry after which the next reed was taken in hand, and when the bench clock had begun before."""

    entry: str
    reed: str
    since: datetime


class Pedal:
    """The pedals of a desk."""

    def __init__(self, desk: Desk, keys: HeldKey | None = None) -> None:
        """`keys` hears the other keys as well."""
        self._desk, self._keys = desk, keys or HeldKey()
        self._batch: tuple[str, ...] = ()
        self._scrapes: list[_Scrape] = []
        self._asked: str | None = None
        """The reed whose scrape was asked about, so that the right pedal again records it."""
        self.unsure: str | None = None
        """The key that was heard last, where only what follows shows whether it was pressed a second time, or is held
        down; for AGAIN_SECONDS."""

    def is_for(self, key: str) -> bool:
        """Whether a key is one of the pedals'."""
        return key in (self._desk.bench.settings.pedal or ())

    def press(self, key: str, at: float) -> Footfall | None:
        """Do what a pedal's key does, which was pressed `at` a moment in seconds; None where it is heard again too
        soon, or where it is not yet known (`unsure`): then nothing but that key may be pressed until it was settled."""
        heard = self._keys.heard(key, at)
        self.unsure = key if heard is Heard.UNSURE else None
        return self._pressed(key) if heard is Heard.PRESSED else None

    def settle(self) -> Footfall | None:
        """Nothing followed: what was unsure was a press, which is done now. None where nothing was, or the key has gone
        on as one that is held down. Before any key was held down, it may as well have been held until it was heard
        twice: that counts once, and is said."""
        key, self.unsure = self.unsure, None
        if key is None or self._keys.known:
            return None if key is None else self._pressed(key)
        return Footfall(Did.NOTHING, self._in_hand, _HEARD_TWICE, self._in_hand)

    def _pressed(self, key: str) -> Footfall | None:
        keys = self._desk.bench.settings.pedal
        if keys is None:
            return None
        return self._right() if key == keys[0] else self._left()

    def entered(self, entry: Sequence[Record], since: datetime) -> Footfall | None:
        """A line was recorded, before which the bench clock had begun at `since`. Where it scraped one reed and did
        nothing else, or ended its life, the next of the batch is taken, as if by the pedal."""
        self._asked = None
        events = [record for record in entry if isinstance(record, Event)]
        about = {event.reed for event in events}
        if len(about) > 1:
            self._batch = ()
        if len(about) != 1:
            return None
        reed = self._desk.bench.reed(events[0].reed)
        if reed.at_work and {event.kind for event in events} != {"scraped"}:
            return None
        if reed.id not in self._batch:
            self._batch = self._batch_of(reed)
        if reed.id not in self._batch or len(self._batch) < 2:
            return None
        if reed.at_work:
            self._scrapes.append(_Scrape(events[0].entry, reed.id, since))
        return self._next(reed, entry)

    # The right pedal

    def _right(self) -> Footfall:
        desk, hand = self._desk, self._desk.hand
        if hand is None:
            return Footfall(Did.NOTHING, "", "No reed is in hand.")
        if hand.id not in self._batch:
            self._batch = self._batch_of(hand)
        reading = desk.read(self._line(hand))
        asked, self._asked = self._asked == hand.id, None
        if not reading.ready:
            return self._not_done(hand, reading.errors[0].message)
        if reading.questions and not asked:
            self._asked = hand.id
            return Footfall(Did.ASKED, hand.label, reading.questions[0].message, hand.label)
        since = desk.clock_since
        try:
            entry = desk.record(reading)
        except ReedkinError as error:
            return self._not_done(hand, str(error))
        self._scrapes.append(_Scrape(entry[0].entry, hand.id, since))
        return replace(self._next(hand, entry), reading=reading)

    def _line(self, reed: Reed) -> str:
        """The line that the pedal stands for: where it was scraped is as it was the last time."""
        last = self._desk.bench.last_time.facts("scraped", reed.instrument) or {}
        where = {name: value for name, value in last.items() if name == "where"}
        return f"scrape {facts_line(BY_WORD['scrape'], where)}".rstrip()

    def _next(self, done: Reed, entry: Sequence[Record]) -> Footfall:
        """Take the next reed in hand, from the beginning again after the last."""
        words = "; ".join(describe(e.kind, e.facts) for e in entry if isinstance(e, Event))
        reed = self._after(done)
        if reed is None:
            alone = "It is in no batch, and stays in hand."
            return Footfall(Did.RECORDED, done.label, words, self._in_hand, alone)
        self._desk.take(reed)
        return Footfall(Did.RECORDED, done.label, words, reed.label, self._to_come(done, reed))

    def _to_come(self, done: Reed, reed: Reed) -> str:
        """What comes after a reed in the batch; or that it is the first."""
        reeds = self._at_work()
        whole = tag_list(r.label for r in reeds)
        if done.id not in self._batch:
            return f"The first of {whole}, the batch named last."
        if self._batch.index(reed.id) < self._batch.index(done.id):
            return f"That was the last of {whole}; from the first again."
        place = [r.id for r in reeds].index(reed.id)
        after = [r.label for r in reeds[place + 1 :]]
        return f"Then {tag_list(after)}." if after else f"The last of {whole}."

    # The left pedal

    def _left(self) -> Footfall:
        desk, hand = self._desk, self._desk.hand
        label = hand.label if hand is not None else ""
        if self._asked is not None:
            self._asked = None
            return Footfall(Did.NOTHING, label, "Not recorded.", label)
        while self._scrapes and not self._stands(self._scrapes[-1]):
            self._scrapes.pop()
        if not self._scrapes:
            return Footfall(Did.NOTHING, label, "There is no scrape that the pedal could take back.", label)
        scrape, last = self._scrapes[-1], desk.log.entries.last()
        reed = desk.bench.reed(scrape.reed)
        if last[0].entry != scrape.entry:
            later = f"{desk.summary(last)}: that came after it. To take that back first: Ctrl+Z."
            return Footfall(Did.NOTHING, reed.label, later, label)
        try:
            records, _ = desk.take_back()
        except ReedkinError as error:
            return Footfall(Did.NOTHING, reed.label, str(error), label)
        self._scrapes.pop()
        desk.take(desk.bench.reed(scrape.reed))
        desk.restart_clock(scrape.since)
        return Footfall(Did.WENT_BACK, reed.label, desk.summary(records), reed.label, "The clock goes on as before.")

    def _stands(self, scrape: _Scrape) -> bool:
        """Whether an entry has not been taken back otherwise."""
        bench = self._desk.bench
        return scrape.reed in bench and any(s.event.entry == scrape.entry for s in bench.reed(scrape.reed).standing)

    # The batch

    def _batch_of(self, hand: Reed) -> tuple[str, ...]:
        """The reeds of the last entry that named this one among several; else those in progress, this one among them;
        else, of a reed that stands alone, the last that were named together."""
        several = self._named_together(hand)
        named = next((reeds for reeds in several if hand.id in reeds), None)
        if named is not None:
            return named
        begun = tuple(r.id for r in self._desk.reeds() if r.stage == IN_PROGRESS or r.id == hand.id)
        return begun if len(begun) > 1 else next(iter(several), ())

    def _named_together(self, hand: Reed) -> list[tuple[str, ...]]:
        """The reeds that one clause of an entry named together, this one and those at work, the latest first. (An
        import is one entry too, but not of one moment.)"""
        together: dict[tuple[str, str, datetime], dict[str, str]] = {}
        for reed in {r.id: r for r in (*self._desk.bench.at_work(), hand)}.values():
            for step in reed.standing:
                together.setdefault((step.event.entry, step.kind, step.at), {})[reed.id] = step.event.uid
        several = sorted((said for said, uids in together.items() if len(uids) > 1), reverse=True)
        return [tuple(sorted(together[said], key=lambda reed: together[said][reed])) for said in several]

    def _at_work(self) -> list[Reed]:
        bench = self._desk.bench
        reeds = (bench.reed(reed) for reed in self._batch if reed in bench)
        return [reed for reed in reeds if reed.at_work]

    def _after(self, done: Reed) -> Reed | None:
        """The next reed of the batch that is at work: from the one after this on, and around."""
        place = self._batch.index(done.id) + 1 if done.id in self._batch else 0
        bench = self._desk.bench
        around = (*self._batch[place:], *self._batch[:place])
        return next((bench.reed(r) for r in around if r != done.id and r in bench and bench.reed(r).at_work), None)

    # Telling

    @property
    def _in_hand(self) -> str:
        hand = self._desk.hand
        return hand.label if hand is not None else ""

    def _not_done(self, reed: Reed, why: str) -> Footfall:
        return Footfall(Did.NOTHING, reed.label, why, reed.label)
