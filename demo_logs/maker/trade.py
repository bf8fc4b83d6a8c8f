"""What the invented maker makes: her instruments' usual measures, her cane's codes and her words.

Lengths are common practice without a source; gouges, openings, wires' places and all of the oboe d'amore and the
bass oboe are from memory. They describe one invented maker and set no rule.
"""

from __future__ import annotations

from dataclasses import dataclass

EH = "english horn"
OBOE = "oboe"
DAMORE = "oboe d'amore"
BASS = "bass oboe"


@dataclass(frozen=True)
class Profile:
    """One instrument at this maker's bench; lengths in mm, measured from the butt of the tube."""

    instrument: str
    tied_mm: float
    tube_mm: float
    tube_letter: str
    tip_from_mm: float
    heart_from_mm: float
    gouge_mm: float
    opening_mm: float
    shapes: tuple[str, ...]
    wire_share: float  # share of finished reeds that carry a wire
    wire_mm: float
    tubing: bool
    life_scale: float  # scale of the Weibull life, in hours played
    cane_mm: float


PROFILES: dict[str, Profile] = {
    profile.instrument: profile
    for profile in (
        Profile(EH, 60.0, 27.0, "T", 50.5, 43.5, 0.62, 1.6, ("A2", "K"), 0.94, 33.5, True, 19.5, 11.5),
        Profile(OBOE, 72.0, 47.0, "N", 66.0, 61.0, 0.59, 1.3, ("B1", "F", "B3"), 0.06, 52.0, False, 17.5, 10.4),
        Profile(DAMORE, 62.0, 30.0, "D", 53.5, 47.5, 0.60, 1.5, ("M",), 0.90, 37.0, True, 18.5, 11.0),
        Profile(BASS, 68.0, 29.0, "Q", 57.0, 48.0, 0.65, 1.8, ("W",), 1.0, 36.0, True, 20.0, 13.0),
    )
}

WEAR_CAUSES = ("worn", "closed up", "cracked", "flat", "leaking", "mouldy")
WEAR_WEIGHTS = (44, 24, 10, 13, 7, 2)
ACCIDENTS = ("chipped", "dropped", "lost")
ACCIDENT_WEIGHTS = (55, 28, 17)
BLANK_CAUSES = ("never came good", "cracked", "leaking", "chipped")
BLANK_WEIGHTS = (82, 10, 5, 3)

THREADS = ("red", "navy", "moss", "plum", "ochre", "black", "white", "teal", "rust")
NAMES = (
    "Heron", "Wren", "Plover", "Linnet", "Curlew", "Siskin", "Bittern", "Dunlin", "Ouzel", "Pipit",
    "Avocet", "Brambling", "Whimbrel", "Dotterel", "Fieldfare", "Redwing", "Nuthatch", "Goldcrest",
)  # fmt: skip
JOINED_TAGS = ("88", "91", "93", "94", "96", "97", "magpie", "99", "101", "102")

NOTES: dict[str, tuple[str, ...]] = {
    "tied": ("slips a little to the left", "edges just meet", "beautiful even piece", "thread snapped, wound again"),
    "scraped": (
        "left blade still thick in the corner", "damp evening, took less off", "light through the tip at last",
        "heart too long?", "knife dragged", "evened the rails", "tip [upper] a hair thicker than the lower",
    ),
    "clipped": ("sharper now", "clean cut", "corner squared", "that was the one it needed"),
    "crowed": ("rattles", "octaves, nearly", "steady", "flat but open", "crows better than it plays?"),
    "played well": (
        "lovely in the slow movement", "held the long solo", "more tone than I asked for", "stiff until warmed up",
        "speaks at once", "save for the concert?",
    ),
    "played badly": (
        "buzzes on low notes", "low B reluctant", "tired after the interval", "a touch sharp up high",
        "safe, no more", "closing", "works, but I do all of it",
    ),
    "worn": ("had its time", "no ring left", "thank you, old friend"),
    "closed up": ("would not stay open", "closed in the second half"),
    "flat": ("sagged, nothing left to clip", "a quarter tone under by the end"),
    "leaking": ("leaks at the sides", "bubbles along the left edge"),
    "chipped": ("caught on a sleeve", "corner gone"),
    "dropped": ("off the stand", "stepped on"),
    "lost": ("left on a train, I think",),
    "cracked": ("crack from the tip to the heart", "split on the plaque"),
    "never came good": ("never past a wheeze", "soft cane, I think", "flat whatever I did", "enough time spent on it"),
    "noted": (
        "keep for the dry hall", "try a shorter heart next time", "compare with the one before", "good for pupils",
    ),
}  # fmt: skip

BORROWERS = ("second oboe", "a colleague", "the stand-in")
CUSTOMERS = ("a wind quintet", "a colleague in the north", "a music school", "an amateur orchestra", "a student")
