"""Lines of a core at first yield and at collapse, against equilibrium of a square cell by hand."""

import numpy as np
import pytest

from fem.material.stiffness import isotropic
from fem.printed.core import core_cell
from fem.prismatic.concentration import concentration
from fem.prismatic.homogenise import homogenise
from fem.prismatic.stress_field import largest_principal
from fem.strength.criteria import BEND_FILLET, line_stretch, without_notch
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.fill import fill_for
from patterns.infill import infill_of
from patterns.setting import Core

BEAD = Bead(0.5, 0.2)
# By equilibrium, per unit mean shear: lines p apart and w wide meet it in the plan by bending. Half way between joints
# there is no moment (symmetry), the force on a line is tau p per depth and acts (p - w)/2 from the joint's face, so the
# fibre stress is 6 tau p (p - w)/2 / w^2. Along axis 3 only one family carries, as plates: tau p/w.
BENDING = {"in the plan": (5, lambda p, w: 3 * p * (p - w) / w**2), "upwards": (4, lambda p, w: p / w)}


def by_equilibrium(core, sig):
    """Mean stretch of the lines and stress of their outer fibres without fillets."""
    peak = largest_principal(np.einsum("sij,nj->nsi", core.hot_spots, sig)).max(axis=1)
    stretch = line_stretch(core, sig, peak)
    return float(stretch[0]), float(without_notch(peak, stretch)[0]), float(peak[0])


def unit(component, sign=1.0):
    sig = np.zeros((1, 6))
    sig[0, component] = sign
    return sig


@pytest.mark.parametrize("fill", [0.15, 0.4])
@pytest.mark.parametrize("way", BENDING)
def test_lines_of_a_square_cell_carry_shear_as_by_hand(fill, way):
    core = core_cell(infill_of(Core("square", fill), BEAD), 0.35)
    component, by_hand = BENDING[way]
    _, fibre, peak = by_equilibrium(core, unit(component))
    hand = by_hand(core.pitch, BEAD.width)
    # the peak holds the fillet's own factor, without it the stress is that of beam theory
    assert hand < peak < BEND_FILLET * hand
    assert 0.9 * hand < fibre < hand
    # plastic hinges: 1.5 times the moment; plates yield all at once
    shape = 1.5 if component == 5 else 1.0
    assert core.plateau[component] == pytest.approx(shape / hand, rel=1e-6)


def test_lines_that_stretch_carry_their_force_over_their_area():
    # Square lines at 45 deg to the shear: 1/(F/2) = p/w of tension in one family, for either sign.
    core = core_cell(infill_of(Core("square", 0.1, angle_deg=45.0), BEAD), 0.35)
    by_hand = core.pitch / BEAD.width
    for sign in (1.0, -1.0):
        assert by_equilibrium(core, unit(5, sign))[1] == pytest.approx(by_hand, rel=0.05)
    assert core.plateau[5] == pytest.approx(1 / by_hand, rel=1e-6)


def test_lines_that_bend_under_tension_carry_it_without_a_notch():
    # Tension at 45 deg to a square's lines bends them like frames: shear 1/2 on each family by equilibrium, as above.
    core = core_cell(infill_of(Core("square", 0.15, angle_deg=45.0), BEAD), 0.35)
    p, w = core.pitch, BEAD.width
    bend, stretch = BENDING["in the plan"][1](p, w) / 2, p / w / 2
    along, fibre, peak = by_equilibrium(core, unit(0))
    assert along == pytest.approx(stretch, rel=0.15)
    assert 0.9 * bend < fibre < bend + stretch
    assert peak < BEND_FILLET * bend + 2 * stretch
    assert 1 / (bend + stretch) < core.plateau[0] < 1.5 / bend


def test_stress_under_a_mixture_is_that_of_the_cell():
    pattern = find("rhombic")
    pitch = fill_for(pattern, BEAD.width, 0.125, set_fill=0.3).pitch
    cell = pattern.cell(BEAD, pitch, 0.125, 0.0)
    found = concentration(cell, homogenise(cell, isotropic(1.0, 0.35)))
    spots = found.hot_spots()
    for mean in np.random.default_rng(5).standard_normal((6, 6)):
        exact = found.under(mean).principal * np.abs(mean).max()
        assert largest_principal(spots @ mean).max() == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("component", [3, 4])
def test_crossing_beads_bend_between_their_welds(component):
    # By hand: force tau p 2t on each bead half way between welds, lever (p - w)/2, section w t^2/6 and plastic w t^2/4,
    # square edges; per yield stress in shear, 0.58 of that in tension.
    bead = Bead(0.5, 0.2, "square")
    core = core_cell(infill_of(Core("alternating", 0.25, angles_deg=(0.0, 90.0)), bead), 0.35)
    p, w, t = core.pitch, bead.width, bead.height
    moment = 2 * t * p * (p - w) / 2
    assert core.bars[component] == pytest.approx(moment / (w * t**2 / 6))
    assert core.plateau[component] == pytest.approx(w * t**2 / 4 / moment * 3**0.5)
