"""Session evenings: tying in batches, scraping over several days, clipping late, wiring, and giving up on some."""

from __future__ import annotations

import math
from random import Random

from demo_logs.maker.hazard import baseline, draw_life, log_rate_of_making
from demo_logs.maker.manner import MOVES_AFTER
from demo_logs.maker.reed import DRYING, LIFE_SHAPE, READY, SERVICE, SimReed
from demo_logs.maker.town import DAY, warmth_of, weather
from demo_logs.maker.trade import (
    BASS,
    BLANK_CAUSES,
    BLANK_WEIGHTS,
    DAMORE,
    EH,
    JOINED_TAGS,
    NAMES,
    OBOE,
    PROFILES,
    THREADS,
)
from demo_logs.maker.workshop import Workshop, half_points

BEDTIME = 23 * 60
PACES = (15, 20, 30, 30, 45, 60, 90)
"""How long she lets a new reed play in its first hours, minutes; drawn for each reed."""


def draw_quality(shop: Workshop) -> float:
    return min(9.6, max(4.5, shop.rng.gauss(7.7, 0.8)))


def plan(shop: Workshop, reed: SimReed) -> list[list[str]]:
    """The stages of work on a blank, one an evening; each a line of acts."""
    rng, profile = shop.rng, reed.profile
    count = rng.choices((3, 4, 5), (4, 4, 1))[0]
    stages: list[list[str]] = [["scrape", "scrape"]] + [["scrape"] for _ in range(count - 1)]
    crows = count - 2
    wire = rng.random() < profile.wire_share
    if wire and profile.wire_share > 0.5 and rng.random() < 0.35:
        stages[crows].append("wire")
    stages[crows] += ["crow", "clip"]
    last = stages[-1]
    if wire and "wire" not in stages[crows]:
        (stages[crows] if rng.random() < 0.6 else last).append("wire")
    if profile.tubing:
        last.append("tube")
    last.append("clip")
    if rng.random() < 0.85:
        last += ["scrape", "clip"]
    last += ["crow", "measure"] if rng.random() < 0.8 else ["crow"]
    if rng.random() < 0.6:
        last.append("score")
    return stages


