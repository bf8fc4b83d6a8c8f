"""The logs in the folder are those that the command makes."""

from __future__ import annotations

from pathlib import Path

from demo_logs.build import HERE, build

from reedkin.bench.engagements import to_come
from reedkin.bench.orders import due
from reedkin.cli.commands.demo import clock_on_last_day
from reedkin.store.log import Log


def test_built_anew_the_logs_are_the_same(tmp_path: Path) -> None:
    for made in build(tmp_path):
        assert made.read_bytes() == (HERE / made.name).read_bytes(), f"{made.name}: run python -m demo_logs.build"


def test_as_the_demo_opens_no_order_is_late_and_concerts_are_to_come() -> None:
    path = HERE / "three_seasons.jsonl"
    clock = clock_on_last_day(path)
    with Log(path, clock, read_only=True) as log:
        assert not due(log.bench, within=-1)
        assert due(log.bench, within=40)
        assert {one.instrument for one in to_come(log.bench)} == {"english horn", "oboe"}
