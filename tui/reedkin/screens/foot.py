"""The pedals on the bench: their keys are learnt by pressing them, and what each press did is shown large."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Role, Run
from reedkin.domain.held_key import AGAIN_SECONDS, HeldKey
from reedkin.domain.pedal import KEYS, ON
from reedkin.errors import ReedkinError
from reedkin.grammar.actions import BesideAction, Reading
from reedkin.pedal import Did, Footfall, Pedal

if TYPE_CHECKING:
    from reedkin.desk import Desk
    from reedkin.domain.events import Record

_MARKS: dict[Did, tuple[str, Role]] = {
    Did.RECORDED: ("✓ ", "good"), Did.WENT_BACK: ("↶ took back: ", "warn"), Did.ASKED: ("? ", "warn"),
    Did.NOTHING: ("✗ ", "error"),
}  # fmt: skip


class Foot:
    """Takes the keys of the pedals while the entry line is empty. `say` shows lines above it, `show` what a press did:
    to which reed, what, which one is in hand now, and what comes then. `care` gives the cautions that go with an
    entry. `keys` hears the other keys as well. `later` does something after so many seconds, and `settled` hears that
    no key need wait any more."""

    def __init__(
        self,
        desk: Desk,
        say: Callable[..., None],
        show: Callable[[str, Run, str, str], None],
        care: Callable[[Reading], list[str]],
        keys: HeldKey,
        later: Callable[[float, Callable[[], None]], object],
        settled: Callable[[], None],
    ) -> None:
        self._desk, self._say, self._show, self._care = desk, say, show, care
        self._later, self._settled = later, settled
        self._pedal = Pedal(desk, keys)
        self._learnt: list[str] | None = None
        """The keys of the pedals as far as they are learnt; None where they are not being learnt."""

    def key(self, key: str, at: float) -> bool:
        """Take a key that was pressed `at` a moment in seconds, if it is for a foot."""
        if self._learnt is not None:
            self._learn(self._learnt, key)
            return True
        if not self._pedal.is_for(key):
            return False
        step = self._pedal.press(key, at)
        if step is not None:
            self._tell(step)
        elif self._pedal.unsure is not None:
            self._later(AGAIN_SECONDS, self._settle)
        return True

    def holds(self, key: str) -> bool:
        """Whether another key has to wait until it shows whether a pedal was pressed again, or is held down."""
        return self._pedal.unsure not in (None, key)

    def _settle(self) -> None:
        step = self._pedal.settle()
        if step is not None:
            self._tell(step)
        self._settled()

    def entered(self, entry: Sequence[Record], since: datetime) -> str:
        """A line was recorded, before which the bench clock had begun at `since`: which reed is in hand now, where that
        is the next one."""
        step = self._pedal.entered(entry, since) if self._desk.bench.settings.pedal is not None else None
        if step is None:
            return ""
        self._show(step.tag, Run(f"✓ {step.words}", "good"), step.hand, step.further)
        return f"{step.hand} is in hand. {step.further}"

    def _tell(self, step: Footfall) -> None:
        mark, role = _MARKS[step.did]
        done = Run(f"{mark}{step.words}", role)
        asked = "The right pedal again records it as it is; the left leaves it."
        further = asked if step.did is Did.ASKED else step.further
        now = f"{step.hand} is in hand. {further}" if step.hand else "No reed is in hand."
        care = self._care(step.reading) if step.reading is not None else []
        self._say(Run(f"{step.tag}  {done.text}".strip(), role), Run(now, "strong"), *[Run(line) for line in care[:1]])
        self._show(step.tag, done, step.hand, further)

    # Learning

    @staticmethod
    def turns_on(reading: Reading) -> bool:
        """Whether a line turns the pedals on without saying which keys they are."""
        said = reading.actions[0] if len(reading.actions) == 1 else None
        return isinstance(said, BesideAction) and said.facts.get("pedal") == ON and len(said.facts) == 1

    def learn(self) -> None:
        """Learn the keys of the pedals, right then left."""
        self._learnt = []
        self._ask("right")

    def _learn(self, learnt: list[str], key: str) -> None:
        side = "left" if learnt else "right"
        if key == "escape":
            self._learnt = None
            self._say(Run("The pedals stay as they were.", "warn"))
        elif key not in KEYS:
            self._ask(side, f"{key} is no key that pedals send: they send {', '.join(KEYS.values())}.")
        elif key in learnt:
            self._ask(side, f"{KEYS[key]} is the right one.")
        else:
            learnt.append(key)
            self._ask("left") if len(learnt) < 2 else self._learned(learnt)

    def _learned(self, learnt: list[str]) -> None:
        self._learnt = None
        reading = self._desk.read(f"set pedal {','.join(learnt)}")
        said = self._desk.explain(reading)
        try:
            self._desk.record(reading)
        except ReedkinError as error:
            self._say(Run(f"✗ {error}", "error"))
            return
        self._say(
            *(Run(f"✓ {line}", "good") for line in said),
            Run("With the line empty, the right one records a scrape and takes the next reed; the left goes back."),
        )

    def _ask(self, side: str, wrong: str = "") -> None:
        """Ask for the pedal of a side; what was `wrong` with the key before."""
        self._say(*([Run(wrong, "warn")] if wrong else []), Run(f"Press the {side} pedal. Escape leaves it.", "strong"))
