"""The verbs of the entry line, declared: what each records and which facts it takes. Help and completion are made
from the same table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from reedkin.domain.facts import BEGINNINGS, PRICES, WEIGHTS, Value
from reedkin.domain.words import SCORES


@dataclass(frozen=True, slots=True)
class Slot:
    """A fact that a verb takes. `words` introduce it; `bare` says it may also stand without one of them, and `usual`
    that a plain number without a unit is then taken for it only if it is a usual one."""

    fact: str
    words: tuple[str, ...] = ()
    bare: bool = False
    flags: Mapping[str, Value] = field(default_factory=dict)
    """Words that are themselves the fact: "off" for a wire taken off."""
    usual: bool = False


@dataclass(frozen=True, slots=True)
class Verb:
    """A verb: the kind of event it records, or the table beside the reeds that it speaks of. `text` names the fact
    (or "note") that takes the words nothing else takes; `repeats` says that alone it means 'as last time'."""

    word: str
    kind: str
    slots: tuple[Slot, ...] = ()
    example: str = ""
    asks: str = ""
    """What to ask where it lacks what it needs."""
    text: str | None = None
    preset: Mapping[str, Value] = field(default_factory=dict)
    repeats: bool = False
    table: str | None = None
    letter: str = ""
    """The one letter that means this verb although others begin with it too."""
    filler: str = ""
    """A word that may stand behind it and says nothing: hand *over*."""
    idle: tuple[str, ...] = ()
    """Words that may stand anywhere behind it and say nothing: clip .5 off the *tip*."""

    @property
    def fills(self) -> bool:
        """Whether it puts in what goes without saying, so that "only" is needed to say no more than is said."""
        return self.repeats or self.kind in (*BEGINNINGS, "scraped")


def _slots(**words: str) -> tuple[Slot, ...]:
    return tuple(Slot(fact, tuple(names.split())) for fact, names in words.items())


_INSTRUMENT = Slot("instrument", ("instrument",), bare=True)
_OVERALL = Slot("overall_mm", ("overall", "length", "oal"), bare=True)
_MADE_OF = (
    Slot("tube", ("tube", "staple")),
    *_slots(
        lot="lot", shape="shape", gouge_mm="gouge", sink_min="sink sank", thread="thread silk", name="name named called"
    ),
)
MAKING_WORDS = tuple(word for slot in _MADE_OF for word in slot.words if word != "tube")
"""Words that say how a reed was made and nothing else."""
_MARKS = _slots(tip_from_mm="tip", heart_from_mm="heart")
_SUBSCORES = _slots(**{name: name for name in SCORES})
_HANDED_OVER = (*_slots(to="to", price="for price"), Slot("unpaid", flags={"unpaid": True, "paid": False}))
_OF_A_REED = ("reed", "reeds", "blank", "blanks", "new", "long", "cane", "more")
_METALS = ("brass", "copper", "silver", "steel", "bronze")

VERBS: tuple[Verb, ...] = (
    Verb("tie", "tied", (_INSTRUMENT, _OVERALL, *_MADE_OF), "143-148 tie eh 60 lot 7 tube 27",
         "for which instrument?", repeats=True, idle=_OF_A_REED),
    Verb(
        "join", "joined",
        (_INSTRUMENT, Slot("hours_before", ("hours", "played"), bare=True, usual=True), _OVERALL, *_MADE_OF, *_MARKS,
         Slot("score", ("score",))),
        "12 join oboe 5h overall 70.5", "for which instrument?", idle=(*_OF_A_REED, "already", "old"),
    ),
    Verb("scrape", "scraped", (Slot("where", ("where",), bare=True), Slot("minutes", ("minutes",), bare=True)),
         "142 scrape tip 10m", letter="s", idle=("little", "bit", "more")),
    Verb("clip", "clipped", (Slot("clip_mm", bare=True), Slot("overall_mm", ("to",))),
         "clip .5  or  clip to 57.5", "how much?", letter="c",
         idle=("tip", "end", "down", "back", "away", "bit", "tiny", "little")),
    Verb(
        "wire", "wired",
        (Slot("gauge_awg", ("gauge",), bare=True), Slot("material", ("of",), flags={w: w for w in _METALS}),
         Slot("turns", ("turns",)), Slot("wire_mm", ("at", "to")),
         Slot("wire", flags={"off": "off", "moved": "moved", "move": "moved", "on": "on"})),
        "wire 28 awg brass at 31", repeats=True, letter="w", idle=("butt", "came", "back"),
    ),
    Verb("tube", "tubed", (Slot("tubing_mm", ("length",), bare=True, flags={"off": 0.0}),), "tube 5", "how long?",
         repeats=True),
    Verb(
        "crow", "crowed",
        (Slot("crow", ("pitch",), bare=True), Slot("octaves", flags={"octaves": True, "single": False}),
         Slot("steadiness", ("steady", "steadiness"))),
        "crow C5 -20c octaves", idle=("now", "double"),
    ),
    Verb(
        "measure", "measured",
        (_OVERALL, *_MARKS,
         *_slots(opening_mm="opening", width_mm="width", thick_tip_mm="thicktip", thick_heart_mm="thickheart",
                 thick_back_mm="thickback")),
        "measure tip 50.5 heart 43.5", "which measure?", letter="m",
    ),
    Verb(
        "play", "played",
        (Slot("minutes", ("minutes",), bare=True), Slot("score", ("score",), bare=True),
         Slot("setting", ("setting",), bare=True), *_SUBSCORES),
        "p 45 8 rehearsal", "how long?", letter="p", idle=("whole", "points"),
    ),
    Verb("score", "scored", (Slot("score", ("overall",), bare=True), *_SUBSCORES), "score 7 response 8 pitch 6",
         "how good, from 0 to 10?", idle=("points",)),
    Verb("clean", "cleaned", _slots(how="how"), "clean with a feather", text="how"),
    Verb("soak", "soaked", (Slot("minutes", bare=True), *_slots(how="how")), "soak 3m", text="how"),
    Verb("save", "saved", _slots(occasion="for", due="on by till until"),
         "save for the recital on 12 March  or  save off", "for what?", text="occasion"),
    Verb("sell", "handed over", _HANDED_OVER, "sell to the quartet for 30", text="to", preset={"terms": "sold"}),
    Verb("lend", "handed over", _HANDED_OVER, "lend to a pupil", text="to", preset={"terms": "lent"}),
    Verb("give", "handed over", _HANDED_OVER, "give to a pupil", text="to", preset={"terms": "given"}),
    Verb("hand", "handed over", _HANDED_OVER, "hand over to the quartet", text="to", filler="over", letter="h"),
    Verb("heard", "heard",
         (Slot("cause", ("cause",), bare=True), Slot("score", ("score",), bare=True), Slot("after_days", ("after",)),
          Slot("serving", flags={"still": True, "unused": False})),
         'heard worn after 21 days  or  heard 8 "loves it"', "what was heard of it?", text="note"),
    Verb("return", "returned", example='return "a corner gone"', text="note"),
    Verb("retire", "retired", (Slot("cause", ("cause",), bare=True),), "retire cracked @yesterday", "of what?",
         letter="r", idle=("out", "away", "as", "because")),
    Verb("note", "noted", example='note "buzzes on low notes"', asks="what is to be noted?", text="note", letter="n"),
    Verb(
        "session", "session",
        (Slot("room_c", ("room",), bare=True, usual=True), Slot("humidity_pct", ("humidity",), bare=True),
         Slot("knife_fresh", ("knife",), flags={"fresh": True, "dull": False})),
        "session start 20 C 45% fresh knife", table="sessions",
    ),
    Verb(
        "lot", "lot",
        (_INSTRUMENT, Slot("grams", ("weight",), bare=True),
         Slot("diameter_mm", ("tube", "cane", "diameter"), bare=True),
         Slot("pieces", ("pieces", "pcs"), bare=True),
         Slot("left", ("left",), flags=dict.fromkeys(("finished", "used", "empty"), 0)),
         *_slots(price="price", harvest="harvest harvested cut", shape="shape", gouge_mm="gouge", source="from")),
        "lot 7 cane 11 mm 250 g from the winter harvest", table="lots", idle=("bought", "up", "all"),
    ),
    Verb(
        "target", "targets",
        (Slot("overall_mm", ("overall", "tied"), bare=True), Slot("finished_mm", ("finished",)), *_MARKS,
         *_slots(tube_mm="tube", gouge_mm="gouge", opening_mm="opening", tolerance_mm="tolerance",
                 gauge_awg="wire", tubing_mm="tubing", crow="crow")),
        "target eh tied 60 finished 57.5 tip 51", table="targets",
    ),
    Verb("trial", "trial", (_INSTRUMENT, Slot("planned", ("for", "until"))),
         "trial start wire before or after eh for 40  or  trial end wire", table="trials"),
    Verb(
        "staple", "tube", (Slot("tube_mm", ("length",), bare=True), _INSTRUMENT, *_slots(price="price", source="from")),
        "staple T15 27 mm eh", table="tubes", idle=("bought", "new"),
    ),
    Verb(
        "order", "order",
        (Slot("count", ("reeds", "reed"), bare=True), _INSTRUMENT, Slot("strength", ("strength",), bare=True),
         *_slots(due="by on due before until", price="for price", occasion="occasion"),
         Slot("done", flags={"done": True, "off": True})),
        "order quartet 3 eh by 12 March  or  order quartet done", "how many reeds?", table="orders",
        idle=("more", "pieces", "piece", "pcs"),
    ),
    Verb("paid", "payment", (Slot("price", ("price",), bare=True),), "paid quartet 50", "how much?", table="payments"),
    Verb(
        "engage", "engagement",
        (Slot("reeds", ("reeds", "reed"), bare=True), _INSTRUMENT, Slot("setting", ("setting",), bare=True),
         Slot("minutes", ("minutes",), bare=True), Slot("off", flags={"off": True, "cancelled": True})),
        'engage 12 March 19:30 eh 3 performance "second night"', "on which day?", table="engagements",
    ),
    Verb(
        "calendar", "calendar",
        (Slot("reeds", ("reeds", "reed"), bare=True), _INSTRUMENT, Slot("setting", ("setting",), bare=True),
         Slot("nothing", flags={"nothing": True})),
        "calendar mass eh 2 performance  or  calendar dentist nothing", "what does it mean?", table="calendar",
    ),
    Verb(
        "set", "settings",
        (Slot("a4_hz", ("a4",)), Slot("public", ("public",)), Slot("keep_sounds", ("keep sounds",)),
         Slot("look", ("look",)), Slot("pedal", ("pedal",)),
         Slot("belief_one_in", ("belief",)), Slot("belief_times", ("effect",)), Slot("blanks_week", ("blanks",)),
         Slot("season_from", ("season",)),
         *(Slot(name, (name.replace("_", " "),)) for name in (*PRICES, *WEIGHTS))),
        "set a4 442  or  set price tube 8", table="settings",
    ),
)  # fmt: skip

BY_WORD: Mapping[str, Verb] = {verb.word: verb for verb in VERBS}
BY_LETTER: Mapping[str, Verb] = {verb.letter: verb for verb in VERBS if verb.letter}

_ALSO = {
    "tie": "tied tying made make bound wound wrapped", "join": "joined",
    "scrape": "scraped scraping thinned dusted balanced sanded filed shave shaved shaving",
    "clip": "clipped clipping cut cutting trim trimmed shortened shorten snip snipped chop chopped nipped",
    "wire": "wired wiring rewired rewire", "tube": "tubed tubing sleeve sleeved",
    "crow": "crowed crowing crows peep peeps peeped",
    "measure": "measured measuring measures",
    "play": "played playing practise practised practising practice practiced practicing rehearse rehearsed "
            "rehearsal perform performed performance concert lesson",
    "score": "scored scores rate rated gets", "clean": "cleaned cleaning washed rinsed",
    "soak": "soaked soaking", "save": "saved saving keep kept hold held reserve reserved",
    "sell": "sold", "lend": "lent loan loaned", "give": "gave given",
    "hand": "handed posted mailed shipped sent delivered",
    "return": "returned",
    "retire": "retired threw throw thrown binned bin tossed junked discarded died dead",
    "note": "noted", "order": "ordered", "engage": "engaged engagement",
}  # fmt: skip
ALSO: Mapping[str, Verb] = {word: BY_WORD[verb] for verb, words in _ALSO.items() for word in words.split()}
"""The past tense and everyday words, each of which means a verb in full."""
CAUSE_WORDS = (
    "worn",
    "cracked",
    "split",
    "chipped",
    "mouldy",
    "moldy",
    "mould",
    "mold",
    "leaking",
    "dropped",
    "lost",
    "closed",
    "never",
    "flat",
)
"""Words that begin a cause: behind a reed's tag they say that it is retired of it."""
_SETTINGS = {
    "practi": "practice", "rehears": "rehearsal", "perform": "performance", "concert": "performance",
    "lesson": "lesson",
}  # fmt: skip


