"""How a maker treats her reeds for what they show. None of it has an effect of its own on how long reeds last."""

from __future__ import annotations

from dataclasses import dataclass, fields


@dataclass(frozen=True)
class Manner:
    """
    What the invented maker does that a report must see through; the usual one does nothing of it but what `simulate`
    says by itself. Common practice, no source.

    prefers_good      takes the reed that scored well of late far more often than others.
    puts_down         plays a reed that scored badly for some minutes only, and leaves it in the case.
    touches_up        scrapes and clips a reed that scored badly, most times before she plays it.
    sells_good        sells one in four reeds that scored very well in their first hours.
    retires_by_score  is done with a reed when it scored badly twice running, whatever wear it could still bear: so a
                      good reed lasts longer.
    lots_drive        each lot has a wear of its own, and she ties and gouges each lot its own way.
    shortens          lives shorten as the years go by, to six tenths in two years.
    drifts            lives shorten so, and her ways change with each season: she ties longer and gouges thicker, lets
                      blanks rest longer before she scrapes, and new reeds play longer.
    uneven            one reed in ten is far from what she meant: in length, in gouge, in how long its blank lay before
                      she scraped it, in how long she let it play when new; and lives scatter widely, whatever she does.
    batches           what is tied on one evening has a wear of its own, and is tied, gouged and left to rest alike.
    moves             half a year after she began she moves: lives end 1.8 times as fast, and from that day on she ties
                      longer and gouges thicker, lets blanks rest longer, and new reeds play longer.
    good_lasts        cane that plays well also lasts: a point more in how good it is ends lives two fifths more slowly.
    reserves          sets her best reeds aside after some playings, and performs on them only.
    cleans_failing    cleans a reed that scored badly, most times before she plays it.
    long_lives        her reeds last two and a half times as long.
    heavy             one reed in ten lasts five times as long.
    culls             a blank that she tied longer than she meant has to play very well, or is given up.
    seasons           dry winters end lives sooner and damp summers later; in winter she ties longer and gouges thicker,
                      scrapes sooner, and new reeds play longer.
    """

    prefers_good: bool = False
    puts_down: bool = False
    touches_up: bool = False
    sells_good: bool = False
    retires_by_score: bool = False
    lots_drive: bool = False
    shortens: bool = False
    drifts: bool = False
    uneven: bool = False
    seasons: bool = False
    batches: bool = False
    moves: bool = False
    good_lasts: bool = False
    reserves: bool = False
    cleans_failing: bool = False
    long_lives: bool = False
    heavy: bool = False
    culls: bool = False

    @classmethod
    def every(cls) -> Manner:
        """All of it at once, but what is rarer."""
        return cls(**{field.name: field.name not in RARER for field in fields(cls)})


RARER = frozenset(
    ("batches", "moves", "good_lasts", "reserves", "cleans_failing", "long_lives", "heavy", "culls")
)  # fmt: skip
"""What not every maker, or no one maker, does besides all else."""

PLAIN = Manner()

MOVES_AFTER = 150
"""Days."""

BAD, GOOD = 6.0, 8.2
"""A score that she calls bad, and one that she calls very good."""
