"""What tests of the store begin with."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the log of a test is, or is to be."""
    return tmp_path / "bench.jsonl"
