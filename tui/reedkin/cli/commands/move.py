"""`reedkin move`: take something that was recorded to another day, or to another reed."""

from __future__ import annotations

import argparse

from reedkin.bench.correcting import Correction, Corrector
from reedkin.cli.context import Context
from reedkin.cli.correct import add_events, add_making, correct
from reedkin.domain.reeds import Step
from reedkin.grammar.correcting.corrections import plan_day, plan_move
from reedkin.store.log import Log


def arguments(parser: argparse.ArgumentParser) -> None:
    add_events(parser)
    to = parser.add_mutually_exclusive_group(required=True)
    to.add_argument("--to", metavar="TAG", help="to which reed; as many tags as there are reeds, such as 11-18")
    to.add_argument("--on", metavar="DAY", help="to which day, at its own time unless one is given: 'tuesday 18:00'")
    parser.set_defaults(strikes=False)
    add_making(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    def plan(log: Log, corrector: Corrector, steps: list[Step]) -> Correction:
        if args.on is not None:
            return plan_day(corrector, steps, args.on, context.clock)
        return plan_move(corrector, log.bench, steps, args.to)

    return correct(args, context, plan)
