"""A season in plain words: each engagement with its chance, where it runs short, and what to tie by when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from reedkin.answers.ready.telling import counted_on, percent
from reedkin.answers.season.question import Chance, Help, MostBy, Season, Tying
from reedkin.domain.columns import columns
from reedkin.domain.figures import day_words, plural
from reedkin.domain.instruments import short_name
from reedkin.domain.words import spelt

_WIDTH = 76
"""Columns that a row can have on the narrowest screen."""
NONE_TO_COME = (
    "No engagement is to come. To enter one: engage 12 March 19:30 eh 3 performance; from a calendar: "
    "reedkin engagements import FILE.ics"
)


def season_text(found: Season) -> list[str]:
    """The whole answer in plain lines."""
    if not found.chances:
        return [NONE_TO_COME]
    return [
        HEADING.rstrip(),
        *(line for one in found.chances for line in chance_lines(one, found.reach)),
        *tie_lines(found),
        *short_lines(found),
        *basis_lines(found),
    ]


def chance_lines(one: Chance, reach: float) -> list[str]:
    """An engagement with its chances, marked where it stays short; a title that has no room beside them beneath."""
    said = one.engagement
    asks = f"{said.reeds} {short_name(said.instrument)}"
    chances = f"{percent(one.now):>9}{percent(one.planned):>9}"
    short = " short" if one.planned < reach else ""
    row = f"{said.moment:<22}{asks:<6}{said.setting:<12}{chances}{short}"
    whole = f"{row}  {said.what}" if said.what else row
    return [whole] if columns(whole) <= _WIDTH else [row, f"    {said.what}"]


_MOST_BY: Mapping[MostBy, str] = {
    "asked": "as you ask",
    "set": "as you set it",
    "past": "as in your good weeks",
    "usual": "common practice, no source",
}

HEADING = f"{'':<22}{'':<6}{'':<12}{'now':>9}{'by plan':>9}"


def tie_lines(found: Season) -> list[str]:
    """What to tie, and by when."""
    if not found.tie:
        return [] if found.short() else [f"Nothing need be tied: each reaches {found.reach:.0%} with today's reeds."]
    total = sum(one.blanks for one in found.tie)
    aim = f"So that each reaches {found.reach:.0%}" if not found.short() else f"Towards {found.reach:.0%} for each"
    lead = "Your own plan" if found.own else aim
    return [f"{lead}, {plural(total, 'blank')} in all:", *(f"  {tying_words(one)}" for one in found.tie)]


def tying_words(one: Tying) -> str:
    """ "tie 4 English horn blanks by Thu 3 Dec"."""
    return f"tie {plural(one.blanks, f'{spelt(one.instrument)} blank')} by {day_words(one.by)}"


def short_lines(found: Season) -> list[str]:
    """Where it runs short whatever is tied."""
    short = found.short()
    if not short:
        return []
    first = short[0]
    others = f", and {plural(len(short) - 1, 'later one')}" if len(short) > 1 else ""
    why = "by this plan" if found.own else f"however much is tied, at {found.most} in a week"
    return [
        f"It runs short first on {first.engagement.moment}{others}: {percent(first.planned)} for "
        f"{plural(first.engagement.reeds, spelt(first.engagement.instrument) + ' reed')}, {why}; "
        f"{counted_on(found.sure)}.",
        help_line(found),
        *([] if found.own else [_helps(found.most)]),
    ]


_HELPS: Mapping[Help, str] = {
    "untried": "playing in before it all that is finished by then",
    "unfinished": "having tied sooner what is not finished then",
    "below": "keeping those good that score too low then",
    "gone": "sparing those that are worn out or lost by then",
}


def help_line(found: Season) -> str:
    """What would help where it runs short first, the two best, with the chance that each by itself would make."""
    if not found.helps:
        return "Of what was reckoned with, nothing helps it by itself: only fewer reeds, or another day."
    said = (f"{_HELPS[what]} ({percent(chance)})" for what, chance in found.helps[:2])
    return f"What would help it most, each by itself: {'; '.join(said)}."


def _helps(most: int) -> str:
    """What may help where tying does not, as far as the program can be told of it."""
    return f"More in a week may help (set blanks {most + 2}), a reed kept for it (save) or one from elsewhere (join)."


def basis_lines(found: Season) -> Iterator[str]:
    """What it goes by and leaves out."""
    for name, (serving, blanks) in found.have.items():
        yield (
            f"{name.capitalize()}: {serving} in service and {blanks} on the bench today; enough for all of its "
            f"engagements: {percent(found.whole[name])}."
        )
    most = f"At most {plural(found.most, 'blank')} in a week ({_MOST_BY[found.most_by]})"
    yield f"{most}; to change it: set blanks {found.most + 2}."
    yield "Concerts ask for reeds with a score that you play in public; rehearsals and lessons for any in service."
    yield from found.leans
    if found.beyond:
        yield f"{plural(found.beyond, 'engagement')} more than a year ahead: left out."
