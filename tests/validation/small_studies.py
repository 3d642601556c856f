"""A study of small square-pattern beams that solve quickly, and the command line in a process of its own."""

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

HOME = Path(__file__).parents[2]

STUDY = """\
title = "Small beams"
note = "Invented."
invented = true

[specimen]
shape = "rectangle"
width_mm = 6.0
depth_mm = 5.0
length_mm = 60.0

[print]
bead_width_mm = 0.5
layer_height_mm = 0.25
walls = 1
face_layers = {{ bottom = 2, top = 2 }}

[core]
pattern = "square"
set_fill = 0.3

[test]
kind = "three_point"
span_mm = 50.0

[material]
card = "PLA"

[vary]
"core.set_fill" = {fills}
"print.walls" = {walls}
"""


def write_study(
    folder: Path, fills: Sequence[float] = (0.2, 0.4), walls: Sequence[int] = (1, 2), text: str = STUDY
) -> Path:
    """Write a study and return its path."""
    path = folder / "study.toml"
    path.write_text(text.format(fills=list(fills), walls=list(walls)), encoding="utf-8")
    return path


def start(*words: Any, cache: Path, **options: Any) -> subprocess.Popen:
    """Start ``fillbend`` with its cells in ``cache``, in a session (and process group) of its own."""
    environment = {**os.environ, "FILLBEND_CACHE": str(cache), "PYTHONUNBUFFERED": "1"}
    return subprocess.Popen(
        [sys.executable, "-m", "validation.cli", *map(str, words)],
        cwd=HOME,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        **options,
    )


def run(*words: Any, cache: Path, **options: Any) -> tuple[int, str, str]:
    """Run ``fillbend`` to its end and return status, standard output and standard error."""
    process = start(*words, cache=cache, **options)
    out, err = process.communicate(timeout=300)
    return process.returncode, out, err


def children(pid: int) -> list[int]:
    """Return the processes started by one (Linux)."""
    tasks = Path(f"/proc/{pid}/task")
    return [int(child) for task in tasks.iterdir() for child in (task / "children").read_text().split()]
