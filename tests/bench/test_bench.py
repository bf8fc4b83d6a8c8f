"""The bench: nothing is read before it is asked for, and thousands of reeds keep no key waiting."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import timedelta
from functools import partial
from itertools import count
from math import inf
from random import Random
from time import process_time

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.bench.bench import Bench
from reedkin.bench.headings import Heading
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Amendment, Event, Record, Strike, reed_table
from reedkin.domain.facts import Facts
from reedkin.domain.reeds import Reed
from reedkin.domain.uid import UidMaker, uuid7
from reedkin.grammar.completing.completion import complete
from reedkin.grammar.preview import preview
from reedkin.grammar.reading import read

REEDS = 4000
ALIVE = 40
"""As many as are at work at once, the last of them."""


class Shelf:
    """Lineages that count how often each is asked for, and are made when they are: of thousands, few ever are."""

    def __init__(self, reeds: int = REEDS, before: int = 0) -> None:
        random = Random(5)
        self.asked: Counter[str] = Counter()
        self.headings: list[Heading] = []
        for number in range(reeds):
            at = NOW - timedelta(hours=12 * (reeds - number))
            reed = uuid7(int(at.timestamp() * 1000), random.getrandbits(73))
            instrument = random.choice(["english horn", "oboe"])
            facts: Facts = {
                "instrument": instrument, "overall_mm": 60, "lot": f"L{number // 50}", "tube": f"T{number % 300}",
                "tube_mm": 27, "shape": random.choice("ABC"),
            }  # fmt: skip
            over = number < reeds - ALIVE
            self.headings.append(Heading(reed, str((before + number) % 2000 + 1), at, facts, over))
        self._of = {heading.reed: heading for heading in self.headings}

    def _lineage(self, reed: str) -> Iterable[Record]:
        heading = self._of[reed]
        after = UidMaker(lambda: int(heading.at.timestamp() * 1000), after=reed)
        kinds: list[tuple[str, Facts]] = [("tied", heading.facts)]
        kinds += [
            ("scraped", {"minutes": 10}),
            ("wired", {"gauge_awg": 28}),
            ("played", {"minutes": 45, "score": 8}),
        ] * 6
        kinds += [("retired", {"cause": "worn"})] if heading.over else []
        for place, (kind, facts) in enumerate(kinds):
            at = heading.at + timedelta(minutes=place)
            uid = reed if place == 0 else after.new()
            yield Event(uid, reed, kind, heading.tag, at, at, "e", facts)

    def read(self, reed: str) -> list[Record]:
        self.asked[reed] += 1
        return list(self._lineage(reed))

    def bench(self) -> Bench:
        return Bench(FixedClock(NOW), self.headings, self.read)


@pytest.fixture(scope="module")
def shelf() -> Shelf:
    return Shelf()


# Lazy lineages


def test_no_lineage_is_read_until_it_is_asked_for() -> None:
    shelf = Shelf(300)
    bench = shelf.bench()
    assert len(bench) == 300
    assert bench.tags.next() == "301"
    assert bench.headings.known("lot")[0] == "L5"
    assert bench.headings.tube_length("t7") == 27
    assert bench.headings.latest_instrument() in ("oboe", "english horn")
    assert [h.tag for h in bench.headings][:2] == ["1", "2"]
    assert bench.tags.is_free("5")
    assert not shelf.asked
    assert bench.find("5") is not None
    assert shelf.asked.total() == 1


def test_a_lineage_is_read_once() -> None:
    shelf = Shelf(300)
    bench = shelf.bench()
    for _ in range(3):
        bench.at_work()
        read("s 10", bench, bench.find("300"))
    assert set(shelf.asked.values()) == {1}
    assert ALIVE <= len(shelf.asked) < 100


def test_a_retired_reed_is_not_looked_at_for_what_is_alive() -> None:
    shelf = Shelf(300)
    shelf.headings = [Heading(h.reed, h.tag, h.at, h.facts) for h in shelf.headings]
    bench = shelf.bench()
    assert len(bench.at_work()) == ALIVE
    seen = shelf.asked.total()
    bench.add([Event(uuid7(1, 1), shelf.headings[-1].reed, "scraped", "300", NOW, NOW, "e", {})])
    assert len(bench.at_work()) == ALIVE
    assert shelf.asked.total() - seen <= 1


# What is known


def _known(bench: Bench) -> tuple[object, ...]:
    headings, last_time = bench.headings, bench.last_time
    return (
        headings.known("lot"), headings.known("tube"), [r.tag for r in headings.on_tube("t1")],
        headings.tube_length("T1"), headings.latest_instrument(), bench.tags.next(),
        [r.label for r in bench.at_work()], last_time.facts("wired", "english horn"), last_time.facts("tied", "oboe"),
        [h.tag for h in headings],
    )  # fmt: skip


def test_what_is_known_is_the_same_however_it_came_in() -> None:
    """Asked all along, so that everything kept is brought up to date, or once at the end."""
    lines = [
        "1 tie eh 60 lot A tube T1 27", "2 tie ob 72 lot B tube T2 46", "1 wire 28", "3 tie eh 61 lot A tube t1 27.5",
        "3 wire 26 brass", "1 retire worn", "1 tie ob 71 lot C tube T1 46", "2 sell to a pupil", "wire 30",
        "3 wire off",
    ]  # fmt: skip
    maker, records = Maker(), []
    for line in lines:
        records += maker.type(line)
        asked = _known(maker.bench)
        assert asked == _known(Bench.of(maker.clock, records)), line
    first = maker.reed("1/1")
    last = maker.reed("1")
    more: list[Record] = [
        Strike(maker.uids.new(), reed_table(last.id), last.id, NOW, "e"),
        Amendment(
            maker.uids.new(), first.id, first.id, NOW, NOW, "e", {"instrument": "oboe", "lot": "Z", "tube": "T9"}
        ),
        Strike(maker.uids.new(), reed_table(first.id), first.last.event.uid, NOW, "e"),
    ]
    more.append(Strike(maker.uids.new(), reed_table(last.id), more[0].uid, NOW, "e"))
    for record in more:
        maker.bench.add([record])
        records.append(record)
        assert _known(maker.bench) == _known(Bench.of(maker.clock, records)), record


def test_a_struck_beginning_takes_the_reed_out_and_a_strike_of_that_brings_it_back() -> None:
    maker = Maker("5 tie eh 60 lot A", "6 tie ob lot B")
    reed = maker.reed("6")
    strike = Strike(maker.uids.new(), reed_table(reed.id), reed.id, NOW, "e")
    maker.bench.add([strike])
    assert maker.bench.find("6") is None
    assert reed.id in maker.bench
    assert (len(maker.bench), maker.bench.headings.known("lot"), maker.bench.tags.next()) == (1, ["A"], "6")
    assert maker.bench.headings.latest_instrument() == "english horn"
    maker.bench.add([Strike(maker.uids.new(), reed_table(reed.id), strike.uid, NOW, "e")])
    assert maker.reed("6").now.lot == "B"
    assert (len(maker.bench), maker.bench.tags.next()) == (2, "7")


def test_records_may_come_before_their_beginning() -> None:
    maker = Maker("5 tie eh 60", "c 1")
    records = maker.bench.lineages.records(maker.reed("5").id)
    bench = Bench(maker.clock)
    bench.add(
        [records[1], Amendment(uuid7(9**13, 1), records[0].uid, records[0].uid, NOW, NOW, "e", {"instrument": "oboe"})]
    )
    assert bench.find("5") is None
    bench.add([records[0]])
    assert [(r.tag, r.instrument) for r in bench.at_work()] == [("5", "oboe")]


def test_the_same_records_twice_are_there_once() -> None:
    maker = Maker("5 tie eh 60", "c 1")
    maker.bench.add(maker.bench.lineages.records(maker.reed("5").id))
    assert maker.reed("5").now.overall_mm == 59
    assert len(maker.bench) == 1


def test_reeds_that_are_away() -> None:
    maker = Maker("5 tie eh", "6 tie eh", "5 lend to a pupil", "6 sell")
    assert [r.tag for r in maker.bench.whereabouts.handed_over()] == ["5", "6"]
    assert maker.bench.at_work() == []
    assert [maker.bench.tags.is_free(tag) for tag in ("5", "6", "7")] == [False, True, True]


def test_the_next_tag_goes_on_from_the_latest_reeds() -> None:
    maker = Maker("998 tie eh", "sop tie eh", "12 tie eh")
    assert maker.bench.tags.next() == "999"
    assert maker.bench.tags.next({"999", "1000"}) == "1001"
    assert Maker().bench.tags.next() == "1"


def test_a_session_left_open_and_later_ones() -> None:
    maker = Maker("session start 20 C")
    first = maker.bench.sessions.open()
    maker.type("session end", "session start 21 C")
    assert first is not None
    assert maker.bench.sessions.open() != first
    ended = maker.bench.sessions.of(first.uid)
    assert ended is not None
    assert ended.ended is not None
    assert maker.bench.sessions.of(None) is None
    assert maker.bench.sessions.of("x") is None


# Fast


LINE = "2000,1999 scrape tip 10m; clip .5; 2000 wire; tube; p 45 8 rehearsal @yesterday"
FEW = 200
ROUNDS = 12
ALIKE = 1.5
"""How many times as long something may take among twenty times as many reeds: a look at each of them would take longer
than all the rest of it."""


def _key(bench: Bench, typed: str) -> None:
    hand = bench.find("2000")
    preview(read(typed, bench, hand, 9), bench)
    complete(typed, bench, hand, 9)


def _seconds(does: Callable[[], object]) -> float:
    start = process_time()
    does()
    return process_time() - start


def _times_as_long(many: Sequence[Callable[[], object]], few: Sequence[Callable[[], object]]) -> float:
    """How many times as long the steps of one take as those of the other: both in turns, each step as quick as it was
    at its best, so that what else a machine does counts on neither side; until they are alike, or for some rounds."""
    best = dict.fromkeys((*many, *few), inf)
    ratio = inf
    for _ in range(ROUNDS):
        for step in (step for pair in zip(many, few, strict=True) for step in pair):
            best[step] = min(best[step], _seconds(step))
        ratio = sum(best[step] for step in many) / sum(best[step] for step in few)
        if ratio < ALIKE:
            break
    return ratio


def _keys(bench: Bench, line: str) -> list[Callable[[], object]]:
    """Every third key of a line from its last on, with what is known gathered once."""
    _key(bench, line)
    return [partial(_key, bench, line[:length]) for length in range(len(line), 0, -3)]


@pytest.fixture(scope="module")
def few() -> Shelf:
    return Shelf(FEW, before=2000 - FEW)


@pytest.mark.parametrize("line", [LINE, "2001-2003 tie eh 60 lot L7 tube T5 27 shape A", "tie", "retire cracked"])
def test_a_key_takes_no_longer_with_four_thousand_reeds(shelf: Shelf, few: Shelf, line: str) -> None:
    assert _times_as_long(_keys(shelf.bench(), line), _keys(few.bench(), line)) < ALIKE


def test_a_look_at_each_reed_would_be_noticed(shelf: Shelf, few: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    """The test above can fail: with one look at every heading at each key, the least that a scan of all can cost."""
    benches = shelf.bench(), few.bench()
    for bench in benches:
        monkeypatch.setattr(bench, "find", partial(_scanning, bench, bench.find))
    many, other = (_keys(bench, "retire cracked")[:1] for bench in benches)
    assert _times_as_long(many, other) > ALIKE


def _scanning(bench: Bench, find: Callable[[str], Reed | None], text: str) -> Reed | None:
    assert all(heading.tag for heading in bench.headings)
    return find(text)


def test_recording_an_event_makes_nothing_be_gathered_anew(shelf: Shelf, few: Shelf) -> None:
    many, other = shelf.bench(), few.bench()
    uids = UidMaker()
    for bench in (many, other):
        _key(bench, LINE)
    minutes = count()
    assert _times_as_long([partial(_wired, many, uids, minutes)], [partial(_wired, other, uids, minutes)]) < ALIKE


def _wired(bench: Bench, uids: UidMaker, minutes: Iterator[int]) -> None:
    """Wire the reed in hand, and type on."""
    hand = bench.find("2000")
    assert hand is not None
    at = NOW + timedelta(minutes=next(minutes))
    bench.add([Event(uids.new(), hand.id, "wired", "2000", at, at, "e", {"gauge_awg": 26})])
    read("wire", bench, bench.reed(hand.id))
    complete("tie eh lot ", bench, hand)
    assert bench.last_time.facts("wired", hand.instrument) == {"gauge_awg": 26}
