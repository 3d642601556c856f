"""Welds of crossing beads that twist off: equilibrium of one crossing by hand."""

import math

import numpy as np
import pytest

from fem.layered.struts import strut_factors
from fem.layered.twist import plastic_torque, twist_limits
from fem.printed.plateau import crossing_plateau
from patterns.bead import Bead
from patterns.infill import infill_of
from patterns.setting import Core

FLAT, PITCH, HEIGHT = 0.3, 0.9, 0.2


def test_shear_along_square_crossings_twists_each_weld_as_by_hand():
    # A cut half way between two beads of the other family meets one bead on p x 2 t: force tau p 2 t, no moment. Its
    # moment about the crossing, from both sides, is tau p 2 t p; a bead's two welds, below and above, take half each.
    tau = twist_limits((0.0, 90.0), PITCH, HEIGHT, FLAT)
    by_hand = plastic_torque(FLAT) / (PITCH * 2 * HEIGHT * PITCH / 2)
    assert tau[2] == pytest.approx(by_hand)
    assert np.isinf(tau[:2]).all()  # pulled along themselves, beads turn nothing


def test_tension_at_45_degrees_is_a_shear_of_half_of_it():
    straight, turned = (twist_limits(angles, PITCH, HEIGHT, FLAT) for angles in ((0.0, 90.0), (45.0, -45.0)))
    assert turned[:2] == pytest.approx([2 * straight[2]] * 2)
    assert np.isinf(turned[2])


def test_collapse_of_the_frame_with_hinges_as_strong_as_its_welds_is_the_same():
    # the linear programme of the frame, whose hinges are capped by welds as strong in shear as the beads
    bead = Bead(0.45, 0.2)
    for fill in (0.2, 0.5):
        infill = infill_of(Core("alternating", fill, angles_deg=(0.0, 90.0)), bead)
        plateau = crossing_plateau(infill, fill, strut_factors(infill.cell()))
        twist = twist_limits((0.0, 90.0), infill.pitch, bead.height, bead.flat_width)
        assert plateau[5] == pytest.approx(twist[2] / math.sqrt(3), rel=0.01)


@pytest.mark.parametrize("half", [20.0, 30.0, 60.0])
def test_lazy_tongs_of_other_angles(half):
    # lines at +-half to the pull: turning both by d/2 shortens by tan(half) d/2; cell area p^2/sin(2 half)
    pulled = twist_limits((half, -half), PITCH, HEIGHT, FLAT)[0]
    work = math.tan(math.radians(half)) / 2 * PITCH**2 / math.sin(math.radians(2 * half)) * 2 * HEIGHT
    assert pulled == pytest.approx(2 * plastic_torque(FLAT) / work)


def test_plastic_torque_of_a_square_lies_between_the_elastic_one_and_sliding():
    # 0.208 a^3 at first yield (Saint-Venant); sliding of the whole face about its middle: its mean distance, 0.3826 a
    x = (np.arange(400) + 0.5) / 400 - 0.5
    sliding = np.hypot(*np.meshgrid(x, x)).mean()
    assert sliding == pytest.approx(0.3826, abs=1e-3)
    assert 0.208 < plastic_torque(1.0) < sliding
