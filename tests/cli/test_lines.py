"""`reedkin add` without an entry: from a pipe, and at a prompt on a terminal."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from reedkin.cli.main import guarded
from reedkin.desk import Desk
from reedkin.domain.events import Record
from reedkin.grammar.reading import Reading
from reedkin.store.errors import LogWriteError
from tests.cli.conftest import CommandLine, Ran, Typist
from tests.hearing.crows import Made, write_wav
from tests.hearing.devices import put_in, that_hears
from tests.store.making import content


@pytest.fixture
def piped(run: CommandLine, monkeypatch: pytest.MonkeyPatch) -> object:
    def pipe(*lines: str, options: tuple[str, ...] = ()) -> Ran:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        return run("add", *options)

    return pipe


@pytest.fixture
def spoken(run: CommandLine, monkeypatch: pytest.MonkeyPatch) -> object:
    def speak(*lines: str) -> Ran:
        monkeypatch.setattr("sys.stdin", Typist("".join(f"{line}\n" for line in lines)))
        return run("add")

    return speak


def kinds(run: CommandLine, tag: str) -> list[str]:
    return [event["kind"] for event in run.done("show", tag, "--json").json["events"]]


class TestPiped:
    def test_every_line_is_an_entry(self, run: CommandLine, piped) -> None:
        ran = piped("1-2 tie eh 60 tube 27", "", "1 scrape tip 5", "clip .5")
        assert ran.code == 0, ran.err
        assert [line.split(" →")[0] for line in ran.lines] == [
            "1, 2: tied as English horn, 60 mm, tube 27 mm",
            "1: scraped tip, 5 min",
            "1: clipped 0.5 mm",
        ]
        assert kinds(run, "1") == ["tied", "scraped", "clipped"]

    def test_one_that_fails_is_told_by_its_line_and_the_others_are_kept(self, run: CommandLine, piped) -> None:
        ran = piped("\ufeff1 tie eh 60", "", "1 frobnicate", '1 note "sp\udce4t"', "1 clip .5")
        assert ran.code == 2
        assert "line 3: not recorded: frobnicate" in ran.err
        assert "line 4: not recorded: it is not UTF-8 text" in ran.err
        assert kinds(run, "1") == ["tied", "clipped"]

    def test_where_the_log_takes_no_more_it_is_told_at_which_line(
        self, run: CommandLine, piped, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        record = Desk.record

        def full(desk: Desk, reading: Reading) -> list[Record]:
            if len(desk.bench):
                raise LogWriteError("Not recorded: no space is left.")
            return record(desk, reading)

        monkeypatch.setattr(Desk, "record", full)
        ran = piped("1 tie eh 60", "", "1 clip .5", "1 clip .2")
        assert ran.code == 3
        assert ran.err.splitlines() == [
            "reedkin: Stopped at line 3; those before it were taken.", "reedkin: Not recorded: no space is left.",
        ]  # fmt: skip

    def test_bytes_that_are_no_text_stop_no_other_line(
        self, run: CommandLine, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        given = io.BytesIO('1 tie eh 60\n1 note "spät"\n1 clip .5\n'.encode("latin-1"))
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(given, encoding="utf-8"))  # as most systems have it
        assert guarded(["--log", str(run.path), "add"]) == 2
        assert "line 2: not recorded: it is not UTF-8 text" in capsys.readouterr().err
        assert kinds(run, "1") == ["tied", "clipped"]

    def test_what_is_odd_is_recorded_and_told_since_nobody_can_answer(self, run: CommandLine, piped) -> None:
        ran = piped("1 tie eh 60", "1 clip 9")
        assert ran.code == 0
        assert "line 2: recorded, but: clip 9 mm is much" in ran.err

    def test_strict_refuses_what_is_odd(self, run: CommandLine, piped) -> None:
        ran = piped("1 tie eh 60", "1 clip 9", options=("--strict",))
        assert ran.code == 2
        assert kinds(run, "1") == ["tied"]

    def test_nothing_leaves_no_log_behind(self, run: CommandLine, piped) -> None:
        assert piped().code == 0
        assert piped("nonsense").code == 2
        assert not run.path.exists()

    def test_a_question_of_the_prompt_is_no_entry(self, run: CommandLine, piped) -> None:
        run.enter("1 tie eh 60")
        assert piped("stock").code == 2
        assert piped("bye").code == 2


class TestSpoken:
    def test_the_prompt_is_the_reed_in_hand(self, run: CommandLine, spoken) -> None:
        ran = spoken("1-2 tie eh 60", "2 scrape tip 5", "clip .5", "bye", "1 clip .5")
        assert ran.code == 0
        assert "no reed: " in ran.out
        assert "2: " in ran.out
        assert kinds(run, "2") == ["tied", "scraped", "clipped"]
        assert kinds(run, "1") == ["tied"]

    def test_what_is_odd_is_asked_in_words(self, run: CommandLine, spoken) -> None:
        ran = spoken("1 tie eh 60", "1 clip 9", "no", "1 clip 8", "yes")
        assert "A question: clip 9 mm is much" in ran.out
        assert "Not recorded." in ran.out
        assert kinds(run, "1") == ["tied", "clipped"]
        assert run.done("show", "1", "--json").json["overall_mm"] == pytest.approx(52)

    def test_an_end_at_a_question_records_nothing(self, run: CommandLine, spoken) -> None:
        assert spoken("1 tie eh 60", "1 clip 9").code == 0
        assert kinds(run, "1") == ["tied"]

    def test_take_back(self, run: CommandLine, spoken) -> None:
        ran = spoken("1 tie eh 60", "1 clip .5", "take back")
        assert "Taken back: 1: clipped 0.5 mm" in ran.out
        assert kinds(run, "1") == ["tied"]

    def test_who_and_last(self, run: CommandLine, spoken) -> None:
        ran = spoken("who", "last", "1-2 tie eh 60", "2 clip .5", "who is in hand?", "last")
        assert "No reed is in hand." in ran.out
        assert "Nothing is recorded." in ran.out
        assert "Reed 2, English horn, in progress." in ran.out
        assert "Last: 2: clipped 0.5 mm" in ran.out

    def test_a_tag_that_another_program_wrote_steers_no_terminal(self, run: CommandLine, spoken) -> None:
        first, made = "01930000-0000-7000-8000-000000000001", "2026-03-01T10:00:00+00:00"
        tied = {"kind": "tied", "tag": "7\x1b[2J", "at": made, "recorded": made, "entry": first, "facts": {}}
        run.path.parent.mkdir()
        run.path.write_bytes(content([[(f"reed {first}", first, tied)]]))
        ran = spoken("who")
        assert ran.out.endswith("7␛[2J: \n")
        assert "\x1b" not in ran.out + ran.err

    @pytest.mark.parametrize(
        ("asked", "answered"),
        [
            ("show 1", "English horn"),
            ("1", "English horn"),
            ("stock", "English horn"),
            ("week", "tied: 1 eh"),
            ("?", "Ctrl+D"),
        ],
    )
    def test_every_answer_comes_from_the_same_prompt(self, run: CommandLine, spoken, asked: str, answered: str) -> None:
        run.enter("1 tie eh 60")
        ran = spoken(asked, "1 clip .5")
        assert answered in ran.out.lower() if answered.islower() else answered in ran.out
        assert kinds(run, "1") == ["tied", "clipped"]

    def test_a_command_that_is_used_wrongly_ends_nothing(self, run: CommandLine, spoken) -> None:
        run.enter("1 tie eh 60")
        spoken("show", "show 99", 'show "1', "1 clip .5")
        assert kinds(run, "1") == ["tied", "clipped"]

    def test_what_is_wrong_is_said_and_the_next_line_goes_on(self, run: CommandLine, spoken) -> None:
        ran = spoken("1 tie eh 60", "1 frobnicate", "no", "1 clip", "1 clip .5")
        assert ran.code == 0
        assert "A question: frobnicate: no verb known here; keep it as a note?" in ran.out
        assert "not recorded: " in ran.err
        assert kinds(run, "1") == ["tied", "clipped"]

    def test_nothing_that_is_said_steers_a_terminal(self, run: CommandLine, spoken) -> None:
        ran = spoken("1 tie eh 60", 'note "\x1b[2J"', "case", "stock", "week", "?")
        assert "\x1b" not in ran.out + ran.err


class TestListening:
    def test_what_the_microphone_hears_is_recorded_with_enter(
        self, run: CommandLine, spoken, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        that_hears(monkeypatch, tmp_path, Made(hertz=517.24, noise_db=15).sound())
        ran = spoken("1 tie eh 60", "crow listen", "", "1 crow listen; clip .5", "no", "crow listen; crow listen")
        assert ran.code == 0
        assert "Listening for up to 4 seconds: crow now.\nHeard. The line is now: crow C5 -20c octaves" in ran.out
        assert "1: crowed C5 -20c, in octaves, steadiness 10" in ran.out
        assert "Heard. The line is now: 1 crow C5 -20c octaves steady 10; clip .5" in ran.out
        assert ran.out.count("Not recorded.") == 2
        assert kinds(run, "1") == ["tied", "crowed"]

    def test_sounds_are_kept_where_that_was_asked_for_and_only_then(
        self, run: CommandLine, spoken, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
    ) -> None:
        that_hears(monkeypatch, tmp_path, Made(noise_db=15).sound())
        before = set(tmp_path.rglob("*.wav"))
        spoken("7b tie eh 60", "crow listen", "no")
        assert set(tmp_path.rglob("*.wav")) == before
        ran = spoken("set keep sounds ../my/sounds", "crow listen", "", "crow listen", "no")
        assert "settings: keep sounds in ../my/sounds" in ran.out
        first, second = sorted((tmp_path / "my" / "sounds").iterdir())
        assert [first.name, second.name] == ["crow 7b 2026-03-12 100700-2.wav", "crow 7b 2026-03-12 100700.wav"]
        assert str(first) in str((run.path.parent / ran.out.split("The sound is kept: ")[2].splitlines()[0]).resolve())
        assert all(path.stat().st_mode & 0o777 == 0o600 for path in (first, second))
        assert "crowed C5, in octaves" in run.done("add", f'7b crow "{second}"').out
        (tmp_path / "in the way").write_text("")
        ran = spoken('set keep sounds "../in the way"', "crow listen", "")
        assert "The sound is not kept. Not written: " in ran.out
        assert "7b: crowed C5" in ran.out
        ran = spoken("set keep sounds off", "crow listen", "")
        assert "settings: no sounds are kept" in ran.out
        assert "kept:" not in ran.out
        assert len(list((tmp_path / "my" / "sounds").iterdir())) == 2

    def test_without_a_microphone_it_says_so_and_goes_on(
        self, run: CommandLine, spoken, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        put_in(monkeypatch, "none")
        ran = spoken("1 tie eh 60", "crow listen", "clip .5")
        assert ran.code == 0
        assert "not recorded: No microphone can be heard here" in ran.err
        assert kinds(run, "1") == ["tied", "clipped"]

    def test_where_nobody_can_answer_it_is_refused(self, run: CommandLine, piped) -> None:
        ran = piped("1 tie eh 60", "1 crow listen", "1 clip .5")
        assert ran.code == 2
        assert "line 2: not recorded: crow listen listens on the bench" in ran.err
        assert run("add", "1 crow listen").code == 2
        assert kinds(run, "1") == ["tied", "clipped"]


class TestRecordings:
    def test_a_recording_is_what_was_heard_in_it(self, run: CommandLine, tmp_path: Path) -> None:
        run.enter("1 tie eh 60")
        take = write_wav(tmp_path / "take 1.wav", Made(noise_db=15).sound(), 44100)
        ran = run.done("add", f'1 scrape tip 5; crow "{take}"')
        assert "crowed C5, in octaves, steadiness 10" in ran.out

    def test_it_is_heard_at_the_pitch_that_the_player_has_set(self, run: CommandLine, tmp_path: Path) -> None:
        run.enter("1 tie eh 60", "set a4 442")
        take = write_wav(tmp_path / "take.wav", Made(noise_db=15).sound(), 44100)
        assert "crowed C5 -8c" in run.done("add", f"1 crow {take}").out

    def test_one_without_a_note_records_nothing(self, run: CommandLine, tmp_path: Path) -> None:
        run.enter("1 tie eh 60")
        take = write_wav(tmp_path / "none.wav", Made().sound() * 0, 44100)
        ran = run("add", f"1 crow {take}")
        assert ran.code == 2
        assert "no steady note" in ran.err
        assert kinds(run, "1") == ["tied"]

    def test_one_that_is_not_there_says_so(self, run: CommandLine, piped) -> None:
        ran = piped("1 tie eh 60", "1 crow nowhere.wav", "1 clip .5")
        assert ran.code == 2
        assert "nowhere.wav: No such file" in ran.err
        assert kinds(run, "1") == ["tied", "clipped"]
