"""A reed's whole life in plain text: what it is made of, its measures, every event with its corrections."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from reedkin.bench.bench import Bench
from reedkin.bench.sessions import WorkSession
from reedkin.bench.trials import ways_of
from reedkin.domain.columns import fold_text
from reedkin.domain.describe import describe, played_so_far
from reedkin.domain.facts import FACTS
from reedkin.domain.figures import date_words, duration, mm, moment_words, past, plural, rested
from reedkin.domain.instruments import Targets
from reedkin.domain.known import minutes_played
from reedkin.domain.reeds import IN_SERVICE, RETIRED, Reed, State, Step, Wire
from reedkin.domain.uid import NAME_LENGTH
from reedkin.domain.units import awg_mm
from reedkin.domain.words import spelt


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One event as a line of the history. `length` is what it did to the overall length, `hours` the playing so far;
    `gone` says that it does not count any more, `corrections` how it was amended."""

    step: Step
    when: str
    what: str
    note: str
    length: str
    hours: str
    room: str
    gone: str
    corrections: tuple[str, ...]

    @property
    def struck(self) -> bool:
        return self.step.struck


def history_rows(reed: Reed, bench: Bench) -> list[HistoryRow]:
    """The lineage, oldest first, struck events among the others. The room of a work session is told once, with the
    first of its events that stand together."""
    before = [None, *(step.session for step in reed.steps)]
    return [_row(reed, step, bench, step.session != last) for step, last in zip(reed.steps, before, strict=False)]


def whole_text(told: Sequence[str], rows: Iterable[HistoryRow], named: bool) -> list[str]:
    """What is told of a reed and the rows of its history as one text."""
    text = fold_text([*told, ""])
    for row in rows:
        mark = f"{row.gone}: " if row.gone else ""
        length = f"  [{row.length}]" if row.length else ""
        hours = f"  ({row.hours})" if row.hours else ""
        when = f"{row.when}  " + (f"{row.step.event.uid[-NAME_LENGTH:]:{NAME_LENGTH}}  " if named else "")
        text += fold_text([f"{when}{mark}{row.what}{length}{hours}{row.note}"], len(when))
        text += fold_text(f"{'':{len(when)}}{more}" for more in (*row.corrections, *([row.room] if row.room else [])))
    return text


def measures_of(reed: Reed, bench: Bench) -> list[str]:
    """The measures of a reed with the targets of its instrument beside; none of one that never was."""
    return measures(reed.now, bench.settings.targets(reed.instrument)) if not reed.void else []


def headline(reed: Reed) -> str:
    """ "142 Clara (red thread): English horn, in service"."""
    state = reed.now
    name = f" {state.name}" if state.name else ""
    thread = f" ({state.thread} thread)" if state.thread else ""
    end = f" ({state.cause})" if state.stage == RETIRED else f" ({state.to})" if state.to else ""
    return f"{reed.label}{name}{thread}: {spelt(state.instrument)}, {state.stage}{end}"


def made_of(reed: Reed, bench: Bench) -> list[str]:
    """What a reed is made of and where from: lot, shape, gouge, tube and the reeds before it on that tube; and the way
    of making that a trial assigned it."""
    state = reed.now
    cane = [f"lot {state.lot}"] if state.lot else ["lot not noted"]
    cane += [f"shape {state.shape}"] if state.shape else []
    cane += [f"gouge {FACTS['gouge_mm'].show(state.gouge_mm)}"] if state.gouge_mm is not None else []
    cane += [f"sank in {FACTS['sink_min'].show(state.sink_min)}"] if state.sink_min is not None else []
    lines = [f"cane: {', '.join(cane)}{_about_lot(state.lot, state.instrument, bench) if state.lot else ''}"]
    if state.tube or state.tube_mm is not None:
        words = [state.tube or "", mm(state.tube_mm) if state.tube_mm is not None else ""]
        lines.append("tube: " + " ".join(w for w in words if w) + _before_on_tube(reed, bench))
    if ways := ways_of(reed):
        lines.append("; ".join(ways))
    return lines


def _about_lot(lot: str, instrument: str, bench: Bench) -> str:
    """What is known of a lot; its instrument goes without saying on a reed for the same one."""
    known = bench.beside.subjects("lots").get(lot)
    if not known:
        return ""
    words = [FACTS[n].told(v) for n, v in known.items() if n in FACTS and (n, v) != ("instrument", instrument)]
    return f" ({', '.join(words)})" if words else ""


def _before_on_tube(reed: Reed, bench: Bench) -> str:
    if not reed.now.tube:
        return ""
    before = [h.reed for h in bench.headings.on_tube(reed.now.tube) if h.at < reed.begun and h.reed != reed.id]
    labels = ", ".join(bench.reed(one).label for one in before[-6:])
    return f", before it {plural(len(before), 'reed')}: {labels}" if before else ", its first reed here"


