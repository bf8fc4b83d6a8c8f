"""Conflicts within a reed's lineage, of which both logs wrote further events."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from reedkin.bench.audit import objections_to
from reedkin.bench.correcting import Correction, Corrector, Restated, step_at
from reedkin.domain.events import Amendment, Place, Record, Strike, standing
from reedkin.domain.figures import date_words
from reedkin.domain.reeds import HANDED_OVER, RETIRED, Reed, Step, fold
from reedkin.errors import InputError
from reedkin.grammar.writing import as_line
from reedkin.store.merging.conflicts.settling import (
    HERE,
    THERE,
    Conflict,
    Sides,
    Way,
    called,
    give_back_way,
    strike_way,
    what,
)

_ENDS = {RETIRED: "retired", HANDED_OVER: "handed over"}
_OTHER = {HERE: THERE, THERE: HERE}


def in_lineage(reed: str, sides: Sides) -> Iterator[Conflict]:
    """What the two logs say of one reed that does not go together."""
    yield from _Lineage.of(reed, sides).conflicts()


@dataclass(frozen=True, slots=True)
class _Lineage:
    """A reed as merged, and as each log alone had it; `records` by uid."""

    sides: Sides
    records: Mapping[str, Record]
    merged: Reed
    own: Mapping[str, Reed]

    @classmethod
    def of(cls, reed: str, sides: Sides) -> _Lineage:
        records = {record.uid: record for record in sides.bench.lineages.records(reed)}
        hidden = {HERE: sides.theirs, THERE: sides.ours}
        # One of them may have lost the beginning to damage.
        own = {
            side: fold(reed, [record for uid, record in records.items() if uid not in unseen or uid == reed])
            for side, unseen in hidden.items()
        }
        return cls(sides, records, sides.bench.reed(reed), own)

    def conflicts(self) -> Iterator[Conflict]:
        yield from self._twice_corrected()
        if self.merged.void:
            yield from self._never_was()
            return
        yield from self._retired_twice()
        yield from self._objected()

    @property
    def _label(self) -> str:
        return f"Reed {self.merged.label}"

    def _side(self, step: Step) -> str | None:
        """Which log alone says of an event what counts of it."""
        return self.sides.of(step.amendments[-1].uid if step.amendments else step.event.uid)

    def _strikes(self, of: str) -> list[Strike]:
        """The strikes of a record that stand."""
        strikes = [record for record in self.records.values() if isinstance(record, Strike)]
        struck = standing(strikes)
        return [strike for strike in strikes if strike.of == of and strike.uid not in struck]

    # A beginning that one log took back

    def _never_was(self) -> Iterator[Conflict]:
        begun = self.merged.steps[0]
        sides = {self.sides.of(strike.uid) for strike in self._strikes(begun.event.uid)}
        if len(sides) != 1 or (side := next(iter(sides))) is None:
            return
        later = [step for step in self.merged.standing if self._side(step) == _OTHER[side]]
        if later:
            yield Conflict(
                f"{self._label} was taken back {side}, and {_and_more(later)} {_OTHER[side]}: it never was, now.",
                (give_back_way("it was tied after all", begun, self.sides.bench),),
            )

    # Two ends

    def _retired_twice(self) -> Iterator[Conflict]:
        ends = list(self.merged.of_kind("retired"))
        if len(ends) > 1 and self.sides.split(step.event.uid for step in ends):
            said = " and ".join(f"{what(step)} ({self._side(step) or 'in both'})" for step in ends)
            ways = tuple(
                strike_way(f"only {what(kept)} counts", [step for step in ends if step is not kept], self.sides.bench)
                for kept in ends
            )
            yield Conflict(f"{self._label} was retired twice: {said}.", ways)

    # What speaks against an event now, and did not in the log that it is from

    def _objected(self) -> Iterator[Conflict]:
        found: dict[tuple[str, str, str], list[Step]] = {}
        for step in self.merged.standing:
            side = self._side(step)
            if side is None or (step.kind == "retired" and step.before.stage == RETIRED):
                continue
            before = self._before(step, side)
            for objection in objections_to(self.merged, step, self.sides.bench):
                if objection.message not in before:
                    found.setdefault((side, step.before.stage, objection.message), []).append(step)
        for (side, stage, message), steps in found.items():
            yield self._told(side, stage, message, steps)

    def _before(self, step: Step, side: str) -> set[str]:
        reed = self.own[side]
        known = next((one for one in reed.steps if one.event.uid == step.event.uid), None)
        return {one.message for one in objections_to(reed, known, self.sides.bench)} if known is not None else set()

    def _told(self, side: str, stage: str, message: str, steps: Sequence[Step]) -> Conflict:
        ways = [strike_way(_of_them("does not count", "do not count", steps), steps, self.sides.bench)]
        end = self._end_before(steps[0], _ENDS[stage]) if stage in _ENDS else None
        if end is None:
            return Conflict(f"{self._label}: {_and_more(steps)} {side}, but with what is {_OTHER[side]}: {message}.",
                            tuple(ways))  # fmt: skip
        words = "it was not retired" if stage == RETIRED else "it was not handed over"
        ways.insert(0, strike_way(words, [end], self.sides.bench))
        other = self._side(end) or "in both"
        return Conflict(f"{self._label} was {what(end)} ({other}), and after that {_and_more(steps)} ({side}).",
                        tuple(ways))  # fmt: skip

    def _end_before(self, step: Step, kind: str) -> Step | None:
        ends = [end for end in self.merged.of_kind(kind) if (end.at, end.event.uid) < (step.at, step.event.uid)]
        return ends[-1] if ends else None

    # One event corrected in both

    def _twice_corrected(self) -> Iterator[Conflict]:
        for step in self.merged.steps:
            strikes = self._strikes(step.event.uid)
            amended = [one for one in self._amendments(step) if self.sides.of(one.uid) is not None]
            if step.struck and (one := self._against_strikes(strikes, amended)) is not None:
                side = self.sides.of(one.uid)
                yield Conflict(
                    f"{self._label}: {what(step)} was taken out {_OTHER[str(side)]}, and corrected {side}: it does not "
                    "count.", (give_back_way("it counts, as corrected", step, self.sides.bench),),
                )  # fmt: skip
            elif not step.struck and self.sides.split(one.uid for one in amended):
                yield from self._amended_twice(step, amended)
            moved = [strike for strike in strikes if strike.moved_to is not None]
            if self.sides.split(strike.uid for strike in moved):
                yield self._moved_twice(step, moved)

    def _amendments(self, step: Step) -> list[Amendment]:
        return [one for one in self.records.values() if isinstance(one, Amendment) and one.of == step.event.uid
                and not self._strikes(one.uid)]  # fmt: skip

    def _against_strikes(self, strikes: Sequence[Strike], amended: Sequence[Amendment]) -> Amendment | None:
        """An amendment of the log that did not strike the event."""
        by = {self.sides.of(strike.uid) for strike in strikes}
        return next((one for one in amended if len(by) == 1 and self.sides.of(one.uid) not in by and None not in by),
                    None)  # fmt: skip

    def _amended_twice(self, step: Step, amended: Sequence[Amendment]) -> Iterator[Conflict]:
        last = {side: [one for one in amended if self.sides.of(one.uid) == side][-1] for side in (HERE, THERE)}
        said = {side: Restated(one.at, one.facts, one.note) for side, one in last.items()}
        if said[HERE] == said[THERE]:
            return
        counts = self.sides.of(step.amendments[-1].uid)
        if counts is None:
            return
        words = {side: f"“{_worded(step, one)}”" for side, one in said.items()}
        yield Conflict(
            f"{self._label}: {step.kind} of {date_words(step.event.at)} was corrected in both: {words[HERE]} here, "
            f"{words[THERE]} there. The one {counts} counts, which was written last.",
            (self._says_way(step, said[_OTHER[counts]], f"the one {_OTHER[counts]} counts"),),
        )

    def _says_way(self, step: Step, now: Restated, words: str) -> Way:
        place, bench = Place(step.event.reed, step.event.uid), self.sides.bench

        def plan(corrector: Corrector) -> Correction:
            found = step_at(bench, place)
            return corrector.amend([(found, now)] if found is not None else [])

        line = shlex.quote(_worded(step, now))
        return Way(words, f"reedkin amend {called(step.event.uid)} --says {line}", plan)

    def _moved_twice(self, step: Step, moved: Sequence[Strike]) -> Conflict:
        places = [strike.moved_to for strike in moved if strike.moved_to is not None]
        copies = [copy for place in places if (copy := step_at(self.sides.bench, place)) is not None]
        names = [self.sides.bench.reed(copy.event.reed).label for copy in copies]
        ways = tuple(
            strike_way(f"it was {name}", [other for other in copies if other is not copy], self.sides.bench)
            for name, copy in zip(names, copies, strict=True)
        )
        return Conflict(
            f"{self._label}: {what(step)} was moved in both, to {' and to '.join(names)}: it counts twice.", ways
        )


def _worded(step: Step, now: Restated) -> str:
    at = now.at if now.at != step.at else None
    try:
        return as_line(step.kind, now.facts, at, now.note)
    except InputError:  # what nobody types
        return what(step._replace(facts=now.facts, note=now.note, at=now.at))


def _and_more(steps: Sequence[Step]) -> str:
    more = f" and {len(steps) - 1} more" if len(steps) > 1 else ""
    return what(steps[0]) + more


def _of_them(one: str, many: str, steps: Sequence[Step]) -> str:
    return f"{what(steps[0])} {one}" if len(steps) == 1 else f"those {len(steps)} {many}"