def tie(shop: Workshop, instrument: str, day: int, humidity: float, thread: str | None) -> None:
    """Tie one blank."""
    rng, diary, profile = shop.rng, shop.diary, PROFILES[instrument]
    tag, bearer = shop.tags.take(day)
    stray = rng.choice((-0.5, 0.0, 0.0, 0.0, 0.5, 1.0)) + rng.gauss(0, 0.45)
    overall = profile.tied_mm + shop.scatter * stray
    overall = round(min(profile.tied_mm + 2.2, max(profile.tied_mm - 2.0, overall)), 1)
    reed = SimReed(
        tag, bearer, profile, day, overall, draw_quality(shop), draw_life(rng), rng.choice(PACES),
        tied_overall=overall, humidity=humidity,
    )  # fmt: skip
    if shop.manner.uneven:
        reed.wear_at_end *= math.exp(rng.gauss(0, 1.2))
    reed.tube, reed.tube_use = shop.tubes.take(instrument, rng)
    lot, reed.bad_lot = shop.cane.take(instrument, day)
    reed.lot = lot
    reed.gouge = round(rng.gauss(profile.gouge_mm, 0.013) + shop.bad_thicker * reed.bad_lot, 2)
    if shop.manner.lots_drive:
        longer, thicker = shop.lot_way(lot)
        reed.overall = reed.tied_overall = overall = round(overall + longer, 1)
        reed.gouge = round(reed.gouge + thicker, 2)
    reed.sink = min(18, max(1, round(rng.lognormvariate(1.75, 0.4))))
    reed.first_rest = rng.choices((1, 2, 3, 4, 6), (4, 4, 3, 2, 1))[0]
    if shop.manner.drifts:
        gone = shop.seasons_gone(day)
        reed.overall = reed.tied_overall = overall = round(overall + 0.25 * gone, 1)
        reed.gouge = round(reed.gouge + 0.004 * gone, 2)
        reed.first_rest += gone // 2
    if shop.manner.uneven and rng.random() < 0.4:
        _far_from_meant(reed, rng)
    _by_rarer_manner(shop, reed, day)
    if shop.manner.seasons:
        cold = -warmth_of(day)
        reed.overall = reed.tied_overall = round(reed.overall + 0.3 * cold, 1)
        reed.gouge = round(reed.gouge + 0.006 * cold, 2)
        reed.first_rest = max(1, reed.first_rest - round(cold))
        reed.pace = max(10, round(reed.pace + 12 * cold))
    overall = reed.overall
    reed.due = day + reed.first_rest
    reed.stages = plan(shop, reed)
    if rng.random() < shop.loss or (shop.manner.culls and reed.overall > profile.tied_mm + 0.3 and reed.quality < 7.9):
        reed.fate_stage = rng.choices(range(len(reed.stages)), [1 + i for i in range(len(reed.stages))])[0]
    shop.add(reed)
    shop.tied += 1
    diary.write(
        reed,
        "tied",
        rng.randrange(7, 14),
        instrument=instrument,
        overall_mm=overall,
        tube=diary.unless_forgotten(reed.tube),
        tube_mm=profile.tube_mm,
        lot=diary.unless_forgotten(lot, 0.5),
        shape=diary.unless_forgotten(rng.choice(profile.shapes)),
        gouge_mm=diary.unless_forgotten(reed.gouge, 1.5),
        sink_min=diary.unless_forgotten(reed.sink, 4),
        thread=thread,
        name=_name(shop),
    )


def _by_rarer_manner(shop: Workshop, reed: SimReed, day: int) -> None:
    """What becomes of a blank in the manners that not every maker has."""
    manner = shop.manner
    if manner.batches:
        wear, longer, thicker, reed.first_rest = shop.batch_way(day)
        reed.wear_at_end *= math.exp(-wear)
        reed.overall = reed.tied_overall = round(reed.overall + longer, 1)
        reed.gouge = round(reed.gouge + thicker, 2)
    if manner.moves and day >= shop.began + MOVES_AFTER:
        reed.overall = reed.tied_overall = round(reed.overall + 0.8, 1)
        reed.gouge = round(reed.gouge + 0.015, 2)
        reed.first_rest += 2
        reed.pace += 15
    # A life grows by the root of the wear that it bears.
    if manner.good_lasts:
        reed.wear_at_end *= math.exp(0.35 * LIFE_SHAPE * (reed.quality - 7.7))
    if manner.long_lives:
        reed.wear_at_end *= 2.5**LIFE_SHAPE
    if manner.heavy and shop.rng.random() < 0.1:
        reed.wear_at_end *= 5**LIFE_SHAPE


def _far_from_meant(reed: SimReed, rng: Random) -> None:
    """One thing of four about a reed is far from the usual."""
    thing, way = rng.randrange(4), rng.choice((-1, 1))
    if thing == 0:
        reed.overall = reed.tied_overall = round(reed.overall + way * rng.uniform(1.5, 3), 1)
    elif thing == 1:
        reed.gouge = round(reed.gouge + way * rng.uniform(0.04, 0.1), 2)
    elif thing == 2:
        reed.first_rest += rng.randrange(14, 60)
    else:
        reed.pace = rng.randrange(150, 240)


def _name(shop: Workshop) -> str:
    """A name for one reed in twenty; '' for the others."""
    if shop.rng.random() >= 0.05:
        return ""
    shop.named += 1
    return NAMES[(7 * shop.named) % len(NAMES)]


