"""`reedkin stock`."""

from __future__ import annotations

import re

from tests.cli.conftest import CommandLine


def test_a_reed_has_one_score_everywhere_and_its_form_is_called_so(run: CommandLine) -> None:
    """By hand: the last of 4, 8 and 9, and the middle one of them."""
    run.enter("1 tie eh 60", "1 play 30 4", "1 play 30 8", "1 play 30 9")
    (stocked,), (held,) = (run.done(word, "--json").json["reeds"] for word in ("stock", "case"))
    shown = run.done("show", "1", "--json").json
    assert stocked["score"] == held["score"] == shown["score"] == 9
    assert held["form"] == 8
    assert "form 8" in run.done("case").out


def test_the_living_reeds(run: CommandLine) -> None:
    run.enter(
        "1-3 tie oboe 72", "4 join eh 5h overall 58.5 score 7", "1 scrape tip 10m", "1 play 45 8",
        "2 retire never came good",
    )  # fmt: skip
    run.clock.forward(hours=30)
    reeds = {reed["tag"]: reed for reed in run.done("stock", "--json").json["reeds"]}
    assert reeds.keys() == {"1", "3", "4"}
    assert (reeds["1"]["stage"], reeds["1"]["hours_played"], reeds["1"]["score"]) == ("in service", 0.75, 8)
    assert (reeds["3"]["stage"], reeds["3"]["score"], reeds["3"]["rest_hours"]) == ("blank", None, None)
    assert (reeds["4"]["hours_played"], reeds["4"]["overall_mm"]) == (5, 58.5)
    # Played at 10:10; the clock stands 30 h after 10:12.
    assert reeds["1"]["rest_hours"] == 30.0333
    *lines, empty, star = run.done("stock").lines
    assert [line.split()[0] for line in lines] == ["3", "1", "4"]
    assert (empty, star) == ("", "* none of yours is worn out yet: by common practice, lives of 10 to 15 h")
    assert re.fullmatch(r"3 +oboe +blank +72\.0 mm +tied, 1 day ago", lines[0])
    assert re.match(
        r"1 +oboe +in service +72\.0 mm +played 45 min +hours left \d+ \(.*last score 8\.0 +rested ", lines[1]
    )


def test_no_living_reed(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 retire cracked")
    assert run.done("stock", "--json").json == {"reeds": []}
    assert "No living reeds" in run.done("stock").out
