"""Cracked welds: Irwin's relation, a deep external crack, the handbook's double edge crack, Williams' corner."""

import math
from itertools import pairwise

import numpy as np
import pytest

from fem.printed.groove import CrackedWeld, cracked_bar, cracked_weld
from patterns.cells.planar import Curve

NU = 0.35


@pytest.fixture(scope="module")
def cells() -> dict[str, CrackedWeld]:
    return {cell: cracked_weld(cell, 0.6, NU) for cell in ("stacked", "crossing")}


def line(*points: tuple[float, float]) -> list[Curve]:
    return [Curve("line", np.array(pair, dtype=float)) for pair in pairwise(points)]


@pytest.mark.parametrize("cell", ["stacked", "crossing"])
def test_stress_and_energy_near_the_root_are_those_of_one_crack_tip(cells, cell):
    # stress K/sqrt(2 pi x), averaged K sqrt(2/(pi x)); energy release K^2 (1 - nu^2)/E (Irwin 1957)
    found = cells[cell]
    half = (1 - math.pi * 0.6 / 4) / 2
    K2 = found.mean_stress[:4] ** 2 * math.pi * found.lengths[:4] * half / 2
    assert found.release[:4] == pytest.approx(K2 * (1 - NU**2), rel=0.03)


@pytest.mark.parametrize("cell", ["stacked", "crossing"])
def test_average_over_the_whole_contact_is_the_net_section(cells, cell):
    found = cells[cell].extended(0.6, NU)
    assert found.mean_stress[-1] == pytest.approx(1.0, abs=1e-9)
    assert (np.diff(found.mean_stress) <= 0).all()
    assert (np.diff(found.release[-70:]) > 0).all()
    assert (
        found.release[-1] > 100 * found.release[0]
    )  # no energy bars the way of a crack through the whole contact


def test_a_small_flat_between_large_beads_is_a_deep_external_crack():
    # K = force/sqrt(pi a) for two half planes joined over 2 a (Tada, Paris and Irwin's handbook, from memory)
    half = (1 - math.pi * 1.25 / 4) / 2
    found = cracked_weld("stacked", 1.25, NU)
    assert found.release[0] == pytest.approx(4 * half / math.pi * (1 - NU**2), rel=0.02)


def test_double_edge_crack_lies_between_two_handbook_forms():
    # K / (stress sqrt(pi a)), s = a/b: two forms of Tada, Paris and Irwin's handbook (from memory), 2 % apart here.
    # The size is that of a PMMA bar in Nahlik et al. 2014, Frattura 30, 55 (read): 109 mm wide, cracks of 27 mm.
    b, a, length = 54.5, 27.0, 96.0
    found = cracked_bar(line((b - a, 0), (b, 1e-3), (b, length), (0, length)), b - a, NU)
    s = a / b
    series = (1.122 - 0.561 * s - 0.205 * s**2 + 0.471 * s**3 - 0.190 * s**4) / math.sqrt(1 - s)
    tangent = (1 + 0.122 * math.cos(math.pi * s / 2) ** 4) * math.sqrt(
        math.tan(math.pi * s / 2) / (math.pi * s / 2)
    )
    K = math.sqrt(found.root_release / (1 - NU**2)) * b / (b - a)
    assert tangent < K / math.sqrt(math.pi * a) < series


def test_stress_at_a_sharp_right_angle_goes_with_williams_power():
    # 0.5445 - 1 for a notch opened by 90 degrees (Williams 1952, J. Appl. Mech. 19, 526, from memory)
    found = cracked_bar(line((5, 0), (10, 5), (10, 30), (0, 30)), 5.0, NU)
    slope = np.polyfit(np.log(found.lengths[:5]), np.log(found.mean_stress[:5]), 1)[0]
    assert slope == pytest.approx(0.5445 - 1, abs=0.01)
