"""A forecast in plain words, and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reedkin.answers.ready.forecast import MOST_BLANKS, Plan, Readiness
from reedkin.domain import as_json
from reedkin.domain.figures import day_words, plural
from reedkin.domain.reeds import IN_SERVICE
from reedkin.domain.words import spelt

if TYPE_CHECKING:
    from reedkin.contract.ahead import ForecastJson, SpreadJson

_HARDLY = 0.1
"""Where all the blanks that could be tied add less than this to the chance, time is what lacks."""


def readiness_text(answer: Readiness) -> list[str]:
    """The answer in plain lines: the chance, what to tie and by when, and what it goes by."""
    return [*chance_lines(answer), *plan_lines(answer), *basis_lines(answer)]


def chance_lines(answer: Readiness) -> list[str]:
    """The question, the chance, and what there will be."""
    wish = answer.wish
    when = f"{day_words(wish.on)}, {'today' if not answer.days else 'in ' + plural(answer.days, 'day')}"
    return [
        f"{plural(wish.reeds, spelt(wish.instrument) + ' reed')} to play in public on {when}:",
        f"with today's stock the chance is {percent(answer.chance)}.",
        *_stock(answer),
    ]


def plan_lines(answer: Readiness) -> list[str]:
    """What to tie, and by when; chances for which that is the same share a line."""
    same: dict[str, list[str]] = {}
    for plan in answer.plans:
        same.setdefault(_plan(plan, answer), []).append(percent(plan.chance))
    return [f"For {', '.join(chances)}: {what}" for what, chances in same.items()]


def percent(chance: float) -> str:
    """A chance for people: never quite 0 or 100."""
    return "under 1%" if chance < 0.01 else "over 99%" if chance > 0.99 else f"{chance:.0%}"


def _stock(answer: Readiness) -> list[str]:
    serving = sum(reed.stage == IN_SERVICE for reed in answer.stock)
    middle, low, high = (round(value) for value in answer.expected)
    span = f"{middle}" if low == high else f"{middle} ({low} to {high})"
    good = "" if answer.level is None else f" with a score of {answer.level:g} or more"
    return [f"Of {serving} in service and {len(answer.stock) - serving} on the bench, {span} then{good}."]


def _plan(plan: Plan, answer: Readiness) -> str:
    sure = max(reeds for reeds, chance in enumerate(answer.at_least) if chance >= plan.chance)
    if plan.blanks is None:
        if answer.by_blanks[-1] - answer.by_blanks[0] < _HARDLY:
            return f"hardly a blank tied today is good by then; {counted_on(sure)}."
        thin = ", with so little known of your reeds" if answer.leans else ""
        return f"not even {MOST_BLANKS} blanks tied today would do{thin}; {counted_on(sure)}."
    if plan.by is None:
        return f"there is enough; {counted_on(sure)}." if sure > answer.wish.reeds else "there is just enough."
    return f"tie {plural(plan.blanks, 'blank')} by {day_words(plan.by)}."


def counted_on(reeds: int) -> str:
    """How many reeds are as sure as was asked."""
    return f"you can count on {plural(reeds, 'reed') if reeds else 'no reed'}"


def basis_lines(answer: Readiness) -> list[str]:
    """What the answer goes by, what it leans on beside the maker's own log, and what it leaves out."""
    good, settled = answer.into_service
    middle, low, high = answer.hours
    lines = [
        f"It goes by your blanks ({good} of {settled} came into service), how {plural(answer.served, 'reed')} of yours "
        f"fared in service, and {middle:.0f} h ({low:.0f} to {high:.0f}) of playing until then.",
        *answer.leans,
        *answer.left_out,
    ]
    if answer.promised:
        lines.append(
            f"{plural(answer.promised, 'reed is', 'reeds are')} ordered for then and not taken off; to have them too,"
            f" ask for {answer.wish.reeds + answer.promised}."
        )
    return lines


def readiness_as_dict(answer: Readiness) -> ForecastJson:
    """The answer as JSON takes it."""
    wish = answer.wish
    return {
        "instrument": wish.instrument,
        "reeds": wish.reeds,
        "on": as_json.moment(wish.on),
        "days": answer.days,
        "rehearsal_hours": wish.rehearsal_hours,
        "level": answer.level,
        "chance": answer.chance,
        "at_least": list(answer.at_least),
        "expected": _spread_as_dict(answer.expected),
        "by_blanks": list(answer.by_blanks),
        "plans": [
            {"chance": plan.chance, "blanks": plan.blanks, "by": as_json.moment(plan.by)} for plan in answer.plans
        ],
        "stock": [{"tag": reed.label, "stage": reed.stage} for reed in answer.stock],
        "promised": answer.promised,
        "hours": _spread_as_dict(answer.hours),
        "blanks_into_service": answer.into_service[0],
        "blanks_settled": answer.into_service[1],
        "served": answer.served,
        "leans": [*answer.leans, *answer.left_out],
    }


def _spread_as_dict(spread: tuple[float, float, float]) -> SpreadJson:
    """A median and the middle 80%."""
    median, lo, hi = spread
    return {"median": median, "lo": lo, "hi": hi}
