"""Every pattern of the catalogue that has a plan cell, checked alike."""

import math
from collections import Counter

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline
from shapely import LineString, Polygon
from shapely.affinity import translate

from fem.numerics.mesh import mesh_planar
from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from patterns.cells.strand import Wave
from patterns.cells.voids import inradius, void_area, void_in
from patterns.errors import InputError
from patterns.fill import fill_for

PRISMATIC = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.alike and pattern.periodic)
NETS = [slug for slug in PRISMATIC if slug not in ("parallel", "sinusoidal")]
OPTIONS = {
    "rhombic": {"opening_angle_deg": 35.0},
    "reentrant": {"cell_angle_deg": -25.0, "height_ratio": 1.6},
    "voronoi": {"seed": 5, "cells": 9},
}
BEAD = Bead(0.5)


def sampled(curve, steps=64):
    """Points along a curve from start to end."""
    if curve.kind == "line":
        return curve.points
    if curve.kind == "spline":
        chord = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(curve.points, axis=0).T))])
        fine = np.interp(np.arange(8 * (len(chord) - 1) + 1) / 8, np.arange(len(chord)), chord)
        return CubicSpline(chord, curve.points)(fine)
    start, centre, end = curve.points
    first, last = start - centre, end - centre
    sweep = math.atan2(first[0] * last[1] - first[1] * last[0], first @ last)
    angle = np.linspace(0, sweep, steps + 1)[:, None]
    return centre + first * np.cos(angle) + np.array([-first[1], first[0]]) * np.sin(angle)


def signed_area(curve):
    """Area between a curve and the origin, exact for lines and arcs."""
    start, end = curve.points[0], curve.points[-1]
    if curve.kind == "spline":
        x, y = sampled(curve).T
        return float(x[:-1] @ y[1:] - x[1:] @ y[:-1]) / 2
    chord = (start[0] * end[1] - start[1] * end[0]) / 2
    if curve.kind == "line":
        return chord
    first, last = start - curve.points[1], end - curve.points[1]
    sweep = math.atan2(first[0] * last[1] - first[1] * last[0], first @ last)
    return chord + (first @ first) * (sweep - math.sin(sweep)) / 2


def loop_points(planar, loop):
    parts = [sampled(planar.curves[abs(k) - 1])[:: 1 if k > 0 else -1] for k in loop]
    for here, following in zip(parts, parts[1:] + parts[:1], strict=True):
        assert here[-1] == pytest.approx(following[0], abs=1e-12), "a loop is open"
    return np.concatenate([part[:-1] for part in parts])


def region_area(planar, region):
    def loop(curves):
        return sum(math.copysign(1, k) * signed_area(planar.curves[abs(k) - 1]) for k in curves)

    assert loop(region.outer) > 0
    return loop(region.outer) - sum(abs(loop(hole)) for hole in region.holes)


def polygon(planar, region):
    return Polygon(loop_points(planar, region.outer), [loop_points(planar, hole) for hole in region.holes])


def cell_of(slug, set_fill=0.3, radius=0.125, angle=0.0):
    pattern, options = find(slug), OPTIONS.get(slug, {})
    pitch = pattern.pitch(BEAD.width, set_fill, **options)
    return pattern.cell(BEAD, pitch, radius, angle, **options)


@pytest.mark.parametrize("angle", [0.0, 30.0, -117.0])
@pytest.mark.parametrize("radius", [0.0, 0.125])
@pytest.mark.parametrize("slug", PRISMATIC)
def test_solid_area_is_the_geometric_fill(slug, radius, angle):
    cell = cell_of(slug, radius=radius, angle=angle)
    solid = sum(region_area(cell.planar, region) for region in cell.planar.regions)
    assert solid / cell.area == pytest.approx(cell.geometric_fill, rel=1e-12 if slug in NETS else 1e-6)
    assert cell.set_fill == pytest.approx(0.3, rel=1e-12)
    pattern, options = find(slug), OPTIONS.get(slug, {})
    stated = pattern.geometric_fill(BEAD.width, cell.pitch, radius, **options)
    assert cell.geometric_fill == pytest.approx(stated, rel=1e-12)


@pytest.mark.parametrize("slug", PRISMATIC)
def test_regions_do_not_overlap_their_copies(slug):
    cell = cell_of(slug, angle=17.0)
    solid = shapely.union_all([polygon(cell.planar, region) for region in cell.planar.regions])
    assert solid.area / cell.area == pytest.approx(cell.geometric_fill, rel=2e-3)  # arcs are cut into chords
    for i in (-1, 0, 1):
        for j in (-1, 0, 1):
            if (i, j) != (0, 0):
                x, y = np.array([i, j]) @ cell.lattice
                assert solid.intersection(translate(solid, x, y)).area < 1e-9


