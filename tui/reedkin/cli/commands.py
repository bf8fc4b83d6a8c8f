"""The commands. To add one: a module, and a line here."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import Protocol

from reedkin.cli import add, check, demo, exporting, importing, show, stock
from reedkin.cli.context import Context


class Command(Protocol):
    """What a command's module holds. `run` returns the exit code, and raises ReedkinError for what it tells."""

    NAME: str
    HELP: str

    def arguments(self, parser: argparse.ArgumentParser) -> None: ...
    def run(self, args: argparse.Namespace, context: Context) -> int: ...


COMMANDS: Sequence[Command] = (demo, add, show, stock, importing, exporting, check)
