"""`reedkin demo`: the program on a private copy of an invented maker's log."""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path

import reedkin
from reedkin.cli.context import Context, needs_terminal, say, show
from reedkin.domain.clock import Clock
from reedkin.errors import InputError
from reedkin.store.log import Log

_LOGS = ("first-month", "three-seasons", "damaged")
_USUAL = "three-seasons"


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("which", metavar="LOG", nargs="?", choices=_LOGS, default=_USUAL, help=", ".join(_LOGS))
    parser.add_argument(
        "--walk", action=argparse.BooleanOptionalAction, default=None,
        help="with or without the walk in six steps, which else comes with the first demo only",
    )  # fmt: skip


def run(args: argparse.Namespace, context: Context) -> int:
    needs_terminal()
    from reedkin.app import open_app

    path = copied(args.which)
    show(f"A copy of the demo log, yours to change: {path}")
    walk = (args.which == _USUAL and _is_first()) if args.walk is None else args.walk
    return open_app(path, clock_on_last_day(path), demo=True, walk=walk)


def _is_first() -> bool:
    """Whether nobody has seen the walk here yet; from now on somebody has, however far she goes along."""
    from platformdirs import user_state_path

    seen = user_state_path("reedkin", appauthor=False) / "walk-seen"
    if seen.exists():
        return False
    try:
        seen.parent.mkdir(parents=True, exist_ok=True)
        seen.touch()
    except OSError as error:
        say(f"It could not be noted that the walk was shown ({error.strerror}). --no-walk leaves it out.")
    return True


def demo_log(name: str) -> Path:
    """Where a demo log is. Raises InputError if it is not there."""
    path = _folder() / f"{name.replace('-', '_')}.jsonl"
    if not path.is_file():
        raise InputError(f"The demo log {path} is not there. Install the program again.")
    return path


def copied(name: str) -> Path:
    """A copy of a demo log in a new folder. Raises InputError if the demo logs are not there."""
    original = demo_log(name)
    path = Path(tempfile.mkdtemp(prefix="reedkin-demo-")) / original.name
    shutil.copyfile(original, path)
    return path


def _folder() -> Path:
    """Where the demo logs are: in the package where it is installed, beside the sources in a checkout."""
    package = Path(reedkin.__file__).parent
    installed = package / "demo_logs"
    return installed if installed.is_dir() else package.parents[1] / "demo_logs"


def clock_on_last_day(path: Path) -> Clock:
    """A clock that goes on from the last event of a log, or the end of its last sitting, so that its reeds are as fresh
    as on that day; in the zone of these, so that its evening is an evening wherever the demo is looked at."""
    now = Clock().now()
    with Log(path, Clock(), read_only=True) as log:
        sitting = next(log.bench.sessions.latest_first(), None)
        ended = [sitting.ended] if sitting is not None and sitting.ended is not None else []
        last = max((*ended, *(reed.last.at for reed in log.bench.reeds())), default=now)
    return Clock(last - now, last.tzinfo)
