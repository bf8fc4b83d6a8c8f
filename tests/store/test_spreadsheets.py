"""Spreadsheets of one's own: what their columns are taken for, and what their lines come to. Ten of ten people's
habits are files in `spreadsheets/`; what is said of them here was read off them by eye."""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from pathlib import Path
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.describe import describe
from reedkin.domain.uid import UidMaker
from reedkin.errors import InputError
from reedkin.store.reading.lines import MAX_LINE
from reedkin.store.transfer.importing import ImportPlan, plan_import
from reedkin.store.transfer.lineages import Answer
from reedkin.store.transfer.mapping import ColumnMap, parse_mapping
from reedkin.store.transfer.read_rows import is_of_ours, lines_of
from reedkin.store.transfer.sheets.days import ORDERS, moment_as_written, order_shown, orders_of, time_as_written
from reedkin.store.transfer.sheets.expanding import expand
from reedkin.store.transfer.sheets.meanings import candidates, is_crossed
from reedkin.store.transfer.sheets.proposing import Proposal, propose
from reedkin.store.transfer.sheets.sheet import ColumnHead, Sheet, read_sheet
from reedkin.store.transfer.sheets.vocabulary import cause_named, instrument_meant, kind_named

CLOCK = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=timezone(timedelta(hours=1))))
FOLDER = Path(__file__).parent / "spreadsheets"


def sheet_of(content: str | bytes) -> Sheet:
    raw = content.encode() if isinstance(content, str) else content
    lines = lines_of(io.BytesIO(raw))
    assert not is_of_ours(lines)
    return read_sheet(lines)


def proposed(content: str | bytes, *given: str) -> Proposal:
    return propose(sheet_of(content), parse_mapping(given))


def taken(content: str | bytes, *given: str) -> dict[str, str]:
    return {one.heading.name: one.target.named for one in proposed(content, *given).columns}


def plan(content: str | bytes, bench: Bench, *given: str, answer: Answer | None = None) -> ImportPlan:
    sheet = sheet_of(content)
    proposal = propose(sheet, parse_mapping(given))
    assert proposal.open == ()
    made = plan_import(expand(sheet, proposal.mapping, bench).rows, bench, UidMaker(), CLOCK, answer)
    assert made.faults == ()
    return made


def bench_of(content: str | bytes, *given: str) -> Bench:
    bench = Bench(CLOCK)
    bench.add(plan(content, bench, *given).records)
    return bench


def life(bench: Bench, tag: str) -> list[str]:
    reed = bench.find(tag)
    assert reed is not None
    steps = ((step.at, describe(step.kind, step.facts), step.note) for step in reed.standing)
    return [f"{at:%d %b %H:%M} {said}" + (f" “{note}”" if note else "") for at, said, note in steps]


@dataclass(frozen=True)
class Habit:
    """A spreadsheet of one's own: what else has to be said, what some columns are taken for, and some lives."""

    file: str
    given: tuple[str, ...]
    columns: dict[str, str]
    lives: dict[str, list[str]]
    told: tuple[str, ...] = field(default=())


