"""The line at the top of every screen: the day, how the log is open, the work session."""

from __future__ import annotations

from reedkin.charts.canvas import Run
from reedkin.domain.figures import weekday_words
from reedkin.screens.parts.program import Program


def day_and_session(program: Program) -> list[Run]:
    """The day and the work session, for the line at the top."""
    now = program.clock.now()
    runs = [Run(f"  {weekday_words(now)} {now:%H:%M}", "faint")]
    if program.demo:
        runs.append(Run("  demo", "warn"))
    desk = program.desk
    if desk is None:
        return [*runs, Run("  reading the log …", "faint")]
    if desk.log.read_only:
        runs.append(Run("  reading only", "warn"))
    if desk.bench.settings.pedal is not None:
        runs.append(Run("  pedal", "target"))
    session, forgotten = desk.session, desk.forgotten_session()
    if session is None:
        return [*runs, Run("  no session", "faint")]
    if forgotten is not None:
        day = weekday_words(session.started)
        return [*runs, Run(f"  the session of {day} was left open: F9 ends it", "warn")]
    from reedkin.answers.reed.history import conditions  # not before the first paint

    words = (f"session {session.started:%H:%M}", conditions(session))
    return [*runs, Run("  " + ", ".join(word for word in words if word), "good")]
