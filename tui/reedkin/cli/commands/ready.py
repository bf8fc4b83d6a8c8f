"""`reedkin ready`: whether there will be enough good reeds on a day, and how many blanks to tie for it."""

from __future__ import annotations

import argparse
from dataclasses import replace
from functools import partial

from reedkin.answers.question import Asked
from reedkin.cli.asking import tell
from reedkin.cli.context import Context
from reedkin.cli.drawing import Picture
from reedkin.cli.options import add_chart, add_instrument, add_json, instrument_meant
from reedkin.cli.progress import Progress
from reedkin.errors import InputError
from reedkin.grammar.when.days import parse_day


def arguments(parser: argparse.ArgumentParser) -> None:
    day = "the day: 2026-03-12, '12 March', friday; else the next concert, or in two weeks"
    parser.add_argument("--on", metavar="DATE", help=day)
    reeds = "how many you would play in public; else as many as the concert wants, or 2"
    parser.add_argument("--reeds", metavar="K", type=int, help=reeds)
    add_instrument(parser, "else that of the concert, or of the reed begun last")
    parser.add_argument("--hours", metavar="H", type=float, help="hours of rehearsals before; else as usual")
    parser.add_argument("--seed", metavar="N", type=int, default=1, help="another draw of the same chances")
    add_chart(parser)
    add_json(parser, "contract.ahead:ReadyJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.ready.question import ReadyQuestion
    from reedkin.answers.ready.unasked import wish_unasked

    if args.seed < 0:
        raise InputError(f"{args.seed} is no seed; write 0 or more")
    on = None if args.on is None else parse_day(args.on, context.clock)
    named = instrument_meant(args.instrument)
    with context.reading() as log, Progress("Reckoning", log.path.stat().st_size, context.unseen) as progress:
        if named is None and log.bench.headings.latest_instrument() is None:
            raise InputError("The log has no reed yet, so name the instrument, such as --instrument oboe")
        wish = wish_unasked(log.bench, named, on)
        reeds = wish.reeds if args.reeds is None else args.reeds
        wish = replace(wish, reeds=reeds, rehearsal_hours=args.hours)
        question = ReadyQuestion(wish, context.clock.now().date(), args.seed)
        answer = question.answer(Asked(log.bench), progress.share)
    if len(answer.forecast.by_blanks) < 2:
        return tell(answer, args.json)
    from reedkin.charts.answers import chance_drawing

    picture = Picture(
        "The chance of enough reeds, from left to right with more blanks tied:",
        partial(chance_drawing, answer.forecast),
    )
    return tell(answer, args.json, picture, chart=context.charted(args.chart))