HABITS = (
    Habit(  # a line a reed, in German and Latin-1, semicolons, decimal commas, three lines of headings, a sum below
        "lebenslauf.csv", (),
        {"Nr.": "tag", "Instrument": "instrument", "Holz": "lot", "Länge": "overall_mm", "Hobelung": "gouge_mm",
         "Hülse": "tube", "Gebunden am": "tied:at day-first", "Gespielt ab": "played:at day-first",
         "Stunden": "played:minutes h", "Ausgemustert": "retired:at day-first", "Grund": "retired:cause",
         "Bemerkungen": "note"},
        {"1": ["04 Nov 12:00 tied as oboe, 72 mm, tube A3, lot Süd 24, gouge 0.59 mm “dunkel; weich, spät müde”",
               "09 Nov 12:00 played 4 h “14 h 30 in all; on which days is not known”", "10 Nov 12:01 played 4 h",
               "11 Nov 12:02 played 4 h", "12 Nov 12:03 played 2 h 30", "21 Dec 18:00 retired: worn"],
         "4": ["18 Nov 12:00 tied as oboe, 72 mm, tube A5, lot Tal, gouge 0.59 mm",
               "30 Nov 18:00 retired: never came good"],
         "5": ["02 Dec 12:00 tied as English horn, 60 mm, tube E2, lot Tal, gouge 0.62 mm “an eine Schülerin”",
               "08 Dec 12:00 played 4 h “9 h 30 in all; on which days is not known”", "09 Dec 12:01 played 4 h",
               "10 Dec 12:02 played 1 h 30", "15 Jan 18:00 given"]},
        ("1 line of sums or headings passed over", "read as Latin-1, since it is not UTF-8"),
    ),
    Habit(  # a practice diary: the month first, no kinds, hours, scores of five, the instrument on every line
        "practice_diary.csv", (),
        {"Date": "at month-first", "Reed #": "tag", "Instrument": "instrument", "Hours": "minutes h",
         "Where played": "setting", "Rating (1-5)": "score of 5", "Comments": "note", "Weather": "note named"},
        {"7": ["14 Jan 12:00 joined as oboe", "14 Jan 12:00 played 30 min, practice, scored 4 “=too stiff”",
               "15 Jan 12:00 played 1 h, lesson, scored 6"],
         "12": ["05 Jan 12:00 joined as English horn",
                "05 Jan 12:00 played 45 min, practice, scored 6 “a bit bright; Weather: rain”",
                "06 Jan 12:00 played 1 h 30, rehearsal, scored 8 “Weather: rain”",
                "13 Jan 12:00 played 2 h, performance, scored 9 “held all evening, low notes fine; Weather: snow”",
                "16 Jan 12:00 played 30 min, practice, scored 6 “Weather: thaw”"]},
        ("2 reeds not begun in it: each joins with its first line",
         "instrument is left out of 6 lines of “played”, where it does not belong"),
    ),
    Habit(  # events in her own words, a title above, empty and repeated columns, minutes where they do not belong
        "bench_log.csv", ("cause:=chipped",),
        {"When": "at day-first", "Reed": "tag", "Instr.": "instrument", "What I did": "kind", "mins": "minutes",
         "how good": "score", "column 7": "", "Notes": "note", "Reed (9)": ""},
        {"A1": ["03 Nov 12:00 tied as English horn “lot from the blue bag; minutes 20”", "04 Nov 12:00 scraped, 15 min",
                "04 Nov 12:00 scraped, 10 min “tip only”",
                "05 Nov 12:00 played 30 min, practice, scored 6 “opens well,\na little loud”",
                "08 Nov 12:00 played 2 h 30, performance, scored 8", "09 Nov 12:00 cleaned “minutes 5”",
                "01 Dec 12:00 retired: chipped “corner gone”"],
         "A2": ["01 Dec 12:00 tied as English horn “minutes 20”", "02 Dec 12:00 wired “minutes 5”"]},
        ("minutes goes into the note of 2 lines of “tied”", "1 line of sums or headings passed over"),
    ),
    Habit(  # a workshop's list: upright strokes, inches and fractions, units in the headings, reeds sold
        "workshop.csv", (),
        {"Blank no.": "tag", "Made": "tied:at day-first", "For": "instrument", "Length (in)": "overall_mm in",
         "Gouge [mm]": "gouge_mm", "Staple length": "tube_mm", "Cane batch": "lot", "Scraping (min)": "scraped:minutes",
         "Thread colour": "thread", "Crow": "crow", "Sold to": "handed over:to", "Price": "handed over:price",
         "Gone on": "handed over:at day-first", "Ready": "note named", "Remarks": "note"},
        {"101": ["01 Sep 12:00 tied as oboe, 71.83 mm, tube 47 mm, lot B7, gouge 0.58 mm, red thread",
                 "01 Sep 12:03 crowed C5", "01 Sep 12:10 scraped, 35 min", "20 Sep 18:00 sold to quartet for 28"],
         "104": ["02 Sep 12:00 tied as English horn, 59.94 mm, tube 27 mm, lot B9, gouge 0.62 mm, green thread "
                 "“Ready: no”"]},
    ),
    Habit(  # in French, tabs, months by name, hours and minutes, marks of twenty
        "journal_anches.tsv", ("instrument:=oboe",),
        {"Jour": "at day-first", "Anche n°": "tag", "Quoi": "kind", "Durée": "minutes", "Raison": "cause",
         "Note /20": "score of 20", "Remarques": "note"},
        {"5": ["12 Mar 12:00 tied as oboe “roseau du sud”", "14 Mar 12:00 scraped, 45 min",
               "20 Mar 12:00 played 1 h 20, scored 7 “un peu dure”", "21 Mar 12:00 played 2 h, performance, scored 8",
               "03 Apr 12:00 retired: cracked"],
         "6": ["03 Apr 12:00 tied as oboe", "05 Apr 12:00 retired: dropped"]},
    ),
    Habit(  # a line a reed, in Italian, units in a line of their own; days of which only some show their order
        "ance.csv", (),
        {"Ancia": "tag", "Strumento": "instrument", "Legata il": "tied:at day-first", "Lunghezza": "overall_mm",
         "Canna": "lot", "Sgorbia": "gouge_mm", "Cannello": "tube_mm", "Prima suonata": "played:at day-first",
         "Ore suonate": "played:minutes h", "Fine": "retired:at day-first", "Motivo": "retired:cause", "Note": "note"},
        {"2": ["03 Nov 12:00 tied as oboe, 72 mm, tube 47 mm, lot Var 24, gouge 0.6 mm",
               "12 Nov 12:00 played 3 h “3 h in all; on which days is not known”", "01 Dec 18:00 retired: cracked"],
         "4": ["05 Nov 12:00 tied as English horn, 60.5 mm, tube 27 mm, lot Sud, gouge 0.63 mm",
               "15 Nov 18:00 retired: never came good"]},
    ),
    Habit(  # the same in Spanish, with hours in all and how it ended, but not when
        "canas.csv", (),
        {"Caña": "tag", "Instrumento": "instrument", "Atada": "tied:at day-first", "Largo (mm)": "overall_mm",
         "Horas": "played:minutes h", "Estado": "retired:cause", "Observaciones": "note"},
        {"C1": ["03 Nov 12:00 tied as oboe, 72 mm",
                "03 Nov 12:00 played 4 h “10 h in all; on which days is not known”", "04 Nov 12:01 played 4 h",
                "05 Nov 12:02 played 2 h", "05 Nov 12:02 retired: worn “the day is not known”"]},
    ),
    Habit(  # a diary in which a reed and a day are written once for the lines below, and ditto marks stand
        "written_once.csv", ("tag:=above", "at:=above", "instrument:=english horn", "cause:=cracked"),
        {"Reed": "tag", "Date": "at day-first", "Action": "kind", "Time spent": "minutes", "Off (mm)": "clip_mm",
         "Remarks": "note"},
        {"31": ["03 Jan 12:00 tied as English horn “blue thread”", "04 Jan 12:00 scraped, 20 min",
                "04 Jan 12:00 clipped 0.5 mm", "06 Jan 12:00 played 45 min “nice”"],
         "32": ["03 Jan 12:00 tied as English horn", "05 Jan 12:00 scraped, 15 min",
                "09 Jan 12:00 played 1 h “too hard”", "20 Jan 12:00 retired: cracked “cracked”"]},
    ),
    Habit(  # days as a spreadsheet program counts them inside, and a column to cross for each cause
        "day_counts.csv", (),
        {"No": "tag", "Made": "tied:at day-first", "Instr": "instrument", "Gouge": "gouge_mm", "Length": "overall_mm",
         "First day": "played:at day-first", "Last day": "retired:at day-first", "Hrs": "played:minutes h",
         "Cracked": "retired:cause named", "Worn": "retired:cause named", "Closed": "",
         "Given away": "retired:cause named", "Comments": "note"},
        {"2": ["01 Nov 12:00 tied as oboe, 72 mm, gouge 0.6 mm",
               "10 Nov 12:00 played 4 h “4 h in all; on which days is not known”", "19 Nov 18:00 retired: cracked"],
         "4": ["04 Nov 12:00 tied as English horn, 60 mm, gouge 0.62 mm “to Anna”", "17 Nov 18:00 given"]},
    ),
    Habit(  # "Unicode text" of a spreadsheet program: UTF-16, tabs, lengths of time with their seconds
        "diary_utf16.txt", ("instrument:=oboe",),
        {"Date": "at day-first", "Time": "at time", "Reed no.": "tag", "Activity": "kind", "Duration": "minutes",
         "Mark out of 10": "score", "Comment": "note"},
        {"14": ["12 Jan 19:30 joined as oboe",
                "12 Jan 19:30 played 1 h 45, performance, scored 8 “fine”",
                "13 Jan 10:00 played 40 min, practice, scored 7"]},
        ("2 reeds not begun in it: each joins with its first line",),
    ),
)  # fmt: skip


