"""`reedkin diary`: what was done on a day, or on all days, newest first."""

from __future__ import annotations

import argparse

from reedkin.answers.diary.diary import Diary, diary_of
from reedkin.answers.diary.words import diary_as_dict, diary_text
from reedkin.cli.context import Context, show, show_json
from reedkin.cli.options import add_days, add_json, days_meant


def arguments(parser: argparse.ArgumentParser) -> None:
    add_days(parser)
    add_json(parser, "contract.reeds:DiaryJson")


def run(args: argparse.Namespace, context: Context) -> int:
    first, last = days_meant(args, context.clock)
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
