"""`reedkin ready`: whether there will be enough good reeds on a day, and how many blanks to tie for it."""

from __future__ import annotations

import argparse
from functools import partial

from reedkin.bench.bench import Bench
from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.drawing import show_chart
from reedkin.cli.options import add_instrument, add_json, instrument_meant
from reedkin.cli.progress import Progress
from reedkin.errors import InputError
from reedkin.grammar.when import parse_day


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--on", metavar="DATE", required=True, help="the day: 2026-03-12, '12 March', friday")
    parser.add_argument("--reeds", metavar="K", type=int, required=True, help="how many you would play in public")
    add_instrument(parser, "else that of the reed begun last")
    parser.add_argument("--hours", metavar="H", type=float, help="hours of rehearsals before; else as usual")
    parser.add_argument("--seed", metavar="N", type=int, default=1, help="another draw of the same chances")
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.ready import Wish, readiness, readiness_as_dict, readiness_text

    if args.seed < 0:
        raise InputError(f"{args.seed} is no seed; write 0 or more")
    on, named = parse_day(args.on, context.clock), instrument_meant(args.instrument)
    with context.reading() as log, Progress("Reckoning", log.path.stat().st_size) as progress:
        wish = Wish(named or _latest(log.bench), args.reeds, on, args.hours)
        answer = readiness(log.bench, wish, args.seed, tick=progress.share)
    if args.json:
        show_json({**readiness_as_dict(answer), "seed": args.seed})
        return 0
    if len(answer.by_blanks) > 1:
        from reedkin.charts.answers import chance_drawing

        show_chart(partial(chance_drawing, answer))
    show_text(readiness_text(answer))
    return 0


def _latest(bench: Bench) -> str:
    instrument = bench.latest_instrument()
    if instrument is None:
        raise InputError("The log has no reed yet, so name the instrument, such as --instrument oboe")
    return instrument
