"""What went out of the house: each time a reed was handed over, to whom and how, and when and why it came back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from unicodedata import normalize

from reedkin.domain.known import number
from reedkin.domain.reeds import Reed, Step


@dataclass(frozen=True, slots=True)
class Delivery:
    """A reed that went out, under which tag, when, and when and why it came back if it did. `order` is the identity of
    the order that it went to; `price` is what it was sold for: its own price, or else that of its order."""

    reed: Reed
    at: datetime
    to: str
    terms: str | None = None
    price: float | None = None
    came_back: datetime | None = None
    why: str = ""
    order: str = ""
    unpaid: bool = False


def deliveries(reed: Reed) -> list[Delivery]:
    """Each time a reed was handed over. Why it came back is the note of its return, or the first one after it. What
    was handed over for money was sold. A reed that is handed over again while it is out was lent and then kept, or
    went on to somebody else."""
    found: list[Delivery] = []
    for place, step in enumerate(reed.standing):
        if step.kind == "handed over":
            price, terms = number(step.facts, "price"), step.facts.get("terms")
            sold = "sold" if terms is None and price else None
            to, order = str(step.facts.get("to", "")), str(step.facts.get("order", ""))
            if found and found[-1].came_back is None:
                kept = order_key(found[-1].to) == order_key(to)
                found[-1:] = [] if kept else [replace(found[-1], came_back=step.at)]
            found.append(
                Delivery(
                    reed,
                    step.at,
                    to,
                    str(terms) if terms else sold,
                    price,
                    order=order,
                    unpaid=step.facts.get("unpaid") is True,
                )
            )
        elif step.kind == "returned" and found and found[-1].came_back is None:
            found[-1] = replace(found[-1], came_back=step.at, why=_why(reed.standing[place:]))
    return found


def _why(steps: Iterable[Step]) -> str:
    """The note of a return, or what was said of the reed before it was used or worked on again."""
    for step in steps:
        if step.note:
            return step.note
        if step.kind == "retired":
            return str(step.facts.get("cause", ""))
        if step.kind not in ("returned", "noted", "measured", "scored", "crowed"):
            break
    return ""


@lru_cache(maxsize=4096)
def order_key(name: str) -> str:
    """Who an order is for, or who gets a reed, without what people leave out or put before it: "the quartet",
    "order 3"; an accent may be a sign of its own, as in what is copied from elsewhere."""
    words = (name if name.isascii() else normalize("NFC", name)).casefold().split()
    while len(words) > 1 and words[0] in ("order", "the"):
        words.pop(0)
    return " ".join(words).removeprefix("#")
