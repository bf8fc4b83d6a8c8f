"""The program's clock: local time, also where it is set to another season."""

from __future__ import annotations

import time
from datetime import datetime, timedelta

import pytest

from reedkin.domain.clock import Clock


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of the process cannot be set here")
def test_a_clock_that_is_moved_to_another_season_keeps_the_time_of_that_season(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as zone:
        zone.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")  # as POSIX writes it, for machines that know no zones by name
        time.tzset()
        moments = [Clock(-timedelta(days=days)).now() for days in (0, 91, 182, 273)]
        local = [datetime.fromtimestamp(moment.timestamp()).astimezone() for moment in moments]
    time.tzset()
    assert [moment.utcoffset() for moment in moments] == [moment.utcoffset() for moment in local]
    assert len({moment.utcoffset() for moment in moments}) == 2
