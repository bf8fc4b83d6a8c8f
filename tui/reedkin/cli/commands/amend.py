"""`reedkin amend`: have something that was recorded say something else."""

from __future__ import annotations

import argparse

from reedkin.bench.correcting import Correction, Corrector
from reedkin.cli.context import Context
from reedkin.cli.correct import add_events, add_making, correct
from reedkin.domain.reeds import Step
from reedkin.grammar.correcting.corrections import plan_amendment
from reedkin.store.log import Log


def arguments(parser: argparse.ArgumentParser) -> None:
    add_events(parser, several=False)
    parser.add_argument("--says", metavar="LINE", required=True, help="an entry line without the tag: 'clip .4'")
    parser.set_defaults(strikes=False)
    add_making(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    def plan(log: Log, corrector: Corrector, steps: list[Step]) -> Correction:
        return plan_amendment(corrector, log.bench, steps, args.says)

    return correct(args, context, plan)