@pytest.mark.parametrize("slug", NETS)
def test_faces_tile_the_plan(slug):
    cell = cell_of(slug, angle=17.0)
    faces = [Polygon(loop_points(cell.planar, region.outer)) for region in cell.planar.regions]
    assert sum(face.area for face in faces) == pytest.approx(cell.area, rel=1e-12)
    assert shapely.union_all(faces).area == pytest.approx(cell.area, rel=1e-9)


@pytest.mark.parametrize("slug", PRISMATIC)
def test_paired_curves_are_copies_moved_by_a_lattice_vector(slug):
    cell = cell_of(slug, angle=17.0)
    for pair in cell.pairs:
        here, there = (cell.planar.curves[k - 1].points for k in (pair.curve, pair.partner))
        assert here == pytest.approx(there + pair.shift, abs=1e-12)
        steps = np.array(pair.shift) @ np.linalg.inv(cell.lattice)
        assert steps == pytest.approx(np.rint(steps), abs=1e-9)
        assert np.abs(steps).max() > 0.5


@pytest.mark.parametrize("slug", NETS)
def test_every_curve_is_shared_or_paired_or_a_void(slug):
    cell = cell_of(slug)
    outer = Counter(abs(k) for region in cell.planar.regions for k in region.outer)
    voids = Counter(abs(k) for region in cell.planar.regions for hole in region.holes for k in hole)
    paired = Counter(k for pair in cell.pairs for k in (pair.curve, pair.partner))
    assert set(outer) | set(voids) == set(range(1, len(cell.planar.curves) + 1))
    assert not set(outer) & set(voids)
    for number, uses in outer.items():
        assert uses + paired[number] == 2


@pytest.mark.parametrize("slug", PRISMATIC)
def test_centre_lines_follow_the_beads(slug):
    """All lines of the cell's surroundings, as wide as the bead, cover exactly the sharp-cornered solid."""
    cell = cell_of(slug, radius=0.0, angle=17.0)
    solid = shapely.union_all([polygon(cell.planar, region) for region in cell.planar.regions])
    beads = shapely.union_all(
        [LineString(line.points).buffer(line.width / 2, cap_style="square") for line in cell.lines]
    )
    chord = 1e-3 if slug == "sinusoidal" else 1e-9  # its line is a polyline
    missing = solid.difference(beads.buffer(chord))
    if slug == "reentrant":  # mitred tips stick out of straight pieces
        missing = missing.difference(beads.buffer(0.1))
    assert missing.area < 1e-9


def harmonics(lines):
    """Second and fourth angular moments of line directions, weighted by length."""
    step = np.concatenate([np.diff(np.array(line.coords), axis=0) for line in lines])
    length = np.hypot(*step.T)
    angle = np.arctan2(step[:, 1], step[:, 0])
    return [complex((length * np.exp(1j * k * angle)).sum() / length.sum()) for k in (2, 4)]


@pytest.mark.parametrize("slug", PRISMATIC)
def test_line_directions_have_the_symmetry_class(slug):
    pattern, options = find(slug), OPTIONS.get(slug, {})
    second, fourth = harmonics(lines_of_one_period(pattern, 2.0, 0.0, options))
    zero = pytest.approx(0, abs=1e-9)
    claims = {
        "isotropic": [abs(second), abs(fourth)],
        "square": [abs(second), fourth.imag],
        "orthotropic": [second.imag, fourth.imag],
        "monoclinic": [],
    }
    assert all(part == zero for part in claims[pattern.symmetry])
    looser = {"square": abs(fourth), "orthotropic": abs(second), "monoclinic": abs(second.imag)}
    assert looser.get(pattern.symmetry, 1.0) > 0.01  # the claim is not weaker than the truth
    turned = harmonics(lines_of_one_period(pattern, 2.0, 25.0, options))
    for k, before, after in zip((2, 4), (second, fourth), turned, strict=True):
        assert after == pytest.approx(before * np.exp(1j * k * math.radians(25)), abs=1e-9)


def lines_of_one_period(pattern, pitch, angle, options):
    """Lines cut to one period, placed so that no line runs along its border."""
    (ax, ay), (bx, by) = pattern.cell(BEAD, pitch, 0.0, angle, **options).lattice
    corner = 0.123456 * np.array([ax, ay]) + 0.2345678 * np.array([bx, by])
    period = Polygon(corner + np.array([[0, 0], [ax, ay], [ax + bx, ay + by], [bx, by]]))
    lines = shapely.intersection(pattern.lines(period.bounds, pitch, angle, 0.0, **options), period)
    return [part for part in shapely.get_parts(lines) if part.geom_type == "LineString"]


