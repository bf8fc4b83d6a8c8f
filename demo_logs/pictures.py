"""The pictures of the README, made from the demo: `python -m demo_logs.pictures`, again whenever the demo changed.

They are what the program itself shows, on a log whose clock stands still on its last day, so that the same demo gives
the same pictures.
"""

from __future__ import annotations

import asyncio
import re
import tempfile
from pathlib import Path

from textual import events
from textual.keys import _character_to_key

from reedkin.app import ReedkinApp
from reedkin.cli.commands.demo import clock_on_last_day, demo_log
from reedkin.domain.clock import Clock, FixedClock
from reedkin.screens.parts.reckoning import ReckoningScreen
from reedkin.store.log import Log
from reedkin.widgets.reed_panel import ReedPanel

FOLDER = Path(__file__).parent / "pictures"
SIZE = (100, 30)
PICTURES = {
    "bench": "{tag} clip .4; scrape tip 5",
    "habits": "<f5>",
    "reed": "{tag}<enter>",
}
"""The pictures, and what is typed for each; the tag is that of a reed in service that was measured."""
_KEY = re.compile(r"<(\w+)>|(.)", re.DOTALL)
_ELSEWHERE = re.compile(r"@font-face \{.*?\}|<!--.*?-->", re.DOTALL)


async def taken(typed: str) -> str:
    """What the demo shows after something was typed, as an SVG that loads nothing from elsewhere."""
    original = demo_log("three-seasons")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / original.name
        path.write_bytes(original.read_bytes())
        with Log(path, Clock(), read_only=True) as log:
            measured = [reed for reed in log.bench.at_work() if reed.now.tip_from_mm and reed.now.playings]
            tag = max(measured, key=lambda reed: (reed.instrument == "english horn", reed.now.playings)).tag
        app = ReedkinApp(path, FixedClock(clock_on_last_day(path).now().replace(second=0, microsecond=0)), demo=True)
        async with app.run_test(size=SIZE) as pilot:
            await app.workers.wait_for_complete()
            await pilot.pause()
            for named, character in _KEY.findall(typed.format(tag=tag)):
                app.post_message(events.Key(named or _character_to_key(character), character or None))
            await pilot.pause()
            await app.turns.at_rest()
            while isinstance(app.screen, ReckoningScreen) and app.screen.is_busy:
                await pilot.pause(0.05)
            await pilot.pause(0.5)  # the drawing looks ahead once the hand rests
            for panel in app.screen.query(ReedPanel):
                panel.look_ahead()
            await pilot.pause()
            return _ELSEWHERE.sub("", app.export_screenshot(title="reedkin", simplify=True))


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    for name, typed in PICTURES.items():
        (FOLDER / f"{name}.svg").write_text(asyncio.run(taken(typed)), encoding="utf-8")
        print(FOLDER / f"{name}.svg")


if __name__ == "__main__":
    main()