def join(shop: Workshop, instrument: str, day: int, tag: str) -> None:
    """Bring in a reed that was in use before the log began. How it was made is not known."""
    rng, diary, profile = shop.rng, shop.diary, PROFILES[instrument]
    shop.tags.claim(tag)
    overall = round(profile.tied_mm - rng.uniform(1.8, 3.0), 1)
    reed = SimReed(tag, 1, profile, day, overall, draw_quality(shop), 0.0, 90, state=SERVICE)
    hours = rng.choice((2, 3, 4, 5, 6, 7.5, 9))
    reed.entry = reed.minutes = round(hours * 60)
    reed.wear = baseline(reed.minutes, profile.life_scale)
    reed.wear_at_end = reed.wear + draw_life(rng)  # the exponential has no memory: it lived until now
    reed.rested_since = (day - rng.randrange(1, 5)) * DAY
    shop.add(reed)
    diary.write(
        reed,
        "joined",
        rng.randrange(2, 5),
        instrument=instrument,
        hours_before=hours,
        overall_mm=overall,
        shape=diary.unless_forgotten(rng.choice(profile.shapes), 5),
        thread=rng.choice(THREADS),
    )


def _scrape(shop: Workshop, reed: SimReed) -> None:
    where = ("tip", "back", "heart", "tip", "rails", "heart", "windows")[min(6, reed.stage + shop.rng.randrange(3))]
    minutes = shop.rng.randrange(3, 13)
    reading = shop.diary.unless_forgotten(minutes)
    shop.diary.write(reed, "scraped", minutes, where=shop.diary.unless_forgotten(where), minutes=reading)


def _wire(shop: Workshop, reed: SimReed) -> None:
    rng, diary = shop.rng, shop.diary
    place = round(rng.gauss(reed.profile.wire_mm, 0.4), 1)
    gauge = 26 if rng.random() < 0.05 else 28
    turns = rng.choice((2, 3, 3))
    reed.wired = True
    reed.wired_before_crow = not reed.crowed
    diary.write(
        reed, "wired", rng.randrange(2, 6), gauge_awg=gauge, turns=diary.unless_forgotten(turns, 6),
        wire_mm=diary.unless_forgotten(place, 4), material="brass",
    )  # fmt: skip


def _crow(shop: Workshop, reed: SimReed) -> None:
    rng = shop.rng
    last = reed.stage == len(reed.stages) - 1
    cents = round(rng.gauss(-5 if last else -35, 14)) // 5 * 5
    note, cents = ("C5", cents) if cents > -50 else ("B4", cents + 100)
    reed.crowed = True
    shop.diary.write(
        reed, "crowed", rng.randrange(1, 3), crow=f"{note} {cents:+d}c" if cents else note,
        octaves=True if last and rng.random() < 0.3 else None,
    )  # fmt: skip


def _measure(shop: Workshop, reed: SimReed) -> None:
    rng, profile = shop.rng, reed.profile
    shop.diary.write(
        reed, "measured", rng.randrange(1, 4), overall_mm=reed.overall,
        tip_from_mm=round(rng.gauss(profile.tip_from_mm, 0.3), 1),
        heart_from_mm=round(rng.gauss(profile.heart_from_mm, 0.35), 1),
        opening_mm=shop.diary.unless_forgotten(round(rng.gauss(profile.opening_mm, 0.12), 2), 6),
    )  # fmt: skip


