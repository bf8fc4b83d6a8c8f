"""The usual cautions of the bench, where they apply. No medical or safety advice beyond them."""

from __future__ import annotations

from reedkin.domain.facts import Facts

KNIFE = "Cut away from the fingers, on a block; a dull knife slips."
WIRE = "Fold the wire's cut ends flat, away from the lips; check before playing."
TUBING = "Use tubing sold for food or drinking water if you can; a loose piece can be swallowed."
LOOSE = "A loose piece, or a reed that slips off, can be swallowed: check that it holds."
HEAT = "A hot mandrel or torch burns."
SHARED = "Clean a reed before another player has it."
MOULD = "Throw a mouldy reed away."
DUST = "Fine cane dust: work in good light and air."
DEFER = (
    "These are the usual cautions and no more. Follow the makers of your tools and materials, local rules, and a "
    "qualified person."
)
AT_THE_BENCH = "Mind the knife. F1 has the usual cautions; local rules and a qualified person come first."

ALL = (KNIFE, WIRE, TUBING, LOOSE, HEAT, SHARED, MOULD, DUST)


def cautions_for(kind: str, facts: Facts) -> tuple[str, ...]:
    """The cautions that go with an event of this kind."""
    if kind in ("scraped", "clipped"):
        return (KNIFE,)
    if kind == "wired" and facts.get("wire") != "off":
        return (WIRE,)
    if kind == "tubed" and facts.get("tubing_mm") != 0:
        return (TUBING,)
    if kind == "tied":
        return (HEAT,)
    if kind in ("handed over", "returned"):
        return (SHARED,)
    if kind == "retired" and facts.get("cause") == "mouldy":
        return (MOULD,)
    return ()
