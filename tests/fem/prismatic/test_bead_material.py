"""Bead directions: along lines, mean at crossings, nearest in fillets, smooth along curves."""

import numpy as np
import pytest

from fem.material.stiffness import about_axis_3, rotate, transversely_isotropic
from fem.prismatic.bead_material import BeadMaterial
from fem.prismatic.line_field import LineField
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.cells.cell import Line
from tests.fem.prismatic.cells import parallelogram, square_lattice

BEAD = transversely_isotropic(3000.0, 2000.0, 0.35, 0.4, 900.0)
ACROSS = rotate(BEAD, about_axis_3(np.pi / 2))


def at(cell, *points):
    """Stiffness at single points."""
    C, _ = BeadMaterial(cell, BEAD).sample(np.array(points, dtype=float)[:, None])
    return C[:, 0]


def close(a, b):
    return np.abs(a - b).max() < 1e-9 * np.abs(b).max()


def test_struts_take_their_own_direction_and_crossings_the_mean():
    cell = square_lattice(0.2)  # lines at 0.5 from the middle
    along, up, crossing = at(cell, (0.0, 0.45), (0.45, 0.0), (0.47, 0.48))
    assert close(along, BEAD)
    assert close(up, ACROSS)
    assert close(crossing, (BEAD + ACROSS) / 2)


def test_fillets_take_the_nearest_line():
    cell = square_lattice(0.2, 0.1)
    near_flat, near_upright = at(cell, (0.385, 0.393), (0.393, 0.385))
    assert close(near_flat, BEAD)
    assert close(near_upright, ACROSS)


def test_any_angle_is_the_turned_tensor():
    direction = np.array([np.cos(0.7), np.sin(0.7)])
    lines = (Line(np.array([-2 * direction, 2 * direction]), 0.5),)
    cell = parallelogram(np.eye(2), (), 0.5, lines)
    assert close(at(cell, (0.0, 0.0))[0], rotate(BEAD, about_axis_3(0.7)))


def test_three_lines_at_sixty_degrees_make_an_isotropic_mean():
    pattern = find("triangular")
    cell = pattern.cell(Bead(0.45), pattern.pitch(0.45, 0.3), 0.1)
    node = cell.planar.curves[0].points[0]
    C = at(cell, node)[0]
    assert C[0, 0] == pytest.approx(C[1, 1])
    assert C[5, 5] == pytest.approx((C[0, 0] - C[0, 1]) / 2)


def test_elements_astride_the_edge_of_a_bead_are_told():
    material = BeadMaterial(square_lattice(0.2), BEAD)
    clusters = np.array(
        [[[-0.1, 0.45], [0.1, 0.45]], [[0.35, 0.45], [0.45, 0.45]], [[0.47, 0.47], [0.48, 0.47]]]
    )
    _, jump = material.sample(clusters)
    assert jump.tolist() == [False, True, False]


def test_curved_lines_turn_smoothly():
    t = np.linspace(0, 1, 101)
    wave = np.column_stack([4 * t - 2, 0.3 * np.sin(2 * np.pi * t)])
    cell = parallelogram(np.eye(2), (), 0.4, (Line(wave, 0.4),))
    field = LineField(cell)
    s = np.linspace(0.2, 0.8, 301)
    points = np.column_stack([4 * s - 2, 0.3 * np.sin(2 * np.pi * s)])
    angle = field.directions(points)
    exact = np.arctan2(0.3 * 2 * np.pi * np.cos(2 * np.pi * s), 4)
    difference = (angle - exact + np.pi / 2) % np.pi - np.pi / 2  # a direction and its opposite are one
    assert np.abs(difference).max() < 2e-3
    assert np.abs(np.diff(difference)).max() < 1e-3


def test_directions_are_those_of_the_nearest_line():
    field = LineField(square_lattice(0.2))
    assert field.directions(np.array([[0.0, 0.49], [0.49, 0.0], [0.42, 0.45]])) == pytest.approx(
        [0, np.pi / 2, 0]
    )
