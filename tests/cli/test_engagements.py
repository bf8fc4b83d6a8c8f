"""`reedkin engagements`."""

from __future__ import annotations

from tests.cli.conftest import CommandLine


def test_what_is_to_come_and_what_is_over(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    assert "None is to come. To enter one: reedkin add engage 12 March" in run.done("engagements").out
    run.enter('engage 13 March 19:30 3 "second night"', "engage 14 March rehearsal", "engage 15 March")
    run.enter("engage 15 March off")
    assert run.done("engagements").lines == [
        "Fri 13 Mar 2026 19:30  3 english horn reeds, performance  second night",
        "Sat 14 Mar 2026        1 english horn reed, rehearsal",
    ]
    assert "called off" in run.done("engagements", "--all").lines[-1]
    run.clock.forward(days=2)
    assert [one["reeds"] for one in run.done("engagements", "--json").json["engagements"]] == [1]
    run.enter("take back")
    assert len(run.done("engagements", "--json").json["engagements"]) == 2