@pytest.mark.parametrize("angle", [0.0, 25.0, 90.0, 133.0])
@pytest.mark.parametrize("slug", PRISMATIC)
def test_line_length_in_one_period_is_the_set_fill(slug, angle):
    pattern, options = find(slug), OPTIONS.get(slug, {})
    length = sum(line.length for line in lines_of_one_period(pattern, 2.0, angle, options))
    area = pattern.cell(BEAD, 2.0, 0.0, angle, **options).area
    exact = pattern.set_fill(BEAD.width, 2.0, **options)
    assert length * BEAD.width / area == pytest.approx(exact, rel=1e-9 if slug in NETS else 1e-4)


@pytest.mark.parametrize("slug", PRISMATIC)
def test_phase_moves_lines_and_a_whole_phase_changes_nothing(slug):
    pattern, options = find(slug), OPTIONS.get(slug, {})
    box = (-5.0, -4.0, 6.0, 3.0)
    clip = shapely.box(*box)

    def lines(phase):
        return shapely.union_all(pattern.lines(box, 2.0, 20.0, phase, **options)).intersection(clip)

    assert lines(0.0).hausdorff_distance(lines(1.0)) < 1e-9
    assert lines(0.0).hausdorff_distance(lines(0.37)) > 0.1


def ring_and_bead(draw):
    """A regular or Voronoi-like convex face and a bead that leaves a void."""
    corners = draw(st.integers(3, 8))
    angles = np.cumsum(draw(st.lists(st.floats(0.3, 1), min_size=corners, max_size=corners)))
    angles *= 2 * np.pi / angles[-1]
    return 2.0 * np.column_stack([np.cos(angles), np.sin(angles)]) * [1.0, draw(st.floats(0.5, 1))]


faces = st.composite(ring_and_bead)()


@settings(max_examples=60, deadline=None)
@given(face=faces, inset=st.floats(0.05, 0.95), round_share=st.just(0) | st.floats(0.01, 0.99))
def test_void_is_the_opening_of_the_inset_face(face, inset, round_share):
    """Against the polygon buffers of an independent library, chords and all."""
    largest = inradius(face)
    width = 2 * inset * largest
    radius = round_share * (largest - width / 2)
    sharp = Polygon(face).buffer(-width / 2, join_style="mitre", mitre_limit=1e6)
    opened = sharp.buffer(-radius, join_style="mitre", mitre_limit=1e6).buffer(radius, quad_segs=128)
    area = void_area(face, width, radius)
    assert area == pytest.approx(opened.area, rel=1e-4, abs=1e-6)
    void = void_in(face, width, radius)
    assert sum(signed_area(curve) for curve in void.curves) == pytest.approx(area, rel=1e-6, abs=1e-9)
    assert largest == pytest.approx(shapely.maximum_inscribed_circle(Polygon(face), 1e-4).length, abs=1e-3)


@settings(max_examples=40, deadline=None)
@given(
    angle=st.floats(-50, -5), excess=st.floats(0.2, 2), share=st.floats(0.1, 1), radius=st.floats(0.01, 0.3)
)
def test_reentrant_void_is_the_opening_of_the_mitred_inset(angle, excess, share, radius):
    options = {"cell_angle_deg": angle, "height_ratio": -2 * math.sin(math.radians(angle)) + excess}
    pattern = find("reentrant")
    high = pattern.fill_range(BEAD.width, radius * BEAD.width, **options)[1]
    fill = fill_for(pattern, BEAD.width, radius * BEAD.width, set_fill=max(0.01, share * high), **options)
    cell = pattern.cell(BEAD, fill.pitch, radius * BEAD.width, 0.0, **options)
    face = Polygon(loop_points(cell.planar, cell.planar.regions[0].outer))
    r = radius * BEAD.width
    sharp = face.buffer(-BEAD.width / 2, join_style="mitre", mitre_limit=1e6)
    opened = sharp.buffer(-r, quad_segs=128).buffer(r, quad_segs=128)
    assert fill.geometric_fill == pytest.approx(1 - opened.area / cell.area, abs=2e-5)


@settings(max_examples=30, deadline=None)
@given(steepness=st.floats(0.05, 3), wavelength=st.floats(0.3, 10))
def test_gap_between_sine_lines_is_their_distance(steepness, wavelength):
    wave = Wave(steepness * wavelength / (2 * math.pi), wavelength)
    points, _ = wave.points(400)
    line = LineString(np.concatenate([points - [wavelength, 0], points, points + [wavelength, 0]]))
    middle = LineString(points + [0, 1])
    assert wave.gap == pytest.approx(middle.distance(line), abs=1e-3 * wavelength)