def test_what_stands_above_is_never_meant_without_being_asked() -> None:
    content = (FOLDER / "written_once.csv").read_bytes()
    (asked,) = proposed(content).open
    assert (asked.question, asked.answers) == (
        "Reed is empty in lines 3, 4, 5 and 1 more, where what stands above may be meant", ("tag:=above",)
    )  # fmt: skip
    (asked,) = proposed(content, "tag:=above").open
    assert asked.answers == ("at:=above",)
    one_slip = "reed,day,min\n1,2026-01-20,30\n,2026-01-21,30\n2,2026-01-22,30\n"
    assert proposed(one_slip, "instrument:=oboe").open == ()


def test_columns_that_are_days_are_told_and_not_taken_for_notes_unasked() -> None:
    asked = proposed("Minutes played,Mon 5 Jan,Tue 6 Jan,Wed 7 Jan\nReed 1,30,,45\nReed 2,,60,\n").open[0]
    assert "columns are days (Mon 5 Jan, Tue 6 Jan, Wed 7 Jan)" in asked.question


@pytest.mark.parametrize(
    ("days", "order"),
    [("05-11-2025 20-12-2025", "day-first"), ("05-11-2025 12-20-2025", "month-first"),
     ("05-11-2025 2025-12-20", None), ("20-12-2025 12-20-2025", None)],
)  # fmt: skip
def test_the_order_of_days_is_shown_by_a_column_or_it_is_not(days: str, order: str | None) -> None:
    assert order_shown(days.split()) == order


