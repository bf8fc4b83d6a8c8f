"""Makes the demo logs of this folder from the simulator, by the program's own import: `python -m demo_logs.build`."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from itertools import cycle, groupby
from pathlib import Path

from demo_logs.maker.diary import Row
from demo_logs.maker.playing import week_of
from demo_logs.maker.town import DAY, iso
from demo_logs.maker.trade import EH, OBOE
from demo_logs.simulate import Scenario, first_month, three_seasons
from reedkin.bench.settings import SETTINGS_SUBJECT
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Amendment, Event, Record, Statement, Strike, table_of
from reedkin.domain.facts import BESIDE
from reedkin.domain.uid import uid_of_content
from reedkin.store.reading.lines import document_tail, entry_lines, header_line
from reedkin.store.reading.records import to_document
from reedkin.store.transfer.importing import rows_to_records

HERE = Path(__file__).parent

# Money is invented, like everything of this maker's.
MATERIALS = {"price_tube": 6.5, "price_thread": 0.1, "price_wire": 0.05, "price_tubing": 0.1}
ASKED = {EH: 32, OBOE: 28}

CONCERTS = ("symphony concert", "chamber evening", "oratorio")
"""What she plays in weeks to come, by turns: as invented as all else here."""
WEEKS_AHEAD = 11
PUT_OFF = timedelta(days=14)
"""An order that is still open when the log ends was put off, once it was due, to so long after that end."""


def records_of(scenario: Scenario) -> list[Record]:
    """The records of a scenario in the order in which they were written, a few corrections among them."""
    placed = {f"order {row['order']}": _placed(row) for row in scenario.orders}
    written = rows_to_records(scenario.rows, FixedClock(_hour(scenario.end, 22)), scenario.sessions)
    events = [_handed_over(record, placed) for record in written]
    said = [
        *_beside("lots", ((f"{r['lot']}", {**r, "said": r["bought"]}) for r in scenario.lots)),
        *_beside("tubes", ((f"{r['tube']}", {**r, "said": f"{scenario.start}"}) for r in scenario.tubes)),
        *placed.values(),
        *_put_off(scenario, placed),
        *_engagements(scenario),
        *_beside("settings", [(SETTINGS_SUBJECT, {**MATERIALS, "said": f"{scenario.end}"})]),
    ]
    records: list[Record] = [*events, *said, *_corrections(events)]
    return sorted(records, key=lambda record: (record.recorded, record.uid))


def _placed(row: Row) -> Statement:
    """An order as it was placed, which is known by the statement that placed it."""
    facts = {"to": row["who"], "price": ASKED[str(row["instrument"])], **row, "said": row["placed"]}
    (said,) = _beside("orders", [("", facts)])
    return said._replace(subject=said.uid)


def _put_off(scenario: Scenario, placed: Mapping[str, Statement]) -> Iterator[Statement]:
    """What she said of the orders that are open at the end and due before it: another day, on the day it was due."""
    out = Counter(row.get("to") for row in scenario.rows if row["kind"] == "handed over")
    for row in scenario.orders:
        name, due = f"order {row['order']}", date.fromisoformat(str(row["due"]))
        if out[name] < int(str(row["count"])) and due < scenario.end:
            facts = {"to": row["who"], "due": f"{scenario.end + PUT_OFF}", "said": f"{due}"}
            yield from _beside("orders", [(placed[name].subject, facts)])


def _engagements(scenario: Scenario) -> Iterator[Statement]:
    """The concerts of the weeks to come, a Saturday each, on the instrument of that week: noted a week before the end,
    if so much of a log was kept by then that it can tell what a season asks for."""
    if (scenario.end - scenario.start).days < 365:
        return
    noted, titles = f"{scenario.end - timedelta(days=7)}", cycle(CONCERTS)
    for day in (scenario.end + timedelta(weeks=week) for week in range(1, WEEKS_AHEAD + 1)):
        instrument, _, project = week_of(day.toordinal())
        if project:
            facts = {"day": f"{day}", "hour": "19:30", "instrument": instrument, "setting": "performance"}
            (said,) = _beside("engagements", [("", {**facts, "note": next(titles), "said": noted})])
            yield said._replace(subject=said.uid)


def _handed_over(record: Record, placed: Mapping[str, Statement]) -> Record:
    """A reed of an order went to whom the order is for."""
    if not isinstance(record, Event) or (order := placed.get(str(record.facts.get("to")))) is None:
        return record
    return record._replace(facts={**record.facts, "to": order.facts["to"], "order": order.subject})


def _hour(day: date, hour: int) -> datetime:
    """An hour of a day by the town's clock."""
    return datetime.fromisoformat(iso(day.toordinal() * DAY + hour * 60))


