"""Amending: an event's line is read again at its own moment, against the reed as it was then."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.domain.events import Amendment
from reedkin.domain.facts import Facts
from reedkin.domain.reeds import Step
from reedkin.grammar.actions import ReedAction
from reedkin.grammar.correcting.amending import Amending, read_amended
from reedkin.grammar.writing import as_line


@pytest.fixture
def maker() -> Maker:
    """A reed that was tied, clipped, wired, played and retired, with another after it."""
    maker = Maker("142 tie eh 60 tube T4 27", 'c 5 "felt hard"', "wire 28 awg brass", "p 45 8", "retire cracked")
    maker.type("143 tie ob 72")
    return maker


def _step(maker: Maker, kind: str) -> Step:
    return next(s for s in maker.reed("142").steps if s.kind == kind)


def _write(maker: Maker, step: Step, action: ReedAction) -> None:
    new = maker.uids.new
    maker.bench.add(
        [Amendment(new(), maker.reed("142").id, step.event.uid, action.at, NOW, new(), action.facts, action.note)]
    )


def _amend(maker: Maker, kind: str, line: str) -> Amending:
    return read_amended(line, maker.reed("142"), _step(maker, kind), maker.bench)


@pytest.mark.parametrize("kind", ["tied", "clipped", "wired", "played", "retired"])
def test_the_line_of_an_event_amends_nothing(maker: Maker, kind: str) -> None:
    step = _step(maker, kind)
    for at in (step.at, None):
        amending = _amend(maker, kind, as_line(kind, step.facts, at, step.note))
        assert amending.error is None
        assert amending.action is not None
        said = (amending.action.kind, amending.action.facts, amending.action.at, amending.action.note)
        assert said == (kind, step.facts, step.at, step.note)


@pytest.mark.parametrize(
    ("kind", "line", "facts"),
    [
        ("clipped", "clip .5", {"clip_mm": 0.5}),
        ("tied", "tie eh 61 lot 7", {"instrument": "english horn", "overall_mm": 61, "lot": "7"}),
        ("wired", "wire", {}),  # not as last time: it says what it says
        ("played", "p 30", {"minutes": 30}),
        ("retired", "retire dropped", {"cause": "dropped"}),
    ],
)
def test_an_event_says_something_else(maker: Maker, kind: str, line: str, facts: Facts) -> None:
    step = _step(maker, kind)
    amending = _amend(maker, kind, line)
    assert amending.error is None
    assert amending.action is not None
    assert (amending.action.facts, amending.action.at, amending.action.before) == (
        facts, step.at, None if kind == "tied" else step.before,
    )  # fmt: skip
    _write(maker, step, amending.action)
    assert next(s for s in maker.reed("142").steps if s.event.uid == step.event.uid).facts == facts


def test_an_amended_clip_changes_what_came_after(maker: Maker) -> None:
    action = _amend(maker, "clipped", "clip .5").action
    assert action is not None
    _write(maker, _step(maker, "clipped"), action)
    assert maker.reed("142").now.overall_mm == 59.5
    assert maker.reed("142").stage == "retired"


def test_an_event_moves_to_another_time(maker: Maker) -> None:
    at = NOW + timedelta(seconds=90)
    amending = _amend(maker, "played", f"p 45 8 @{at.isoformat()}")
    assert amending.action is not None
    assert amending.action.at == at


@pytest.mark.parametrize(
    ("kind", "line", "error"),
    [
        ("clipped", "clip", "how much? such as clip .5"),
        ("clipped", "clip 40", "that would leave 20 mm"),
        ("clipped", "scrape 5", "an amendment says one thing of the same kind (clipped)"),
        ("clipped", "clip 1; clip 1", "an amendment says one thing of the same kind (clipped)"),
        ("clipped", "143 clip 1", "leave the tag out; this event stays with its reed"),
        ("clipped", "lot 7 20 pieces", "lot is not said of a reed"),
        ("clipped", "take back", "take is not a verb"),
        ("clipped", "", "an amendment says one thing of the same kind (clipped)"),
        ("tied", "tie", "for which instrument?"),
    ],
)
def test_what_cannot_be_amended_to(maker: Maker, kind: str, line: str, error: str) -> None:
    amending = _amend(maker, kind, line)
    assert amending.action is None
    assert amending.error is not None
    assert amending.error.startswith(error)


def test_odd_is_asked(maker: Maker) -> None:
    assert _amend(maker, "clipped", "clip 4").questions == ("clip 4 mm is much; usual is 2.5 mm or less",)
    assert _amend(maker, "tied", "tie eh 60 tube T4").questions == ()
