"""`python -m reedkin`, and the console script."""

from __future__ import annotations

import sys

from reedkin.interpreter import end_uncollected, start_uncollected


def run() -> None:
    """Run the command line and end the process with its exit code."""
    start_uncollected()
    from reedkin.cli.main import guarded

    code = guarded(sys.argv[1:])
    end_uncollected()
    sys.exit(code)


if __name__ == "__main__":
    run()
