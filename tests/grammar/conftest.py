"""What the tests of the entry line share."""

from __future__ import annotations

import pytest
from tests.domain.maker import Maker


@pytest.fixture
def maker() -> Maker:
    """English horn reed 142 in hand, with 12 (an oboe reed named Eva) and the retired 11 beside it."""
    return Maker(
        "11 tie eh 60", "11 retire cracked", "12 join oboe 5h overall 70.5 name Eva", "142 tie eh 60 lot 7 tube 27"
    )
