"""Section meshes: joined borders, true arcs, thin walls, refusals."""

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, box
from skfem import MeshTri2

from fem.section.curves import planar_map
from fem.section.mesh import section_mesh
from fem.section.tiles import SLIVER_MM, tile
from patterns.errors import InputError
from patterns.outlines.outline import outline
from patterns.setting import Specimen

BAR, CORE = box(-5, -2, 5, 2), box(-4, -1, 4, 1)


def disc(radius, corners=256, centre=(0, 0)):
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    return Polygon(np.column_stack([np.cos(angle), np.sin(angle)]) * radius + centre)


def areas(made):
    each = np.abs(made.mesh.mapping().detDF(np.array([[1, 4, 1], [1, 1, 4]]) / 6)).mean(axis=1) / 2
    return np.bincount(made.zone, each)


def free_length(mesh):
    """Length of all sides that bound one element only."""
    a, b = mesh.p[:, mesh.facets[:, mesh.boundary_facets()]].transpose(1, 0, 2)
    return np.linalg.norm(a - b, axis=0).sum()


def test_zones_keep_their_areas_and_are_joined_along_their_border():
    made = section_mesh([BAR - CORE, CORE], 1.0)
    assert areas(made) == pytest.approx([40 - 16, 16], rel=1e-12)
    assert free_length(made.mesh) == pytest.approx(28, rel=1e-9)  # the outer outline alone


def test_the_same_input_gives_the_same_mesh():
    one, other = (section_mesh([BAR - CORE, CORE], 0.7) for _ in range(2))
    assert np.array_equal(one.mesh.p, other.mesh.p)
    assert np.array_equal(one.mesh.t, other.mesh.t)


def test_a_border_that_one_zone_cuts_finer_is_still_shared():
    ends = [box(-5, -2, y, 2) if y < 0 else box(y, -2, 5, 2) for y in (-2.0, 2.0)]
    stripes = [box(-2, -2 + k, 2, -1 + k) for k in range(4)]
    made = section_mesh([MultiPolygon(ends), *stripes], 2.0)
    assert areas(made) == pytest.approx([24, 4, 4, 4, 4], rel=1e-12)
    assert free_length(made.mesh) == pytest.approx(28, rel=1e-9)


def test_pieces_of_one_zone_that_touch_become_one():
    polygons, owner = tile([MultiPolygon([box(0, 0, 1, 1), box(2, 0, 3, 1)]), box(1, 0, 2, 1)])
    assert (len(polygons), sorted(owner.tolist())) == (3, [0, 0, 1])
    narrow = box(0, 1, 3, 1 + SLIVER_MM / 3)  # too narrow for itself, so part of its neighbour
    polygons, owner = tile([box(0, 0, 3, 1), narrow])
    assert (len(polygons), owner.tolist()) == (1, [0])
    assert polygons[0].area == pytest.approx(3 + SLIVER_MM, rel=1e-4)


@pytest.mark.parametrize("gap", [-0.4 * SLIVER_MM, 0.4 * SLIVER_MM, 1e-5])
def test_gaps_and_overlaps_below_the_sliver_are_closed(gap):
    made = section_mesh([BAR - CORE, CORE.buffer(-gap, join_style="mitre")], 1.0)
    assert areas(made) == pytest.approx([24, 16], abs=20 * abs(gap))
    assert areas(made).sum() == pytest.approx(40, rel=1e-12)
    assert free_length(made.mesh) == pytest.approx(28, rel=1e-9)


def test_a_visible_gap_stays_open():
    made = section_mesh([BAR - CORE, CORE.buffer(-2 * SLIVER_MM, join_style="mitre")], 1.0)
    assert free_length(made.mesh) > 28 + 19 + 19


def test_two_drawings_of_one_circle_are_joined():
    ring = disc(5) - disc(4.1, corners=128)
    made = section_mesh([ring, disc(4.1, corners=96)], 1.0)
    assert areas(made).sum() == pytest.approx(np.pi * 25, rel=1e-4)
    assert free_length(made.mesh) < 2 * np.pi * 5


def test_overlapping_zones_are_refused_with_the_place():
    with pytest.raises(InputError, match=r"zones 0 and 1 .* overlap by 16 mm2 near \(0, 0\) mm"):
        section_mesh([BAR, CORE], 1.0)


@pytest.mark.parametrize(
    ("zones", "words"),
    [
        ([Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])], "Self-intersection"),
        ([Point(0, 0)], "it must be an area"),
        ([Polygon()], "all its zones are empty"),
        ([box(0, 0, 1, SLIVER_MM / 5)], "nowhere wider"),
    ],
)
def test_wrong_zones_are_refused_in_one_line(zones, words):
    with pytest.raises(InputError, match=words) as caught:
        section_mesh(zones, 0.5)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("size", [0.0, -1.0, np.nan, np.inf])
def test_a_size_that_is_no_length_is_refused(size):
    with pytest.raises(InputError, match="must be positive"):
        section_mesh([BAR], size)


