"""A trial as it is given to a circle, and as it is taken in: an entry line like any other."""

from __future__ import annotations

from reedkin.bench.trials import Trial
from reedkin.domain.words import spelt
from reedkin.store.circle.trial_files import FORMAT, VERSION, TrialFile


def usual_name(trial: Trial) -> str:
    """The name of its file."""
    kept = "".join(char if char.isalnum() else "-" for char in trial.name)
    return f"{kept}-trial.json"


def file_of(trial: Trial) -> TrialFile:
    """What the others take in."""
    return TrialFile(FORMAT, VERSION, trial.of_circle, trial.name, trial.ways, trial.planned, trial.instrument)


def joining_line(file: TrialFile) -> str:
    """The entry that takes in the trial of a file: it starts one like it, with a draw of its own."""
    one, other = file.ways
    whose = f" {spelt(file.instrument)}" if file.instrument else ""
    return f'trial start "{file.name}" "{one}" or "{other}"{whose} for {file.planned} for the circle {file.trial}'