@pytest.mark.parametrize("habit", HABITS, ids=[habit.file for habit in HABITS])
def test_a_spreadsheet_is_taken_in_without_a_change_to_it(habit: Habit) -> None:
    content = (FOLDER / habit.file).read_bytes()
    assert taken(content, *habit.given) == habit.columns
    bench = bench_of(content, *habit.given)
    for tag, expected in habit.lives.items():
        assert life(bench, tag) == expected
    sheet = sheet_of(content)
    mapping = propose(sheet, parse_mapping(habit.given)).mapping
    told = expand(sheet, mapping, Bench(CLOCK)).told
    assert set(habit.told) <= set(told)
    again = plan(content, bench, *habit.given)
    assert (again.records, again.changed, again.gone) == ((), (), ())


@pytest.mark.parametrize("habit", HABITS, ids=[habit.file for habit in HABITS])
def test_what_was_settled_settles_the_next_one(habit: Habit) -> None:
    sheet = sheet_of((FOLDER / habit.file).read_bytes())
    mapping = propose(sheet, parse_mapping(habit.given)).mapping
    kept = parse_mapping(mapping.lines())
    again = propose(sheet, kept)
    assert (again.new, again.open) == (False, ())
    assert expand(sheet, again.mapping, Bench(CLOCK)) == expand(sheet, mapping, Bench(CLOCK))


def test_hours_that_grew_are_a_correction_and_never_a_second_life() -> None:
    content = (FOLDER / "lebenslauf.csv").read_bytes()
    bench = bench_of(content)
    for before, after in ((b";31,25;;;", b";33;;;"), (b";33;;;", b";33;12.01.2026;Riss;"), (b";6;01.", b";1,5;01.")):
        content = content.replace(before, after)
        made = plan(content, bench, answer="replace")
        bench.add(made.records)
        assert made.gone == ()
    assert {reed.tag: reed.now.hours for reed in bench.reeds() if reed.tag in "123"} == {"1": 14.5, "2": 1.5, "3": 33}
    assert life(bench, "3")[-1] == "12 Jan 18:00 retired: cracked"


@settings(max_examples=10, deadline=None)
@given(hours=st.lists(st.integers(1, 1900), min_size=2, max_size=4))
def test_a_total_that_shrinks_and_grows_again_is_always_what_the_sheet_says(hours: list[int]) -> None:
    bench = Bench(CLOCK)
    for minutes in hours:
        content = f"reed,instrument,tied,first played,hours\n1,oboe,2026-03-01,2026-03-10,{minutes / 60:.6f}\n"
        bench.add(plan(content, bench, answer="replace").records)
        played = bench.reeds()[0].now.minutes_played
        assert played == minutes or minutes < len(list(bench.reeds()[0].of_kind("played")))
        again = plan(content, bench)
        assert (again.records, again.changed) == ((), ())


def test_a_total_that_goes_back_to_what_it_was_is_asked_and_not_taken_for_an_older_copy() -> None:
    lines = [f"reed,instrument,tied,first played,hours\n1,oboe,2026-03-01,2026-03-10,{hours}\n" for hours in (10, 3)]
    bench = bench_of(lines[0])
    bench.add(plan(lines[1], bench, answer="replace").records)
    assert [told.line for told in plan(lines[0], bench).changed] == [2, 2, 2]


@pytest.mark.parametrize(
    ("cell", "price"),
    [("25 €", 25), ("€25", 25), ('"$1,200.50"', 1200.5), ('"22,50"', 22.5), ('"40,-"', 40), ("300 kr", 300),
     ("28.333", 28.333)],
)  # fmt: skip
def test_a_price_is_the_price_whatever_stands_beside_the_number(cell: str, price: float) -> None:
    content = f"date,reed,instrument,what,to,price\n2026-03-01,1,oboe,sold,Max,{cell}\n"
    handed = next(bench_of(content).reeds()[0].of_kind("handed over"))
    assert (handed.facts["price"], handed.facts["to"], handed.note) == (price, "Max", "")


def test_lines_about_a_reed_of_the_log_go_to_it_and_a_tag_that_is_free_begins_another() -> None:
    bench = bench_of("reed,tied,retired,reason,instrument\n1,2026-01-05,2026-02-01,worn,oboe\n2,2026-01-05,,,oboe\n")
    sheet = "reed,day,min\n1,2026-01-20,30\n2,2026-03-02,30\n"
    bench.add(plan(sheet, bench, "instrument:=oboe").records)
    assert len(bench.reeds()) == 2
    bench.add(plan("reed,day,min\n1,2026-03-02,30\n", bench, "instrument:=oboe").records)
    assert [(reed.tag, reed.bearer, reed.now.minutes_played) for reed in bench.reeds()] == [
        ("1", 1, 30), ("2", 1, 30), ("1", 2, 30),
    ]  # fmt: skip


