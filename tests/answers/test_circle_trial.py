"""A circle's trial: each maker draws by a chance of her own, and all their reeds are compared, each with her own."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.answers.logs import BEGUN as LATER
from tests.answers.trial_logs import Maker, Plan, simulated
from tests.shares import share

from reedkin.answers.circle.giving import share_of
from reedkin.answers.circle.giving_words import whole_lines
from reedkin.answers.circle.trial_files import file_of, joining_line, usual_name
from reedkin.answers.circle.trial_together import trial_together
from reedkin.answers.circle.trial_words import circle_lines
from reedkin.answers.trials.comparison import compare
from reedkin.answers.trials.words import comparison_lines
from reedkin.bench.trials import assignments, trials
from reedkin.errors import InputError
from reedkin.grammar.reading import read
from reedkin.store.circle.shares import Share, TrialShare, share_bytes, write_share
from reedkin.store.circle.shares import share_of as read_share
from reedkin.store.circle.trial_files import read_trial_file, write_trial
from reedkin.study.study import Study

START = "trial start wire before or after eh for 40"


def begun(seed: int = 1) -> Maker:
    maker = Maker(seed)
    maker.enter(f"{START} for the circle")
    return maker


def joined(seed: int, first: Maker) -> Maker:
    maker = Maker(seed)
    maker.enter(joining_line(file_of(first.trial)))
    return maker


def ways(maker: Maker, reeds: int = 24) -> list[int]:
    maker.enter(f"1-{reeds} tie eh 60 lot 7 tube 27")
    return [one.way for one in assignments(maker.trial, maker.bench)]


@pytest.mark.parametrize("words", ["for the circle", "for circle"])
def test_it_is_started_for_the_circle(words: str):
    maker = Maker()
    maker.enter(f"trial start wire before or after eh {words} for 40")
    assert maker.trial.of_circle
    assert (maker.trial.ways, maker.trial.planned, maker.trial.instrument) == (("before", "after"), 40, "english horn")
    own = Maker()
    own.enter(START)
    assert own.trial.of_circle == ""


def test_what_it_is_known_by_gives_no_draw_away():
    maker = begun()
    assert maker.trial.uid not in maker.trial.of_circle
    assert len(maker.trial.of_circle) == 32


def test_each_draws_by_a_chance_of_her_own_and_one_maker_more_changes_nothing():
    first = begun()
    alone = ways(begun())
    second, third = joined(2, first), joined(3, first)
    assert {one.trial.of_circle for one in (first, second, third)} == {first.trial.of_circle}
    drawn = ways(second), ways(third)
    assert ways(first) == alone  # as if nobody had joined
    assert drawn[0] != drawn[1] != alone
    assert ways(joined(2, first)) == drawn[0]


def test_the_file_takes_every_name_and_way_along(tmp_path: Path):
    maker = Maker()
    maker.enter('trial start "wire two" "before the first clip" or "after it" oboe for 60 for the circle')
    path = write_trial(tmp_path / usual_name(maker.trial), file_of(maker.trial))
    assert path.name == "wire-two-trial.json"
    other = Maker(2)
    other.enter(joining_line(read_trial_file(path)))
    for name in ("name", "ways", "planned", "instrument", "of_circle"):
        assert getattr(other.trial, name) == getattr(maker.trial, name)
    again = read(joining_line(read_trial_file(path)), other.bench)
    assert "there is a trial wire two already" in again.errors[0].message


@pytest.mark.parametrize(
    "change",
    [("english horn", "kazoo"), ("40", "4000000"), ('"before"', '"be\\u001bfore"'), ('"before"', '"a\\" or b"'),
     ('"wire"', '" "'), ('"version": 1', '"version": 2'), ('"before"', '"' + "x" * 61 + '"'), ("{", "["),
     ('"trial": "', '"trial": "Z')],
)  # fmt: skip
def test_a_file_that_cannot_be_is_refused(tmp_path: Path, change: tuple[str, str]):
    path = write_trial(tmp_path / "wire.json", file_of(begun().trial))
    assert change[0] in path.read_text()
    path.write_text(path.read_text().replace(change[0], change[1], 1))
    with pytest.raises(InputError, match=r"wire\.json"):
        read_trial_file(path)
    with pytest.raises(InputError, match="cannot be read"):
        read_trial_file(tmp_path / "none.json")


def test_among_the_files_of_the_circle_it_is_told_what_to_do_with_it(tmp_path: Path):
    path = write_trial(tmp_path / "wire.json", file_of(begun().trial))
    with pytest.raises(InputError, match="a trial to be taken in"):
        read_share(path.read_bytes(), path.name)


def given_by(maker: Maker) -> Share:
    study = Study.of_bench(maker.bench)
    made = share_of(study, maker.bench)
    assert read_share(share_bytes(made), "x") == made
    return made


def lived(seed: int, first: Maker | None, times: float = 2.5) -> Maker:
    """A maker in whose log a circle's trial ran."""
    maker = simulated(seed, Plan(planned=40, reeds=48, times=times))
    # As if it had been started for the circle: the statement says so.
    known = "" if first is None else first.trial.of_circle
    return _for_the_circle(maker, known)


