"""`reedkin show`: a reed's lineage."""

from __future__ import annotations

import argparse

from reedkin.answers.question import Asked
from reedkin.answers.reed.question import ReedQuestion
from reedkin.cli.asking import ask_of_reed, tell
from reedkin.cli.context import Context, show
from reedkin.cli.options import add_file, add_json, add_tag, reed_meant, written
from reedkin.study.ticks import no_tick


def arguments(parser: argparse.ArgumentParser) -> None:
    add_tag(parser)
    add_file(parser, ".html a page to print, .svg a picture, .csv or .jsonl its events, else text")
    add_json(parser, "contract.reeds:ReedJson")


def run(args: argparse.Namespace, context: Context) -> int:
    if args.file is not None:
        from reedkin.screens.parts.keeping import reed_as_file

        with context.reading() as log:
            reed = reed_meant(args.tag, log.bench)
            lines = ReedQuestion(reed.id).answer(Asked(log.bench), no_tick).text()
            show(written(args.file, lambda suffix: reed_as_file(suffix, reed, log.bench, lines)))
        return 0
    return tell(ask_of_reed(context, args.tag, lambda reed: ReedQuestion(reed, left=True)), args.json)