def test_a_line_about_several_reeds_is_of_each() -> None:
    sheet = (
        'reed,day,what,mins,instr\n1-3,15.1.2026,tied,,oboe\n"1, 3",16.1.2026,scraped,10,\n2 & 3,17.1.2026,scraped,5,\n'
    )
    bench = bench_of(sheet)
    assert {reed.tag: [step.kind for step in reed.standing] for reed in bench.reeds()} == {
        "1": ["tied", "scraped"], "2": ["tied", "scraped"], "3": ["tied", "scraped", "scraped"],
    }  # fmt: skip
    assert plan(sheet, bench).records == ()


# What is asked


def test_days_that_fit_both_orders_are_asked_about() -> None:
    content = "Date,Reed,min\n3/4/2026,1,30\n4/4/2026,1,40\n"
    (open_,) = proposed(content).open
    assert open_.answers == ("date=at day-first", "date=at month-first")
    assert proposed(content, "date=at month-first").open == ()
    assert proposed(content.replace("4/4", "14/4")).open == ()
    assert taken(content.replace("4/4", "4/14"))["Date"] == "at month-first"


def test_what_nobody_but_the_maker_can_say_is_asked() -> None:
    def asked(content: str, *given: str) -> str:
        return " ".join(one.question for one in proposed(content, *given).open)

    assert "“steamed” (2 lines) is no kind" in asked("day,reed,what\n5.1.26,1,steamed\n15.1.26,1,steamed\n")
    assert "no column says which reed" in asked("day,min\n15.1.26,30\n")
    assert "no column says on which day" in asked("reed,min\n1,30\n")
    assert "no column says what was done" in asked("day,reed,lot\n15.1.26,1,7\n")
    assert asked("day,reed,lot\n15.1.26,1,7\n", "kind:=tied") == ""


def test_a_unit_is_known_by_the_numbers_where_nobody_names_it() -> None:
    def unit(name: str, *cells: str) -> str:
        lines = "".join(f'{tag},2026-01-05,"{cell}"\n' for tag, cell in enumerate(cells))
        return taken(f'reed,tied,"{name}"\n{lines}')[name]

    assert unit("length", "60,5", "61") == "overall_mm"
    assert unit("length", "2.36", "2.4") == "overall_mm in"
    assert unit("length", "6.0", "7,2") == "overall_mm cm"
    assert unit("length, in", "2.36") == "overall_mm in"
    assert unit("length (mm)", "60") == "overall_mm"
    assert unit("staple", "T1", "T2") == "tube"
    assert unit("staple", "46", "47") == "tube_mm"
    assert unit("score", "70", "85") == "score of 100"
    assert unit("stars", "***", "****") == "score of 5"


def test_two_columns_of_one_meaning_are_not_both_taken() -> None:
    columns = taken("reed,date,day,min,notes,remarks\n1,15.1.26,15.1.26,30,soft,ok\n2,16.1.26,17.1.26,30,,\n")
    assert columns["date"] == "at day-first"
    assert columns["day"] == "note named"
    assert (columns["notes"], columns["remarks"]) == ("note", "note")


def test_the_setting_and_the_words_of_ends() -> None:
    assert [kind_named(word) for word in ("Gebunden", "re-scraped", "joué", "binned", "sold", "xyz", "")] == [
        "tied", "scraped", "played", "retired", "sell", None, None,
    ]  # fmt: skip
    ends = ("Worn out", "tip chipped", "old and cracked", "mould!", "gave to a pupil")
    assert [cause_named(word) for word in ends] == [
        "worn", "chipped", "cracked", "mouldy", "given",
    ]  # fmt: skip
    assert cause_named("cracked, then dropped") is None
    assert [instrument_meant(word) for word in ("Cor Anglais", "E.H.", "Hautbois", "bassoon")] == [
        "english horn", "english horn", "oboe", None,
    ]  # fmt: skip


# Days


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("5.1.2026", "2026-01-05T12:00:00"), ("05/01/26 18.30", "2026-01-05T18:30:00"),
        ("2026/1/5", "2026-01-05T12:00:00"), ("Mo, 05.01.2026", "2026-01-05T12:00:00"),
        ("5 Jan 2026", "2026-01-05T12:00:00"), ("Mon 5th January 2026", "2026-01-05T12:00:00"),
        ("January 5, 2026", "2026-01-05T12:00:00"), ("5. März 2026", "2026-03-05T12:00:00"),
        ("12 février 2026 6:15 pm", "2026-02-12T18:15:00"), ("5-Jan-26", "2026-01-05T12:00:00"),
        ("5/1/2026 0:00", "2026-01-05T12:00:00"), ("31.2.2026", None), ("2.36", None), ("soon", None), ("12", None),
    ],
)  # fmt: skip
def test_days_as_people_write_them(text: str, iso: str | None) -> None:
    moment = moment_as_written(text, "day-first")
    assert (moment.isoformat() if moment is not None else None) == iso


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("19:30", "19:30:00"), ("7.30 pm", "19:30:00"), ("12:05 AM", "00:05:00"), ("12 p.m.", "12:00:00"),
        ("19h30", "19:30:00"), ("20 Uhr", "20:00:00"), ("9:05:59", "09:05:00"),
        ("0:00", None), ("25:00", None), ("7:60", None), ("19", None), ("evening", None), ("", None),
    ],
)  # fmt: skip
def test_times_of_day_as_people_write_them(text: str, iso: str | None) -> None:
    found = time_as_written(text)
    assert (found.isoformat() if found is not None else None) == iso


