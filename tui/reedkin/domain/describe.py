"""Events and reeds in plain words: one wording for the screen, the command line and the history."""

from __future__ import annotations

from reedkin.domain.facts import FACTS, Facts, Value
from reedkin.domain.figures import duration
from reedkin.domain.known import as_number
from reedkin.domain.reeds import Reed
from reedkin.domain.words import OFF, SCORES


def describe(kind: str, facts: Facts) -> str:
    """An event in a few words: "clipped 0.5 mm", "played 45 min, rehearsal, scored 8"."""
    parts = [p for p in _DESCRIBE.get(kind, _others)(kind, facts) if p]
    return ", ".join(parts)


def _fact(facts: Facts, name: str) -> str:
    return FACTS[name].show(facts[name]) if name in facts else ""


def _with(word: str, facts: Facts, name: str) -> str:
    return f"{word} {_fact(facts, name)}" if name in facts else ""


def _made(kind: str, facts: Facts) -> list[str]:
    tube = " ".join(w for w in (str(facts.get("tube", "")), _fact(facts, "tube_mm")) if w)
    return [
        f"{kind} as {_fact(facts, 'instrument') or 'a reed'}",
        _fact(facts, "overall_mm"),
        f"tube {tube}" if tube else "",
        _with("lot", facts, "lot"),
        _with("shape", facts, "shape"),
        _with("gouge", facts, "gouge_mm"),
        _with("sink time", facts, "sink_min"),
        f"{facts['thread']} thread" if "thread" in facts else "",
        f"named {facts['name']}" if "name" in facts else "",
        f"{_fact(facts, 'hours_before')} played before" if "hours_before" in facts else "",
        _with("tip from", facts, "tip_from_mm"),
        _with("heart from", facts, "heart_from_mm"),
        _with("scored", facts, "score"),
    ]


def played_so_far(reed: Reed, minutes: int) -> str:
    """How long a reed has been played, as far as it is known: "5 h 20 in all"."""
    return f"{duration(minutes)} {'since it joined' if reed.of_unknown_age else 'in all'}"


def made_words(facts: Facts) -> str:
    """What is known of a making, without its instrument: "72 mm, lot 7, named Wren"."""
    return ", ".join(part for part in _made("", facts)[1:] if part)


def _scraped(kind: str, facts: Facts) -> list[str]:
    return [_with("scraped", facts, "where") or "scraped", _fact(facts, "minutes")]


def _clipped(kind: str, facts: Facts) -> list[str]:
    return [_with("clipped", facts, "clip_mm") or "clipped", _with("to", facts, "overall_mm")]


def _wired(kind: str, facts: Facts) -> list[str]:
    action = {"off": "wire taken off", "moved": "wire moved"}.get(str(facts.get("wire", "on")), "wired")
    return [
        action,
        _fact(facts, "gauge_awg"),
        _fact(facts, "material"),
        _fact(facts, "turns"),
        f"{_fact(facts, 'wire_mm')} from the butt" if "wire_mm" in facts else "",
    ]


def _tubed(kind: str, facts: Facts) -> list[str]:
    return ["tubing taken off" if facts.get("tubing_mm") == 0 else _with("tubing", facts, "tubing_mm") or "tubing"]


def _crowed(kind: str, facts: Facts) -> list[str]:
    octaves = facts.get("octaves")
    return [
        _with("crowed", facts, "crow") or "crowed",
        "" if octaves is None else "in octaves" if octaves else "not in octaves",
        _with("steadiness", facts, "steadiness"),
    ]


def _measured(kind: str, facts: Facts) -> list[str]:
    return ["measured " + ", ".join(f"{FACTS[name].words} {_fact(facts, name)}" for name in facts)]


def _scores(facts: Facts) -> list[str]:
    return [_with("scored", facts, "score"), *(_with(name, facts, name) for name in SCORES)]


def _played(kind: str, facts: Facts) -> list[str]:
    given = facts.get("minutes", 0)
    minutes = as_number(given)
    how_long = str(given) if minutes is None else duration(minutes)
    return [f"played {how_long}", _fact(facts, "setting"), *_scores(facts)]


def _scored(kind: str, facts: Facts) -> list[str]:
    said = [score for score in _scores(facts) if score]
    return said if "score" in facts else [f"scored {said[0]}" if said else "scored", *said[1:]]


def _saved(kind: str, facts: Facts) -> list[str]:
    if facts.get("occasion") == OFF:
        return ["no longer saved"]
    return [" ".join(w for w in ("saved for", _fact(facts, "occasion"), _with("on", facts, "due")) if w)]


def _handed_over(kind: str, facts: Facts) -> list[str]:
    unpaid = "(not paid yet)" if facts.get("unpaid") is True else ""
    words = (_fact(facts, "terms") or "handed over", _with("to", facts, "to"), _with("for", facts, "price"), unpaid)
    return [" ".join(w for w in words if w)]


def _heard(kind: str, facts: Facts) -> list[str]:
    ended = f"{_fact(facts, 'cause')} {_with('after', facts, 'after_days')}"
    serves = (
        {True: "still serves", False: "not in use"}.get(facts.get("serving") is True, "") if "serving" in facts else ""
    )
    said = [one for one in (ended.strip(), serves, *_scores(facts)) if one]
    return [f"heard of it: {said[0]}", *said[1:]] if said else ["heard of it"]


def _retired(kind: str, facts: Facts) -> list[str]:
    return [f"retired: {facts.get('cause', 'no cause noted')}"]


def _assigned(kind: str, facts: Facts) -> list[str]:
    return [f"trial {facts.get('trial')}: {facts.get('arm')}"]


def _others(kind: str, facts: Facts) -> list[str]:
    """Also those of a later version, whose facts are told by their names."""
    return [kind, *(_fact(facts, n) if n in FACTS else f"{n} {_plain(value)}" for n, value in facts.items())]


def _plain(value: Value) -> str:
    return ", ".join(value) if isinstance(value, tuple) else str(value)


_DESCRIBE = {
    "tied": _made,
    "joined": _made,
    "scraped": _scraped,
    "clipped": _clipped,
    "wired": _wired,
    "tubed": _tubed,
    "crowed": _crowed,
    "measured": _measured,
    "played": _played,
    "scored": _scored,
    "saved": _saved,
    "handed over": _handed_over,
    "heard": _heard,
    "retired": _retired,
    "assigned": _assigned,
}
