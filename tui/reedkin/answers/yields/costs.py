"""What a reed that came good takes, in minutes and in money, the blanks that did not counted in; and what an hour of
the work brings where reeds are sold."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reedkin.bench.bench import Bench
from reedkin.bench.orders import book
from reedkin.bench.sessions import WorkSession
from reedkin.bench.supplies import lots, tubes
from reedkin.domain.fates import came_good
from reedkin.domain.figures import duration, plural
from reedkin.domain.known import number
from reedkin.domain.reeds import Reed, Step
from reedkin.domain.words import spelt

if TYPE_CHECKING:
    from reedkin.contract.making import CostsJson

LONGEST_SITTING = 6 * 60
"""A work session of more minutes was left open by mistake, and does not count."""

FEWEST_SOLD, FEWEST_HOURS = 5, 5
"""From fewer reeds sold, or less work, it is not told what an hour brings (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Costs:
    """
    Of the blanks of an instrument that are settled; what is not noted is None.

    good, settled   so many came good of so many blanks.
    scraping        minutes of scraping noted, for each that came good.
    bench           minutes of work sessions for each that came good. A session is shared out among its events.
    parts           what each material cost, for each that came good: cane, thread, wire, tubing.
    tube            price of a tube. It is used again, so it counts only for reeds that leave the house.
    price           mean price that was asked for those sold; sold: of how many.
    unpriced        what has no price: materials that were used, and the tube.
    """

    instrument: str
    good: int
    settled: int
    scraping: float | None
    bench: float | None
    parts: dict[str, float]
    tube: float | None
    price: float | None
    sold: int
    unpriced: tuple[str, ...]

    @property
    def material(self) -> float | None:
        """What the materials of a reed that came good cost; the tube is not among them."""
        return sum(self.parts.values()) if self.parts else None

    @property
    def minutes(self) -> float | None:
        """The work that a reed takes: by work sessions or by what scraping was noted, whichever is more."""
        return max((minutes for minutes in (self.bench, self.scraping) if minutes is not None), default=None)

    @property
    def hours(self) -> float:
        """The work that went into all these blanks."""
        return (self.minutes or 0.0) * self.good / 60

    @property
    def hourly(self) -> float | None:
        """What an hour of work brings for the reeds sold, materials and tube paid; None where that can be told from
        too few reeds, or too little work."""
        if self.price is None or not self.minutes or self.sold < FEWEST_SOLD or self.hours < FEWEST_HOURS:
            return None
        return (self.price - (self.material or 0.0) - (self.tube or 0.0)) / (self.minutes / 60)


def costs(bench: Bench, instrument: str) -> Costs:
    """What reeds of an instrument take and bring. Reads the whole log."""
    everything = bench.reeds()
    reeds = [reed for reed in everything if reed.instrument == instrument]
    settled = [reed for reed in reeds if came_good(reed) is not None]
    good = sum(came_good(reed) is True for reed in settled)
    prices = _sale_prices(bench, reeds)
    used = _used(settled)
    parts = _parts(bench, everything, settled, used)
    tube = _tube_price(bench, instrument)
    unpriced = [name for name, count in used.items() if count and name not in parts]
    return Costs(
        instrument,
        good,
        len(settled),
        _each(sum(_minutes(step) for reed in settled for step in _making(reed) if step.kind == "scraped"), good),
        _each(_at_the_bench(bench, everything, settled), good),
        {name: total / good for name, total in parts.items()} if good else {},
        tube,
        sum(prices) / len(prices) if prices else None,
        len(prices),
        (*unpriced, *(["tube"] if tube is None else [])),
    )


def _each(total: float, good: int) -> float | None:
    return total / good if total and good else None


def _making(reed: Reed) -> Iterator[Step]:
    """What was done to a blank until it served or was given up."""
    served = reed.service_from
    return (step for step in reed.standing if served is None or step.at < served)


def _minutes(step: Step) -> float:
    return number(step.facts, "minutes") or 0.0


def _at_the_bench(bench: Bench, everything: Sequence[Reed], settled: Sequence[Reed]) -> float:
    """Minutes of work sessions that went into these blanks: each session is shared out evenly among its events."""
    events = Counter(step.session for reed in everything for step in reed.standing if step.session)
    ours = Counter(step.session for reed in settled for step in _making(reed) if step.session)
    return sum(session_minutes(bench.sessions.of(uid)) * count / events[uid] for uid, count in ours.items())


def session_minutes(session: WorkSession | None) -> float:
    """How long a work session was; 0 for one that was never ended, or ended too late to be true."""
    if session is None or session.ended is None:
        return 0.0
    minutes = (session.ended - session.started).total_seconds() / 60
    return minutes if 0 < minutes <= LONGEST_SITTING else 0.0


def _used(settled: Sequence[Reed]) -> dict[str, int]:
    """How many of these blanks used each material."""
    return {
        "cane": len(settled),
        "thread": len(settled),
        "wire": sum(reed.first("wired") is not None for reed in settled),
        "tubing": sum(any(step.facts.get("tubing_mm") for step in reed.of_kind("tubed")) for reed in settled),
    }


def _parts(
    bench: Bench, everything: Sequence[Reed], settled: Sequence[Reed], used: Mapping[str, int]
) -> dict[str, float]:
    """What the materials of all these blanks cost, by material; those not used or without a price are left out."""
    each = {name: _setting(bench, f"price_{name}") for name in used if name != "cane"}
    each["cane"] = _piece_price(bench, everything, settled)
    return {name: price * used[name] for name in used if used[name] and (price := each[name]) is not None}


def _piece_price(bench: Bench, everything: Sequence[Reed], settled: Sequence[Reed]) -> float | None:
    """The mean price of the piece of cane in each of these blanks, by its lot or else as it is set; where neither is
    known for one, the mean of the others stands in. None where no price is known."""
    by_lot = {lot.name.casefold(): lot.piece_price for lot in lots(bench, everything)}
    common = _setting(bench, "price_cane")
    prices = [by_lot.get((reed.now.lot or "").casefold()) or common for reed in settled]
    known = [price for price in prices if price is not None]
    return sum(known) / len(known) if known else None


def _setting(bench: Bench, name: str) -> float | None:
    return number(bench.settings.facts, name)


def _tube_price(bench: Bench, instrument: str) -> float | None:
    """The price set for a tube, or the mean of those noted with the tubes of an instrument."""
    noted = [number(tube.facts, "price") for tube in tubes(bench, ()) if tube.instrument == instrument]
    prices = [price for price in noted if price is not None]
    return sum(prices) / len(prices) if prices else _setting(bench, "price_tube")


def _sale_prices(bench: Bench, reeds: Sequence[Reed]) -> list[float]:
    """The price asked for each reed that was sold and did not come back: its own, or its order's."""
    ids = {reed.id for reed in reeds}
    sold = (d for d in book(bench).deliveries if d.terms == "sold" and d.came_back is None and d.reed.id in ids)
    return [d.price for d in sold if d.price is not None]


def costs_text(every: Iterable[Costs]) -> list[str]:
    """Time and money for each instrument in plain lines, with empty ones between; and what has no price yet. Money is
    in whatever the maker counts in."""
    told = list(every)
    lines = [line for one in told if (said := _costs_text(one)) for line in ("", *said)][1:]
    unpriced = list(dict.fromkeys(name for one in told if one.good for name in one.unpriced))
    if unpriced:
        lines += ["", f"Without a price: {', '.join(unpriced)}. To set one: set price {unpriced[0]} 0.10"]
    return lines


def _costs_text(found: Costs) -> list[str]:
    if not found.good:
        return [f"{spelt(found.instrument)}: no blank has come good yet."]
    lines = [
        f"For each {spelt(found.instrument)} reed that came good ({found.good} of {plural(found.settled, 'blank')}):"
    ]
    if found.scraping is not None:
        lines.append(f"  {duration(found.scraping)} of scraping noted")
    if found.bench is not None:
        lines.append(f"  {duration(found.bench)} at the bench, by work sessions")
    if found.material is not None:
        parts = ", ".join(f"{name} {cost:.2f}" for name, cost in found.parts.items() if cost >= 0.005)
        lines.append(f"  {found.material:.2f} of materials ({parts})")
    if found.tube is not None:
        lines.append(f"  and a tube at {found.tube:.2f} for one that leaves the house")
    if found.price is not None:
        lines.append(f"{plural(found.sold, 'reed')} sold at {found.price:.2f}{' on average' if found.sold > 1 else ''}")
    if found.hourly is not None:
        lines.append(f"An hour of the work brings {found.hourly:.2f}")
    elif found.price is not None:
        lines.append(
            f"What an hour brings is told from {FEWEST_SOLD} reeds sold and {FEWEST_HOURS} h of work noted; so far "
            f"{found.sold} and {duration(60 * found.hours)}"
        )
    return lines if len(lines) > 1 else []  # nothing is noted of its work or cost


def costs_as_dict(found: Costs) -> CostsJson:
    """Time and money as JSON takes them."""
    return {
        "instrument": found.instrument,
        "good": found.good,
        "settled": found.settled,
        "scraping_minutes": found.scraping,
        "bench_minutes": found.bench,
        "materials": dict(found.parts),
        "material": found.material,
        "tube": found.tube,
        "price_asked": found.price,
        "sold": found.sold,
        "hourly": found.hourly,
        "unpriced": list(found.unpriced),
    }
