"""`reedkin strike`: take something that was recorded out of account, or give it back."""

from __future__ import annotations

import argparse

from reedkin.bench.correcting import Correction, Corrector
from reedkin.cli.context import Context
from reedkin.cli.correct import add_events, add_making, correct
from reedkin.domain.reeds import Step
from reedkin.store.log import Log


def arguments(parser: argparse.ArgumentParser) -> None:
    add_events(parser)
    parser.add_argument("--give-back", action="store_true", help="let what was struck count again")
    parser.set_defaults(strikes=True)
    add_making(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    def plan(log: Log, corrector: Corrector, steps: list[Step]) -> Correction:
        return corrector.give_back(steps) if args.give_back else corrector.strike(steps)

    return correct(args, context, plan)
