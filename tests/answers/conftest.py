"""What tests of the answers begin with."""

from __future__ import annotations

import pytest
from demo_logs.simulate import simulate
from tests.answers.logs import bench

from reedkin.study.study import Study


@pytest.fixture(scope="session")
def study() -> Study:
    """200 reeds with the usual planted effects."""
    scenario = simulate(3, 200)
    return Study.of_bench(bench(scenario.rows, scenario.sessions))
