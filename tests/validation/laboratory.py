"""Simulated laboratories: beams broken on paper, with a known truth, through the real estimator.

One finite-element estimate per setting; its answer to the material is a closed form, so that hundreds of laboratories
with other materials, sizes and scatter cost little.
"""

import csv
import functools
import tomllib
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from fem.beam.response import Size
from fem.estimation import Estimate, estimate
from validation.measured.measured import Measured, MeasuredBeam
from validation.measured.reconcile import Row, reconcile
from validation.predict.answers import Answers
from validation.predict.calibrated import reference_length
from validation.study.study import Study, build

FLAT = """
title = "Flat beams of a simulated laboratory"
invented = true
[specimen]
shape = "rectangle"
width_mm = 7.0
depth_mm = 5.0
length_mm = 60.0
[print]
bead_width_mm = 0.5
layer_height_mm = 0.25
walls = 2
face_layers = { bottom = 3, top = 3 }
[core]
pattern = "square"
angle_deg = 45.0
set_fill = 0.2
[test]
kind = "three_point"
span_mm = 50.0
[material]
card = "PLA"
[vary]
"core.set_fill" = [0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 1.0]
"""
UPRIGHT = """
title = "Upright beams of a simulated laboratory"
invented = true
[specimen]
shape = "rectangle"
width_mm = 8.0
depth_mm = 8.0
length_mm = 60.0
[print]
orientation = "upright"
bead_width_mm = 0.5
layer_height_mm = 0.25
walls = 2
[core]
pattern = "square"
set_fill = 0.0
[test]
kind = "cantilever"
lever_mm = 45.0
[material]
card = "PLA"
[vary]
"print.walls" = [1, 2, 3]
"test.lever_mm" = [20.0, 45.0]
"""

COLUMNS = {
    "breaking_force_N": "breaking_force",
    "stiffness_N_per_mm": "stiffness",
    "mass_g": "mass",
    "width_mm": "width",
    "depth_mm": "depth",
    "build": "build",
}


@functools.cache
def laboratory(text: str) -> tuple[Study, tuple[Estimate, ...]]:
    """Return a study with the estimates of its settings, made once for all tests of a process."""
    study = build(tomllib.loads(text), Path("laboratory.toml"))
    return study, tuple(estimate(named.setting) for named in study.settings)


def measure(
    text: str,
    truth: dict[str, float],
    rng: np.random.Generator,
    scatter: float = 0.04,
    model_error: float = 0.0,
    size_error: float = 0.01,
    repeats: int = 3,
    quantities: Sequence[str] = ("breaking_force", "stiffness", "mass"),
) -> list[Row]:
    """Return measured rows of beams whose material is ``truth`` and whose own sizes are measured exactly."""
    study, estimates = laboratory(text)
    beams, tested = [], reference_length([named.setting for named in study.settings])
    for place, found in enumerate(estimates):
        answers = Answers(found, tested)
        off = dict.fromkeys(quantities, 0.0) | {
            q: model_error * rng.standard_normal() for q in quantities if q != "mass"
        }
        for repeat in range(repeats):
            size = Size(*(np.exp(size_error * rng.standard_normal(2))))
            true = answers(truth, size)
            spread = {q: scatter if q != "mass" else 0.01 for q in quantities}
            values = {q: true[q] * np.exp(off[q] + spread[q] * rng.standard_normal()) for q in quantities}
            specimen = found.setting.specimen
            beams.append(
                MeasuredBeam(
                    line=len(beams) + 2,
                    specimen=f"{place}-{repeat}",
                    setting=place,
                    width=size.width * specimen.width,
                    depth=size.depth * specimen.depth,
                    build="ABC"[repeat % 3],
                    **{"breaking_force": 1.0, **values},
                )
            )
    return reconcile(study, Measured(Path("laboratory.csv"), tuple(beams), ()), list(estimates))


def write_laboratory(folder: Path, text: str, truth: dict[str, float], seed: int) -> Path:
    """Write a study and the table of a simulated laboratory's beams beside it; return the study's path."""
    path = folder / "study.toml"
    path.write_text(text + '[measured]\nspecimens = "specimens.csv"\n', encoding="utf-8")
    rows = measure(text, truth, np.random.default_rng(seed))
    with (folder / "specimens.csv").open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream)
        writer.writerow([*(key.split(".")[-1] for key in rows[0].named.keys), *COLUMNS])
        for row in rows:
            for beam in row.beams:
                writer.writerow(
                    [*row.named.keys.values(), *(getattr(beam, name) for name in COLUMNS.values())]
                )
    return path
