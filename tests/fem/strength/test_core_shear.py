"""Core shear by stress concentration, against equilibrium of a square cell's lines by hand."""

import numpy as np
import pytest

from fem.material.stiffness import isotropic
from fem.printed.core import core_cell
from fem.prismatic.concentration import concentration
from fem.prismatic.homogenise import homogenise
from fem.prismatic.stress_field import largest_principal
from fem.strength.criteria import BEND_FILLET, _bars, _struts_by_concentration
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.fill import fill_for
from patterns.infill import infill_of
from patterns.setting import Core

BEAD = Bead(0.5, 0.2)
HERE = np.zeros((1, 2))
# By equilibrium, per unit mean shear: lines p apart and w wide meet it in the plan by bending. Half way between joints
# there is no moment (symmetry), the force on a line is tau p per depth and acts (p - w)/2 from the joint's face, so the
# fibre stress is 6 tau p (p - w)/2 / w^2. Along axis 3 only one family carries, as plates: tau p/w.
BENDING = {"in the plan": (5, lambda p, w: 3 * p * (p - w) / w**2), "upwards": (4, lambda p, w: p / w)}


def judged(mode, core, sig):
    """The criterion of the lines' mean stress and that of their outer fibres."""
    along, fibre = _struts_by_concentration(mode, core, HERE, sig)
    assert (along.strength, fibre.strength) == ("tension_along_mpa", "bending_along_mpa")
    return along, fibre


def criterion(core, component, sign=1.0):
    sig = np.zeros((1, 6))
    sig[0, component] = sign
    return judged("core_shear", core, sig)[1]


@pytest.mark.parametrize("fill", [0.15, 0.4])
@pytest.mark.parametrize("way", BENDING)
def test_lines_of_a_square_cell_carry_shear_as_by_hand(fill, way):
    core = core_cell(infill_of(Core("square", fill), BEAD), 0.35)
    component, by_hand = BENDING[way]
    one, hand = criterion(core, component), by_hand(core.pitch, BEAD.width)
    # the peak holds the fillet's own factor, the nominal stress is that of beam theory
    assert hand < one.peaks[0] < BEND_FILLET * hand
    assert 0.9 * hand < one.nominal < hand
    assert one.nominal == pytest.approx(one.peaks[0] / BEND_FILLET)


@pytest.mark.parametrize("component", [3, 4, 5])
def test_shear_of_either_sign_breaks_at_the_same_force(component):
    core = core_cell(infill_of(Core("triangular", 0.3), BEAD), 0.35)
    one, other = (criterion(core, component, sign) for sign in (1.0, -1.0))
    assert one.nominal == pytest.approx(other.nominal)
    assert one.peaks == pytest.approx(other.peaks)


def test_lines_that_stretch_carry_their_force_over_their_area():
    # Square lines at 45 deg to the shear: 1/(F/2) = p/w of tension in one family, for either sign.
    core = core_cell(infill_of(Core("square", 0.1, angle_deg=45.0), BEAD), 0.35)
    by_hand = core.pitch / BEAD.width
    for sign in (1.0, -1.0):
        assert criterion(core, 5, sign).nominal == pytest.approx(by_hand, rel=0.05)


def test_lines_that_bend_under_tension_carry_it_without_a_notch():
    # Tension at 45 deg to a square's lines bends them like frames: shear 1/2 on each family by equilibrium, as above.
    core = core_cell(infill_of(Core("square", 0.15, angle_deg=45.0), BEAD), 0.35)
    sig = np.array([[1.0, 0, 0, 0, 0, 0]])
    p, w = core.pitch, BEAD.width
    bend, stretch = BENDING["in the plan"][1](p, w) / 2, p / w / 2
    along, found = judged("strut_tension", core, sig)
    assert along.nominal == pytest.approx(stretch, rel=0.15)
    assert 0.9 * bend < found.nominal < bend + stretch
    assert found.peaks[0] < BEND_FILLET * bend + 2 * stretch


def test_shears_are_put_together_with_their_signs_and_tension_is_left_to_its_own_mode():
    core = core_cell(infill_of(Core("square", 0.3), BEAD), 0.35)
    sig = np.array([[3.0, -2.0, 1.0, 0.5, -0.25, 0.1]])
    found = judged("core_shear", core, sig)[1]
    alone = judged("core_shear", core, sig * [0, 0, 0, 1, 1, 1])[1]
    by_size = np.abs(sig[0, 3:]) @ core.concentration[3:]
    assert found.peaks == alone.peaks
    assert max(np.abs(sig[0, 3:]) * core.concentration[3:]) < found.peaks[0] < by_size


def test_stress_under_a_mixture_is_that_of_the_cell():
    pattern = find("rhombic")
    pitch = fill_for(pattern, BEAD.width, 0.125, set_fill=0.3).pitch
    cell = pattern.cell(BEAD, pitch, 0.125, 0.0)
    found = concentration(cell, homogenise(cell, isotropic(1.0, 0.35)))
    spots = found.hot_spots()
    for mean in np.random.default_rng(5).standard_normal((6, 6)):
        exact = found.under(mean).principal * np.abs(mean).max()
        assert largest_principal(spots @ mean).max() == pytest.approx(exact, rel=2e-3)


def test_tension_both_ways_bends_lines_less_than_either_alone():
    # Square lines at 45 deg: equal tension along both axes of the plan stretches them and does not bend them at all.
    core = core_cell(infill_of(Core("square", 0.15, angle_deg=45.0), BEAD), 0.35)
    one, both = (
        judged("strut_tension", core, np.array([[1.0, second, 0, 0, 0, 0]]))[1] for second in (0.0, 1.0)
    )
    assert both.peaks[0] < 0.25 * one.peaks[0]
    assert both.nominal == pytest.approx(core.pitch / BEAD.width, rel=0.1)


@pytest.mark.parametrize("component", [3, 4])
def test_crossing_beads_bend_between_their_welds(component):
    # By hand: force tau p 2t on each bead half way between welds, lever (p - w)/2, section w t^2/6, square edges.
    bead = Bead(0.5, 0.2, "square")
    core = core_cell(infill_of(Core("alternating", 0.25, angles_deg=(0.0, 90.0)), bead), 0.35)
    sig = np.zeros((1, 6))
    sig[0, component] = -0.5
    p, w, t = core.pitch, bead.width, bead.height
    found = _bars(core.bars, HERE, sig)
    assert found.stress == pytest.approx(0.5 * 2 * t * p * (p - w) / 2 / (w * t**2 / 6))
    assert found.strength == "bending_along_mpa"