def test_a_column_of_times_goes_with_the_day_and_one_of_lengths_does_not() -> None:
    lines = "Reed,Date,Time,Mins,Note\n7,2026-01-20,19:30,30,\n"
    lines += "7,2026-01-21 9:00,10:00,30,dull\n7,2026-01-22,late,30,\n"
    assert life(bench_of(lines, "instrument:=oboe"), "7") == [
        "20 Jan 19:30 joined as oboe", "20 Jan 19:30 played 30 min",
        "21 Jan 09:00 played 30 min “dull; time 10:00”", "22 Jan 12:00 played 30 min “time late”",
    ]  # fmt: skip
    assert taken("Reed,Date,Time\n7,2026-01-20,0:45\n7,2026-01-21,1:30\n", "instrument:=oboe")["Time"] == "minutes"
    ours = parse_mapping(["Clock=at time"])
    assert ours.of_row({"tag": "7", "at": "2026-01-20", "Clock": "19:30"}) == {"tag": "7", "at": "2026-01-20T19:30:00"}
    assert ours.lines() == ["clock=at time"]


@given(days=st.lists(st.datetimes(datetime(2005, 1, 1), datetime(2027, 1, 1)), min_size=1, max_size=8))
@settings(max_examples=80, deadline=None, derandomize=True)
def test_the_order_of_days_is_known_unless_both_fit(days: list[datetime]) -> None:
    for order, form in (("day-first", "%d.%m.%Y"), ("month-first", "%m/%d/%Y"), ("year-first", "%Y-%m-%d")):
        cells = [f"{day:{form}}" for day in days]
        found = orders_of(cells)
        reads = [[moment_as_written(cell, one) for cell in cells] for one in found]
        assert [datetime(d.year, d.month, d.day, 12) for d in days] in reads
        assert order in found or len(found) == 1
    assert set(found) <= set(ORDERS)


def test_of_years_with_two_digits_the_reading_is_meant_in_which_the_days_lie_together() -> None:
    assert list(orders_of(["24/01/05", "24/01/06", "24/01/07"])) == ["year-first"]
    assert list(orders_of(["05/01/24", "06/01/24", "07/01/24"])) == ["day-first", "month-first"]
    assert list(orders_of(["25/01/24", "26/01/24", "27/01/24"])) == ["day-first"]


# What is no spreadsheet of reeds, and what is hostile


@pytest.mark.parametrize("begins", [b"PK\x03\x04rest", b"\xd0\xcf\x11\xe0rest"])
def test_a_workbook_is_refused_with_the_way_to_save_it(begins: bytes) -> None:
    with pytest.raises(InputError, match="Save as, the type “CSV”"):
        lines_of(io.BytesIO(begins))


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"x" * (MAX_LINE + 2), "a line of more than"),
        (",".join(f"c{n}" for n in range(100_000)).encode() + b"\n1\n", "100000 columns"),
        (b"1,2,3\n4,5,6\n", "headings should stand"),
        (b"reed,date\n1,5.1.2026,x,y\n", "more cells"),
        (b'reed,day\n1,5.1.2026\n2,"6.1.2026\n3,7.1.2026\n', "In line 3 begins a quotation"),
        (b"\n\n", ""),
        (b"reed\n", ""),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_sentence(content: bytes, why: str) -> None:
    def read() -> None:
        lines = lines_of(io.BytesIO(content))
        if not is_of_ours(lines):
            propose(read_sheet(lines), ColumnMap())

    if why:
        with pytest.raises(InputError, match=why):
            read()
    else:
        read()


def test_hostile_cells_stay_text() -> None:
    nasty = "\x1b[31m\x00=cmd()"
    bench = bench_of(f"Reed,Day,min,Notes\n1,15.1.2026,30,'{nasty}\n", "instrument:=oboe")
    assert nasty in life(bench, "1")[1]
    (open_,) = proposed(f"Reed,Day,What\n1,15.1.2026,{nasty}\n").open
    assert "is no kind" in open_.question


