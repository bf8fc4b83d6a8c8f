"""The latest reeds of a log: those begun last, found without reading the others, and those written of last."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import chain

from reedkin.bench.bench import Bench
from reedkin.bench.headings import Heading
from reedkin.domain.reeds import Reed


def latest_reeds(
    bench: Bench, count: int, told: Callable[[Heading], bool], wanted: Callable[[Reed], bool] = lambda reed: True
) -> list[Reed]:
    """The last `count` of each instrument that are `wanted`, oldest first. Only those are read of which the heading has
    `told` that they may be, or to which something was added since it was read."""
    found: dict[str | None, list[Reed]] = {}
    for heading in reversed(list(bench.headings)):
        if told(heading) or bench.lineages.added(heading.reed):
            reeds = found.setdefault(bench.headings.instrument(heading.reed), [])
            if len(reeds) < count and wanted(reed := bench.reed(heading.reed)):
                reeds.append(reed)
    return sorted(chain.from_iterable(found.values()), key=lambda reed: (reed.begun, reed.id))


def latest_of(reeds: Sequence[Reed], count: int) -> list[Reed]:
    """Those `count` of some reeds of which something was written last, in their order."""
    if len(reeds) <= count:
        return list(reeds)
    kept = {reed.id for reed in sorted(reeds, key=lambda reed: (reed.last.at, reed.id))[-count:]}
    return [reed for reed in reeds if reed.id in kept]
