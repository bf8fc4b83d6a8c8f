"""`reedkin show`: a reed's lineage."""

from __future__ import annotations

import argparse
from typing import Any

from reedkin.answers.reed.history import history_text
from reedkin.bench.bench import Bench
from reedkin.cli.context import Context, show, show_json, show_text
from reedkin.cli.options import add_json, add_tag, reed_meant
from reedkin.domain.events import Amendment, Strike
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.store.transfer.rows import as_cells, row_of


def arguments(parser: argparse.ArgumentParser) -> None:
    add_tag(parser)
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading() as log:
        reed = reed_meant(args.tag, log.bench)
        if args.json:
            show_json(as_json(reed, log.bench))
            return 0
        for line in history_text(reed, log.bench, named=True):
            show(line)
        if reed.stage == IN_SERVICE:
            from reedkin.answers.hours_left.outlook import Outlook

            show_text(["", Outlook.of_bench(log.bench).sentence(reed)])
    return 0


def as_json(reed: Reed, bench: Bench) -> dict[str, Any]:
    """A reed with its standing events in the form of export rows, and what was corrected."""
    return {
        "tag": reed.tag,
        "bearer": reed.bearer,
        "instrument": reed.instrument,
        "stage": reed.stage,
        "overall_mm": reed.now.overall_mm,
        "hours_played": round(reed.now.hours, 4),
        "score": reed.now.score,
        "events": [row_of(reed, step, bench.sessions.of(step.session)) for step in reed.standing],
        "corrections": _corrections(reed, bench),
    }


def _corrections(reed: Reed, bench: Bench) -> list[dict[str, Any]]:
    found = []
    for record in bench.lineages.records(reed.id):
        if isinstance(record, Amendment):
            said = {"correction": "amended", **as_cells(record.facts), "note": record.note, "at": record.at.isoformat()}
        elif isinstance(record, Strike):
            said = {"correction": "struck"}
        else:
            continue
        found.append({"uid": record.uid, "of": record.of, "recorded": record.recorded.isoformat(), **said})
    return found
