"""The box that asks what is to be corrected, and shows after each key what that would do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Literal

from textual import events
from textual.widgets import Static

from reedkin.bench.correcting import MOST_AT_ONCE, Correction, Corrector, refused, step_at
from reedkin.charts.canvas import Run
from reedkin.desk import Desk
from reedkin.domain.events import Place, Statement
from reedkin.domain.figures import date_words, moment_words
from reedkin.domain.reeds import Step
from reedkin.errors import ReedkinError
from reedkin.grammar.correcting.corrections import (
    plan_amendment,
    plan_day,
    plan_move,
    plan_tag,
    plan_words,
    what_words,
)
from reedkin.grammar.when.days import parse_when
from reedkin.grammar.writing import as_line
from reedkin.screens.parts.keys import DO, LEAVE, aside
from reedkin.widgets.styled import styled
from reedkin.widgets.typed import Typed

Doing = Literal["amend", "strike", "give back", "day", "move", "tag"]

_ASKS: dict[Doing, str] = {
    "amend": "What should it say?",
    "strike": "Strike it? It stays in the log, struck out.",
    "give back": "Let it count again?",
    "day": "To which day? ← and → go through the days; a time may follow.",
    "move": "To which reed? (several: 11-18)",
    "tag": "Which tag instead?",
}
_MOST_LINES = 5
"""At most so many lines are shown of each: what a correction does, what is asked, and what forbids it."""


@dataclass(frozen=True, slots=True)
class Marked:
    """What is to be corrected: events; or what was said beside the reeds."""

    places: tuple[Place, ...] = ()
    said: Statement | None = None


@dataclass
class _Open:
    """The box while it is open. `whole`: all that was recorded in the same entry is meant."""

    desk: Desk
    doing: Doing
    marked: Marked
    line: Typed
    whole: bool = False
    entry: tuple[Place, ...] | None = None
    """Where all of the entry stands, once it was looked for."""
    asked: bool = False
    plan: Correction = field(default_factory=Correction)


class CorrectionBox(Static):
    """Asks what is to be corrected and shows, after each key, what that would do. It takes no focus: the screen hands
    it the keys."""

    DEFAULT_CSS = """
    CorrectionBox { display: none; height: auto; max-height: 14; background: $surface; border-top: solid $primary;
        padding: 0 1; }
    CorrectionBox.-open { display: block; }
    """

    def __init__(self, done: Callable[[Correction, Doing, list[str]], None], id: str | None = None) -> None:
        super().__init__(id=id)
        self._done = done
        self._open: _Open | None = None

    @property
    def is_open(self) -> bool:
        return self._open is not None

    def open(self, desk: Desk, doing: Doing, marked: Marked) -> str:
        """Ask; returns why that cannot be asked of what is marked, or nothing."""
        steps = _steps(desk, marked.places)
        if doing != "strike" and not steps:
            return "that is beside the reeds; it can only be struck"
        text, fresh = "", False
        if doing == "strike" and steps and all(step.struck for step in steps):
            doing = "give back"
        if doing in ("amend", "day", "move") and steps[0].struck:
            return "that is struck; x gives it back"
        if doing == "amend":
            try:
                text = as_line(steps[0].kind, steps[0].facts, note=steps[0].note)
            except ReedkinError as error:
                return str(error)
        elif doing == "day":
            text, fresh = date_words(steps[0].at), True
        elif doing == "tag":
            text, fresh = desk.bench.reed(steps[0].event.reed).tag, True
        self._open = _Open(desk, doing, marked, Typed(text, fresh))
        self._look(self._open)
        return ""

    def close(self) -> None:
        self._open = None
        self._appear(False)

    def _appear(self, open: bool) -> None:
        """Show itself or not; the screen makes room for it by the class -correcting."""
        self.set_class(open, "-open")
        self.screen.set_class(open, "-correcting")

    def key(self, event: events.Key) -> None:
        """Do what a key does, all of it."""
        now = self._open
        if now is None:
            return
        bare = now.doing in ("strike", "give back")
        if event.key == "escape" or (bare and event.key == "n"):
            self.close()
        elif event.key == "enter" or (bare and event.key == "y"):
            self._enter(now)
        elif event.key == "tab":
            now.whole, now.asked = not now.whole, False
            self._look(now)
        elif now.doing == "day" and event.key in ("left", "right", "up", "down"):
            self._turn(now, -1 if event.key in ("left", "down") else 1)
        elif not bare and now.line.key(event):
            now.asked = False
            self._look(now)

    def paste(self, text: str) -> None:
        """Text that was pasted."""
        if self._open is not None:
            self._open.line.insert(text)
            self._open.asked = False
            self._look(self._open)

    def _turn(self, now: _Open, by: int) -> None:
        try:
            day = parse_when(now.line.text, now.desk.clock).at
        except ReedkinError:
            return
        now.line = Typed(date_words(day + timedelta(days=by)), fresh=True)
        now.asked = False
        self._look(now)

    def _enter(self, now: _Open) -> None:
        now.plan = self._plan(now)  # anew: the log may have changed since the last key
        if not now.plan.ready or (now.plan.questions and not now.asked):
            now.asked = now.plan.ready
            self._show(now)
            return
        said = plan_words(now.plan, now.desk.bench)
        try:
            now.desk.log.write(now.plan.records)
        except ReedkinError as error:
            now.plan = refused(str(error))
            self._show(now)
            return
        self.close()
        self._done(now.plan, now.doing, said)

    def _look(self, now: _Open) -> None:
        now.plan = self._plan(now)
        self._show(now)

    def _meant(self, now: _Open) -> list[Step]:
        desk = now.desk
        steps = _steps(desk, now.marked.places)
        if now.whole and steps:
            if now.entry is None:
                named = (desk.log.entries.of(entry) for entry in dict.fromkeys(s.event.entry for s in steps))
                now.entry = tuple(Place(event.reed, event.uid) for events in named for event in events)
            return [step for step in _steps(desk, now.entry) if step.struck == steps[0].struck]
        return steps

    def _plan(self, now: _Open) -> Correction:
        desk = now.desk
        corrector = Corrector(desk.bench, desk.log.uids)
        if now.marked.said is not None:
            return corrector.strike_said(now.marked.said)
        steps = self._meant(now)
        if len(steps) > MOST_AT_ONCE:
            return refused(f"that entry holds {len(steps)} events, as an import does; correct them line by line")
        if not steps:
            return refused("it is not in the log any more")
        match now.doing:
            case "amend":
                same = [step for step in steps if step.kind == steps[0].kind]
                return plan_amendment(corrector, desk.bench, same, now.line.text)
            case "strike":
                return corrector.strike(steps)
            case "give back":
                return corrector.give_back(steps)
            case "day":
                return plan_day(corrector, steps, now.line.text, desk.clock)
            case "move":
                return plan_move(corrector, desk.bench, steps, now.line.text)
            case "tag":
                return plan_tag(corrector, desk.bench.reed(steps[0].event.reed), now.line.text)

    def _show(self, now: _Open) -> None:
        desk = now.desk
        self._appear(True)
        bare = now.doing in ("strike", "give back")
        lines: list[list[Run]] = [[Run(_ASKS[now.doing], "strong")]]
        if now.doing == "amend" and (first := _steps(desk, now.marked.places)):
            lines[0].append(Run(f" It stays at {moment_words(first[0].at)} unless @ says another."))
        if steps := self._meant(now):
            what = what_words(steps, desk.bench) if now.doing != "tag" else desk.bench.reed(steps[0].event.reed).label
            scope = "all of the entry" if now.whole else "Tab: all of the entry"
            lines.append([Run(what), Run("" if now.doing == "tag" else f"   {scope}", "faint")])
        if not bare:
            lines.append([Run("▸ ", "target"), *now.line.runs()])
        nothing_yet = now.plan.errors in _NOTHING_YET or (now.doing in ("move", "day") and not now.line.text.strip())
        errors: Sequence[str] = () if nothing_yet else now.plan.errors
        lines += [[Run(f"✗ {error}", "error")] for error in _some(errors)]
        if not now.plan.errors:
            lines += [[Run(line, "good")] for line in _some(plan_words(now.plan, desk.bench))]
            lines += [[Run(f"? {question}", "warn")] for question in _some(now.plan.questions)]
        if now.asked:
            lines.append([Run("Enter again does it all the same.", "strong")])
        else:
            lines.append(aside((DO, LEAVE)))
        self.update(styled(lines))


_NOTHING_YET = (("that is what it says already",), ("that is its tag already",))
"""What is no error while nothing was typed that differs."""


def _some(lines: Sequence[str]) -> list[str]:
    """As many lines as there is room for."""
    if len(lines) <= _MOST_LINES:
        return list(lines)
    return [*lines[: _MOST_LINES - 1], f"and {len(lines) - _MOST_LINES + 1} more"]


def _steps(desk: Desk, places: Sequence[Place]) -> list[Step]:
    found = (step_at(desk.bench, place) for place in places)
    return [step for step in found if step is not None]
