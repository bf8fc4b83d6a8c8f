"""The fixed words of the log: kinds of event, instruments, causes of the end, settings. They are part of the file."""

from __future__ import annotations

INSTRUMENTS = ("english horn", "oboe", "oboe d'amore", "bass oboe")


def spelt(name: str) -> str:
    """How an instrument is written for people: "English horn", which the log, the export and JSON have in small
    letters. Any other word stays as it is."""
    return "English horn" if name == "english horn" else name


WEAR_CAUSES = ("worn", "closed up", "cracked", "mouldy", "leaking", "flat")
"""Ends that count as the end of a working life."""

ACCIDENT_CAUSES = ("chipped", "dropped", "lost")
"""Ends that say nothing of wear: shown beside it, and a loss from view in the analysis of wear."""

NEVER = "never came good"
"""A blank given up before it served: a matter of yield, not of life."""

NOT_KNOWN = "not known"
"""An end of which nobody can say any more why it came: the hours until then count, the end as neither of the two."""

NOT_NOTED = "not noted"
"""Stands in an answer for a cause, a lot or a shape that nobody wrote down; never in the log."""

CAUSES = (
    "worn", "closed up", "cracked", "chipped", "mouldy", "leaking", "flat", "dropped", "lost", NEVER, NOT_KNOWN,
)  # fmt: skip

SETTINGS = ("practice", "lesson", "rehearsal", "performance")

MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip

OFF = "off"
"""The word that lifts what was put on: a wire, the mark of being saved."""

STRENGTHS = ("soft", "medium soft", "medium", "medium hard", "hard")
"""How strong a reed is to be (common practice, no source)."""

TERMS = ("sold", "lent", "given")
"""How a reed was handed over."""

PARTS = ("tip", "heart", "back", "rails", "windows", "spine", "catch", "sides")
"""Where on the blades one scrapes."""

SCORES = ("response", "pitch", "stability", "tone", "ease")
"""What makes up playability, each 0 to 10."""
HIGHEST_SCORE = 10