def _for_the_circle(maker: Maker, known: str) -> Maker:

    from reedkin.bench.bench import Bench
    from reedkin.bench.trials import BEGUN_HERE

    begun_by = [record for record in maker.records if record.uid == maker.trial.uid]
    said = begun_by[0]._replace(facts={**begun_by[0].facts, "circle": known or BEGUN_HERE})  # type: ignore[union-attr]
    maker.records = [said if record.uid == said.uid else record for record in maker.records]
    maker.bench = Bench.of(maker.clock, maker.records)
    return maker


def test_all_makers_reeds_are_compared_each_with_her_own(tmp_path: Path):
    first = lived(3, None)
    for seed in (4, 5):
        write_share(tmp_path / f"maker{seed}.json", given_by(lived(seed, first)))
    write_share(tmp_path / "mine.json", given_by(first))
    write_share(tmp_path / "other.json", share(9))  # of another trial
    (tmp_path / "broken.json").write_text("{")
    first.bench.circle = tmp_path
    found = compare(first.trial, first.bench)
    circle = found.circle
    assert circle is not None
    assert [name for name, _ in circle.makers] == ["maker4", "maker5"]
    assert circle.whole is not None
    assert circle.whole.ratio > 1.5
    assert circle.settled
    said = " ".join(comparison_lines(found))
    assert f"you and 2 other makers, {circle.worn} of at most 40 worn out" in said
    assert "Settled in the circle: make them “before”" in said
    assert found.to_json()["circle"]["makers"] == ["maker4", "maker5"]
    counts = [arm.worn for arm in found.arms]
    assert circle.worn == sum(counts) + sum(sum(one.worn_out) for _, one in circle.makers)
    assert "A trial of the circle: " in " ".join(whole_lines(given_by(first)))


def part(more: float, variance: float, mark: int) -> TrialShare:
    return TrialShare("0" * 32, f"{mark:012x}", (20, 20), (18, 18), (16, 16), more, variance)


def together(tmp_path: Path, *others: tuple[float, float], own: tuple[float, float] = (3.0, 6.0)) -> list[str]:
    for place, one in enumerate(others, 1):
        write_share(tmp_path / f"m{place}.json", share(place, trials=(part(*one, place),)))
    return circle_lines(begun().trial, trial_together(part(*own, 99), tmp_path))


def test_one_file_settles_nothing_alone_and_is_named(tmp_path: Path):
    said = " ".join(together(tmp_path, (9.5, 8.0), own=(2.5, 3.0)))
    assert "Settled" not in said
    assert "it rests on the file of m1" in said


def test_makers_who_differ_and_nobody_yet(tmp_path: Path):
    assert "you alone so far" in " ".join(together(tmp_path))
    said = " ".join(together(tmp_path, (-4.0, 6.0), (4.5, 6.0), (-4.0, 6.0)))
    assert "Makers differ in it" in said
    assert "not luck" in said
    empty = circle_lines(begun().trial, trial_together(part(0.0, 0.0, 99), tmp_path / "none"))
    assert "you alone" in empty[0]


def test_a_way_that_is_worse_is_told_the_other_way_round(tmp_path: Path):
    said = " ".join(together(tmp_path, (-5.0, 7.0), (-5.0, 7.0), (-5.0, 7.0), own=(-5.0, 7.0)))
    assert "Settled in the circle: make them “after”" in said
    assert trials(begun().bench)[0].started > LATER
