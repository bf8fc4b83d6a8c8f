"""The simulated rows are such as a real log could hold: every lineage is possible and every fact is in place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date, datetime
from functools import cache

import pytest
from demo_logs.maker.town import offset_minutes, season
from demo_logs.simulate import LAST_EVENING, Scenario, first_month, scaled, simulate, three_seasons

from reedkin.domain.facts import BEGINNINGS, FACTS, KINDS

RUNS = {
    "first month": first_month,
    "three seasons": three_seasons,
    "sixty reeds": lambda: simulate(5),
    "no gaps, nothing lost": lambda: simulate(6, reeds=40, loss=0.0, gaps=0.0),
    "cut after a number of events": lambda: scaled(2_000),
}


@cache
def made(name: str) -> Scenario:
    """Made once, in whatever order the tests come: a fixture of the module would be made anew for each other one."""
    return RUNS[name]()


@pytest.fixture(params=RUNS)
def run(request: pytest.FixtureRequest) -> Scenario:
    return made(request.param)


def reeds_of(scenario: Scenario) -> list[list[dict]]:
    """The rows of each reed, told apart by tag: one that is tied or joined under a tag begins a reed."""
    reeds, bearing = [], {}
    for row in scenario.rows:
        if row["kind"] in BEGINNINGS:
            bearing[row["tag"]] = []
            reeds.append(bearing[row["tag"]])
        bearing[row["tag"]].append(row)
    return reeds


def when(row: dict) -> datetime:
    return datetime.fromisoformat(row["at"])


def test_the_same_seed_gives_the_same_log() -> None:
    assert simulate(3) == simulate(3)
    assert simulate(3).rows != simulate(4).rows


def test_rows_are_in_order_and_those_of_a_reed_never_share_a_minute(run: Scenario) -> None:
    times = [when(row) for row in run.rows]
    assert times == sorted(times)
    for rows in reeds_of(run):
        times = [when(row) for row in rows]
        assert len(set(times)) == len(times)


def test_every_fact_belongs_to_its_kind_and_is_possible(run: Scenario) -> None:
    for row in run.rows:
        kind = KINDS[row["kind"]]
        facts = {name: value for name, value in row.items() if name not in ("tag", "kind", "at", "session", "note")}
        assert set(facts) <= set(kind.facts), row
        assert kind.missing(facts, row.get("note", "")) is None
        for name, value in facts.items():
            value = (value,) if FACTS[name].type == "parts" else value
            assert FACTS[name].impossible(value) is None, row


def test_offsets_follow_european_summer_time() -> None:
    # Directive 2000/84/EC: from the last Sunday of March to the last Sunday of October.
    for first, last in ((date(2025, 3, 30), date(2025, 10, 26)), (date(2026, 3, 29), date(2026, 10, 25))):
        assert offset_minutes(first.toordinal() - 1) == 60
        assert offset_minutes(first.toordinal()) == 120
        assert offset_minutes(last.toordinal() - 1) == 120
        assert offset_minutes(last.toordinal()) == 60


def test_a_tag_is_used_again_only_when_its_reed_is_retired(run: Scenario) -> None:
    living: set[str] = set()
    for row in run.rows:
        if row["kind"] in BEGINNINGS:
            assert row["tag"] not in living, row
            living.add(row["tag"])
        else:
            assert row["tag"] in living, row
        if row["kind"] == "retired":
            living.remove(row["tag"])


def test_a_tube_is_on_one_reed_at_a_time(run: Scenario) -> None:
    carrying: dict[str, str] = {}
    on: dict[str, str] = {}
    for row in run.rows:
        if row.get("tube"):
            assert row["tube"] not in carrying, row
            carrying[row["tube"]], on[row["tag"]] = row["tag"], row["tube"]
        if row["kind"] == "retired" and row["tag"] in on:
            del carrying[on.pop(row["tag"])]


def test_a_reed_only_grows_shorter_and_its_measures_lie_on_it(run: Scenario) -> None:
    for rows in reeds_of(run):
        overall = rows[0]["overall_mm"]
        for row in rows[1:]:
            if "clip_mm" in row:
                overall = round(overall - row["clip_mm"], 1)
            if "overall_mm" in row:
                if row["kind"] == "measured":
                    assert row["overall_mm"] == overall, row
                else:
                    assert row["overall_mm"] < overall, row
                overall = row["overall_mm"]
            if "tip_from_mm" in row:
                assert rows[0].get("tube_mm", 0) < row["heart_from_mm"] < row["tip_from_mm"] < overall, row
        assert overall > 50


def test_playings_are_whole_minutes_and_do_not_overlap(run: Scenario) -> None:
    previous = None
    for row in (row for row in run.rows if row["kind"] == "played"):
        assert isinstance(row["minutes"], int)
        assert 1 <= row["minutes"] <= 90
        if previous is not None:
            assert (when(row) - previous).total_seconds() / 60 > row["minutes"]
        previous = when(row)


def test_nothing_is_done_with_a_reed_that_is_not_there(run: Scenario) -> None:
    for rows in reeds_of(run):
        kinds = [row["kind"] for row in rows]
        assert "retired" not in kinds[:-1]
        away = False
        for kind in kinds:
            if kind == "returned":
                assert away
                away = False
            assert not away
            away = kind == "handed over"


def test_rows_of_a_session_lie_within_it(run: Scenario) -> None:
    sessions = {session["session"]: session for session in run.sessions}
    assert len(sessions) == len(run.sessions)
    for row in run.rows:
        if "session" in row:
            session = sessions[row["session"]]
            assert datetime.fromisoformat(session["start"]) < when(row)
            assert session["end"] is None or when(row) < datetime.fromisoformat(session["end"])


@pytest.mark.parametrize("make", [first_month, three_seasons])
def test_the_truth_agrees_with_the_rows(make: Callable[[], Scenario]) -> None:
    run = make()
    reeds = reeds_of(run)
    bearers: Counter[str] = Counter()
    assert len(reeds) == len(run.lives)
    for rows, life in zip(reeds, run.lives, strict=True):
        bearers[life.tag] += 1
        played = [row["minutes"] for row in rows if row["kind"] == "played"]
        assert (life.tag, life.bearer) == (rows[0]["tag"], bearers[life.tag])
        assert life.entry == round(60 * rows[0].get("hours_before", 0))
        assert life.minutes == life.entry + sum(played)
        assert life.served == bool(played or life.entry)
        assert life.cause == rows[-1].get("cause")


def test_lots_and_orders_bear_what_is_taken_from_them(run: Scenario) -> None:
    tied = Counter(row["lot"] for row in run.rows if "lot" in row)
    pieces = {lot["lot"]: lot["pieces"] for lot in run.lots}
    assert set(tied) <= set(pieces)
    assert all(count <= pieces[lot] for lot, count in tied.items())
    sold = Counter(row["to"] for row in run.rows if row.get("terms") == "sold")
    counts = {f"order {order['order']}": order["count"] for order in run.orders}
    assert all(count <= counts[order] for order, count in sold.items())


def test_facts_are_missing_as_often_as_asked() -> None:
    def share_without_gouge(scenario: Scenario) -> float:
        tied = [row for row in scenario.rows if row["kind"] == "tied"]
        return sum("gouge_mm" not in row for row in tied) / len(tied)

    assert share_without_gouge(simulate(6, gaps=0.0)) == 0
    assert 0.05 < share_without_gouge(simulate(6, reeds=150, gaps=0.1)) < 0.25


def test_the_first_month_holds_about_a_dozen_new_reeds_and_a_case() -> None:
    run = made("first month")
    kinds = Counter(row["kind"] for row in run.rows)
    assert 10 <= kinds["tied"] <= 15
    assert kinds["joined"] == 4
    assert kinds["retired"] >= 3
    assert run.end == LAST_EVENING


def test_three_seasons_end_in_the_midst_of_work() -> None:
    run = made("three seasons")
    kinds = [[row["kind"] for row in rows] for rows in reeds_of(run)]
    assert sum(k[0] == "tied" for k in kinds) > 200
    assert 5_000 < len(run.rows) < 8_000
    alive = [k for k in kinds if k[-1] not in ("retired", "handed over")]
    assert sum(len(k) == 1 for k in alive) >= 2  # blanks drying
    assert sum(len(k) > 1 and "played" not in k and k[0] == "tied" for k in alive) >= 2  # under the knife
    assert sum("played" in k for k in alive) >= 8  # in service
    assert when(run.rows[-1]).date() == LAST_EVENING
    sold = Counter(row["to"] for row in run.rows if row.get("terms") == "sold")
    open_orders = [o for o in run.orders if sold[f"order {o['order']}"] < o["count"] and o["due"] > str(LAST_EVENING)]
    assert open_orders
    assert {row["instrument"] for row in run.rows if "instrument" in row} == set(FACTS["instrument"].choices)
    assert any(session["end"] is None for session in run.sessions)
    assert {row.get("terms") for row in run.rows} >= {"sold", "given", "lent"}
    assert "returned" in {row["kind"] for row in run.rows}
    assert len({season(when(row).date().toordinal()) for row in run.rows}) == 3
    assert max(life.bearer for life in run.lives) >= 3


@pytest.mark.parametrize("events", [1_000, 5_000])
def test_scaled_logs_hold_exactly_so_many_events_and_none_to_come(events: int) -> None:
    run = scaled(events)
    assert len(run.rows) == events
    assert run.end <= LAST_EVENING


def test_a_run_without_an_end_is_refused() -> None:
    with pytest.raises(ValueError, match="no end"):
        simulate(1, reeds=None)
