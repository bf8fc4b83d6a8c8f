"""What all tests share."""

from __future__ import annotations

import os


def pytest_xdist_auto_num_workers() -> int:
    """Two workers a core: half of the time a test waits for a screen to settle."""
    return 2 * (os.cpu_count() or 1)
