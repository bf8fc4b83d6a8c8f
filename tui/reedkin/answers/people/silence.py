"""What it says that nobody said anything of a reed.

Of somebody who ever told of an end it says that what they kept silent of served until they got another reed, or were
last heard of: else they would have told. Of somebody who never did it says half as much, once anybody did: as likely as
not they would have told, too. Where nobody ever told of an end, neither silence nor good news says how long lives are:
the good ones alone would make them look as if they had none.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from reedkin.answers.people.news import Hearsay
from reedkin.bench.deliveries import Delivery, order_key

_TOGETHER = timedelta(days=1)
"""What somebody got within a day they play by turns: none of it takes the place of another."""
_LONGEST = timedelta(days=120)
"""Silence of longer than this after a reed went out says no more."""
_UNSURE = 0.5
"""What silence counts of somebody who never told of an end (a guess, no source)."""


@dataclass(frozen=True, slots=True)
class Silence:
    """Until when a reed served, as nobody said anything else, and for how much that counts."""

    until: datetime
    weight: float


def silences_of(out: Iterable[Delivery], news: Mapping[str, Hearsay]) -> dict[str, Silence]:
    """What silence says of each reed that is out, by its id; those that are said to have ended are not among them."""
    by: dict[tuple[str, str], list[Delivery]] = defaultdict(list)
    for one in sorted(out, key=lambda one: one.at):
        by[order_key(one.to), one.reed.instrument].append(one)
    telling = {who for who, own in by.items() if any(news[one.reed.id].ended for one in own)}
    found: dict[str, Silence] = {}
    for who, own in by.items() if telling else ():
        weight = 1.0 if who in telling else _UNSURE
        contact = max(_heard_of(one, news[one.reed.id]) for one in own)
        for place, one in enumerate(own):
            if news[one.reed.id].ended is None:
                later = (other.at for other in own[place + 1 :] if other.at > one.at + _TOGETHER)
                found[one.reed.id] = Silence(min(next(later, contact), one.at + _LONGEST), weight)
    return found


def _heard_of(one: Delivery, news: Hearsay) -> datetime:
    """When whoever has a reed was last heard of, by what is known of it."""
    return max((at for at, _ in news.said), default=one.at)
