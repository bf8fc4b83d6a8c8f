"""`python -m reedkin`, and the console script."""

from __future__ import annotations

import gc
import sys


def run() -> None:
    """Run the command line and end the process with its exit code."""
    # What is imported and read at the start is there to stay; looking for garbage in it takes a sixth of the start.
    # A command ends soon; the full-screen program looks for garbage once it has read its log.
    gc.disable()
    from reedkin.cli.main import guarded

    sys.exit(guarded(sys.argv[1:]))


if __name__ == "__main__":
    run()
