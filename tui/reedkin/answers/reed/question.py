"""What happened to this reed?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from reedkin.answers.hours_left.remaining import remaining_as_dict
from reedkin.answers.question import Asked
from reedkin.answers.reed.history import (
    HistoryRow,
    headline,
    history_rows,
    made_of,
    measures_of,
    service,
    whole_text,
)
from reedkin.bench.sessions import WorkSession
from reedkin.domain import as_json
from reedkin.domain.events import Amendment, Record, Strike
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.store.transfer.rows import as_cells, row_of
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.answers.hours_left.outlook import HoursLeft
    from reedkin.contract.reeds import ReedJson


@dataclass(frozen=True, slots=True)
class WholeLife:
    """
    A reed's whole life.

    made      what it is and what it is made of, a line each.
    measures  its measures beside the targets; service: how much it was played.
    rows      its events, oldest first, struck ones among them; sessions: the work session of each that stands.
    records   all that was recorded of it.
    left      the hours it has before it, and `ahead` the same in words; None and empty where that was not asked, and
              of a reed that is not in service.
    """

    reed: Reed
    made: tuple[str, ...]
    measures: tuple[str, ...]
    service: str
    rows: tuple[HistoryRow, ...]
    sessions: tuple[WorkSession | None, ...]
    records: tuple[Record, ...]
    left: HoursLeft | None = None
    ahead: str = ""

    def to_json(self) -> ReedJson:
        """The reed with its standing events in the form of export rows, and what was corrected."""
        reed = self.reed
        return {
            "tag": reed.tag,
            "bearer": reed.bearer,
            "instrument": reed.instrument,
            "stage": reed.stage,
            "overall_mm": reed.now.overall_mm,
            "hours_played": as_json.hours(reed.now.hours),
            "score": reed.now.score,
            **remaining_as_dict(self.left),
            "events": [row_of(reed, *one) for one in zip(reed.standing, self.sessions, strict=True)],
            "corrections": _corrections(self.records),
        }

    def lines(self) -> list[str]:
        return [*self.text(named=True), *(["", self.ahead] if self.ahead else [])]

    def text(self, named: bool = False) -> list[str]:
        """The history alone, to print or keep; `named`: with the name by which the command line knows each event."""
        return whole_text([*self.made, *self.measures, self.service], self.rows, named)


@dataclass(frozen=True, slots=True)
class ReedQuestion:
    """What happened to a reed, by its id; `left`: also what it has before it, for which other reeds are read too."""

    reed: str
    left: bool = False

    def answer(self, asked: Asked, tick: Tick) -> WholeLife:
        bench, left, ahead = asked.bench, None, ""
        reed = bench.reed(self.reed)
        if self.left and reed.stage == IN_SERVICE:
            from reedkin.answers.hours_left.outlook import Outlook

            outlook = Outlook.of(asked)
            left, ahead = outlook.left(reed), outlook.sentence(reed)
        return WholeLife(
            reed,
            (headline(reed), *made_of(reed, bench)),
            tuple(measures_of(reed, bench)),
            service(reed, bench),
            tuple(history_rows(reed, bench)),
            tuple(bench.sessions.of(step.session) for step in reed.standing),
            tuple(bench.lineages.records(reed.id)),
            left,
            ahead,
        )


def _corrections(records: Sequence[Record]) -> list[dict[str, Any]]:
    found = []
    for record in records:
        if isinstance(record, Amendment):
            said = {
                "correction": "amended",
                **as_cells(record.facts),
                "note": record.note,
                "at": as_json.moment(record.at),
            }
        elif isinstance(record, Strike):
            said = {"correction": "struck"}
        else:
            continue
        found.append({"uid": record.uid, "of": record.of, "recorded": as_json.moment(record.recorded), **said})
    return found
