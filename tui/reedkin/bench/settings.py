"""What the maker set once for all: the measures she aims at, her own A4, and how she weighs and believes."""

from __future__ import annotations

from collections.abc import Mapping

from reedkin.bench.beside import Beside
from reedkin.domain.facts import FACTS, LOOKS, Value
from reedkin.domain.instruments import Targets, starting_targets, with_changes
from reedkin.domain.known import number
from reedkin.domain.pedal import OFF, pedal_keys
from reedkin.domain.periods import Period, month_number
from reedkin.domain.pitch import STANDARD_A4

TARGETS = "targets"
"""The table of the targets; the subjects are instruments."""
SETTINGS = "settings"
"""The table of the settings, whose one subject is SETTINGS_SUBJECT."""
SETTINGS_SUBJECT = "maker"

USUAL_PUBLIC = 7.0
"""The score from which a reed is played in public, if the maker has not set hers (common practice, no source)."""
NOT_KEPT = "off"
"""In place of a folder: sounds are not kept."""


class Settings:
    """The maker's own settings and targets; where she set none, those that the program starts with."""

    def __init__(self, beside: Beside) -> None:
        self._beside = beside

    @property
    def facts(self) -> Mapping[str, Value]:
        """What she set, by name."""
        return self._beside.subjects(SETTINGS).get(SETTINGS_SUBJECT, {})

    @property
    def a4(self) -> float:
        """The player's own A4 in Hz."""
        a4 = number(self.facts, "a4_hz")
        return STANDARD_A4 if a4 is None else a4

    @property
    def public(self) -> float:
        """The score from which she plays a reed in public."""
        public = number(self.facts, "public")
        return USUAL_PUBLIC if public is None else public

    @property
    def pedal(self) -> tuple[str, str] | None:
        """The keys of the right pedal and the left; None without one."""
        said = self.facts.get("pedal", OFF)
        return None if FACTS["pedal"].impossible(said) else pedal_keys(str(said))

    @property
    def keep_sounds(self) -> str | None:
        """The folder in which what the microphone hears is kept; None where it is not, which is the usual."""
        folder = self.facts.get("keep_sounds", NOT_KEPT)
        return None if folder == NOT_KEPT else str(folder)

    @property
    def look(self) -> str | None:
        """The look of the screens that she set; None where the terminal's ground decides."""
        look = self.facts.get("look")
        return look if isinstance(look, str) and look in LOOKS else None

    def begins(self, period: Period) -> int:
        """The month with which a year or a season begins."""
        return 1 if period == "year" else month_number(self.facts.get("season_from"))

    def targets(self, instrument: str) -> Targets:
        """The measures the maker aims at on an instrument."""
        return with_changes(starting_targets(instrument), self._beside.subjects(TARGETS).get(instrument, {}))