@pytest.mark.parametrize("slug", PRISMATIC)
@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_random_valid_settings_build_a_cell(slug, data):
    """Any width, fill in reach, radius, angle and options; some options do not go together, and are refused."""
    pattern = find(slug)
    options = {
        option.name: data.draw(
            st.integers(int(option.low), int(min(option.high, 30)))
            if option.integer
            else st.floats(option.low, option.high)
        )
        for option in pattern.options
    }
    width = data.draw(st.floats(0.1, 2))
    radius = data.draw(st.sampled_from([0.0, 0.1, 0.25, 0.5])) * width
    try:
        low, high = pattern.fill_range(width, radius, **options)
        fill = fill_for(pattern, width, radius, set_fill=data.draw(st.floats(low, high)), **options)
    except InputError:
        return
    cell = pattern.cell(
        Bead(width, 0.2 * width), fill.pitch, radius, data.draw(st.floats(-360, 360)), **options
    )
    solid = sum(region_area(cell.planar, region) for region in cell.planar.regions)
    assert solid / cell.area == pytest.approx(fill.geometric_fill, rel=1e-5)
    assert 0 < fill.geometric_fill <= 1


@pytest.mark.parametrize("end", [0, 1])
@pytest.mark.parametrize("slug", PRISMATIC)
def test_cells_mesh_with_the_exact_area(slug, end):
    """Also at the ends of the reach, where voids are discs or hundreds of widths long (the latter at ten times)."""
    pattern, options = find(slug), OPTIONS.get(slug, {})
    low, high = pattern.fill_range(BEAD.width, 0.125, **options)
    fill = fill_for(pattern, BEAD.width, 0.125, set_fill=(10 * low, high)[end], **options)
    cell = pattern.cell(BEAD, fill.pitch, 0.125, 10.0, **options)
    mesh = mesh_planar(cell.planar, BEAD.width, cell.pairs).mesh
    determinant = np.abs(mesh.mapping().detDF(np.array([[1 / 6, 2 / 3, 1 / 6], [1 / 6, 1 / 6, 2 / 3]])))
    assert determinant.sum() / 6 / cell.area == pytest.approx(fill.geometric_fill, rel=2e-5)


def test_kagome_at_set_fill_one_closes_its_triangles():
    cell = find("kagome").cell(BEAD, 3 * BEAD.width, 0.0, 0.0)
    assert [len(region.holes) for region in cell.planar.regions] == [0, 0, 1]
    assert cell.geometric_fill == pytest.approx(2 / 3, rel=1e-12)


def test_parallel_beads_join_only_at_a_pitch_of_one_width():
    assert len(find("parallel").cell(BEAD, BEAD.width, 0.0, 0.0).pairs) == 2
    assert len(find("parallel").cell(BEAD, 1.01 * BEAD.width, 0.0, 0.0).pairs) == 1


def test_voronoi_is_the_same_for_the_same_seed_only():
    net = {seed: cell_of_seed(seed).lines[0].points for seed in (1, 1, 2)}
    assert (net[1] == cell_of_seed(1).lines[0].points).all()
    assert not np.allclose(net[1], net[2])


def cell_of_seed(seed):
    return find("voronoi").cell(BEAD, 3.0, 0.1, 0.0, seed=seed)


@pytest.mark.parametrize(
    ("slug", "pitch", "radius", "options", "message"),
    [
        ("square", 0.4, 0.0, {}, "leaves no opening"),
        ("square", 1.0, 0.3, {}, r"at most 0.25 mm"),
        ("kagome", 2.0, 0.2, {}, r"at most 0.08333 mm"),
        ("parallel", 0.4, 0.0, {}, "use at least 0.5 mm"),
        ("sinusoidal", 3.0, 0.0, {"amplitude_ratio": 0.5, "wavelength_ratio": 0.25}, "use at least"),
        ("reentrant", 3.0, 0.0, {"cell_angle_deg": -40, "height_ratio": 1.2}, "must be above 1.286"),
        ("reentrant", 1.0, 0.0, {"cell_angle_deg": -30, "height_ratio": 1.1}, "leaves no opening"),
        ("square", float("nan"), 0.0, {}, "positive number"),
        ("square", 2.0, -0.1, {}, "must be 0 .sharp corners. or at least 0.0005 mm"),
    ],
)
def test_impossible_cells_are_refused(slug, pitch, radius, options, message):
    with pytest.raises(InputError, match=message):
        find(slug).cell(BEAD, pitch, radius, 0.0, **options)


def test_options_that_leave_no_fill_in_reach_are_refused():
    with pytest.raises(
        InputError, match=r"the lines meet at a fill of 0\.0\d+ already; the least fill is 0\.01"
    ):
        find("reentrant").fill_range(0.5, 0.25, cell_angle_deg=-30, height_ratio=1.001)
