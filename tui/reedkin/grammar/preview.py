"""An entry in plain words before it is recorded: what, on which reeds, and what it does to them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime

from reedkin.bench.accounts import PAYMENTS
from reedkin.bench.bearers import TAGS_TABLE
from reedkin.bench.bench import Bench
from reedkin.bench.engagements import ENGAGEMENTS, engagement_of
from reedkin.bench.orders import ORDERS, book, reeds_asked
from reedkin.bench.settings import NOT_KEPT
from reedkin.bench.trials import ASSIGNED, TRIALS, start_words, trials
from reedkin.domain.cautions import cautions_for
from reedkin.domain.describe import describe, made_words, played_so_far
from reedkin.domain.events import Amendment, Event, Record, Strike
from reedkin.domain.facts import FACTS, Facts, day_of
from reedkin.domain.figures import day_and_month, day_words, duration, mm, moment_words
from reedkin.domain.figures import tag_list as tag_list
from reedkin.domain.known import as_number, whole, word
from reedkin.domain.reeds import State
from reedkin.domain.words import spelt
from reedkin.grammar.actions import Action, AddedAction, BesideAction, Reading, ReedAction

_ONE = {
    "lots": "lot", "targets": "targets of", "settings": "settings", "sessions": "session", "orders": "order",
    "tubes": "tube", "payments": "payment of", ENGAGEMENTS: "engagement",
}  # fmt: skip


def preview(reading: Reading, bench: Bench) -> list[str]:
    """A line for each thing that would be recorded; reeds that get the same share a line."""
    groups = _groups(reading.actions, reading.apart)
    lines = [_line(group, reading, bench) for group in groups]
    if reading.shared_minutes and reading.actions:
        # On the first line of a scrape, so that no more lines are needed than there are things to tell.
        told = next(n for n, g in enumerate(groups) if getattr(g[0], "kind", "") == "scraped")
        lines[told] += f" ({reading.shared_minutes} min of the bench clock, shared)"
    return lines


def _groups(actions: Sequence[Action], apart: bool) -> list[list[Action]]:
    """Actions that say the same of different reeds, together; what is said twice of one reed is two things, and what
    happened at another time is where these are told `apart`."""
    groups: list[list[Action]] = []
    for action in actions:
        last = groups[-1] if groups else []
        at_once = not last or not apart or _when(last[0]) == _when(action)
        if last and at_once and _same(last[0]) == _same(action) and not any(_of(a) == _of(action) for a in last):
            last.append(action)
        else:
            groups.append([action])
    return groups


def _of(action: Action) -> object:
    return action if isinstance(action, BesideAction) else action.tag


def _when(action: Action) -> datetime:
    return action.step.at if isinstance(action, AddedAction) else action.at


def _line(actions: Sequence[Action], reading: Reading, bench: Bench) -> str:
    first = actions[0]
    if isinstance(first, BesideAction) and first.table == TAGS_TABLE:
        return f"{bench.reed(first.subject).label} is called {first.facts['tag']} from now on"
    if isinstance(first, BesideAction):
        of_table = _OF_TABLE.get(first.table)
        said = _beside(first) if of_table is None else of_table(first, bench)
        return said if reading.at is None or first.table == "sessions" else f"{said}{_at(first.at, reading)}"
    if isinstance(first, AddedAction):
        return _added(first, tag_list(a.tag for a in actions if isinstance(a, AddedAction)))
    reeds = [a for a in actions if isinstance(a, ReedAction)]
    if first.kind == ASSIGNED:
        return _assigned(reeds, bench)
    effects = {a.tag: _effect(a, bench) for a in reeds}
    differ = len(set(effects.values())) > 1
    does = (
        "; ".join(f"{tag}: {what}" for tag, what in effects.items() if what) if differ else next(iter(effects.values()))
    )
    when = _at(first.at, reading)
    note = f" “{first.note}”" if first.note else ""
    what = "note" if first.kind == "noted" else describe(first.kind, first.facts)
    if len(reeds) > 1 and not reading.shared_minutes:
        what = _each(what, first.facts)
    what += _for_orders(reeds, bench)
    return f"{tag_list(a.tag for a in reeds)}: {what}{note}{when}" + (f" → {does}" if does else "")


def _effect(action: ReedAction, bench: Bench) -> str:
    """What an event does to its reed."""
    if action.kind == "played" and action.reed is not None:
        return played_so_far(bench.reed(action.reed), action.after.minutes_played)
    return effect(action.kind, action.before, action.after)


def _added(action: AddedAction, tags: str) -> str:
    """ "14–19: lot 7, as tied on 1 Sep"; "1: retired: worn, on 17 Sep"."""
    step, note = action.step, f" “{action.note}”" if action.note else ""
    if step.kind == "retired":
        return f"{tags}: {describe(step.kind, action.facts)}{note}, on {day_and_month(step.at)}"
    return f"{tags}: {made_words(action.facts)}{note}, as {step.kind} on {day_and_month(step.at)}"


def _each(what: str, facts: Facts) -> str:
    """What is done to several reeds, with its minutes told as those of each: "scraped tip, 10 min each"."""
    minutes = as_number(facts.get("minutes"))
    if minutes is None:
        return what
    ways = (FACTS["minutes"].show(minutes), duration(minutes))
    how_long = next((way for way in ways if way in what), None)
    return what if how_long is None else what.replace(how_long, f"{how_long} each", 1)


def _for_orders(actions: Sequence[ReedAction], bench: Bench) -> str:
    """The order that reeds go to and how many of it are out then: " for its order of 3 oboe reeds (2 out then)"."""
    uid = actions[0].facts.get("order")
    order = next((one for one in book(bench).orders if one.uid == uid), None) if uid is not None else None
    if order is None:
        return ""
    which = f"order {order.label}" if order.places > 1 else "the order"
    facts = actions[0].facts
    at_its_price = order.price is not None and "price" not in facts and facts.get("terms") == "sold"
    price = f" at {order.price:g}" if at_its_price else ""
    return f"{price}, for {which} ({len(order.out) + len(actions)} of {order.asked} out then)"


def _at(moment: datetime, reading: Reading) -> str:
    """When it happened, as far as that was said: " on Tue 24 Nov 2026 18:00"."""
    if reading.at is None:
        return ""
    hour = f" in the {reading.at.part}" if reading.at.part else "" if reading.at.whole_day else f" {moment:%H:%M}"
    return f" on {day_words(moment)}{hour}"


def told_together(records: Iterable[Record]) -> list[str]:
    """The records of an entry in a few words, those that say the same of several reeds on one line: "11–20: ..."."""
    alike: dict[object, list[Record]] = {}
    for record in records:
        same: object = id(record)
        if isinstance(record, Event):
            same = (record.kind, tuple(record.facts.items()), record.note, record.moved_from is None)
            if any(isinstance(one, Event) and one.reed == record.reed for one in alike.get(same, ())):
                same = id(record)  # twice of one reed is two things
        alike.setdefault(same, []).append(record)
    return [told(one[0], _reeds_of(one)) for one in alike.values()]


def _reeds_of(records: Iterable[Record]) -> str:
    """The tags in the order in which they were written, though what was last is taken back first."""
    return tag_list(one.tag for one in sorted(records, key=lambda one: one.uid) if isinstance(one, Event))


def told(record: Record, who: str = "") -> str:
    """A record that was made, in a few words; of the reed that it was of, or of those that are named."""
    if isinstance(record, Event):
        note = f" “{record.note}”" if record.note else ""
        moved = ", moved here" if record.moved_from is not None else ""
        what = "note" if record.kind == "noted" else describe(record.kind, record.facts)
        return f"{who or record.tag}: {what}{note}{moved}"
    if isinstance(record, Amendment):
        return "an amendment"
    if isinstance(record, Strike):
        return "a strike" if record.moved_to is None else "the strike of what was moved"
    if record.table == TAGS_TABLE:
        return f"the tag {record.facts['tag']} for a reed"
    if record.table == TRIALS:
        return start_words(record.facts) if "started" in record.facts else "the end of a trial"
    return beside_words(record.table, record.subject, record.facts)


def cautions(reading: Reading) -> list[str]:
    """The cautions that go with an entry."""
    kinds = [(a.kind, a.facts) for a in reading.actions if isinstance(a, ReedAction)]
    return list(dict.fromkeys(c for kind, facts in kinds for c in cautions_for(kind, facts)))


def effect(kind: str, before: State | None, after: State) -> str:
    """What an event does to a reed, shortly: "57.5 mm, blade 30.5 mm"; empty if nothing to tell. The length of one that
    is begun is what was typed, and said already."""
    if kind in ("tied", "joined", "clipped", "measured"):
        was = before or State()
        lengths = (
            ("", after.overall_mm if before is None else was.overall_mm, after.overall_mm),
            ("blade ", was.blade_mm, after.blade_mm),
            ("heart ", was.heart_mm, after.heart_mm),
            ("tip ", was.tip_mm, after.tip_mm),
        )
        marked = ("heart ", "tip ") if kind == "measured" else ()
        told_of = [
            (what, now)
            for what, then, now in lengths
            if now is not None and now > 0 and (now != then or what in marked)
        ]
        return ", ".join(f"{what}{mm(now)}" for what, now in told_of)
    if kind == "played":
        return f"{duration(after.minutes_played)} in all"
    if before is not None and before.stage != after.stage:
        return after.stage
    return ""


def _same(action: Action) -> tuple[object, ...]:
    if isinstance(action, AddedAction):
        step = action.step
        return (AddedAction, step.kind, step.at.date(), tuple(action.facts.items()), action.note)
    if isinstance(action, ReedAction):
        if action.kind == ASSIGNED:
            return (ASSIGNED, action.facts["trial_uid"])
        return (action.kind, tuple(action.facts.items()), action.note)
    return (id(action),)


def _assigned(actions: Sequence[ReedAction], bench: Bench) -> str:
    """ "by trial wire: 143, 146 before; 144, 145 after"."""
    tags: dict[object, list[str]] = {}
    for action in actions:
        tags.setdefault(action.facts["arm"], []).append(action.tag)
    said = "; ".join(f"{tag_list(own)} {way}" for way, own in tags.items())
    return f"by trial {_label(actions[0].facts['trial_uid'], bench)}: {said}"


def _label(uid: object, bench: Bench) -> str:
    return next((trial.label for trial in trials(bench) if trial.uid == uid), "")


def _of_trial(action: BesideAction, bench: Bench) -> str:
    if "started" in action.facts:
        return start_words(action.facts)
    return f"trial {_label(action.subject, bench)} ends: reeds tied from now on are assigned no more"


def _of_engagement(action: BesideAction, bench: Bench) -> str:
    """An engagement as it is entered; of one that is there what it is called, and what changes."""
    known = bench.beside.subjects(ENGAGEMENTS).get(action.subject, {})
    was, now = (engagement_of(action.subject, facts) for facts in (known, {**known, **action.facts}))
    if was is None or now is None:
        return _beside(action)
    changes = ["called off"] if now.off else [f"moved to {now.moment}"] if now.moment != was.moment else []
    for name in ("instrument", "reeds", "setting", "minutes"):
        then, to = getattr(was, name), getattr(now, name)
        if then != to:
            changes.append(FACTS[name].show(to) + (f" (was {FACTS[name].show(then)})" if then is not None else ""))
    if now.what != was.what:
        changes.append(f"“{now.what}”")
    return f"engagement {was.moment}{f' “{was.what}”' if was.what else ''}: {', '.join(changes)}"


def _of_order(action: BesideAction, bench: Bench) -> str:
    """A new order as it is placed; of one that is there which it is: "order Meier/2 (3 oboe reeds): done, 1 out"."""
    order = next((one for one in book(bench).orders if one.uid == action.subject), None)
    if order is None:
        return _beside(action)
    said = beside_words(ORDERS, "", {name: value for name, value in action.facts.items() if name != "to"})
    out = f", {len(order.out)} of {order.count} out" if "done" in action.facts else ""
    return f"order {order.label} ({order.asked}){said.removeprefix('order')}{out}"


_OF_TABLE: Mapping[str, Callable[[BesideAction, Bench], str]] = {
    TRIALS: _of_trial, ENGAGEMENTS: _of_engagement, ORDERS: _of_order,
}  # fmt: skip


def _beside(action: BesideAction) -> str:
    return beside_words(action.table, action.subject, action.facts)


def beside_words(table: str, subject: str, facts: Facts) -> str:
    """What is said of a thing beside the reeds: "lot 7: weight 250 g", "session starts 12 Mar 10:07, room 20 °C"."""
    does, said = "", []
    if table in (ORDERS, PAYMENTS) and "to" in facts:
        subject = str(facts["to"])
    if table == ENGAGEMENTS:
        day = day_of(facts.get("day"))
        subject = f"{day:%a} {FACTS['day'].show(str(day))} {facts.get('hour', '')}".rstrip() if day else ""
    named = {ORDERS: ("to",), PAYMENTS: ("to",), ENGAGEMENTS: ("day", "hour")}.get(table, ())
    count, instrument = whole(facts, "count"), word(facts, "instrument")
    if table == ORDERS and count is not None and instrument:
        said.append(reeds_asked(count, instrument, word(facts, "strength") or ""))
        named = (*named, "count", "instrument", "strength")
    for name, value in facts.items():
        if name in named:
            continue
        if name in ("started", "ended"):
            at = moment_words(datetime.fromisoformat(str(value)), year=False)
            does = f" {'starts' if name == 'started' else 'ends'} {at}"
        elif name == "knife_fresh":
            said.append("knife fresh" if value else "knife not fresh")
        elif (name, value) == ("keep_sounds", NOT_KEPT):
            said.append("no sounds are kept")
        elif name == "note":
            said.append(f"“{value}”")
        elif (table, name) in ((ENGAGEMENTS, "instrument"), (ENGAGEMENTS, "setting"), (PAYMENTS, "price")):
            said.append(FACTS[name].show(value))
        elif (table, name) == (ORDERS, "price"):
            said.append(f"{FACTS[name].show(value)} each")
        elif (table, name) == (ORDERS, "occasion"):
            said.append(f"for {value}")
        elif name in FACTS:
            said.append(FACTS[name].told(value))
    which = f" {spelt(subject)}" if subject and table not in ("sessions", "settings") else ""
    return f"{_ONE.get(table, table)}{which}{does}{(', ' if does else ': ') if said else ''}{', '.join(said)}"
