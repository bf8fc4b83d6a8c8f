"""The clause that starts a trial or ends one.

``trial start NAME ONE WAY or ANOTHER [instrument] [for 40] [for the circle]``, ``trial end NAME``. Behind `for the
circle` stands what a circle's trial is known by, where it was begun by another.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from reedkin.bench.bench import Bench
from reedkin.bench.trials import BEGUN_HERE, PLANNED, Trial, trials, trials_named
from reedkin.domain.facts import Value
from reedkin.domain.figures import date_words, moment_words
from reedkin.domain.instruments import instrument_named
from reedkin.grammar.beside.ways import same_measure
from reedkin.grammar.words.measures import is_numeric
from reedkin.grammar.words.tokens import Problem, Token

_OR = ("or", "/")
_FOR = ("for", "until")
_IDLE = ("reeds", "worn", "out")
"""Words that may stand behind the number of reeds and say nothing."""
_NUMBERED = re.compile(r".*/\d+")
_KNOWN_BY = re.compile(r"[0-9a-f]{32}")
_EXAMPLE = "trial start wire before or after eh for 40"


@dataclass
class TrialClause:
    """What the words behind `trial` say: of which trial ("" is a new one, None one that is not understood), which
    facts, and the words that are left for the verb's own slots."""

    subject: str | None = None
    rest: Sequence[Token] = ()
    facts: dict[str, Value] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)


def read_trial(head: Token, words: Sequence[Token], bench: Bench, now: datetime) -> TrialClause:
    """Read the words behind `trial`, the token `head`."""
    out = TrialClause()
    does = words[0].text.lower() if words and words[0].kind == "word" else ""
    if does and "start".startswith(does):
        _start(out, words, bench, now)
    elif does and "end".startswith(does):
        _end(out, words, bench, now)
    else:
        _wrong(out, words[0] if words else head, f"start or end? such as {_EXAMPLE}", waiting=len(words) < 2)
    return out


def _wrong(out: TrialClause, at: Token, message: str, last: Token | None = None, waiting: bool = False) -> None:
    out.problems.append(Problem(at.start, (last or at).end, message, open=waiting))


# Starting


def _start(out: TrialClause, words: Sequence[Token], bench: Bench, now: datetime) -> None:
    if len(words) < 2:
        _wrong(out, words[0], f"what is it called, and which are its two ways? such as {_EXAMPLE}", waiting=True)
        return
    name, (said, circle) = words[1], _circle(words[2:])
    middle = next((at for at, word in enumerate(said) if word.kind == "word" and word.text.lower() in _OR), None)
    if not middle or middle + 1 == len(said):
        _wrong(out, name, f"which two ways, with or between them? such as {_EXAMPLE}", words[-1], waiting=True)
        return
    one = _text(said[:middle])
    end = _way_ends(said, middle + 1)
    other = _text(said[middle + 1 : end])
    if not (name.text.strip() and one and other):
        _wrong(out, name, f"its name and both ways need a word each; such as {_EXAMPLE}", words[-1])
    elif one.casefold() == other.casefold():
        _wrong(out, said[0], "both ways are the same", said[end - 1])
    elif trials_named(bench, name.text):
        _wrong(out, name, f"there is a trial {name.text} already; give this one another name")
    elif _NUMBERED.fullmatch(name.text):
        _wrong(out, name, "a trial's name does not end in / and a number: so trials of one name are told apart")
    elif now > bench.clock.now():
        _wrong(out, words[0], "a trial starts now, or it started earlier; leave the day out", words[-1])
    else:
        out.subject = ""
        out.facts = {"started": now.isoformat(), "trial": name.text, "ways": (one, other), "planned": PLANNED}
        out.facts |= {"circle": circle} if circle else {}
        out.rest = [word for word in said[end:] if word.kind != "word" or word.text.lower() not in _IDLE]


def clash(facts: Mapping[str, Value], starting: Iterable[Trial], bench: Bench) -> str | None:
    """Why a trial with these facts cannot start: one that runs, or is `starting` in the same line, draws the same thing
    for the same reeds, and a reed cannot be drawn twice for it."""
    new = as_trial(facts)
    for trial in (*(t for t in trials(bench) if t.running), *starting):
        if (what := same_measure(new, trial)) is not None:
            name = trial.label
            return f"trial {name} draws {what} already, for the same reeds; end it first: trial end {name}"
    return None


def as_trial(facts: Mapping[str, Value]) -> Trial:
    """The trial that a start says, before it is recorded."""
    ways, instrument = facts["ways"], facts.get("instrument")
    assert isinstance(ways, tuple)
    started = datetime.fromisoformat(str(facts["started"]))
    of = str(instrument) if instrument else None
    return Trial("", str(facts["trial"]), (ways[0], ways[1]), of, PLANNED, started)


def _circle(words: Sequence[Token]) -> tuple[Sequence[Token], str]:
    """The words without `for the circle`, and what its trial is known by; "" where they do not say it."""
    for at, word in enumerate(words):
        rest = [one.text.lower() for one in words[at : at + 4] if one.kind == "word"]
        if word.kind == "word" and rest[:1] == ["for"] and "circle" in rest[1:3]:
            behind = at + 1 + rest[1:].index("circle") + 1
            known = words[behind].text.lower() if behind < len(words) else ""
            if _KNOWN_BY.fullmatch(known):
                return [*words[:at], *words[behind + 1 :]], known
            return [*words[:at], *words[behind:]], BEGUN_HERE
    return words, ""


def _text(words: Sequence[Token]) -> str:
    return " ".join(word.text for word in words).strip()


def _way_ends(words: Sequence[Token], start: int) -> int:
    """Where the second way ends: behind its quotes, or before a note, an instrument or the number of reeds."""
    if words[start].kind == "quote":
        return start + 1
    for at in range(start + 1, len(words)):
        following = words[at + 1] if at + 1 < len(words) else None
        if words[at].kind != "word" or (words[at].text.lower() in _FOR and (not following or is_numeric(following))):
            return at
        if instrument_named(words[at].text) or (following and instrument_named(f"{words[at].text} {following.text}")):
            return at
    return len(words)


# Ending


def _end(out: TrialClause, words: Sequence[Token], bench: Bench, now: datetime) -> None:
    running = [trial for trial in trials(bench) if trial.running]
    trial = _meant(out, words, bench, running)
    if trial is None:
        return
    if len(words) > 2:
        _wrong(out, words[2], "an end takes the trial's name and nothing more", words[-1])
        return
    if now < trial.started:
        _wrong(out, words[0], f"that is before it started, {moment_words(trial.started)}", words[-1])
        return
    out.subject, out.facts = trial.uid, {"ended": now.isoformat()}


def _meant(out: TrialClause, words: Sequence[Token], bench: Bench, running: Sequence[Trial]) -> Trial | None:
    """The trial that is named, or the only one that runs where none is."""
    if not running:
        _wrong(out, words[0], "no trial is running")
    elif len(words) == 1 and len(running) == 1:
        return running[0]
    elif len(words) == 1:
        _wrong(out, words[0], f"which one? {' or '.join(t.label for t in running)}", waiting=True)
    elif len(named := [t for t in trials_named(bench, words[1].text) if t.running]) == 1:
        return named[0]
    elif named:
        which = " or ".join(f"{t.label} of {date_words(t.started)}" for t in named)
        _wrong(out, words[1], f"which one? {which}")
    else:
        names = ", ".join(t.label for t in running)
        _wrong(out, words[1], f"no trial {words[1].text} is running; running: {names}", waiting=len(words) == 2)
    return None
