"""`reedkin diary`: what was done on a day, or on all days, newest first."""

from __future__ import annotations

import argparse
from datetime import date

from reedkin.answers.diary.diary import Diary, diary_of
from reedkin.answers.diary.words import diary_as_dict, diary_text
from reedkin.cli.context import Context, show, show_json
from reedkin.cli.options import add_json
from reedkin.errors import InputError
from reedkin.grammar.when import parse_when


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--on", metavar="DATE", help="one day: tuesday, '12 March', 2026-03-12")
    parser.add_argument("--from", metavar="DATE", dest="first", help="the first of several days")
    parser.add_argument("--to", metavar="DATE", dest="last", help="the last of several days")
    add_json(parser, "contract.reeds:DiaryJson")


def run(args: argparse.Namespace, context: Context) -> int:
    first, last = _days(args, context)
    with context.reading() as log:
        diary = diary_of(log.bench).between(first, last)
    show_diary(diary, args.json, "Nothing was recorded then." if first or last else "Nothing was recorded yet.")
    return 0


def show_diary(diary: Diary, as_json: bool, nothing: str) -> None:
    """Print a diary, or that there is nothing in it."""
    if as_json:
        show_json(diary_as_dict(diary))
        return
    for line in diary_text(diary) if diary.lines else (nothing,):
        show(line)


def _days(args: argparse.Namespace, context: Context) -> tuple[date | None, date | None]:
    def day(text: str | None) -> date | None:
        return parse_when(text, context.clock).at.date() if text is not None else None

    if args.on is not None:
        if args.first is not None or args.last is not None:
            raise InputError("--on is one day and --from and --to are several; give one or the other")
        return day(args.on), day(args.on)
    first, last = day(args.first), day(args.last)
    if first is not None and last is not None and first > last:
        raise InputError(f"{first} is after {last}; give --from the earlier day")
    return first, last
