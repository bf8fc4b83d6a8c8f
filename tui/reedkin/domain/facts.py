"""Every fact an event can hold: its name in the file, its words for people, its unit, and what values are
impossible (an error) or odd (a question)."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time
from math import isfinite
from typing import Literal, NamedTuple

from reedkin.domain.figures import date_words
from reedkin.domain.pedal import OFF, ON, pedal_keys, pedal_words
from reedkin.domain.pitch import parse_pitch
from reedkin.domain.words import (
    CAUSES,
    HIGHEST_SCORE,
    INSTRUMENTS,
    MONTHS,
    PARTS,
    SCORES,
    SETTINGS,
    STRENGTHS,
    TERMS,
    spelt,
)
from reedkin.errors import InputError

Value = str | int | float | bool | tuple[str, ...]
Facts = Mapping[str, Value]
Type = Literal["number", "whole", "word", "choice", "parts", "yes", "pitch", "date", "time", "keys"]

_MEASURES = {"°C": "degC", "turns": "", "pieces": "", "reeds": "", "days": ""}


_CROWS_HZ = (220, 1400)
"""Between A3 and F6: reeds crow about C5, in octaves also C6 (common practice, no source); C2 is how c'' is written in
German."""
_THIN_MM = 0.2
"""Below this a thickness is told in thousandths; nothing longer is measured nearer than hundredths."""


class Fact(NamedTuple):
    """One fact. `low` to `high` is what can be; `odd_low` to `odd_high` is what is usual (common practice, no
    source): outside it the maker is asked."""

    name: str
    words: str
    type: Type
    unit: str = ""
    low: float | None = None
    high: float | None = None
    odd_low: float | None = None
    odd_high: float | None = None
    choices: tuple[str, ...] = ()

    @property
    def measure(self) -> str:
        """The unit as `units` calls it; "" for what is counted."""
        return _MEASURES.get(self.unit, self.unit)

    @property
    def is_score(self) -> bool:
        """Whether it goes from 0 to 10, as scores do."""
        return (self.low, self.high, self.unit, self.type) == (0, HIGHEST_SCORE, "", "number")

    def impossible(self, value: Value) -> str | None:
        """Why `value` cannot be, in a sentence; None if it can."""
        if self.type == "choice" and value not in self.choices:
            return f"{value} is not one of: {', '.join(map(spelt, self.choices))}"
        if self.type in ("number", "whole"):
            if isinstance(value, bool) or not isinstance(value, (int, float)) or not isfinite(value):
                return f"{self.words} is a number"
            if self.type == "whole" and value != int(value):
                return f"{self.words} is a whole number"
            if not (self.low is None or value >= self.low) or not (self.high is None or value <= self.high):
                return f"{self.words} must be between {self.show(self.low)} and {self.show(self.high)}"
        if self.type == "word" and not (isinstance(value, str) and value.strip()):
            return f"{self.words} is empty"
        if self.type == "parts" and not (isinstance(value, tuple) and value and all(part.strip() for part in value)):
            return f"{self.words} is empty"
        if self.type == "pitch":
            return _no_pitch(value)
        if self.type == "date":
            return None if day_of(value) else f"{value} is not a day as the log keeps it, such as 2026-03-12"
        if self.type == "time":
            return None if hour_of(value) else f"{value} is not a time as the log keeps it, such as 19:30"
        if self.type == "keys":
            return _no_pedal(value)
        if self.type == "yes" and not isinstance(value, bool):
            return f"{self.words} is yes or no"
        return None

    def odd(self, value: Value) -> str | None:
        """Why `value` is unusual, in words; None if it is usual."""
        if self.type == "pitch" and isinstance(value, str):
            low, high = _CROWS_HZ
            sounds = parse_pitch(value).frequency()
            if not low <= sounds <= high:
                return f"{self.words} {value} is {'low' if sounds < low else 'high'}; reeds crow about C5"
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if self.odd_low is not None and value < self.odd_low:
                return f"{self.told(value)} is little; usual is {self.show(self.odd_low)} or more"
            if self.odd_high is not None and value > self.odd_high:
                return f"{self.told(value)} is much; usual is {self.show(self.odd_high)} or less"
        return None

    def show(self, value: Value | None) -> str:
        """The value with its unit, for people."""
        if value is None:
            return "anything"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, tuple):
            return ", ".join(value)
        if self.type == "date" and (day := day_of(value)):
            return date_words(day)
        if isinstance(value, str):
            return spelt(value) if self.name == "instrument" else value
        places = 2 if self.unit == "mm" and abs(value) >= _THIN_MM else 4
        number = f"{round(value, places):g}" if abs(value) < _MANY else f"{value:,.0f}"
        unit = self.unit.removesuffix("s") if value == 1 else self.unit
        return f"{number}{unit}" if unit == "%" else f"{number} {unit}".rstrip()

    def told(self, value: Value) -> str:
        """What the value is of, and the value: "weight 250 g"; but "40 pieces", not "pieces 40 pieces"."""
        if value is True:
            return self.words
        if self.type == "keys" and not self.impossible(value):
            return pedal_words(str(value))
        named = bool(self.unit) and self.words.startswith(self.unit)
        return self.show(value) if named else f"{self.words} {self.show(value)}"


_MANY = 10_000
"""From here on figures are told in thousands: "100,000 g", and not "1e+06"."""


def day_of(value: Value | None) -> date | None:
    """The day that a fact of type date holds ("2026-03-12"); None if it holds none."""
    try:
        return date.fromisoformat(value) if isinstance(value, str) and len(value) == 10 else None
    except ValueError:
        return None


def hour_of(value: Value | None) -> time | None:
    """The time of day that a fact of type time holds ("19:30"); None if it holds none."""
    try:
        return time.fromisoformat(value) if isinstance(value, str) and len(value) == 5 else None
    except ValueError:
        return None


def _no_pitch(value: Value) -> str | None:
    try:
        return None if str(parse_pitch(str(value))) == value else f"{value} is not a pitch as the log keeps it"
    except InputError as error:
        return str(error)


def _no_pedal(value: Value) -> str | None:
    try:
        pedal_keys(str(value))
    except InputError as error:
        return str(error)
    return None


def _mm(
    name: str, words: str, low: float, high: float, odd_low: float | None = None, odd_high: float | None = None
) -> Fact:
    return Fact(name, words, "number", "mm", low, high, odd_low, odd_high)


PRICES: Mapping[str, str] = {
    "price_cane": "price of a piece of cane",
    "price_tube": "price of a tube",
    "price_thread": "price of the thread for a reed",
    "price_wire": "price of the wire for a reed",
    "price_tubing": "price of the tubing for a reed",
}
"""Settings: what a reed is made of costs this much, in whatever money the maker counts in."""

WEIGHTS: Mapping[str, str] = {
    "weight_good": "weight of a good score",
    "weight_rested": "weight of rest",
    "weight_lasting": "weight of hours left",
    "weight_saving": "weight of saving the best",
}
"""Settings: how much each thing counts when reeds are put in the order of what to play."""

LOOKS = ("dark", "paper", "terminal")
"""Settings: how the screens look."""

_ALL = (
    Fact("instrument", "instrument", "choice", choices=INSTRUMENTS),
    _mm("overall_mm", "overall length", 20, 150, 40, 110),
    Fact("tube", "tube", "word"),
    _mm("tube_mm", "tube length", 15, 90, 20, 55),
    Fact("lot", "lot", "word"),
    Fact("shape", "shape", "word"),
    _mm("gouge_mm", "gouge", 0.2, 1.5, 0.5, 0.75),
    Fact("sink_min", "sink time", "number", "min", 0, 1440, None, 60),
    Fact("thread", "thread", "word"),
    Fact("name", "name", "word"),
    Fact("hours_before", "hours before", "number", "h", 0, 1000, None, 40),
    Fact("where", "where", "parts", choices=PARTS),
    Fact("minutes", "minutes", "whole", "min", 1, 1440, None, 240),
    _mm("clip_mm", "clip", 0.01, 40, 0.05, 2.5),
    Fact("gauge_awg", "wire gauge", "whole", "awg", 10, 40, 20, 32),
    Fact("material", "wire", "word"),
    Fact("turns", "turns", "whole", "turns", 1, 12, None, 5),
    _mm("wire_mm", "wire from the butt", 5, 100),
    Fact("wire", "wire", "choice", choices=("on", "moved", "off")),
    _mm("tubing_mm", "tubing", 0, 40, 4, 12),
    Fact("crow", "crow", "pitch"),
    Fact("octaves", "in octaves", "yes"),
    Fact("steadiness", "steadiness", "number", "", 0, 10),
    _mm("tip_from_mm", "tip from", 10, 140),
    _mm("heart_from_mm", "heart from", 10, 140),
    _mm("opening_mm", "opening", 0, 8, 0.3, 3),
    _mm("width_mm", "width", 2, 20, 5, 12),
    _mm("thick_tip_mm", "thickness at the tip", 0.01, 1.5, 0.03, 0.3),
    _mm("thick_heart_mm", "thickness of the heart", 0.05, 1.5, 0.2, 0.8),
    _mm("thick_back_mm", "thickness of the back", 0.05, 1.5, 0.2, 0.8),
    Fact("setting", "setting", "choice", choices=SETTINGS),
    Fact("score", "score", "number", "", 0, 10),
    *(Fact(name, name, "number", "", 0, 10) for name in SCORES),
    Fact("how", "how", "word"),
    Fact("terms", "terms", "choice", choices=TERMS),
    Fact("to", "to", "word"),
    Fact("order", "order", "word"),
    Fact("serving", "still serves", "yes"),
    Fact("after_days", "after", "number", "days", 0, 3650, None, 1000),
    Fact("unpaid", "not paid yet", "yes"),
    Fact("cause", "cause", "choice", choices=CAUSES),
    Fact("trial", "trial", "word"),
    Fact("arm", "way", "word"),
    Fact("place", "place in the draw", "whole", "", 1, 100_000),
    Fact("draw", "draw", "whole", "", 1, 1000),
    Fact("trial_uid", "trial's identifier", "word"),
    Fact("circle", "for the circle", "word"),
    # Beside the reeds
    Fact("room_c", "room", "number", "°C", -20, 60, 5, 35),
    Fact("humidity_pct", "humidity", "number", "%", 0, 100, 15, 90),
    Fact("knife_fresh", "knife freshly sharpened", "yes"),
    _mm("diameter_mm", "tube cane diameter", 4, 30, 9, 13),
    Fact("grams", "weight", "number", "g", 0, 100_000),
    Fact("pieces", "pieces", "whole", "pieces", 0, 100_000),
    Fact("price", "price", "number", "", 0, 1_000_000),
    Fact("source", "from", "word"),
    Fact("harvest", "harvest", "word"),
    _mm("finished_mm", "finished length", 20, 150, 40, 110),
    Fact("tolerance_mm", "tolerance", "number", "mm", 0.01, 10),
    Fact("left", "pieces left", "whole", "", 0, 100_000),
    Fact("look", "look", "choice", choices=LOOKS),
    Fact("a4_hz", "A4", "number", "Hz", 390, 480, 425, 450),
    Fact("pedal", "pedal", "keys", choices=(ON, OFF)),
    Fact("keep_sounds", "keep sounds in", "word"),
    Fact("public", "in public from a score of", "number", "", 0, 10),
    *(Fact(name, words, "number", "", 0, 1_000_000) for name, words in PRICES.items()),
    *(Fact(name, words, "number", "", 0, 10) for name, words in WEIGHTS.items()),
    Fact("belief_one_in", "of how many habits one matters, I believe", "number", "", 1.1, 1000),
    Fact("belief_times", "how many times as fast lives end if one matters, I believe", "number", "", 1.05, 20),
    Fact("count", "asked for", "whole", "reeds", 1, 1000, None, 30),
    Fact("due", "by", "date"),
    Fact("done", "done", "yes"),
    Fact("occasion", "occasion", "word"),
    Fact("strength", "strength", "choice", choices=STRENGTHS),
    Fact("season_from", "seasons begin in", "choice", choices=MONTHS),
    Fact("blanks_week", "blanks tied in a week at most", "whole", "", 1, 60),
    Fact("day", "on", "date"),
    Fact("hour", "at", "time"),
    Fact("reeds", "reeds", "whole", "reeds", 0, 100, None, 12),
    Fact("off", "called off", "yes"),
    Fact("calendar", "from the calendar", "word"),
    Fact("nothing", "no engagement", "yes"),
    Fact("ways", "ways", "parts"),
    Fact("planned", "reeds to be worn out", "whole", "", 5, 10_000, 20),
    Fact("looked", "worn out at a look", "whole", "", 0, 100_000),
)

FACTS: Mapping[str, Fact] = {fact.name: fact for fact in _ALL}


class Kind(NamedTuple):
    """A kind of event: the facts it may hold, the ones it must (each entry of `needs` lists facts of which one
    is enough)."""

    name: str
    facts: tuple[str, ...]
    needs: tuple[tuple[str, ...], ...] = ()

    def missing(self, facts: Facts, note: str = "") -> str | None:
        """What this kind needs and `facts` lacks, in a sentence; None if nothing."""
        for group in self.needs:
            if not any(name in facts for name in group) and not ("note" in group and note.strip()):
                names = (FACTS[n].words if n in FACTS else n for n in group)
                return f"{self.name} needs {' or '.join(names)}"
        return None


MAKING = (
    "instrument", "overall_mm", "tube", "tube_mm", "lot", "shape", "gouge_mm", "sink_min", "thread", "name",
)  # fmt: skip

KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("tied", MAKING, (("instrument",),)),
        Kind("joined", (*MAKING, "hours_before", "tip_from_mm", "heart_from_mm", "score"), (("instrument",),)),
        Kind("scraped", ("where", "minutes")),
        Kind("clipped", ("clip_mm", "overall_mm"), (("clip_mm", "overall_mm"),)),
        Kind("wired", ("gauge_awg", "material", "turns", "wire_mm", "wire")),
        Kind("tubed", ("tubing_mm",), (("tubing_mm",),)),
        Kind("crowed", ("crow", "octaves", "steadiness")),
        Kind(
            "measured",
            ("overall_mm", "tip_from_mm", "heart_from_mm", "opening_mm", "width_mm",
             "thick_tip_mm", "thick_heart_mm", "thick_back_mm"),
            (("overall_mm", "tip_from_mm", "heart_from_mm", "opening_mm", "width_mm",
              "thick_tip_mm", "thick_heart_mm", "thick_back_mm"),),
        ),
        Kind("played", ("minutes", "setting", "score", *SCORES), (("minutes",),)),
        Kind("scored", ("score", *SCORES), (("score", *SCORES),)),
        Kind("cleaned", ("how",)),
        Kind("soaked", ("how", "minutes")),
        Kind("saved", ("occasion", "due"), (("occasion",),)),
        Kind("handed over", ("terms", "to", "price", "order", "unpaid")),
        Kind("heard", ("cause", "after_days", "score", "serving"), (("cause", "score", "serving", "note"),)),
        Kind("returned", ()),
        Kind("retired", ("cause",), (("cause",),)),
        Kind("noted", (), (("note",),)),
        Kind("assigned", ("trial", "arm", "place", "draw", "trial_uid"), (("trial",), ("arm",))),
    )
}  # fmt: skip

_TARGETS = (
    "overall_mm", "finished_mm", "tube_mm", "tip_from_mm", "heart_from_mm", "gouge_mm", "opening_mm", "tolerance_mm",
    "gauge_awg", "tubing_mm", "crow",
)  # fmt: skip

BESIDE: Mapping[str, Kind] = {
    "sessions": Kind("session", ("room_c", "humidity_pct", "knife_fresh")),
    "lots": Kind(
        "lot",
        ("instrument", "diameter_mm", "grams", "pieces", "left", "price", "source", "harvest", "gouge_mm", "shape"),
    ),
    "tubes": Kind("tube", ("tube_mm", "instrument", "price", "source")),
    "orders": Kind("order", ("to", "count", "instrument", "due", "price", "strength", "occasion", "done")),
    "payments": Kind("payment", ("to", "price")),
    "engagements": Kind("engagement", ("day", "hour", "instrument", "reeds", "setting", "minutes", "off", "calendar")),
    "calendar": Kind("calendar", ("instrument", "reeds", "setting", "nothing")),
    "targets": Kind("targets", _TARGETS),
    "trials": Kind("trial", ("trial", "ways", "instrument", "planned", "looked", "circle")),
    "settings": Kind(
        "settings",
        (
            "a4_hz",
            "look",
            "pedal",
            "keep_sounds",
            "public",
            "belief_one_in",
            "belief_times",
            "blanks_week",
            "season_from",
            *PRICES,
            *WEIGHTS,
        ),
    ),
}
"""What can be said of the things beside the reeds, by table."""

BEGINNINGS = ("tied", "joined")
"""The kinds that begin a reed."""
WORK = ("scraped", "clipped", "wired", "tubed", "crowed", "measured")
"""The kinds that show that the work on a blank was logged."""
BENCH_WORK = (*WORK, "scored")
"""The same, and what may be done on the bench when it is finished."""


def begins(kind: str) -> bool:
    """Whether a kind of event begins a reed."""
    return kind in BEGINNINGS
