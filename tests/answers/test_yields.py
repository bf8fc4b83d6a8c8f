"""How many blanks come good, where the others stop, and what a good one takes."""

from __future__ import annotations

import pytest
from scipy.stats import binomtest
from tests.domain.maker import Maker

from reedkin.answers.yields.costs import costs, costs_as_dict, costs_text
from reedkin.answers.yields.yields import (
    lost_as_dict,
    where_lost,
    where_lost_text,
    yield_as_dict,
    yield_of,
    yields,
    yields_text,
)


@pytest.fixture
def maker() -> Maker:
    """Six English horn blanks of two lots and shapes: three good, two given up, one open; an oboe blank; one joined."""
    maker = Maker("lot 7 10 pieces price 20", "set price thread .1 price wire .05", "90 join eh 5h")
    for number in range(1, 7):
        maker.type(f"{number} tie eh 60 lot {'7' if number < 5 else '8'} shape {'A' if number % 2 else 'B'} tube T1")
    maker.type(
        "1 scrape tip 10m", "1 wire 28", "1 play 20", "2 scrape 20m; score 8", "2 sell to a pupil for 30",
        "3 play 5; retire worn", "4 scrape 5m; crow C5; retire never came good",
        "5 scrape 25m; clip .5; retire cracked", "7 tie oboe 72",
    )  # fmt: skip
    return maker


def test_the_yield_and_its_interval(maker: Maker) -> None:
    (eh, oboe) = yields(maker.bench.reeds())
    assert (eh.name, eh.good, eh.settled, eh.open, eh.share) == ("english horn", 3, 5, 1, 0.6)
    assert (oboe.settled, oboe.open, oboe.interval, oboe.share) == (0, 1, None, None)


def test_the_interval_is_wilsons() -> None:
    """scipy's binomtest(...).proportion_ci(method="wilson")."""
    maker = Maker(*(f"{n} tie eh 60; play 5" for n in range(1, 4)), *(f"{n} tie eh 60" for n in range(4, 21)))
    maker.type("4-20 retire never came good")
    expected = binomtest(3, 20).proportion_ci(method="wilson")
    assert yield_of(maker.bench.reeds()).interval == pytest.approx((expected.low, expected.high), abs=1e-9)
    assert yield_of(maker.bench.reeds()).interval == pytest.approx((0.0523687, 0.360419), abs=1e-6)  # 3 of 20


@pytest.mark.parametrize(
    ("by", "expected"),
    [
        ("lot", [("7", 3, 4), ("8", 0, 1), ("not noted", 0, 0)]),
        ("shape", [("A", 2, 3), ("B", 1, 2), ("not noted", 0, 0)]),
        ("tube", [("T1", 3, 5), ("not noted", 0, 0)]),
    ],
)
def test_by_what_they_were_made_of(maker: Maker, by: str, expected: list[tuple[str, int, int]]) -> None:
    assert [(y.name, y.good, y.settled) for y in yields(maker.bench.reeds(), by)] == expected  # type: ignore[arg-type]


def test_where_blanks_are_given_up(maker: Maker) -> None:
    lost = {one.stage: (one.count, dict(one.causes)) for one in where_lost(maker.bench.reeds())}
    assert lost == {
        "tied": (0, {}), "scraped": (1, {"cracked": 1}), "crowed": (1, {"never came good": 1}), "finished": (0, {}),
    }  # fmt: skip
    assert where_lost_text(where_lost(maker.bench.reeds())) == [
        "2 blanks given up:", "  1 before they crowed: cracked 1", "  1 after they crowed: never came good 1",
    ]  # fmt: skip
    assert where_lost_text(where_lost([])) == ["No blank was given up."]
    assert lost_as_dict(where_lost(maker.bench.reeds())[1])["causes"] == {"cracked": 1}


def test_yields_in_words_and_as_json(maker: Maker) -> None:
    assert yields_text(yields(maker.bench.reeds())) == [
        "English horn: 3 of 5 came good, 60% (23% to 88%), 1 on the bench",
        "oboe: none settled yet, 1 on the bench",
    ]
    assert yields_text([]) == ["No blank is noted yet. To tie one: 1 tie oboe 72"]
    assert yield_as_dict(yields(maker.bench.reeds())[1])["ci"] is None


def test_what_a_good_reed_takes(maker: Maker) -> None:
    """By hand: 10 + 20 + 5 + 25 minutes for three good ones; cane at 20 / 10 for each of five blanks, that of the lot
    without a price as the others; thread for five, wire for one."""
    found = costs(maker.bench, "english horn")
    assert (found.good, found.settled) == (3, 5)
    assert found.scraping == pytest.approx(20)
    assert found.bench is None
    assert found.parts == pytest.approx({"cane": 5 * 2 / 3, "thread": 5 * 0.1 / 3, "wire": 0.05 / 3})
    assert found.unpriced == ("tube",)