_CELLS = ["", "1", "12", "5.1.2026", "3/4/26", "oboe", "played", "60,5", "x", "=1", "1h20", "cracked"]
_NAMES = ["Reed", "Date", "what", "min", "hours", "tied", "retired", "reason", "length (mm)", "", "Notes"]
cells = st.sampled_from(_CELLS) | st.text(st.characters(exclude_categories=["Cs"]), max_size=6)
names = st.sampled_from(_NAMES)


@given(head=st.lists(names | cells, max_size=6), rows=st.lists(st.lists(cells, max_size=7), max_size=5))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_any_table_is_proposed_for_or_refused(head: list[str], rows: list[list[str]]) -> None:
    def line(cells: list[str]) -> str:
        return ",".join('"' + cell.replace('"', '""') + '"' for cell in cells)

    lines = lines_of(io.BytesIO("\n".join(map(line, [head, *rows])).encode()))
    try:
        if is_of_ours(lines):
            return
        sheet = read_sheet(lines)
        proposal = propose(sheet, ColumnMap())
    except InputError:
        return
    bench = Bench(CLOCK)
    expanded = expand(sheet, proposal.mapping, bench)
    made = plan_import(expanded.rows, bench, UidMaker(), CLOCK)
    assert made.faults or made.records or not expanded.rows


# Sheets of other habits


@pytest.mark.parametrize(
    ("cell", "score"),
    [("7/10", "7"), ("6.5/10", "6.5"), ("6,5 / 10", "6.5"), ("4/5", "8"), ("15/20", "7.5"), ("8 out of 10", "8")],
)
def test_a_score_says_of_how_many_it_is(cell: str, score: str) -> None:
    bench = bench_of(f'Reed;Date;Min;Rating\n1;2026-11-01;45;"{cell}"\n', "instrument:=oboe")
    assert life(bench, "1")[-1] == f"01 Nov 12:00 played 45 min, scored {score}"


