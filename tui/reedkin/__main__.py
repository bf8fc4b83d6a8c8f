"""`python -m reedkin`, and the console script."""

from __future__ import annotations

import sys

from reedkin.interpreter import start_uncollected


def run() -> None:
    """Run the command line and end the process with its exit code."""
    start_uncollected()
    from reedkin.cli.main import guarded

    sys.exit(guarded(sys.argv[1:]))


if __name__ == "__main__":
    run()