def _beside(table: str, rows: Iterable[tuple[str, Row]]) -> Iterator[Statement]:
    """What the maker noted of her cane, her tubes, her orders and her concerts, at noon of the day she did."""
    allowed = (*BESIDE[table].facts, "note")
    for subject, row in rows:
        at = _hour(date.fromisoformat(str(row["said"])), 12)
        facts = {key: value for key, value in row.items() if key in allowed and value not in (None, "")}
        uid = uid_of_content(int(at.timestamp() * 1000), f"{table} {subject} {facts}")
        yield Statement(uid, table, subject, at, at, uid, facts)


def _corrections(records: Iterable[Record]) -> Iterator[Amendment | Strike]:
    """Now and then she mistyped: some clips are amended, some notes struck, as one would at the bench."""
    events = [r for r in records if isinstance(r, Event)]
    for event in [e for e in events if e.kind == "clipped" and "clip_mm" in e.facts][20::160]:
        uid = uid_of_content(int(event.recorded.timestamp() * 1000) + 60_000, f"amend {event.uid}")
        clip = round(float(str(event.facts["clip_mm"])) - 0.1, 1)
        if clip > 0:
            yield Amendment(uid, event.reed, event.uid, event.at, event.recorded, uid, {"clip_mm": clip}, event.note)
    for event in [e for e in events if e.kind == "noted"][5::25]:
        uid = uid_of_content(int(event.recorded.timestamp() * 1000) + 60_000, f"strike {event.uid}")
        yield Strike(uid, table_of(event), event.uid, event.recorded, uid)


def write_log(path: Path, scenario: Scenario) -> None:
    """Write a scenario to a new log at `path`, entry by entry. The same scenario always gives the same bytes."""
    begun = _hour(scenario.start, 8)
    log = uid_of_content(int(begun.timestamp() * 1000), f"{scenario.start} to {scenario.end}")
    with path.open("wb") as file:
        file.write(header_line(log, begun.isoformat()))
        for _, entry in groupby(records_of(scenario), key=lambda record: record.entry):
            file.writelines(entry_lines([document_tail(table_of(r), r.uid, to_document(r)) for r in entry]))


def damaged(sound: bytes) -> bytes:
    """A log as a failing disk might leave it: a changed letter, zero bytes, a line gone twice, a torn end."""
    lines = sound.split(b"\n")[:-1]
    lines[20] = lines[20].replace(b'"kind"', b'"kimd"')
    lines[40] = lines[40][:60] + b"\0" * 30 + lines[40][90:]
    lines.insert(60, lines[59])
    lines.insert(75, b"")
    lines[90] = b"\xff\xfe not a line of this log \xff"
    return b"\n".join(lines)[:-40]


def build(folder: Path = HERE) -> list[Path]:
    """Write the three demo logs; returns where they are."""
    month, seasons, broken = (folder / f"{name}.jsonl" for name in ("first_month", "three_seasons", "damaged"))
    write_log(month, first_month())
    write_log(seasons, three_seasons())
    broken.write_bytes(damaged(month.read_bytes()))
    return [month, seasons, broken]


if __name__ == "__main__":
    for written in build():
        sys.stdout.write(f"{written.name}: {written.stat().st_size // 1024} KiB\n")
