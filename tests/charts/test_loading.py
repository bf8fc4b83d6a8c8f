"""The charts load neither a screen nor plotext until one is drawn."""

from __future__ import annotations

import os
import subprocess
import sys

MODULES = ["canvas", "chance", "control", "interval", "legend", "life", "plot", "reed", "scale", "survival"]


def test_a_fresh_interpreter_loads_no_drawing_library_with_the_charts() -> None:
    code = (
        "import importlib, sys\n"
        f"for name in {MODULES!r}: importlib.import_module('reedkin.charts.' + name)\n"
        "print(*sorted({name.split('.')[0] for name in sys.modules} & {'plotext', 'textual', 'rich', 'numpy', 'pint'}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=_environment())
    assert done.stdout.strip() == ""


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
