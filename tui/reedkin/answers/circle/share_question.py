"""What would be given to a circle?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from reedkin.answers.question import Asked
    from reedkin.store.circle.shares import Share
    from reedkin.study.ticks import Tick


@dataclass(frozen=True, slots=True)
class Giving:
    """What a log gives."""

    share: Share

    def to_json(self) -> dict[str, Any]:
        """The very file."""
        from msgspec import to_builtins

        return dict(to_builtins(self.share))

    def lines(self) -> list[str]:
        from reedkin.answers.circle.giving_words import giving_lines

        return giving_lines(self.share)


@dataclass(frozen=True, slots=True)
class ShareQuestion:
    """What would be given to a circle?"""

    def answer(self, asked: Asked, tick: Tick) -> Giving:
        from reedkin.answers.circle.giving import share_of

        return Giving(share_of(asked.study, asked.bench, tick))
