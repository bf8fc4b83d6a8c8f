"""The time of day as the program sees it: one object that tests and the demo can set."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, tzinfo


class Clock:
    """Tells the time, with the local offset. `shift` moves it, and `zone` takes it elsewhere, so that a demo log can be
    opened on its own day and where it was kept."""

    def __init__(self, shift: timedelta = timedelta(0), zone: tzinfo | None = None) -> None:
        self.shift, self.zone = shift, zone

    def now(self) -> datetime:
        """The present moment to the second, with the offset from UTC that holds here at that moment."""
        return (datetime.now(UTC) + self.shift).astimezone(self.zone).replace(microsecond=0)

    def local(self, moment: datetime) -> datetime:
        """`moment` in local time; one without an offset is taken as local already. Where the system knows no local time
        of then (Windows of nothing before 1970), with the offset that holds now."""
        if self.zone is not None and moment.tzinfo is None:
            return moment.replace(tzinfo=self.zone)
        try:
            return moment.astimezone(self.zone)
        except OSError:
            here = self.now().tzinfo
            return moment.replace(tzinfo=here) if moment.tzinfo is None else moment.astimezone(here)

    def passed(self, begin: datetime, minutes: int) -> int:
        """The minutes that pass from `begin` until the hands of the clock stand so many further on: an hour more or
        less in the nights in which summer time begins or ends."""
        begin = self.local(begin)
        end = self.local(begin.replace(tzinfo=None) + timedelta(minutes=minutes))
        return round((end - begin).total_seconds() / 60)


class FixedClock(Clock):
    """A clock that stands still until it is moved."""

    def __init__(self, moment: datetime) -> None:
        super().__init__()
        if moment.tzinfo is None:
            raise ValueError("a fixed clock needs a moment with an offset from UTC")
        self.moment = moment

    def now(self) -> datetime:
        return self.moment

    def local(self, moment: datetime) -> datetime:
        """Local time is the zone that the clock was set in, so that tests do not depend on the machine's."""
        if moment.tzinfo is None:
            return moment.replace(tzinfo=self.moment.tzinfo)
        return moment.astimezone(self.moment.tzinfo)

    def forward(self, **step: float) -> None:
        """Move on by a `timedelta` given in keywords, such as ``minutes=5``."""
        self.moment += timedelta(**step)


def day_beside(at: datetime, now: datetime) -> date:
    """The day of a moment, by the offset from UTC that holds now."""
    return at.astimezone(now.tzinfo).date()
