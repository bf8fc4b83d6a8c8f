"""What the maker has in front of her while the program runs: the log, the reed in hand, the bench clock.

The screens ask it and tell it; it knows nothing of them. How entry lines are read takes a while to import, which the
list of reeds need not wait for: whatever needs it does so when it is first asked.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from reedkin.bench.bench import Bench
from reedkin.bench.sessions import WorkSession
from reedkin.domain.clock import Clock
from reedkin.domain.events import Amendment, Event, Record, Statement
from reedkin.domain.facts import begins
from reedkin.domain.figures import plural
from reedkin.domain.paths import in_a_name, named_path
from reedkin.domain.reeds import AT_WORK, Reed, labels_of
from reedkin.errors import InputError, ReedkinError
from reedkin.store.log import Log

if TYPE_CHECKING:
    from reedkin.grammar.actions import Action, ReedAction
    from reedkin.grammar.completing.completion import Completion
    from reedkin.grammar.reading import Reading
    from reedkin.hearing.listener import Overheard
    from reedkin.hearing.recording import Recordings

_LONGEST_SCRAPE_MIN = 90
"""Beyond this the bench clock was more likely forgotten than used."""
_FORGOTTEN_AFTER = timedelta(hours=5)


class Desk:
    """The log with a reed in hand."""

    def __init__(self, log: Log) -> None:
        self.log = log
        self._hand: str | None = None
        self._since = log.clock.now()
        self._typed: dict[str, str] = {}
        self._cautioned: set[tuple[str | None, str]] = set()
        self.lines: list[str] = []
        """The entry lines of this run, oldest first."""
        self.taken_back = 0
        """How many entries were taken back in this run."""
        self._completed: tuple[object, Completion] | None = None
        """What was asked last of completing, and the answer: each key asks it twice."""

    @cached_property
    def recordings(self) -> Recordings:
        """The recordings of crows that entry lines name."""
        from reedkin.hearing.recording import Recordings

        return Recordings()

    @property
    def bench(self) -> Bench:
        return self.log.bench

    @property
    def clock(self) -> Clock:
        return self.log.clock

    # Reeds

    def reeds(self) -> list[Reed]:
        """The reeds at work, blanks first, then those in progress and in service, each oldest first."""
        return sorted(self.bench.at_work(), key=lambda reed: AT_WORK.index(reed.stage))

    @property
    def hand(self) -> Reed | None:
        """The reed in hand, at first that of the last entry; None if there is none at work."""
        if self._hand is not None and self._hand in self.bench:
            reed = self.bench.reed(self._hand)
            if reed.at_work:
                return reed
        handled = next((reed for reed in self.log.handled_last() if reed.at_work), None)
        # The last entry may be of no reed, or of one that it retired: then of the others that with the latest record.
        latest = handled or max(
            self.bench.at_work(), key=lambda reed: max(s.event.uid for s in reed.steps), default=None
        )
        self._hand = latest.id if latest is not None else None
        return latest

    def take(self, reed: Reed) -> None:
        """Take a reed in hand; the bench clock begins anew for another reed."""
        before = self.hand
        if before is None or before.id != reed.id:
            self.restart_clock()
        self._hand = reed.id

    def step(self, by: int) -> None:
        """Take the reed that stands `by` places further down the list."""
        reeds, hand = self.reeds(), self.hand
        if hand is not None:
            place = next((i for i, reed in enumerate(reeds) if reed.id == hand.id), 0)
            self.take(reeds[max(0, min(len(reeds) - 1, place + by))])

    # The bench clock

    def restart_clock(self, since: datetime | None = None) -> None:
        """Let the bench clock begin anew, or as it was when it had begun at some moment."""
        self._since = self.clock.now() if since is None else since

    @property
    def clock_since(self) -> datetime:
        """When the bench clock began."""
        return self._since

    @property
    def minutes_in_hand(self) -> int:
        """Whole minutes since the reed came in hand or was last scraped."""
        return max(0, int((self.clock.now() - self._since).total_seconds() // 60))

    @property
    def offered_minutes(self) -> int | None:
        """The minutes that the bench clock offers for a scrape: while a session runs, and not beyond belief."""
        minutes = self.minutes_in_hand
        return minutes if self.session is not None and 1 <= minutes <= _LONGEST_SCRAPE_MIN else None

    # Sessions

    @property
    def session(self) -> WorkSession | None:
        return self.bench.sessions.open()

    def forgotten_session(self) -> datetime | None:
        """When the last entry of a session was made that seems to have been left open; None if all is well."""
        session = self.session
        if session is None:
            return None
        times = [
            s.event.recorded for reed in self.bench.at_work() for s in reed.steps if s.event.session == session.uid
        ]
        last = max(times, default=session.started)
        return last if self.clock.now() - last > _FORGOTTEN_AFTER else None

    def switch_session(self) -> Reading:
        """Start a work session, or end the one that runs (a forgotten one at its last entry)."""
        forgotten = self.forgotten_session()
        if forgotten is not None:
            line = f"session end @{forgotten.isoformat(timespec='seconds')}"
        else:
            line = "session start" if self.session is None else "session end"
        reading = self.read(line)
        if not reading.ready:
            raise InputError(reading.errors[0].message)
        self.record(reading)
        return reading

    # Entries

    def read(self, line: str) -> Reading:
        """The entry line as it is understood with this reed in hand, what is heard in place of the recordings that it
        names."""
        from reedkin.grammar.reading import Reading, read
        from reedkin.grammar.words.tokens import Problem

        try:
            line = self.recordings.heard(line, self.bench.settings.a4)
        except InputError as error:
            return Reading(line, errors=(Problem(0, len(line), str(error)),))
        return read(line, self.bench, self.hand, self.offered_minutes)

    def with_tag(self, line: str) -> str:
        """The line with the tag of the reed in hand, where it is about that reed without saying so: at another time
        another reed may be in hand."""
        from reedkin.grammar.clause.clauses import parts_of

        first = next(iter(parts_of(line, self.bench).clauses), None)
        if self.hand is None or first is None or first.tags or first.verb is None:
            return line
        about_hand = first.verb.table is None and not begins(first.verb.kind)
        label = labels_of(self.reeds()).get(self.hand.id, self.hand.label)
        return f"{label} {line.lstrip()}" if about_hand else line

    def with_clause(self, line: str, clause: str) -> str:
        """The line with a clause more: behind the tags that it begins with, if nothing is said of them yet."""
        from reedkin.grammar.clause.clauses import parts_of

        last = next(reversed(parts_of(line, self.bench).clauses), None)
        if last is None or not last.final:
            return f"{line.rstrip()} {clause}".lstrip()
        return f"{line.rstrip()}{' ' if last.head is None else '; '}{clause}"

    def complete(self, line: str) -> Completion:
        """What can come next on the entry line."""
        from reedkin.grammar.completing.completion import complete

        of = line, self.bench, self.bench.changes, self.hand, self.offered_minutes
        if self._completed is None or self._completed[0] != of:
            self._completed = of, complete(line, self.bench, self.hand, self.offered_minutes)
        return self._completed[1]

    def explain(self, reading: Reading) -> list[str]:
        """What would be recorded, or taken back, in words."""
        from reedkin.grammar.preview import preview

        if reading.takes_back:
            return [f"takes back: {self.summary(self.log.entries.last())}"]
        return preview(reading, self.bench)

    def keep_sound(self, heard: Overheard, line: str) -> str:
        """Keep the sound of a crow that stands on a line now, where its maker asked for that. A folder without a
        beginning is meant beside the log. Returns what is to be told of it."""
        folder = self.bench.settings.keep_sounds
        if folder is None:
            return ""
        from reedkin.grammar.actions import ReedAction
        from reedkin.hearing.sound import as_wav
        from reedkin.store.disk.files import write_private

        crowed = (a.tag for a in self.read(line).actions if isinstance(a, ReedAction) and a.kind == "crowed")
        name = f"crow {in_a_name(next(crowed, 'reed'))} {self.clock.now():%Y-%m-%d %H%M%S}.wav"
        try:
            path = write_private(self.log.path.parent / named_path(folder) / name, as_wav(heard.sound, heard.rate))
        except ReedkinError as error:
            return f"The sound is not kept. {error}"
        return f"The sound is kept: {path}"

    def foreseen(self, reading: Reading) -> ReedAction | None:
        """What an entry does last to the reed that it is about (that in hand, if it is one of several); None where it
        is about none or leaves it as it is, or is about a day after which more has happened to it."""
        from reedkin.grammar.actions import ReedAction

        actions = [a for a in reading.actions if isinstance(a, ReedAction)] if reading.ready else []
        if not actions:
            return None
        hand = self.hand
        tags = {a.tag for a in actions}
        about = hand.tag if hand is not None and hand.tag in tags else actions[0].tag
        own = [a for a in actions if a.tag == about]
        first, last = own[0], own[-1]
        later = last.reed is not None and self.bench.reed(last.reed).last.at > last.at
        return None if later or last.after == first.before else last

    def cautions(self, reading: Reading) -> list[str]:
        """The cautions that go with an entry and were not shown yet in this work session (without one, this run)."""
        from reedkin.grammar.preview import cautions

        return [c for c in cautions(reading) if (self._session_id, c) not in self._cautioned]

    def cautioned(self, caution: str) -> None:
        """A caution was shown."""
        self._cautioned.add((self._session_id, caution))

    @property
    def _session_id(self) -> str | None:
        return self.session.uid if self.session is not None else None

    @staticmethod
    def summary(records: list[Record]) -> str:
        """The records of an entry in a few words."""
        from reedkin.grammar.preview import told_together

        first, *more = told_together(records) or ["nothing"]
        return first + (f" and {plural(len(more), 'more thing')}" if more else "")

    def record(self, reading: Reading) -> list[Record]:
        """Record an entry and take in hand the reed that it was about. Where another program has recorded something
        since it was read, it is read again, and recorded if it still says the same. Raises what the log raises."""
        with self.log.alone() as moved_on:
            if moved_on and not _alike(again := self.read(reading.line), reading):
                why = again.errors[0].message if again.errors else "It would mean something else now."
                raise InputError(f"Another program has just recorded something too. {why} Look at the line again.")
            records = self.log.record(again if moved_on else reading)
        self._typed[records[0].entry] = reading.line
        self.lines.append(reading.line)
        events = [r for r in records if isinstance(r, (Event, Amendment))]
        if events:
            about = {e.reed for e in events}
            first = self.bench.reed(events[0].reed)
            if first.at_work and (len(about) == 1 or self.hand is None or self.hand.id not in about):
                self.take(first)
            if any(isinstance(e, Event) and e.kind == "scraped" for e in events):
                self.restart_clock()
        return records

    def take_back(self) -> tuple[list[Record], str]:
        """Strike the last entry; returns its records and what was typed for it, as far as this run knows. The reed in
        hand stays in hand."""
        hand = self.hand
        records = self.log.take_back()
        self.taken_back += 1
        self._hand = hand.id if hand is not None else None
        entry = records[0].entry
        typed = self._typed.get(entry, "")
        return records, "" if any(isinstance(r, Statement) and r.table == "sessions" for r in records) else typed


def _alike(again: Reading, before: Reading) -> bool:
    """Whether a line that was read twice would record the same, and raises no new question."""
    asked = {question.message for question in before.questions}
    return (
        again.ready
        and list(map(_said, again.actions)) == list(map(_said, before.actions))
        and all(question.message in asked for question in again.questions)
    )


def _said(action: Action) -> tuple[object, ...]:
    """What an action says, whenever it was read."""
    from reedkin.grammar.actions import AddedAction, ReedAction

    if isinstance(action, AddedAction):
        return action.tag, action.step.event.uid, action.step.facts, action.facts, action.note
    if isinstance(action, ReedAction):
        return action.tag, action.reed, action.kind, action.facts, action.note
    return action.table, action.subject, action.facts
