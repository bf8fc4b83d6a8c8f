"""Whether there will be enough good reeds on a day: reckoned by letting each reed go on as past reeds went on.

`past` gathers what the log knows: how blanks fared, how reeds in service lasted and kept their score, how much is
played; `taking` which reeds were taken up, `shares` how long finished ones waited for that, and `scoring` how scores
were given. `common` holds what stands in for it where the log is thin. `blanks` draws the past blanks that one may
follow, `ways` what the maker does with her reeds and `ahead` the playings; `rotation` plays the days until then,
`simulation` puts them together, `forecast` asks the questions and `telling` puts the answer in words.
"""

from __future__ import annotations

from reedkin.answers.ready.forecast import Plan, Readiness, Wish, readiness
from reedkin.answers.ready.telling import readiness_as_dict, readiness_text

__all__ = ["Plan", "Readiness", "Wish", "readiness", "readiness_as_dict", "readiness_text"]