@pytest.mark.parametrize("corners", [64, 256, 1024])
def test_a_fine_polygon_on_a_circle_is_meshed_as_the_circle(corners):
    made = section_mesh([disc(5, corners)], 0.6)
    assert isinstance(made.mesh, MeshTri2)
    assert areas(made)[0] == pytest.approx(np.pi * 25, rel=1e-6)
    assert made.mesh.nelements < 1000


def test_a_regular_polygon_with_visible_corners_stays_a_polygon():
    hexagon = disc(5, corners=6)
    assert {curve.kind for curve in planar_map([hexagon], [0]).curves} == {"line"}
    dodecagon = disc(5, corners=12)
    assert areas(section_mesh([dodecagon], 2.0)) == pytest.approx([dodecagon.area], rel=1e-12)


def test_a_tube_outline_becomes_arcs_of_both_radii():
    tube = outline(Specimen("tube", 10, 10, 50, inner=5))
    curves = planar_map([tube], [0]).curves
    assert {curve.kind for curve in curves} == {"arc"}
    radii = {round(float(np.linalg.norm(c.points[0] - c.points[1])), 6) for c in curves}
    assert radii == {2.5, 5.0}


@pytest.mark.parametrize("steps", [6, 8, 16])
def test_fillets_become_arcs_and_straight_sides_stay_lines(steps):
    rounded = box(1, 1, 3, 2).buffer(-0.2).buffer(0.2, quad_segs=steps)
    planar = planar_map([box(0, 0, 4, 3) - rounded], [0])
    kinds = [curve.kind for curve in planar.curves]
    assert (kinds.count("line"), kinds.count("arc")) == (8, 4)
    made = section_mesh([box(0, 0, 4, 3) - rounded], 0.5)
    assert areas(made)[0] == pytest.approx(12 - 2 + (4 - np.pi) * 0.04, rel=1e-5)


def test_borders_that_touch_at_a_cusp_are_meshed():
    """A circle inside another that it touches, and a line that touches both: no angle between them."""
    outer, inner = disc(5, 512), disc(2, 256, centre=(3, 0))
    band = box(-5, -5, 5, 5) - outer
    made = section_mesh([outer - inner, inner, band], 1.0)
    assert areas(made) == pytest.approx([21 * np.pi, 4 * np.pi, 100 - 25 * np.pi], rel=1e-3)
    assert free_length(made.mesh) == pytest.approx(40, rel=1e-6)
    assert (made.mesh.mapping().detDF(np.array([[1, 4, 1], [1, 1, 4]]) / 6) != 0).all()


def test_rounding_to_the_snap_grid_does_not_lose_the_circle():
    rounded = shapely.set_precision(disc(0.4, 48), 1e-4)
    curves = planar_map([box(-1, -1, 1, 1) - rounded], [0]).curves
    assert sum(curve.kind == "arc" for curve in curves) == 3


def test_walls_are_spanned_by_two_elements():
    made = section_mesh([BAR - box(-4.8, -1.8, 4.8, 1.8)], 3.0)
    y, z = made.mesh.p
    bottom = np.abs(z[np.abs(y) < 3] + 2) < 0.2 + 1e-9
    heights = np.unique(np.round(z[np.abs(y) < 3][bottom], 4))
    assert len(heights) >= 3  # both faces and at least one node between
    a, b = made.mesh.p[:, made.mesh.facets].transpose(1, 0, 2)
    away = np.abs((a + b)[0] / 2) < 4.3  # corner squares are as deep as wide, hence coarser
    assert np.linalg.norm(a - b, axis=0)[away].max() < 0.2  # shorter than the wall is thick


def test_edges_are_short_at_reentrant_corners_only():
    made = section_mesh([box(0, 0, 10, 10) - box(5, 5, 10, 10)], 1.0)
    a, b = made.mesh.p[:, made.mesh.facets].transpose(1, 0, 2)
    length, (y, z) = np.linalg.norm(a - b, axis=0), (a + b) / 2
    assert length[np.hypot(y - 5, z - 5) < 0.1].max() < 0.2
    assert length[np.hypot(y, z) < 1].min() > 0.4


@pytest.mark.slow
def test_hundreds_of_rounded_voids_are_meshed():
    pitch, centres = 1.0, np.arange(-7.5, 8, 1.0)
    half = 0.3
    voids = [
        box(y - half, z - half, y + half, z + half).buffer(-0.1).buffer(0.1, quad_segs=8)
        for y in centres
        for z in centres
    ]
    inner = box(-8.5, -8.5, 8.5, 8.5)
    made = section_mesh([box(-9, -9, 9, 9) - inner, inner - shapely.union_all(voids)], pitch)
    solid = 17**2 - 256 * (0.36 - (4 - np.pi) * 0.01)
    assert areas(made) == pytest.approx([35, solid], rel=5e-5)  # parabolas for eighths of a circle
    assert made.mesh.nelements < 60_000
