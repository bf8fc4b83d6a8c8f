"""A copy of a demo log under the command line of a test."""

from __future__ import annotations

import shutil

from reedkin.cli.demo import demo_log
from tests.cli.conftest import CommandLine


def on_demo_copy(run: CommandLine, name: str) -> CommandLine:
    """`run` with a copy of this demo log as its log, and its clock at the last event."""
    run.path.parent.mkdir(parents=True)
    shutil.copyfile(demo_log(name), run.path)
    with run.log() as log:
        run.clock.moment = max(reed.last.at for reed in log.bench.reeds())
    return run