@pytest.mark.parametrize("form", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_with_and_without_its_mark(form: str) -> None:
    raw = "Reed\tWhat\tDate\tMinutes\n1\ttied\t1 Nov 2026\t\n1\tscraped\t2 Nov 2026\t15\n".encode(form)
    assert life(bench_of(raw, "instrument:=oboe"), "1")[-1] == "02 Nov 12:00 scraped, 15 min"


def test_columns_that_are_reeds_are_asked_about_and_none_is_a_tag() -> None:
    found = proposed("Date,Reed 1,Reed 2\n2026-11-01,45,\n2026-11-02,,60\n")
    assert any("columns are reeds (Reed 1, Reed 2)" in one.question for one in found.open)
    assert "tag" not in {one.target.column for one in found.columns}


def test_lines_without_minutes_are_not_all_playings_where_words_may_say_what_they_are() -> None:
    sheet = (
        "Reed;Datum;Activiteit;Minuten\n1;1-10-2026;gebonden;\n1;13-10-2026;geschraapt;10\n1;14-10-2026;gespeeld;45\n"
    )
    (asked,) = proposed(sheet, "instrument:=oboe").open
    assert asked.answers == ("activiteit=kind", "kind:=played")
    questions = [one.question for one in proposed(sheet, "activiteit=kind").open]
    assert [word for word in ("gebonden", "geschraapt", "gespeeld") if any(word in said for said in questions)] == [
        "gebonden", "geschraapt", "gespeeld",
    ]  # fmt: skip


def test_days_without_a_year_are_refused_by_name() -> None:
    with pytest.raises(InputError, match="Date has days without a year, such as 3 Nov"):
        proposed("Reed,Date,What\n1,3 Nov,tied\n1,5 Nov,scraped\n")


def test_hours_among_names_are_a_column_of_their_own() -> None:
    sheet = "Reed,,Life\nNo.,Length,Hours\n,mm,h\n1,72,12\n2,71.5,9\n"
    assert [(one.name, one.unit) for one in sheet_of(sheet).headings] == [("No.", ""), ("Length", "mm"), ("Hours", "h")]


@pytest.mark.parametrize(("name", "near"), [("tube", True), ("tubee", True), ("tub", False), ("tx", False)])
def test_a_heading_of_three_letters_is_not_taken_for_one_that_is_like_it(name: str, near: bool) -> None:
    assert ("tube" in list(candidates(ColumnHead(name), exact=False))) is near


def test_a_heading_of_four_letters_may_be_one_that_is_like_it() -> None:
    assert list(candidates(ColumnHead("scor"), exact=False)) == ["score"]


@pytest.mark.parametrize(
    ("name", "cells", "crossed"),
    [
        ("cracked", ("x", "✓"), True),
        ("cracked", ("x", "12 March"), False),
        ("remarks", ("x", "x"), False),
    ],
)
def test_a_column_of_crosses_is_a_cause_where_its_heading_is_one(
    name: str, cells: tuple[str, ...], crossed: bool
) -> None:
    assert is_crossed(ColumnHead(name), cells) is crossed


# What was found in notebooks that were written to be awkward


@pytest.mark.parametrize(
    ("scores", "written"),
    [
        (("7", "8", "77"), "score"),
        (("70", "82", "9"), "score of 100"),
        (("7", "8", "9"), "score"),
    ],
)
def test_a_slip_among_scores_makes_none_of_them_one_of_a_hundred(scores: tuple[str, ...], written: str) -> None:
    lines = "".join(f"{n},2025-02-0{n},{score}\n" for n, score in enumerate(scores, 1))
    assert taken(f"Reed,Date,Score\n{lines}")["Score"] == written


def test_scores_above_ten_and_none_above_twenty_are_asked_about() -> None:
    (asked,) = proposed("Reed,Date,Score\n1,2025-02-01,12\n2,2025-02-02,15\n").open
    assert asked.answers == ("score=score of 20", "score=score of 100")


def test_a_sheet_of_sales_is_one_of_sales() -> None:
    bench = bench_of("Reed,Date sold,To,Price\n1,2025-02-01,Miss Alder,30 EUR\n2,2025-02-05,,\n", "instrument:=oboe")
    assert life(bench, "1")[-1] == "01 Feb 18:00 sold to Miss Alder for 30"
    assert life(bench, "2")[-1] == "05 Feb 18:00 handed over"


def test_what_no_column_gives_a_kind_becomes_an_event_of_its_own_and_is_not_lost() -> None:
    bench = bench_of("Reed,Date,Clip,Scraped,Room\n1,2025-02-01,0.5,10,\n1,2025-02-02,0.3,,dry\n", "instrument:=oboe")
    assert life(bench, "1")[1:] == [
        "01 Feb 12:00 scraped, 10 min", "01 Feb 12:00 clipped 0.5 mm", "02 Feb 12:00 clipped 0.3 mm “Room: dry”",
    ]  # fmt: skip


def test_hours_of_reeds_that_have_a_line_each_are_asked_about() -> None:
    sheet = "reed,date,length,hours\n1,2025-02-01,72 mm,12 h\n2,2025-02-03,7.15 cm,8h30\n"
    (asked,) = proposed(sheet).open
    assert asked.answers == ("hours=hours_before", "kind:=played")
    bench = bench_of(sheet, "instrument:=oboe", "hours=hours_before")
    assert life(bench, "2") == ["03 Feb 12:00 joined as oboe, 71.5 mm, 8.5 h played before"]


def test_a_table_beside_the_first_is_left_out_and_a_column_of_remarks_is_not() -> None:
    beside = taken("Reed,Date,Min,,Lot,Price\n1,2025-02-01,10,,7,55\n2,2025-02-01,12,,8,60\n3,2025-02-03,8,,,\n")
    assert (beside["Lot"], beside["Price"]) == ("", "")
    remarks = taken("Reed,Date,Min,,Lot,Remark\n1,2025-02-01,10,,,\n2,2025-02-01,12,,8,dry\n")
    assert (remarks["Lot"], remarks["Remark"]) == ("lot", "note")


def test_formulas_are_no_values() -> None:
    (column,) = [one for one in proposed("Reed,Date,Blade\n1,2025-02-01,=C2-47\n").columns if not one.target.column]
    assert column.why == "formulas; save the sheet with its values"


@pytest.mark.parametrize("both", ["2 and 3", "2+3", "2 & 3", "2; 3", "2 et 3", "2-3", "2,3"])
def test_reeds_in_one_cell(both: str) -> None:
    bench = bench_of(f'Reeds,Date,Min\n"{both}",2025-02-01,15\n', "instrument:=oboe")
    assert [life(bench, tag)[-1] for tag in ("2", "3")] == ["01 Feb 12:00 played 15 min"] * 2


@pytest.mark.parametrize("cell", [f"1{' ' * 20_000}2", f"reed{' ' * 20_000}x"])
def test_spaces_without_end_in_a_tag_take_no_time_without_end(cell: str) -> None:
    sheet = sheet_of(f"Reed,Date,Min\n{cell},2025-02-01,15\n")
    mapping = propose(sheet, parse_mapping(("instrument:=oboe", "Reed=tag"))).mapping
    begun = process_time()
    expand(sheet, mapping, Bench(CLOCK))
    assert process_time() - begun < 2


def test_a_fault_names_line_and_column() -> None:
    sheet = sheet_of("Reed,Date,Min,Score\n1,2025-02-01,abc,7\n2,,20,\n2,2025-02-03,20,\n")
    expanded = expand(sheet, propose(sheet, parse_mapping(("instrument:=oboe",))).mapping, Bench(CLOCK))
    faults = plan_import(expanded.rows, Bench(CLOCK), UidMaker(), CLOCK).faults
    assert [(one.line, one.message.partition(";")[0]) for one in faults] == [
        (2, "minutes: abc is not a measure"), (3, "at (on which day) missing"),
    ]  # fmt: skip
