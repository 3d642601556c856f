"""Fibre stress of crossing beads: statics by hand, the finite elements' own forces, bounds."""

import math

import numpy as np
import pytest
from shapely import Polygon

from fem.layered.bead_domain import crossing_domain
from fem.layered.bead_grid import BeadGrid
from fem.layered.extrusion import prism_stiffness
from fem.layered.layered import displacements, mean_stiffness
from fem.layered.result import UNIT_STRAIN
from fem.layered.struts import forces, second_moments, strut_factors
from fem.material.stiffness import about_axis_3, isotropic, rotate
from patterns.bead import Bead
from patterns.catalogue import find

BEAD = Bead(0.45, 0.2)


def alternating(fill, *angles, section="stadium", shift=0.0):
    bead = Bead(0.45, 0.2, section)
    return find("alternating").cell(bead, bead.width / fill, angles_deg=angles, shift=shift)


def test_beads_along_the_load_carry_it_on_half_the_fill():
    # Every second layer pulls along itself: stress / mean = 2 / F, and no bending.
    factors = strut_factors(alternating(0.3, 0.0, 90.0))
    assert factors[:2] == pytest.approx([2 / 0.3] * 2, rel=1e-9)
    assert factors[2] == 0


def test_shear_along_square_crossings_bends_beads_like_a_frame():
    # By hand: force tau p 2t on each bead, inflection half way, square-edged section w^2 t / 6.
    cell = alternating(0.3, 0.0, 90.0, section="square")
    w, t, p = 0.45, 0.2, 1.5
    moment = 2 * t * p * (p - w) / 2
    assert strut_factors(cell)[5] == pytest.approx(moment / (t * w**2 / 6), rel=1e-9)
    upwards = 2 * t * p * (p - w) / 2 / (w * t**2 / 6)
    assert strut_factors(cell)[[3, 4]] == pytest.approx([upwards] * 2, rel=1e-9)


def test_turned_lines_feel_tension_as_tension_and_shear():
    # At +-45 degrees a unit tension is 1/2 along both lines and a shear of 1/2: no more than the sum.
    straight, turned = (
        strut_factors(alternating(0.4, 0.0, 90.0)),
        strut_factors(alternating(0.4, 45.0, -45.0)),
    )
    bent = straight[5] / 2
    assert bent < turned[0] <= straight[0] / 2 + bent + 1e-9
    assert turned[0] == pytest.approx(turned[1], rel=1e-9)


def test_second_moments_are_those_of_the_outline():
    section = alternating(0.3, 0.0, 90.0).section
    turn = np.linspace(-math.pi / 2, math.pi / 2, 4001)
    side = np.column_stack([section.half_flat + section.radius * np.cos(turn), section.radius * np.sin(turn)])
    outline = np.concatenate([side, -side])
    assert Polygon(outline).area == pytest.approx(section.area, rel=1e-6)
    y, z = outline.T
    y1, z1 = np.roll(y, -1), np.roll(z, -1)
    cross = y * z1 - y1 * z
    exact = [(cross * (u**2 + u * v + v**2)).sum() / 12 for u, v in ((y, y1), (z, z1))]  # shoelace
    assert second_moments(section) == pytest.approx(exact, rel=1e-6)


@pytest.mark.parametrize("crossing", [90.0, 55.0])
def test_finite_elements_pass_on_the_forces_of_equilibrium(crossing):
    # Nodal forces on the section where a bead leaves its weld, from the part of the mesh beyond it.
    cell, C, half = alternating(0.4, 0.0, crossing), isotropic(1.0, 0.35), np.radians(crossing) / 2
    domain = crossing_domain(cell, C, 1, 2)
    stiffness = mean_stiffness([(domain, GROUPS)])[0]
    in_frame = rotate(stiffness, about_axis_3(-np.radians(domain.turn_deg)))
    along = np.array([math.cos(half), -math.sin(half), 0])
    across = np.array([math.sin(half), math.cos(half), 0])
    for loads in GROUPS:
        U = displacements(domain, loads)[0].reshape(-1, 3, len(loads))
        for k, strain in enumerate(loads):
            mean = np.einsum("v,vij->ij", in_frame @ strain, STRESS)
            force, moment = resultants(cell, domain, C, half, U[:, :, k], loads)
            N, sideways, upwards, free = forces(cell, mean, -crossing / 2, crossing / 2)
            near = {"abs": 1e-6 * float(np.linalg.norm([N, sideways, upwards])) + 1e-12}
            assert [force @ along, force @ across, force[2]] == pytest.approx([N, sideways, upwards], **near)
            assert abs(moment[2]) == pytest.approx(abs(sideways) * free, **near)
            assert abs(moment @ across) == pytest.approx(abs(upwards) * free, **near)


STRESS = np.where(UNIT_STRAIN != 0, 1.0, 0.0)
GROUPS = [np.eye(6)[:3], np.eye(6)[3:4], np.eye(6)[4:5], np.eye(6)[5:]]


def resultants(cell, domain, C, half, u, loads):
    """Force and moment on a whole bead where it leaves its weld, from displacements u (n, 3) of a quarter of it.

    The quarter's other side, y < 0, is the image at -x under a half turn about axis 3; the lower half is its mirror.
    """
    grid = BeadGrid.crossing(cell, 1, 2)
    edge = int(np.argmin(np.abs(grid.along - cell.section.half_flat)))
    n, middle = len(grid.section.points), len(grid.along) - 1
    c, s, sine = math.cos(half), math.sin(half), math.sin(2 * half)
    to_frame = np.array([[c / sine, c / sine, 0], [-s / sine, s / sine, 0], [0, 0, 1]])
    material = rotate(C, about_axis_3(-half))
    parity = 1 if loads[0][[0, 1, 2, 5]].any() else -1
    force, moment = np.zeros(3), np.zeros(3)
    for side in (1, -1):
        beyond = grid.along[edge:] if side > 0 else -grid.along[: edge - 1 : -1]
        where = slice((middle + edge) * n, None) if side > 0 else slice(0, (middle - edge + 1) * n)
        K = prism_stiffness(grid.section, beyond, to_frame, material)
        pulled = (K @ u[where].ravel()).reshape(-1, 3)
        cut = slice(0, n) if side > 0 else slice(len(pulled) - n, None)
        turn = np.ones(3) if side > 0 else np.array([-1.0, -1.0, 1.0])
        arm = (domain.positions[where][cut] - side * cell.section.half_flat * to_frame[:, 0]) * turn
        there = -pulled[cut] * turn * (1 if side > 0 else parity)
        for mirror, sign in ((np.ones(3), 1), (np.array([1.0, 1.0, -1.0]), parity)):
            force += (sign * there * mirror).sum(axis=0)
            moment += np.cross(arm * mirror, sign * there * mirror).sum(axis=0)
    return force, moment


def test_no_bars_no_factors():
    assert strut_factors(alternating(0.4, 30.0)) is None
    assert strut_factors(alternating(0.95, 0.0, 90.0)) is None
    assert strut_factors(alternating(1.0, 0.0, 90.0)) is None
    assert strut_factors(alternating(0.4, 0.0, 90.0, shift=0.5)) is None
