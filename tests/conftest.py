"""What all tests share."""

from __future__ import annotations

import gc
import marshal
import os
import sys
from collections.abc import Generator
from pathlib import Path
from shutil import disk_usage
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

# A run tells the same twice, however busy the machine is. To look further: --hypothesis-profile=default.
settings.register_profile(
    "steady", max_examples=25, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("steady")

# Python keeps what it has compiled, also where it was told not to: the workers, and the programs that tests start,
# would each compile everything anew.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# Several workers share the cores. Numpy's threads, one for each core in every worker, would mostly wait for each other,
# which takes as much of a core as reckoning does.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

# Thousands of small logs are written and thrown away: on a disk in memory, where there is one with room, from which
# programs may be started too (the variable is pytest's own). Only what a failed test has written is kept
# (pyproject.toml).
MEMORY = Path("/dev/shm")
if os.access(MEMORY, os.W_OK) and disk_usage(MEMORY).free > 2**30 and not os.statvfs(MEMORY).f_flag & os.ST_NOEXEC:
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


def pytest_collection_finish() -> None:
    """The modules and the tests are there to stay: the garbage collector need not look through them again and again.
    Nor need it look after each 700 new objects, where every program that a test opens makes some hundred thousand: that
    was an eighth of all the time. It looks soon enough that memory does not grow, and that what was new before a
    question is asked counts for little in `interpreter.uncollected`."""
    gc.freeze()
    gc.set_threshold(50_000)


def pytest_xdist_auto_num_workers() -> int:
    """As many workers as there are cores. Each reads all tests and their libraries, which takes one of them ten seconds
    of a slow core; while a test waits for a program that it started, that one has the core."""
    return os.cpu_count() or 1


# Each test has three reports, which its worker sends as one piece. Taken apart into every word and number, as they are
# without this, those of a hundred tests take a twentieth of a second, and a text that is no UTF-8 in what a failed test
# says ends the whole run.


@pytest.hookimpl(wrapper=True)
def pytest_report_to_serializable() -> Generator[None, Any, Any]:
    told = yield
    return told and {"told": marshal.dumps(told)}


@pytest.hookimpl(wrapper=True)
def pytest_report_from_serializable(data: dict[str, Any]) -> Generator[None, Any, Any]:
    if "told" in data:
        data.update(marshal.loads(data.pop("told")))
    return (yield)
