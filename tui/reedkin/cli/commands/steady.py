"""`reedkin steady`: how steady the hand is, a measure of reed after reed against its own limits and the target."""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, show, show_text
from reedkin.cli.drawing import Picture, show_both
from reedkin.cli.options import add_chart, add_instrument, add_json, instrument_meant
from reedkin.domain.periods import PERIODS
from reedkin.errors import InputError

if TYPE_CHECKING:
    from reedkin.answers.steady.steadiness import Chart, Measure


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--of", metavar="FACT", help="with a chart: tied, tip, heart, opening, gouge or crow; else all")
    parser.add_argument("--by", choices=PERIODS, help="its place and its scatter in each year or season")
    add_instrument(parser, "else all")
    add_chart(parser)
    add_json(parser, "contract.making:SteadyJson", "contract.making:SteadyByPeriodJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.steady.question import SteadyQuestion

    measure = _measure(args.of)
    if args.by is not None:
        from reedkin.answers.steady.period_question import SteadyByPeriodQuestion

        return tell(
            ask(context, SteadyByPeriodQuestion(args.by, measure, instrument_meant(args.instrument))), args.json
        )
    steadiness = ask(context, SteadyQuestion(measure, instrument_meant(args.instrument)))
    if args.json:
        return tell(steadiness, as_json=True)
    for place, one in enumerate(steadiness.charts):
        if place:
            show()
        _show(one, measure is not None, context.charted(args.chart))
    if not steadiness.charts:
        show("Nothing is measured yet. To begin: reedkin add 1 tie oboe 72 gouge 0.59")
    return 0


def _measure(name: str | None) -> Measure | None:
    """The measure that --of names, None where it is left out. Raises InputError."""
    if name is None:
        return None
    from reedkin.answers.steady.steadiness import MEASURES

    found = next((measure for measure in MEASURES if measure.name == name.casefold()), None)
    if found is None:
        raise InputError(f"{name} is not charted; write one of: {', '.join(measure.name for measure in MEASURES)}")
    return found


def _show(one: Chart, drawn: bool, chart: bool | None) -> None:
    from reedkin.answers.steady.steadiness import chart_text

    picture = None
    if one.limits is not None and (drawn or chart):
        from reedkin.charts.answers import steadiness_drawing

        shows = "Each reed's measure, from left to right in their order; below, how far each is from the one before:"
        picture = Picture(shows, partial(steadiness_drawing, one))
    show_both(lambda: show_text(chart_text(one)), picture, chart)
