"""The judge of plastic beams is judged itself: bars in bending whose moments are known in closed form.

Limits of rectangle, tube and plate in plane strain: Prager and Hodge, Theory of Perfectly Plastic Solids, 1951 (from
memory), each also by hand: the plastic moment is that of the yield stress over both halves of the section. Lateral
strains of elastic and of plastic parts differ, so a bar in space lies 0.07 % above the moment of its fibres.
"""

import numpy as np
import pytest
import shapely

pytest.importorskip("ngsolve", reason="the judge is another library, ngsolve")

from ngsolve import CF, x, y

from tests.independent.drawn_period import Course, extruded, ngsolve_mesh
from tests.independent.plastic_judge import Body, Plastic

YOUNG, NU, YIELDS = 1000.0, 0.35, 10.0
WIDTH, DEPTH = 4.0, 4.0
FACTORS = np.array([0.5, 1.0, 1.5, 2.0, 3.0, 5.0])


def bent_bar(
    size: float = 0.5,
    hardening: float = 0.0,
    plane_strain: bool = False,
    factors: np.ndarray = FACTORS,
) -> np.ndarray:
    """Moments over that at first yield, from a quarter of a bar along axis 3, at factors on the yield curvature."""
    piece = extruded([Course(shapely.box(0, 0, DEPTH / 2, WIDTH / 2), 0, 1, 1)], size)
    ends = {"start": (2, 0.0), "stop": (2, 1.0), "middle": (0, 0.0)}
    mesh = ngsolve_mesh(piece, ends | {"side": (1, 0.0), "other": (1, WIDTH / 2)})
    sides = "middle|side|other" if plane_strain else "middle|side"
    body = Body(mesh, ["", sides, "start|stop|middle"], Plastic(YOUNG, NU, YIELDS, hardening), order=2)
    work = body.bend(CF((0, 0, 0, 0, 0, 0, 0, 0, x), dims=(3, 3)), factors * YIELDS / YOUNG / (DEPTH / 2))
    return 4 * work / (YIELDS * WIDTH * DEPTH**2 / 6)


def of_rectangle(factors: np.ndarray) -> np.ndarray:
    """Moment of an elastic, perfectly plastic rectangle over that at first yield."""
    return np.where(factors > 1, 1.5 - 0.5 / np.maximum(factors, 1) ** 2, factors)


def test_a_bar_bends_as_a_plastic_rectangle():
    found = bent_bar()
    assert found[:2] == pytest.approx(FACTORS[:2], rel=1e-6)
    assert found == pytest.approx(of_rectangle(FACTORS), rel=3e-3)


def test_a_bar_that_hardens_is_two_bars_side_by_side():
    # stress = tangent modulus x strain + what a perfectly plastic bar of the rest of the modulus carries
    hardening = 100.0
    share = hardening / (YOUNG + hardening)
    expected = (1 - share) * of_rectangle(FACTORS) + share * FACTORS
    assert bent_bar(hardening=hardening) == pytest.approx(expected, rel=3e-3)


def test_a_wide_plate_carries_more_than_a_bar_by_two_over_root_three():
    # held across: elastic 1 / (1 - nu^2), plastic 2 / sqrt 3 by von Mises, where flow keeps the volume
    factors = np.array([0.5, 2.0, 5.0, 15.0])
    found = bent_bar(plane_strain=True, factors=factors)
    assert found[0] == pytest.approx(factors[0] / (1 - NU**2), rel=1e-6)
    assert found[-1] == pytest.approx(2 / 3**0.5 * 1.5, rel=3e-3)


@pytest.mark.slow
def test_moments_converge_with_the_mesh():
    exact = of_rectangle(FACTORS)
    errors = [np.abs(bent_bar(size) - exact).max() for size in (2.0, 1.0, 0.5)]
    assert errors[2] < errors[1] / 2 < errors[0] / 4
    assert errors[2] < 1e-3


@pytest.mark.slow
def test_a_thick_tube_reaches_its_plastic_moment():
    outer, inner = 4.0, 2.0
    ring = (
        shapely.Point(0, 0)
        .buffer(outer, quad_segs=24)
        .difference(shapely.Point(0, 0).buffer(inner, quad_segs=24))
    )
    piece = extruded([Course(ring.intersection(shapely.box(0, 0, outer, outer)), 0, 1, 1)], 0.7)
    planes = {"start": (2, 0.0), "stop": (2, 1.0), "side": (0, 0.0), "middle": (1, 0.0)}
    body = Body(
        ngsolve_mesh(piece, planes),
        ["side|middle", "", "start|stop|middle"],
        Plastic(YOUNG, NU, YIELDS),
        order=2,
    )
    factors = np.array([0.5, 2.0, 5.0, 10.0])
    moments = 4 * body.bend(CF((0, 0, 0, 0, 0, 0, 0, 0, y), dims=(3, 3)), factors * YIELDS / YOUNG / outer)
    assert moments[0] / (factors[0] * YIELDS / YOUNG / outer) == pytest.approx(
        YOUNG * np.pi / 4 * (outer**4 - inner**4), rel=5e-3
    )
    assert moments[-1] == pytest.approx(YIELDS * 4 / 3 * (outer**3 - inner**3), rel=5e-3)
