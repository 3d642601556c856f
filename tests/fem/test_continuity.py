"""A small change of what is printed or of how it is bent is a small change of the estimate, whatever the setting.

Where a best value is continuous, halving a step lessens the change over it; where it jumps, one half keeps all of it.
Invariants beside it: a round bar does not know its load's direction, and more walls or faces never take force or mass.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

FLAT = Printing("flat", Bead(0.5, 0.25), walls=2, bottom_layers=4, top_layers=4)
BAR, ROD = Specimen("rectangle", 14.0, 10.0, 120.0), Specimen("round", 16.0, 16.0, 110.0)
ON_SUPPORTS, CLAMPED = BendTest("three_point", span=110.0), BendTest("cantilever", lever=85.0)
PETG = shipped_card("PETG")
BEAMS = {
    "flat, square": Setting(BAR, FLAT, Core("square", 0.3, angle_deg=45.0), ON_SUPPORTS, PETG),
    "flat, alternating": Setting(BAR, FLAT, Core("alternating", 0.4), ON_SUPPORTS, PETG),
    "on edge, triangular": Setting(
        BAR, replace(FLAT, orientation="on_edge"), Core("triangular", 0.4), ON_SUPPORTS, PETG
    ),
    "upright, square": Setting(ROD, Printing("upright", Bead(0.6, 0.25)), Core("square", 0.4), CLAMPED, PETG),
    "upright, alternating": Setting(
        ROD, Printing("upright", Bead(0.6, 0.25)), Core("alternating", 0.4), CLAMPED, PETG
    ),
}


def fill(beam: Setting, value: float) -> Setting:
    return replace(beam, core=replace(beam.core, set_fill=value))


def radius(beam: Setting, value: float) -> Setting:
    return replace(beam, core=replace(beam.core, corner_radius=value))


def layer(beam: Setting, value: float) -> Setting:
    bead = replace(beam.printing.bead, height=value)
    return replace(beam, printing=replace(beam.printing, bead=bead))


def width(beam: Setting, value: float) -> Setting:
    bead = replace(beam.printing.bead, width=value)
    return replace(beam, printing=replace(beam.printing, bead=bead))


def lever(beam: Setting, value: float) -> Setting:
    return replace(beam, test=beam.test.with_free_length(value))


def load_angle(beam: Setting, value: float) -> Setting:
    return replace(beam, test=replace(beam.test, load_angle_deg=value))


def walls(beam: Setting, value: int) -> Setting:
    return replace(beam, printing=replace(beam.printing, walls=value))


def faces(beam: Setting, value: int) -> Setting:
    return replace(beam, printing=replace(beam.printing, bottom_layers=value, top_layers=value))


@cache
def best(setting: Setting) -> tuple[float, float]:
    """Return the best breaking force, N, and mass, g."""
    found = estimate(setting)
    assert found.breaking_force is not None
    return found.breaking_force.best, found.mass.best


def log_force(beam: Setting, key: Callable, value: float) -> float:
    return float(np.log(best(key(beam, float(value)))[0]))


def kept(beam: Setting, key: Callable, low: float, high: float) -> float:
    """Return the change of the logarithm of the force that is left in the worst 64th of a step."""
    for _ in range(6):
        middle = (low + high) / 2
        first, mid, last = (log_force(beam, key, value) for value in (low, middle, high))
        low, high = (low, middle) if abs(mid - first) > abs(last - mid) else (middle, high)
    return abs(log_force(beam, key, high) - log_force(beam, key, low))


def assert_continuous(beam: Setting, key: Callable, values: np.ndarray) -> None:
    """Assert that a step's change is not kept when the step is halved six times.

    A slope leaves a 64th of it, a corner little more, a jump all; 0.6 tells them apart. Steps over which the force
    changes by less than 1 % are not looked into.
    """
    jumps = []
    for low, high in pairwise(map(float, values)):
        whole = abs(log_force(beam, key, high) - log_force(beam, key, low))
        if whole > 0.01 and (left := kept(beam, key, low, high)) > 0.6 * whole:
            jumps.append(f"{key.__name__} {low:g} to {high:g}: {left:.3f} of {whole:.3f}")
    assert not jumps, jumps


SWEEPS: dict[Callable, np.ndarray] = {
    fill: np.arange(0.10, 0.97, 0.04),
    radius: np.array([0.0, 0.001, 0.002, 0.004, 0.008, 0.05, 0.1, 0.15]),
    layer: np.arange(0.10, 0.401, 0.04),
    width: np.arange(0.40, 0.81, 0.04),
    lever: np.arange(45.0, 126.0, 10.0),
    load_angle: np.arange(0.0, 91.0, 3.0),
}


PHASES_STEP = pytest.mark.xfail(
    strict=True,
    reason="at low fill one of eight phases gains or loses a line at the border: steps of 1 to 2 % of the force",
)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "key"),
    [
        pytest.param(
            name,
            key,
            id=f"{name}-{key.__name__}",
            marks=[PHASES_STEP] if (name, key) == ("upright, alternating", fill) else [],
        )
        for name in BEAMS
        for key in SWEEPS
    ],
)
def test_no_step_of_the_force_hides_in_a_sweep(name, key):
    assert_continuous(BEAMS[name], key, SWEEPS[key])


@pytest.mark.slow
@pytest.mark.parametrize("name", BEAMS)
def test_the_force_goes_at_most_with_the_fifth_power_of_layer_and_width(name):
    beam = BEAMS[name]
    for key in (layer, width):
        values = SWEEPS[key]
        heights = [key(beam, float(value)).printing.bead for value in values]
        inside = [
            value for value, bead in zip(values, heights, strict=True) if bead.height <= 0.9 * bead.width
        ]
        logs = np.log([best(key(beam, float(value)))[0] for value in inside])
        slopes = np.diff(logs) / np.diff(np.log(inside))
        assert np.abs(slopes).max() <= 5, (key.__name__, slopes)


@pytest.mark.slow
@pytest.mark.parametrize("name", BEAMS)
def test_one_more_wall_or_face_never_takes_force_or_mass(name):
    for key, numbers in ((walls, range(1, 7)), (faces, range(7))):
        found = [best(key(BEAMS[name], number)) for number in numbers]
        for number, ((force, mass), (more_force, more_mass)) in zip(numbers, pairwise(found), strict=False):
            assert more_force >= force * 0.999, (key.__name__, number)
            assert more_mass >= mass * 0.999, (key.__name__, number)


def test_a_round_bar_does_not_know_its_load_s_direction():
    """The drawn circle has 256 corners and more: the force may turn with them by less than a thousandth."""
    beam = replace(BEAMS["upright, square"], core=Core("concentric", 0.5))
    forces = [best(load_angle(beam, angle))[0] for angle in (0.0, 5.0, 17.0, 35.0, 45.0, 90.0)]
    assert max(forces) == pytest.approx(min(forces), rel=1e-3)


@pytest.mark.parametrize("name", ["flat, square", "on edge, triangular"])
def test_a_degree_of_the_load_s_direction_moves_the_force_little(name):
    assert_continuous(BEAMS[name], load_angle, np.arange(0.0, 5.0, 1.0))


def test_a_jump_would_be_seen():
    """The judge itself, on a force that steps by 5 %."""
    beam = BEAMS["flat, square"]

    def stepped(beam: Setting, value: float) -> Setting:
        return lever(beam, 80.0 if value < 82 else 84.2)

    with pytest.raises(AssertionError, match="stepped"):
        assert_continuous(beam, stepped, np.arange(80.0, 85.0, 1.0))
