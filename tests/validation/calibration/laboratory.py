"""A cheap analytic beam and laboratories that break simulated copies of it; truth known, all numbers invented."""

import math
from dataclasses import dataclass

import numpy as np

from validation.calibration import Observation, Parameter


@dataclass(frozen=True)
class Beam:
    """A cantilever with walls and a core; mm."""

    fill: float
    walls: int = 2
    width: float = 12.0
    depth: float = 12.0
    lever: float = 60.0


PARAMETERS = (
    Parameter("modulus", 2400.0, 0.20, unit="MPa"),
    Parameter("strength", 50.0, 0.20, unit="MPa"),
    Parameter("weld", 44.0, 0.25, unit="MPa"),
    Parameter("root", 2.5, 1.2, scale="linear", bounds=(0.0, 8.0)),
)
FILLS = (0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 1.0)
SETTINGS = {f"fill {fill:g}": Beam(fill) for fill in FILLS}


def model(values, beam):
    """Return stiffness (N/mm) and force (N): walls and core side by side, the weaker of fibre and weld governs."""
    wall = 0.45 * beam.walls
    whole = beam.width * beam.depth**3 / 12
    core = (beam.width - 2 * wall) * (beam.depth - 2 * wall) ** 3 / 12
    bending = whole - core + beam.fill**2 * core
    welded = whole - core + 0.6 * beam.fill * core
    root = values["root"] * beam.lever**2 / (values["modulus"] * beam.depth**2 * beam.width)
    compliance = beam.lever**3 / (3 * values["modulus"] * bending) + root
    moment = min(values["strength"] * bending, values["weld"] * welded) / (beam.depth / 2)
    return {"stiffness": 1 / compliance, "force": moment / beam.lever}


def truth(rng, parameters=PARAMETERS):
    """Return parameters drawn from their priors, within two standard deviations and the bounds."""
    drawn = {}
    for one in parameters:
        value = one.value(float(np.clip(rng.standard_normal(), -2, 2)))
        drawn[one.name] = float(np.clip(value, one.bounds[0] + 0.05, one.bounds[1]))
    return drawn


@dataclass(frozen=True)
class Laboratory:
    """One simulated laboratory: its truth, the model's error per setting, and its broken beams."""

    values: dict
    offsets: dict
    observations: list

    def mean(self, group, quantity, beam):
        """Return the true mean of all beams of a setting."""
        return model(self.values, beam)[quantity] * math.exp(self.offsets[group, quantity])


def laboratory(rng, settings=SETTINGS, n=3, scatter=0.04, model_sd=0.05, values=None):
    """Return a laboratory that broke n beams per setting, their sizes off by half a percent and measured."""
    values = truth(rng) if values is None else values
    offsets, observations = {}, []
    for group, nominal in settings.items():
        for quantity in ("stiffness", "force"):
            offsets[group, quantity] = model_sd * rng.standard_normal()
        for _ in range(n):
            sizes = np.array([nominal.width, nominal.depth]) * (1 + 0.005 * rng.standard_normal(2))
            beam = Beam(nominal.fill, nominal.walls, *sizes.tolist(), nominal.lever)
            for quantity, answer in model(values, beam).items():
                noise = offsets[group, quantity] + scatter * rng.standard_normal()
                observations.append(Observation(beam, answer * math.exp(noise), group, quantity))
    return Laboratory(values, offsets, observations)
