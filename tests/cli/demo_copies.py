"""A copy of a demo log under the command line of a test."""

from __future__ import annotations

import shutil
from datetime import datetime
from functools import cache

from reedkin.cli.commands.demo import demo_log
from reedkin.domain.clock import Clock
from reedkin.store.log import Log
from tests.cli.conftest import CommandLine


def on_demo_copy(run: CommandLine, name: str) -> CommandLine:
    """`run` with a copy of this demo log as its log, and its clock at the last event."""
    run.path.parent.mkdir(parents=True)
    shutil.copyfile(demo_log(name), run.path)
    run.clock.moment = _last_event(name)
    return run


@cache
def _last_event(name: str) -> datetime:
    with Log(demo_log(name), Clock(), read_only=True) as log:
        return max(reed.last.at for reed in log.bench.reeds())
