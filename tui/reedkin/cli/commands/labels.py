"""`reedkin labels`: labels for the reeds of the case, or for the tubes, to print and cut up."""

from __future__ import annotations

import argparse

from reedkin.answers.card.labels import Labels, reed_label, tube_label
from reedkin.cli.asking import tell
from reedkin.cli.context import Context, show
from reedkin.cli.options import add_file, add_json, reeds_meant, written
from reedkin.errors import InputError


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "tags", metavar="TAG", nargs="*", help="the reeds: 12 14, 11-20; without any, all that are at work"
    )
    parser.add_argument("--tubes", action="store_true", help="of the tubes in place of the reeds")
    add_file(parser, ".html a sheet to print and cut up, else text")
    add_json(parser, "contract.reeds:LabelsJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.bench.supplies import tubes

    if args.tubes and args.tags:
        raise InputError("Labels are of the tubes, or of reeds by their tags: leave out --tubes, or the tags.")
    with context.reading() as log:
        if args.tubes:
            labels = [tube_label(tube) for tube in tubes(log.bench) if not tube.gone]
        else:
            reeds = reeds_meant(args.tags, log.bench) or log.bench.at_work()
            labels = [reed_label(reed) for reed in reeds]
    if args.json:
        return tell(Labels(labels), as_json=True)
    if not labels:
        what = "tube is noted: 1 tie eh 60 tube T4" if args.tubes else "reed is at work: 1 tie oboe 72"
        raise InputError(f"There is nothing to label. No {what} notes one.")
    if args.file is None:
        return tell(Labels(labels), as_json=False)
    from reedkin.screens.parts.printing import labels_as_file

    show(written(args.file, lambda suffix: labels_as_file(suffix, labels)))
    return 0
