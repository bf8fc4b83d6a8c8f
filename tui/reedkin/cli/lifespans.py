"""`reedkin lifespans`: how long the reeds last."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.drawing import show_chart
from reedkin.cli.options import add_clock, add_json

if TYPE_CHECKING:
    from reedkin.answers.lives.lifespans import Lifespans
    from reedkin.charts.canvas import Drawing
    from reedkin.study.study import Study


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--by", metavar="HABIT", default="instrument", help="in groups by it, such as lot or shape")
    add_clock(parser)
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.lives.lifespans import lifespans
    from reedkin.study.habits import habit_named
    from reedkin.study.study import Study

    by = habit_named(args.by)
    with context.reading() as log:
        study = Study.of_bench(log.bench)
    report = lifespans(study, by, args.clock)
    if args.json:
        show_json(report.to_json())
    else:
        _show(report, study)
    return 0


def _show(report: Lifespans, study: Study) -> None:
    from reedkin.answers.lives.whole import everyone, outcomes
    from reedkin.answers.lives.words import lives_lines

    whole = everyone(study, report.clock)
    if report.groups:
        show_chart(lambda width, height: _chart(report, width, height))
    show_text(lives_lines(report, report.groups, outcomes(study, whole.reeds if whole is not None else ())))


def _chart(report: Lifespans, width: int, height: int) -> Drawing:
    from reedkin.answers.lives.words import UNIT
    from reedkin.charts.groups import as_curve
    from reedkin.charts.survival import survival_chart

    return survival_chart([as_curve(group) for group in report.groups], width, height, UNIT[report.clock])