def measures(state: State, targets: Targets) -> list[str]:
    """The measures that are known, with the targets beside."""
    said = [
        (
            "overall",
            state.overall_mm,
            f"tied {mm(targets.overall_mm, unit=False)}, finished {mm(targets.finished_mm, unit=False)}",
        ),
        ("tip from", state.tip_from_mm, mm(targets.tip_from_mm, unit=False)),
        ("heart from", state.heart_from_mm, mm(targets.heart_from_mm, unit=False)),
        ("opening", state.opening_mm, mm(targets.opening_mm, unit=False)),
    ]
    known = [f"{name} {mm(value)} (target {target})" for name, value, target in said if value is not None]
    derived = [("blade", state.blade_mm), ("heart", state.heart_mm), ("tip", state.tip_mm)]
    known += [f"{name} {mm(value)}" for name, value in derived if value is not None]
    if state.wire is not None:
        known.append(_wire(state.wire))
    if state.tubing_mm:
        known.append(f"tubing {mm(state.tubing_mm)}")
    if state.crow:
        known.append(f"crows {state.crow}")
    return ["measures: " + ", ".join(known)] if known else []


def _wire(wire: Wire) -> str:
    """ "wire 28 awg (0.32 mm) brass 3 turns at 34 mm"."""
    words = ["wire"]
    words += [f"{wire.gauge_awg} awg ({awg_mm(wire.gauge_awg):.2f} mm)"] if wire.gauge_awg is not None else []
    words += [wire.material] if wire.material else []
    words += [plural(wire.turns, "turn")] if wire.turns else []
    words += [f"at {mm(wire.from_butt_mm)}"] if wire.from_butt_mm is not None else []
    return " ".join(words)


def service(reed: Reed, bench: Bench) -> str:
    """How much it has been played and how it is now."""
    state = reed.now
    if not state.minutes_played and state.stage != IN_SERVICE:
        return f"not played yet, begun {past(reed.begun, bench.clock.now())}"
    if not state.minutes_played:
        words = ["in service, no hours noted yet"]
    elif not state.playings:
        words = [f"played {duration(state.minutes_played)}, all of it before this log"]
    else:
        words = [f"played {duration(state.minutes_played)} in {plural(state.playings, 'sitting')}"]
    unknown = sum(minutes_played(step.facts) is None for step in reed.of_kind("played"))
    if unknown:
        words.append(f"{unknown} of them of unknown length")
    if state.minutes_before and state.playings:
        words.append(f"{duration(state.minutes_before)} of it before this log")
    if reed.of_unknown_age and state.playings:
        words.append("more before this log")
    if state.score is not None:
        words.append(f"last score {state.score:g}")
    if (last := reed.last_played) is not None and reed.at_work:
        words.append(rested(last.at, bench.clock.now()))
    return ", ".join(words)


def _row(reed: Reed, step: Step, bench: Bench, in_a_new_session: bool) -> HistoryRow:
    before, after = step.before.overall_mm, step.after.overall_mm
    length = f"{mm(before, unit=False)} → {mm(after)}" if before is not None and before != after else ""
    hours = played_so_far(reed, step.after.minutes_played) if step.kind == "played" else ""
    what = "note" if step.kind == "noted" else describe(step.kind, step.facts)
    note = f"  “{step.note}”" if step.note else ""
    session = bench.sessions.of(step.session) if in_a_new_session else None
    corrections = [f"was {_as_was(step, i)}, amended {date_words(a.recorded)}" for i, a in enumerate(step.amendments)]
    corrections += _moved(step, bench)
    when = f"{step.at.day:2} {step.at:%b %Y %H:%M}"
    return HistoryRow(
        step, when, what, note, length, hours, conditions(session), _gone(step, bench), tuple(corrections)
    )


def _moved(step: Step, bench: Bench) -> list[str]:
    """From which reed an event was moved here."""
    words = []
    if (came := step.event.moved_from) is not None and came.reed in bench:
        words.append(f"moved here from {bench.reed(came.reed).label} {date_words(step.event.recorded)}")
    return words


def _gone(step: Step, bench: Bench) -> str:
    """That an event does not count: "struck", "moved to 14"; empty where it does."""
    if not step.struck:
        return ""
    went = step.moved_to
    return f"moved to {bench.reed(went.reed).label}" if went is not None and went.reed in bench else "struck"


def _as_was(step: Step, place: int) -> str:
    """What an event said before its amendment number `place`."""
    source = step.amendments[place - 1] if place else step.event
    at = f", at {moment_words(source.at)}" if source.at != step.at else ""
    note = f" “{source.note}”" if source.note and source.note != step.note else ""
    return describe(step.kind, source.facts) + note + at


def conditions(session: WorkSession | None) -> str:
    """The room and the knife of a work session; empty where nothing is known."""
    if session is None:
        return ""
    words = [FACTS["room_c"].show(session.room_c)] if session.room_c is not None else []
    words += [FACTS["humidity_pct"].show(session.humidity_pct)] if session.humidity_pct is not None else []
    words += ["knife fresh" if session.knife_fresh else "knife not fresh"] if session.knife_fresh is not None else []
    return ", ".join(words)
