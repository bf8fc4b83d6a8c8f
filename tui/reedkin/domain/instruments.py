"""Each instrument's target measures: starting values of common practice (no source), that the user changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from reedkin.domain.facts import Value
from reedkin.domain.words import INSTRUMENTS


@dataclass(frozen=True, slots=True)
class Targets:
    """What a maker aims at, in mm (wire in AWG); None where she has no target. A reed is tied longer than it is when it
    is finished, so it has two lengths: `overall_mm` when tied, `finished_mm` when clipped and in use. `tolerance_mm` is
    how far a length may stray."""

    tube_mm: float
    overall_mm: float
    finished_mm: float
    tip_from_mm: float
    heart_from_mm: float
    gouge_mm: float
    opening_mm: float
    tolerance_mm: float = 0.5
    gauge_awg: float | None = None
    tubing_mm: float | None = None
    crow: str = "C5"


_STARTING: Mapping[str, Targets] = {
    # Common practice, no source; gouge from memory. Finished: what about three clips leave.
    "english horn": Targets(27, 60, 57.5, 50.5, 43.5, 0.62, 1.6, gauge_awg=28, tubing_mm=5),
    # Common practice, no source; tip, heart and gouge from memory.
    "oboe": Targets(47, 72, 70, 66, 61, 0.59, 1.3),
    # From memory; schools differ more than for the two above.
    "oboe d'amore": Targets(30, 62, 60, 53.5, 47.5, 0.60, 1.5, gauge_awg=28, tubing_mm=5),
    "bass oboe": Targets(29, 68, 66, 57, 48, 0.65, 1.8, gauge_awg=28, tubing_mm=5),
}

_SHORT = {
    "eh": "english horn", "cor": "english horn", "ca": "english horn", "cor anglais": "english horn",
    "engl horn": "english horn", "engl. horn": "english horn", "englischhorn": "english horn",
    "ob": "oboe", "o": "oboe", "hautbois": "oboe", "da": "oboe d'amore", "oda": "oboe d'amore", "amore": "oboe d'amore",
    "d'amore": "oboe d'amore", "damore": "oboe d'amore", "oboe damore": "oboe d'amore",
    "bo": "bass oboe", "bass": "bass oboe",
}  # fmt: skip
SHORT_NAMES = {"english horn": "eh", "oboe": "ob", "oboe d'amore": "da", "bass oboe": "bo"}


def short_name(name: str) -> str:
    """An instrument where there is little room: "eh". Any other word stays as it is."""
    return SHORT_NAMES.get(name, name)


def starting_targets(instrument: str) -> Targets:
    """The starting values for one of `words.INSTRUMENTS`; those of the oboe where a log names none, or one that this
    version does not know (`check` then says so)."""
    return _STARTING.get(instrument, _STARTING["oboe"])


def with_changes(targets: Targets, changes: Mapping[str, Value]) -> Targets:
    """`targets` with the user's own values put in; names that are not targets are passed over."""
    known = {f.name for f in fields(Targets)}
    return replace(targets, **{name: value for name, value in changes.items() if name in known})  # type: ignore[arg-type]


def instrument_named(text: str) -> str | None:
    """The instrument that a word means: its name, a usual short form, or the beginning of its name."""
    text = " ".join(text.lower().replace("’", "'").split())
    if text in INSTRUMENTS:
        return text
    if text in _SHORT:
        return _SHORT[text]
    fits = [name for name in INSTRUMENTS if len(text) > 1 and (name.startswith(text))]
    if "oboe" in fits and "oboe".startswith(text):
        return "oboe"
    return fits[0] if len(fits) == 1 else None
