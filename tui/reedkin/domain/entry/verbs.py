"""The verbs of the entry line, declared: what each records and which facts it takes. Help and completion are made
from the same table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from reedkin.domain.facts import Value
from reedkin.domain.words import SCORES


@dataclass(frozen=True, slots=True)
class Slot:
    """A fact that a verb takes. `words` introduce it; `bare` says it may also stand without one of them."""

    fact: str
    words: tuple[str, ...] = ()
    bare: bool = False
    flags: Mapping[str, Value] = field(default_factory=dict)
    """Words that are themselves the fact: "off" for a wire taken off."""


@dataclass(frozen=True, slots=True)
class Verb:
    """A verb: the kind of event it records, or the table beside the reeds that it speaks of. `text` names the fact
    (or "note") that takes the words nothing else takes; `repeats` says that alone it means 'as last time'."""

    word: str
    kind: str
    slots: tuple[Slot, ...] = ()
    example: str = ""
    text: str | None = None
    preset: Mapping[str, Value] = field(default_factory=dict)
    repeats: bool = False
    table: str | None = None
    letter: str = ""
    """The one letter that means this verb although others begin with it too."""


def _slots(**words: str) -> tuple[Slot, ...]:
    return tuple(Slot(fact, tuple(names.split())) for fact, names in words.items())


_MADE_OF = (
    Slot("instrument", ("instrument",), bare=True),
    Slot("overall_mm", ("overall", "length"), bare=True),
    Slot("tube", ("tube", "staple")),
    *_slots(lot="lot", shape="shape", gouge_mm="gouge", sink_min="sink", thread="thread", name="name"),
)
_MARKS = _slots(tip_from_mm="tip", heart_from_mm="heart")
_SUBSCORES = _slots(**{name: name for name in SCORES})

VERBS: tuple[Verb, ...] = (
    Verb("tie", "tied", _MADE_OF, "143-148 tie eh 60 lot 7 tube 27", repeats=True),
    Verb(
        "join", "joined",
        (Slot("instrument", ("instrument",), bare=True), Slot("hours_before", ("hours", "played"), bare=True),
         *_MADE_OF[1:], *_MARKS, Slot("score", ("score",))),
        "12 join oboe 5h overall 70.5",
    ),
    Verb("scrape", "scraped", (Slot("where", bare=True), Slot("minutes", bare=True)), "142 scrape tip 10m",
         letter="s"),
    Verb("clip", "clipped", (Slot("clip_mm", bare=True), Slot("overall_mm", ("to",))), "clip .5  or  clip to 57.5",
         letter="c"),
    Verb(
        "wire", "wired",
        (Slot("gauge_awg", ("gauge",), bare=True), Slot("turns", ("turns",)), Slot("wire_mm", ("at",)),
         Slot("wire", flags={"off": "off", "moved": "moved", "move": "moved", "on": "on"}),
         Slot("material", ("of",), flags={w: w for w in ("brass", "copper", "silver", "steel", "bronze")})),
        "wire 28 awg brass at 31", repeats=True, letter="w",
    ),
    Verb("tube", "tubed", (Slot("tubing_mm", ("length",), bare=True, flags={"off": 0}),), "tube 5", repeats=True),
    Verb(
        "crow", "crowed",
        (Slot("crow", bare=True), Slot("octaves", flags={"octaves": True, "single": False}),
         Slot("steadiness", ("steady", "steadiness"))),
        "crow C5 -20c octaves",
    ),
    Verb(
        "measure", "measured",
        (Slot("overall_mm", ("overall", "length"), bare=True), *_MARKS,
         *_slots(opening_mm="opening", width_mm="width", thick_tip_mm="thicktip", thick_heart_mm="thickheart",
                 thick_back_mm="thickback")),
        "measure tip 50.5 heart 43.5", letter="m",
    ),
    Verb(
        "play", "played",
        (Slot("minutes", bare=True), Slot("score", ("score",), bare=True), Slot("setting", bare=True), *_SUBSCORES),
        "p 45 8 rehearsal", letter="p",
    ),
    Verb("score", "scored", (Slot("score", ("overall",), bare=True), *_SUBSCORES), "score 7 response 8 pitch 6"),
    Verb("clean", "cleaned", example="clean with a feather", text="how"),
    Verb("soak", "soaked", (Slot("minutes", bare=True),), "soak 3m", text="how"),
    Verb("sell", "handed over", (Slot("to", ("to",)),), "sell to quartet", text="to", preset={"terms": "sold"}),
    Verb("lend", "handed over", (Slot("to", ("to",)),), "lend to a pupil", text="to", preset={"terms": "lent"}),
    Verb("give", "handed over", (Slot("to", ("to",)),), "give to a pupil", text="to", preset={"terms": "given"}),
    Verb("return", "returned", example='return "a corner gone"', text="note"),
    Verb("retire", "retired", (Slot("cause", bare=True),), "retire cracked @yesterday", letter="r"),
    Verb("note", "noted", example='note "buzzes on low notes"', text="note", letter="n"),
    Verb(
        "session", "session",
        (Slot("room_c", ("room",), bare=True), Slot("humidity_pct", ("humidity",), bare=True),
         Slot("knife_fresh", ("knife",), flags={"fresh": True, "dull": False})),
        "session start 20 C 45% fresh knife", table="sessions",
    ),
    Verb(
        "lot", "lot",
        (Slot("grams", ("weight",), bare=True), Slot("diameter_mm", ("tube", "cane", "diameter"), bare=True),
         Slot("pieces", ("pieces",), bare=True),
         *_slots(price="price", harvest="harvest", shape="shape", gouge_mm="gouge", source="from")),
        "lot 7 cane 11 mm 250 g from the spring harvest", table="lots",
    ),
    Verb(
        "target", "targets",
        (Slot("overall_mm", ("overall",), bare=True), *_MARKS,
         *_slots(tube_mm="tube", gouge_mm="gouge", opening_mm="opening", tolerance_mm="tolerance",
                 gauge_awg="wire", tubing_mm="tubing", crow="crow")),
        "target eh overall 60 tip 51", table="targets",
    ),
    Verb("set", "settings", (Slot("a4_hz", ("a4",)),), "set a4 442", table="settings"),
)  # fmt: skip

BY_WORD: Mapping[str, Verb] = {verb.word: verb for verb in VERBS}
BY_LETTER: Mapping[str, Verb] = {verb.letter: verb for verb in VERBS if verb.letter}


def verbs_beginning(text: str) -> list[Verb]:
    """The verbs that a word may mean: the one it names, or is the letter of, or all that begin with it."""
    text = text.lower()
    if text in BY_WORD:
        return [BY_WORD[text]]
    if text in BY_LETTER:
        return [BY_LETTER[text]]
    return [verb for verb in VERBS if text and verb.word.startswith(text)]


def verb_of(kind: str, preset: str | None = None) -> Verb:
    """The verb that records a kind of event; `preset` chooses between sell, lend and give."""
    fits = [v for v in VERBS if v.kind == kind and v.table is None]
    return next((v for v in fits if preset is not None and preset in v.preset.values()), fits[0])
