"""What is asked, or follows, once all the facts of a clause are known together."""

from __future__ import annotations

from reedkin.domain.words import NOT_KNOWN
from reedkin.errors import InputError
from reedkin.grammar.clause.behind_verb import BehindVerb
from reedkin.grammar.words.measures import is_plain
from reedkin.grammar.words.tokens import Token

MAY_GO_ON = ("flat", "leaking", "chipped", "mouldy", "dropped", "closed up")
"""Causes of the end that may be said of a reed which goes on."""
_FEW_HOURS = 8
"""As many minutes of a rehearsal or a performance are likelier hours, or a score."""


def short_for_hours(at: BehindVerb) -> None:
    """Ask about a few plain minutes of what goes on for hours: "rehearsal 2"."""
    minutes, setting = at.out.facts.get("minutes"), at.out.facts.get("setting")
    if not isinstance(minutes, int) or minutes > _FEW_HOURS or setting not in ("rehearsal", "performance"):
        return
    start, end = at.out.spans.get("minutes", (-1, -1))
    token = next((t for t in at.words if (t.start, t.end) == (start, end) and is_plain(t)), None)
    if token is not None:
        at.problem(token, token, f"{token.text} is taken as {minutes} min; for hours write {token.text}h", odd=True)


def ended_unsaid(at: BehindVerb) -> None:
    """A reed that was thrown away, or died, is at its end even where nothing is said of what: not known, asked."""
    if at.ended and "cause" not in at.out.facts and at.head is not None and at.out.sound:
        at.out.facts["cause"] = NOT_KNOWN
        at.problem(at.head, at.head, "of what? not known is taken; if you know, add it: worn, cracked, ...", odd=True)


def heard_to_end(at: BehindVerb) -> None:
    """Ask about what is heard of a reed and may be its end or a remark: "heard flat"."""
    cause = at.out.facts.get("cause")
    if at.verb.kind == "heard" and cause in MAY_GO_ON:
        start, end = at.out.spans["cause"]
        token = Token(str(cause), start, end)
        at.problem(token, token, f'{cause} ends its life; if it is but a remark, write heard "{cause}"', odd=True)


def saved_for_a_day(at: BehindVerb) -> None:
    """What is saved or ordered "for saturday" or "for saturday's concert" is due then."""
    occasion = at.out.facts.get("occasion")
    if all(slot.fact != "due" for slot in at.verb.slots) or "due" in at.out.facts or not isinstance(occasion, str):
        return
    start, end = at.out.spans["occasion"]
    token = Token(occasion, start, end)
    for day in (occasion, occasion.replace("’", "'").split("'s ")[0]):
        try:
            at.due(token, token, day.removeprefix("the "))
        except InputError:
            continue
        return
