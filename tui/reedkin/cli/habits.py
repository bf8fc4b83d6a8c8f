"""`reedkin habits`: which habits go with longer and shorter lives."""

from __future__ import annotations

import argparse

from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.options import add_clock, add_json
from reedkin.cli.progress import Progress


def arguments(parser: argparse.ArgumentParser) -> None:
    add_clock(parser)
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.habits.report import habits_report
    from reedkin.answers.habits.words import habits_lines
    from reedkin.study.study import Study

    with context.reading() as log, Progress("Asking the log", log.path.stat().st_size) as progress:
        study = Study.of_bench(log.bench)
        report = habits_report(study, args.clock, tick=progress.share)
    if args.json:
        show_json(report.to_json())
    else:
        show_text(habits_lines(report))
    return 0
