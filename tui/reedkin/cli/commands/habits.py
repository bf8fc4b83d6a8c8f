"""`reedkin habits`: which habits go with longer and shorter lives, in one's own log or in those of a circle too."""

from __future__ import annotations

import argparse
from pathlib import Path

from reedkin.answers.habits.question import ONE_PLAYER, HabitsQuestion
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_clock, add_json
from reedkin.errors import InputError


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.epilog = ONE_PLAYER
    add_clock(parser)
    add_json(parser, "contract.lives:HabitsJson")
    parser.add_argument(
        "--with", dest="circle", metavar="FILE", nargs="*", type=Path,
        help="ask a circle too: files of share, or folders of them; without any, the folder circle beside the log",
    )  # fmt: skip


def run(args: argparse.Namespace, context: Context) -> int:
    if args.circle is not None:
        return _with_circle(args, context)
    return tell(ask(context, HabitsQuestion(args.clock), "Asking the log"), args.json)


def _with_circle(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.circle.gathering import files_in
    from reedkin.answers.circle.question import CircleQuestion
    from reedkin.store.log import CIRCLE

    named = args.circle or [context.path.parent / CIRCLE]
    files = [file for path in named for file in (files_in(path) if path.is_dir() else [path])]
    if not args.circle and not named[0].is_dir():
        raise InputError(f"Name the files of your circle, or keep them in {named[0]}, one for each maker.")
    asked = CircleQuestion(args.clock, tuple(files), strict=bool(args.circle))
    return tell(ask(context, asked, "Asking the circle"), args.json)
