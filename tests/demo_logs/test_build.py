"""The logs in the folder are those that the command makes."""

from __future__ import annotations

from pathlib import Path

from demo_logs.build import HERE, build


def test_built_anew_the_logs_are_the_same(tmp_path: Path) -> None:
    for made in build(tmp_path):
        assert made.read_bytes() == (HERE / made.name).read_bytes(), f"{made.name}: run python -m demo_logs.build"
