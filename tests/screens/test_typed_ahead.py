"""Random keys posted to the program without a pause: the log holds what a slow typist would have."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st
from textual import events

from reedkin.app import ReedkinApp
from reedkin.desk import Desk
from reedkin.domain.clock import FixedClock
from reedkin.store.log import Log
from tests.typist import KEYS, Typist, strokes_of, written

TIED = strokes_of("1-4 tie eh 60 lot 7 tube 27<enter>")
STROKES = st.lists(
    st.one_of(
        st.sampled_from(["note a", "2 note b", "3 c .5", "crow 900 Hz", "s tip 9", "x", "7", " ", ";", "4 score 8"]),
        st.sampled_from(KEYS).filter(lambda key: key != "f2").map("<{}>".format),
        st.just("<enter>"),
    ),
    max_size=40,
)


@settings(max_examples=8, deadline=None)
@given(STROKES)
def test_what_is_typed_without_a_pause_is_recorded_as_if_typed_slowly(drawn: list[str]) -> None:
    strokes = [*TIED, *strokes_of("".join(drawn) + "<enter><f2>")]
    now = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
    with TemporaryDirectory() as folder:
        slow, fast = Path(folder) / "slow.jsonl", Path(folder) / "fast.jsonl"
        with Log(slow, FixedClock(now)) as log:
            Typist(Desk(log)).type(strokes)
        asyncio.run(_type_at_once(fast, FixedClock(now), strokes))
        assert written(fast) == written(slow)


async def _type_at_once(log: Path, clock: FixedClock, strokes: list[str]) -> None:
    """Post all keys at once, before the log has been read."""
    app = ReedkinApp(log, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        for stroke in strokes:
            app.post_message(events.Key(stroke, None))
        await app.workers.wait_for_complete()
        await pilot.pause()
        await app.turns.at_rest()