def test_what_an_hour_brings(maker: Maker) -> None:
    """By hand: five reeds more, each sold for 30 after 70 minutes of scraping; eight good ones of ten blanks. Materials
    and a tube at 8 come off. It is told from five reeds sold and five hours on: not of the one that is sold before."""
    maker.type("set price tube 8")
    before = costs(maker.bench, "english horn")
    assert (before.price, before.sold, before.hourly) == (30, 1, None)
    told = "What an hour brings is told from 5 reeds sold and 5 h of work noted; so far 1 and 1 h"
    assert costs_text([before])[-1] == told
    for number in range(11, 16):
        maker.type(f"{number} tie eh 60 lot 7; scrape 70m; score 8; sell to a pupil for 30")
    found = costs(maker.bench, "english horn")
    material, minutes = (10 * 2 + 10 * 0.1 + 0.05) / 8, (60 + 5 * 70) / 8
    assert (found.price, found.sold, found.tube) == (30, 6, 8)
    assert found.hourly == pytest.approx((30 - material - 8) / minutes * 60)


def test_work_is_the_larger_of_sessions_and_minutes_noted() -> None:
    """A session begun and ended at once tells of seconds; what was noted in it counts."""
    maker = Maker("session start", "1 tie eh 60; scrape 40m", "session end", "1 play 5")
    found = costs(maker.bench, "english horn")
    assert found.bench is not None
    assert found.bench < 5
    assert found.minutes == 40


def test_the_price_of_an_order_is_asked_for_each_of_its_reeds() -> None:
    maker = Maker("1-3 tie eh 60", "1-3 scrape 30m", "order duo 2 eh for 40", "1-2 sell to duo", "3 sell to a pupil")
    found = costs(maker.bench, "english horn")
    assert (found.price, found.sold) == (40, 2)
    maker.type("2 return")
    assert costs(maker.bench, "english horn").sold == 1


def test_a_session_is_shared_out_among_its_events_and_one_left_open_does_not_count() -> None:
    maker = Maker("session start", "1 tie eh 60", "2 tie oboe 72", "1 scrape", "1 crow C5")
    maker.clock.forward(minutes=35)
    maker.type("session end", "1 play 10")  # 40 minutes, of which 3 events of 4 are the English horn reed's
    assert costs(maker.bench, "english horn").bench == pytest.approx(40 * 3 / 4)
    maker.type("session start", "3 tie eh 60")
    maker.clock.forward(hours=9)
    maker.type("session end", "3 play 10")
    assert costs(maker.bench, "english horn").bench == pytest.approx(40 * 3 / 4 / 2)


def test_costs_in_words_and_as_json(maker: Maker) -> None:
    lines = costs_text([costs(maker.bench, "english horn")])
    assert lines[0] == "For each English horn reed that came good (3 of 5 blanks):"
    assert "  20 min of scraping noted" in lines
    assert lines[-1] == "Without a price: tube. To set one: set price tube 0.10"
    assert costs_text([costs(maker.bench, "oboe")]) == ["oboe: no blank has come good yet."]
    both = costs_text(costs(maker.bench, name) for name in ("oboe", "english horn"))
    assert both == ["oboe: no blank has come good yet.", "", *lines]
    maker.type("set price tube 8")
    assert costs_text([costs(maker.bench, "english horn")])[-2:] == [
        "1 reed sold at 30.00",
        "What an hour brings is told from 5 reeds sold and 5 h of work noted; so far 1 and 1 h",
    ]
    assert costs_as_dict(costs(maker.bench, "english horn"))["hourly"] is None


def test_a_reed_that_joined_is_no_blank(maker: Maker) -> None:
    before = yield_of(maker.bench.reeds()), yields(maker.bench.reeds())
    maker.type("91-93 join eh 5h")
    assert (yield_of(maker.bench.reeds()), yields(maker.bench.reeds())) == before


def test_the_price_of_a_tube_is_that_of_its_instrument() -> None:
    """By hand: (8 + 10) / 2; that of the oboe is its own, and without one what is set."""
    maker = Maker("staple T1 27 mm eh price 8", "staple T2 27 mm eh price 10", "staple O1 47 mm oboe price 3")
    assert [costs(maker.bench, name).tube for name in ("english horn", "oboe", "bass oboe")] == [9, 3, None]
    maker.type("set price tube 5")
    assert [costs(maker.bench, name).tube for name in ("english horn", "oboe", "bass oboe")] == [9, 3, 5]


def test_an_hour_brings_nothing_known_without_a_price_or_without_work() -> None:
    unsold = costs(Maker("1 tie eh 60", "scrape 20m", "play 5").bench, "english horn")
    unworked = costs(Maker("1 tie eh 60", "score 8", "sell to a pupil for 30").bench, "english horn")
    assert (unsold.price, unsold.minutes, unsold.hourly) == (None, 20, None)
    assert (unworked.price, unworked.minutes, unworked.hourly) == (30, None, None)


def test_a_card_of_costs_with_all_that_can_be_known() -> None:
    """By hand: 306 minutes at the bench for six reeds; cane 12 / 6; all are sold, at 30 and 40."""
    maker = Maker(
        "lot 7 6 pieces price 12",
        "set price thread .5; set price tube 6",
        "session start",
        "1-6 tie eh 60 lot 7; score 8",
    )
    maker.clock.forward(minutes=304)
    maker.type("session end", "1-3 sell to a pupil for 30", "4-6 sell to a pupil for 40")
    assert costs_text([costs(maker.bench, "english horn")]) == [
        "For each English horn reed that came good (6 of 6 blanks):",
        "  51 min at the bench, by work sessions",
        "  2.50 of materials (cane 2.00, thread 0.50)",
        "  and a tube at 6.00 for one that leaves the house",
        "6 reeds sold at 35.00 on average",
        f"An hour of the work brings {(35 - 2.5 - 6) / 51 * 60:.2f}",
    ]
