"""From an entry line to what would be recorded: reeds found by tag, 'as last time' filled in, every fact judged."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from reedkin.domain.bench import SETTINGS_SUBJECT, Bench, begins
from reedkin.domain.checks import Finding, judge, judge_time
from reedkin.domain.entry.facts import FactsRead, read_facts
from reedkin.domain.entry.tokens import Problem, Token, segments, tokens
from reedkin.domain.entry.verbs import VERBS, Verb, verbs_beginning
from reedkin.domain.entry.when import When, parse_when
from reedkin.domain.facts import BESIDE, FACTS, Facts, Value
from reedkin.domain.instruments import instrument_named
from reedkin.domain.reeds import Reed, State, advance
from reedkin.errors import InputError

MOST_TAGS = 60
"""More reeds than this in one entry is taken for a slip."""
_TAGS = re.compile(r"#?[^\s,#/]+(?:/\d+)?(?:,#?[^\s,#/]+(?:/\d+)?)*")
_RANGE = re.compile(r"(\d+)-(\d+)")
_GLUED = re.compile(r"([a-z]+)([.,]?\d.*)", re.IGNORECASE)
_LONGEST_TAG = 12


@dataclass(frozen=True, slots=True)
class ReedAction:
    """An event that would be recorded for one reed. `reed` is its id, or None where this event begins it (or an
    earlier action of the same entry does)."""

    tag: str
    reed: str | None
    kind: str
    facts: Facts
    at: datetime
    note: str
    before: State | None
    after: State


@dataclass(frozen=True, slots=True)
class BesideAction:
    """Something that would be said of a thing beside the reeds. An empty `subject` is a new one."""

    table: str
    subject: str
    facts: Facts
    at: datetime


Action = ReedAction | BesideAction


@dataclass(frozen=True, slots=True)
class Reading:
    """An entry line as it is understood so far."""

    line: str
    actions: tuple[Action, ...] = ()
    errors: tuple[Problem, ...] = ()
    questions: tuple[Problem, ...] = ()
    at: When | None = None
    takes_back: bool = False
    lone_tag: str | None = None
    """The tag of a reed that is there, where the line is this tag and nothing more: the maker looks it up."""

    @property
    def ready(self) -> bool:
        """Whether it could be recorded (questions may still have to be answered)."""
        return not self.errors and (bool(self.actions) or self.takes_back)


def read(line: str, bench: Bench, hand: Reed | None = None, minutes: int | None = None) -> Reading:
    """Read an entry line against the bench, with `hand` the reed in hand. `minutes` stands in for those of a scrape
    that names none (the bench clock's). Never raises: what is wrong is in the result."""
    if line.strip().lower() == "take back":
        return Reading(line, takes_back=True)
    return _Reading(line, bench, hand, minutes).result()


@dataclass
class _Working:
    """A reed as it is in the middle of an entry."""

    tag: str
    reed: Reed | None
    state: State | None


@dataclass
class _Reading:
    line: str
    bench: Bench
    hand: Reed | None
    minutes: int | None
    actions: list[Action] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    working: dict[str, _Working] = field(default_factory=dict)
    lone_tag: str | None = None

    def result(self) -> Reading:
        found = tokens(self.line)
        when, rest = self._when(found)
        tags: list[tuple[Token, str]] | None = None
        for segment in segments(rest):
            tags = self._segment(segment, tags, when)
        errors = tuple(p for p in self.problems if p.severity == "impossible")
        questions = _unique(p for p in self.problems if p.severity == "odd")
        return Reading(self.line, tuple(self.actions), errors, questions, when, lone_tag=self.lone_tag)

    def _problem(self, first: Token, last: Token, message: str, typing: bool = False) -> None:
        self.problems.append(
            Problem(first.start, last.end, message, "impossible", typing and last.end >= len(self.line.rstrip()))
        )

    # @when

    def _when(self, found: list[Token]) -> tuple[When | None, list[Token]]:
        when: When | None = None
        rest, place = [], 0
        while place < len(found):
            token = found[place]
            if token.kind != "at":
                rest.append(token)
                place += 1
                continue
            words = []
            for follower in found[place + 1 : place + 6]:
                if follower.kind != "word":
                    break
                words.append(follower)
            read, count = self._moment(words)
            if read is None or when is not None:
                last = words[-1] if words else token
                message = (
                    "the time is given twice"
                    if read
                    else "when? write @10:30, @yesterday, @yesterday 18:00, @12 March or @2026-03-12"
                )
                self._problem(token, last, message, typing=read is None)
                count = count or len(words)
            when = when or read
            place += 1 + count
        return when, rest

    def _moment(self, words: Sequence[Token]) -> tuple[When | None, int]:
        for count in range(len(words), 0, -1):
            try:
                return parse_when(" ".join(w.text for w in words[:count]), self.bench.clock), count
            except InputError:
                continue
        return None, 0

    # tags and verb

    def _segment(
        self, segment: list[Token], tags: list[tuple[Token, str]] | None, when: When | None
    ) -> list[tuple[Token, str]] | None:
        first = segment[0]
        if first.kind != "word":
            if tags is None and self.hand is None:
                self._problem(first, first, "a note needs a reed: write its tag first")
                return tags
            return self._act(first, _NOTE, segment, tags, when)
        verb_token = first
        place = 0
        if self._is_tags(segment):
            tags = list(self._tags(first))
            place = 1
            if len(segment) == 1:
                if len(tags) == 1 and not self.actions and self.bench.find(tags[0][1]) is not None:
                    self.lone_tag = tags[0][1]
                self._problem(first, first, "what happened to it? write a verb: " + ", ".join(_WORDS[:9]), typing=True)
                return tags
            verb_token = segment[1]
            if verb_token.kind == "quote":
                return self._act(verb_token, _NOTE, segment[1:], tags, when)
        verb, rest = self._verb(verb_token, segment[place + 1 :])
        if verb is None:
            return tags
        return self._act(verb_token, verb, rest, tags, when)

    def _is_tags(self, segment: list[Token]) -> bool:
        text = segment[0].text
        if not _TAGS.fullmatch(text):
            return False
        if text[0].isdecimal() or text[0] == "#" or "/" in text:
            return True
        follows_verb = len(segment) > 1 and bool(self._verbs(segment[1].text))
        known = self.bench.find(text) is not None or "," in text
        if self._verbs(text):
            exact = verbs_beginning(text)[0].word == text.lower()
            return known and follows_verb and not exact
        return known or follows_verb

    def _tags(self, token: Token) -> Iterator[tuple[Token, str]]:
        count = 0
        for piece in token.text.split(","):
            match = _RANGE.fullmatch(piece)
            names = [piece.removeprefix("#")]
            if match and int(match[1]) <= int(match[2]):
                span = range(int(match[1]), int(match[2]) + 1)
                names = [str(n) for n in span[: MOST_TAGS + 1]]
            elif match:
                self._problem(token, token, f"{piece} runs backwards; write {match[2]}-{match[1]}")
            for name in names:
                count += 1
                if count > MOST_TAGS:
                    self._problem(token, token, f"that is more than {MOST_TAGS} reeds in one entry; write fewer")
                    return
                yield token, name

    def _verbs(self, text: str) -> list[Verb]:
        glued = _GLUED.fullmatch(text)
        return verbs_beginning(glued[1] if glued else text)

    def _verb(self, token: Token, rest: list[Token]) -> tuple[Verb | None, list[Token]]:
        glued = _GLUED.fullmatch(token.text)
        if glued and self._verbs(token.text):
            cut = token.start + len(glued[1])
            rest = [Token(glued[2], cut, token.end), *rest]
            token = Token(glued[1], token.start, cut)
        fits = verbs_beginning(token.text)
        if len(fits) == 1:
            return fits[0], rest
        if fits:
            self._problem(token, token, f"{token.text} could be {' or '.join(v.word for v in fits)}", typing=True)
        else:
            self._problem(token, token, f"{token.text} is not a verb; verbs are " + ", ".join(_WORDS), typing=True)
        return None, rest

    # facts

    def _act(
        self, at: Token, verb: Verb, words: list[Token], tags: list[tuple[Token, str]] | None, when: When | None
    ) -> list[tuple[Token, str]] | None:
        if verb.table is not None:
            self._beside(at, verb, words, when)
            return tags
        facts = read_facts(verb, words, len(self.line.rstrip()))
        self.problems += facts.problems
        if tags is None:
            tags = self._untagged(at, verb)
        for token, tag in tags:
            self._on_reed(at, verb, facts, token, tag, when)
        return tags

    def _untagged(self, at: Token, verb: Verb) -> list[tuple[Token, str]]:
        if begins(verb.kind):
            return [(at, self.bench.next_tag())]
        if self.hand is not None:
            return [(at, self.hand.label)]
        self._problem(at, at, f"which reed? write its tag first, such as 12 {verb.word}")
        return []

    def _on_reed(self, at: Token, verb: Verb, read: FactsRead, token: Token, tag: str, when: When | None) -> None:
        working = self._working(tag, verb, token)
        if working is None:
            return
        facts = self._filled(verb, read, working)
        moment = self._time(working, when)
        targets = self.bench.targets(str(facts["instrument"])) if "instrument" in facts else None
        findings = judge(
            verb.kind, facts, working.state, read.note, targets, self.bench.usual(verb.kind, working.state)
        )
        begun = working.reed.begun if working.reed is not None else None
        findings += judge_time(moment, self.bench.clock.now(), begun)
        if begins(verb.kind):
            findings += self._tube_in_use(facts)
        for finding in findings:
            start, end = read.spans.get(finding.fact or "", (at.start, at.end))
            open_ = finding.severity == "impossible" and finding.fact is None
            message = (
                finding.message if self.hand is working.reed and len(self.working) == 1 else f"{tag}: {finding.message}"
            )
            self.problems.append(Problem(start, end, message, finding.severity, open_))
        if any(f.severity == "impossible" for f in findings):
            return
        after = advance(working.state or State(), verb.kind, facts)
        reed = working.reed.id if working.reed is not None else None
        self.actions.append(ReedAction(working.tag, reed, verb.kind, facts, moment, read.note, working.state, after))
        working.state = after

    def _working(self, tag: str, verb: Verb, token: Token) -> _Working | None:
        if tag in self.working and not begins(verb.kind):
            return self.working[tag]
        if begins(verb.kind):
            if tag in self.working or not self.bench.tag_is_free(tag):
                self._problem(token, token, f"{tag} is in use; retire it first, or take {self.bench.next_tag()}")
                return None
            if "/" in tag or len(tag) > _LONGEST_TAG or tag in _WORDS:
                self._problem(token, token, f"{tag} cannot be a tag: write a number or a short word")
                return None
            self.working[tag] = _Working(tag, None, None)
            return self.working[tag]
        reed = self.bench.find(tag)
        if reed is None:
            self._problem(token, token, f"there is no reed {tag}; to begin one write {tag} tie or {tag} join")
            return None
        self.working[tag] = _Working(reed.tag, reed, reed.now)
        return self.working[tag]

    def _filled(self, verb: Verb, read: FactsRead, working: _Working) -> dict[str, Value]:
        """The facts as typed, with what goes without saying put in: as last time, the bench clock's minutes."""
        facts = dict(read.facts)
        if verb.kind == "scraped" and self.minutes and "minutes" not in facts:
            facts["minutes"] = self.minutes
        instrument = working.state.instrument if working.state is not None else ""
        if verb.repeats and not facts and not read.problems:
            facts.update(as_last_time(self.bench, verb.kind, instrument))
        if begins(verb.kind):
            if "instrument" not in facts and (last := self.bench.latest_instrument()):
                facts["instrument"] = last
            tube = facts.get("tube")
            if isinstance(tube, str) and "tube_mm" not in facts and (known := self.bench.tube_length(tube)):
                facts["tube_mm"] = known
        return facts

    def _tube_in_use(self, facts: Facts) -> Iterator[Finding]:
        tube = facts.get("tube")
        if isinstance(tube, str):
            for reed in self.bench.on_tube(tube):
                if reed.at_work:
                    yield Finding("odd", f"tube {tube} is on reed {reed.label}", "tube")
                    return

    def _time(self, working: _Working, when: When | None) -> datetime:
        if when is None:
            return self.bench.clock.now()
        if when.whole_day and working.reed is not None:
            # A day without an hour: after what is known of that day, so that entries made later keep their order.
            that_day = [s.at for s in working.reed.standing if s.at.date() == when.at.date()]
            if that_day and max(that_day) >= when.at:
                return max(that_day) + timedelta(minutes=1)
        return when.at

    # beside the reeds

    def _beside(self, at: Token, verb: Verb, words: list[Token], when: When | None) -> None:
        assert verb.table is not None
        moment = when.at if when else self.bench.clock.now()
        subject, words, extra = self._subject(at, verb, words, moment)
        if subject is None:
            return
        read = read_facts(verb, words, len(self.line.rstrip()))
        self.problems += read.problems
        facts: dict[str, Value] = {**extra, **read.facts}
        for name in read.facts:
            fact, (start, end) = FACTS[name], read.spans.get(name, (at.start, at.end))
            if why := fact.impossible(read.facts[name]):
                self.problems.append(Problem(start, end, why))
            elif odd := fact.odd(read.facts[name]):
                self.problems.append(Problem(start, end, odd, "odd"))
        if read.note:
            facts["note"] = read.note
        if not facts:
            names = ", ".join(FACTS[n].words for n in BESIDE[verb.table].facts)
            self._problem(at, words[-1] if words else at, f"what about it? {verb.word} takes {names}", typing=True)
        elif not read.problems:
            self.actions.append(BesideAction(verb.table, subject, facts, moment))

    def _subject(
        self, at: Token, verb: Verb, words: list[Token], moment: datetime
    ) -> tuple[str | None, list[Token], dict[str, Value]]:
        if verb.table == "settings":
            return SETTINGS_SUBJECT, words, {}
        if verb.table == "sessions":
            return self._session(at, words, moment)
        if not words:
            self._problem(at, at, f"which {verb.word}? such as {verb.example}", typing=True)
            return None, words, {}
        if verb.table != "targets":
            return words[0].text, words[1:], {}
        for count in (2, 1):
            name = instrument_named(" ".join(w.text for w in words[:count]))
            if name and len(words) >= count:
                return name, words[count:], {}
        self._problem(words[0], words[0], f"{words[0].text} is not an instrument known here", typing=True)
        return None, words, {}

    def _session(
        self, at: Token, words: list[Token], moment: datetime
    ) -> tuple[str | None, list[Token], dict[str, Value]]:
        running = self.bench.open_session()
        word = words[0].text.lower() if words else ""
        if word and "start".startswith(word):
            if running is not None:
                self._problem(at, words[0], f"a session is running since {running.started:%d %b %H:%M}; end it first")
                return None, words, {}
            return "", words[1:], {"started": moment.isoformat()}
        if running is None:
            self._problem(at, words[0] if words else at, "no session is running; write session start", typing=True)
            return None, words, {}
        if word and "end".startswith(word):
            if moment < running.started:
                self._problem(at, words[0], f"that is before it started, {running.started:%d %b %H:%M}")
                return None, words, {}
            return running.uid, words[1:], {"ended": moment.isoformat()}
        return running.uid, words, {}


def as_last_time(bench: Bench, kind: str, instrument: str) -> dict[str, Value]:
    """The facts that a verb alone repeats: of the last such event on this instrument, or else the targets'."""
    if kind == "tied":
        instrument = bench.latest_instrument() or ""
    last = bench.last_facts(kind, instrument)
    if last is not None:
        single = ("tube", "name", "sink_min", "wire")  # these belong to one reed
        return {name: value for name, value in last.items() if name not in single}
    if instrument and kind in ("wired", "tubed"):
        targets = bench.targets(instrument)
        if kind == "wired" and targets.gauge_awg:
            return {"gauge_awg": int(targets.gauge_awg), "material": "brass"}
        if kind == "tubed" and targets.tubing_mm:
            return {"tubing_mm": targets.tubing_mm}
    return {}


def _unique(problems: Iterator[Problem]) -> tuple[Problem, ...]:
    return tuple(dict.fromkeys(problems))


_WORDS = tuple(verb.word for verb in VERBS)
_NOTE = next(verb for verb in VERBS if verb.word == "note")


def with_answer(reading: Reading) -> Reading:
    """The reading after the maker has answered its questions with yes."""
    return replace(reading, questions=())