def work(shop: Workshop, reed: SimReed) -> None:
    """One evening's stage of work on a blank; it may be given up in it, or finished with it."""
    rng, diary = shop.rng, shop.diary
    if reed.stage == 0:
        # It may have waited longer than was planned.
        reed.first_rest = diary.day - reed.begun
    given_up = reed.fate_stage == reed.stage
    acts = reed.stages[reed.stage]
    if given_up:
        acts = acts[: rng.randrange(1, len(acts) + 1)]
    clips_left = sum(stage.count("clip") for stage in reed.stages[reed.stage :])
    for act in acts:
        if act == "scrape":
            _scrape(shop, reed)
        elif act == "wire":
            _wire(shop, reed)
        elif act == "crow":
            _crow(shop, reed)
        elif act == "measure":
            _measure(shop, reed)
        elif act == "tube":
            diary.write(reed, "tubed", rng.randrange(1, 3), tubing_mm=rng.choice((5, 5, 5, 6, 4.5)))
        elif act == "clip":
            shop.clip(reed, max(0.2, rng.gauss(2.3, 0.35) - reed.clipped) / clips_left, rng.randrange(1, 3))
            clips_left -= 1
        else:
            diary.write(reed, "scored", 1, score=half_points(rng.gauss(reed.quality, 0.5)))
    if given_up:
        shop.retire(reed, rng.choices(BLANK_CAUSES, BLANK_WEIGHTS)[0], rng.randrange(1, 4))
        return
    reed.stage += 1
    reed.due = diary.day + rng.choice((1, 1, 1, 2, 3))
    if reed.stage == len(reed.stages):
        reed.state, reed.rested_since = READY, diary.now
        reed.log_rate = log_rate_of_making(reed, shop.effects)
        reed.order = shop.orders.set_aside(reed.instrument)


def wanted(shop: Workshop, day: int, pressed: bool) -> tuple[str, int] | None:
    """The instrument and number of blanks to tie tonight, if any; `pressed`: tie in any case."""
    room = 99 if shop.limit is None else shop.limit - shop.tied
    drying = shop.drying()
    if room <= 0 or (len(drying) > 12 and not pressed):
        return None
    lacks = []
    for instrument in (EH, OBOE):
        here = [reed for reed in shop.living if reed.instrument == instrument and not reed.order]
        coming = sum(reed.state == DRYING for reed in here)
        lacks.append((shop.case - (len(here) - coming) - (1 - shop.loss) * coming, instrument))
    lack, instrument = max(lacks)
    if lack < shop.rng.random() and not pressed:
        return None
    return instrument, min(room, shop.rng.randrange(3, 8))


def evening(shop: Workshop, day: int, joining: int = 0, rare: str = "", pressed: bool = False) -> bool:
    """A session at the bench, if there is anything to do; returns whether there was one.

    `joining`: how many reeds of the case to bring in; `rare`: an instrument of which two or three are tied tonight.
    """
    rng, diary = shop.rng, shop.diary
    due = [reed for reed in shop.drying() if reed.due <= day]
    batch = wanted(shop, day, pressed)
    parcels = [reed for reed in shop.living if reed.state == READY and reed.order]
    if not (due or batch or parcels or joining or rare) or (rng.random() < 0.2 and not (joining or pressed)):
        return False
    room, humidity = weather(day, rng)
    diary.wait_until(max(diary.now + 15, day * DAY + 19 * 60 + rng.randrange(20, 75)))
    diary.open_session(room, humidity, rng.random() < 0.3)
    for i in range(joining):
        join(shop, (EH, OBOE)[i % 2], day, JOINED_TAGS[i])
    for reed in due:
        if diary.minute < BEDTIME:
            work(shop, reed)
    for reed in parcels:
        shop.hand_over(reed, "sold", f"order {reed.order}")
    for reed in [reed for reed in shop.living if reed.state == SERVICE]:
        if diary.minute < BEDTIME and shop.wants_touch_up(reed, 0.02, 0.12):
            shop.touch_up(reed)
        if diary.minute < BEDTIME and rng.random() < 0.03:
            shop.clean(reed)
    thread = rng.choice(THREADS) if rng.random() < 0.7 else None
    for instrument, count in [(rare, {DAMORE: 3, BASS: 2}.get(rare, 0)), batch or ("", 0)]:
        for _ in range(count):
            if diary.minute < BEDTIME:
                tie(shop, instrument, day, humidity, thread)
    diary.close_session(forgotten=rng.random() < 0.012)
    return True