def implied(word: str) -> Mapping[str, Value]:
    """What an everyday word says besides its verb: "practised" is a setting of playing."""
    found = next((setting for begins, setting in _SETTINGS.items() if word.lower().startswith(begins)), None)
    return {"setting": found} if found is not None and ALSO.get(word.lower()) is BY_WORD["play"] else {}


def said_as(verb: Verb) -> tuple[str, ...]:
    """The everyday words that mean a verb as well."""
    return tuple(word for word, meant in ALSO.items() if meant is verb)


def in_full(text: str) -> Verb | None:
    """The verb that a whole word means; None if it is but the beginning of one, or none."""
    text = text.lower()
    return BY_WORD.get(text) or ALSO.get(text)


@lru_cache(maxsize=1024)
def verbs_beginning(text: str) -> tuple[Verb, ...]:
    """The verbs that a word may mean: the one it names, or is the letter of, or all that begin with it. Every word of a
    line is asked about several times at every key."""
    text = text.lower()
    if verb := in_full(text):
        return (verb,)
    if text in BY_LETTER:
        return (BY_LETTER[text],)
    return tuple(verb for verb in VERBS if text and verb.word.startswith(text))


def verb_taking(text: str, flags: bool = True) -> Verb | None:
    """The verb that a word goes with which is none itself ("opening", "lot"): measure, if it can be that. Without
    `flags`, words that are a fact themselves ("dull") do not count."""
    measure = BY_WORD["measure"]
    return next(
        (v for v in (measure, *VERBS) if any(text in s.words or (flags and text in s.flags) for s in v.slots)), None
    )


def verb_of(kind: str, terms: str | None = None) -> Verb | None:
    """The verb that records a kind of event, those of handing over by their terms; None if no verb does."""
    fits = [v for v in VERBS if v.kind == kind and v.table is None]
    return next((v for v in fits if v.preset.get("terms") == terms), None)
