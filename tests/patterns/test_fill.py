import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.catalogue import CATALOGUE, find
from patterns.cells.voids import void_area
from patterns.errors import InputError
from patterns.fill import checked_fill, default_corner_radius, fill_for
from patterns.kinds.net import NetPattern
from tests.closed_forms import covered_area as exact

WIDTH = 0.45
ALL = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.alike)


@pytest.mark.parametrize(("slug", "width", "pitch", "options", "covered"), exact.CHECKS)
def test_geometric_fill_meets_worked_numbers(slug, width, pitch, options, covered):
    assert find(slug).geometric_fill(width, pitch, 0.0, **options) == pytest.approx(covered, abs=6e-8)


@pytest.mark.parametrize(("slug", "covered"), exact.FULL_SET_FILL.items())
def test_crossing_lines_at_set_fill_one_do_not_cover_the_plan(slug, covered):
    assert fill_for(find(slug), WIDTH, 0.0, set_fill=1.0).geometric_fill == pytest.approx(covered, rel=1e-12)


def test_every_net_has_a_worked_number_of_its_covered_area():
    nets = {slug for slug, pattern in CATALOGUE.items() if isinstance(pattern, NetPattern)} - {
        "voronoi"
    }  # random
    lacking = nets - {slug for slug, *_ in exact.CHECKS} - exact.FULL_SET_FILL.keys()
    assert not lacking, f"add {lacking} to CHECKS or FULL_SET_FILL of tests/closed_forms/covered_area.py"


@pytest.mark.parametrize("angle", [0.0, 17.0, 90.0])
@pytest.mark.parametrize("radius", [0.0, 0.1])
def test_a_line_that_ends_on_a_side_makes_no_corner_there(radius, angle):
    """Bricks 3 x 1.5 mm, each with the ends of two others in the middle of its long sides; area by hand."""
    turn = math.radians(angle)
    across, up = [math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]
    corners = np.array([[0, 0], [1.5, 0], [3, 0], [3, 1.5], [1.5, 1.5], [0, 1.5]])
    void = (3 - 0.4) * (1.5 - 0.4) - (4 - math.pi) * radius**2
    assert void_area(corners @ [across, up], 0.4, radius) == pytest.approx(void, rel=1e-12)


widths, ratios = st.floats(0.1, 2.0), st.floats(0.02, 0.9)
radii = st.just(0) | st.floats(0.1, 1)


@given(width=widths, ratio=ratios, radius=radii)
def test_geometric_fill_meets_closed_forms(width, ratio, radius):
    """Set fill by line counts, covered area by the exact formulas with rounded corners."""
    for slug, families, formula, largest in [
        ("square", 2, exact.crossing, lambda h: h / 2),
        ("triangular", 3, exact.triangular, lambda h: h / 3),
        ("kagome", 3, exact.kagome, lambda h: h / 6),
    ]:
        pattern = find(slug)
        pitch = families * width / ratio
        r = radius * (largest(pitch) - width / 2)
        assert pattern.set_fill(width, pitch) == pytest.approx(ratio, rel=1e-12)
        assert pattern.pitch(width, ratio) == pytest.approx(pitch, rel=1e-12)
        assert pattern.geometric_fill(width, pitch, r) == pytest.approx(formula(width, pitch, r), rel=1e-9)


@given(width=widths, ratio=st.floats(0.02, 0.8), radius=radii, angle=st.floats(10, 80))
def test_rhombic_fill_meets_its_closed_form(width, ratio, radius, angle):
    pitch = 2 * width / ratio
    r = radius * (pitch - width) / 2
    pattern, theta = find("rhombic"), math.radians(angle)
    assert pattern.set_fill(width, pitch, opening_angle_deg=angle) == pytest.approx(ratio, rel=1e-12)
    covered = pattern.geometric_fill(width, pitch, r, opening_angle_deg=angle)
    assert covered == pytest.approx(exact.crossing(width, pitch, r, theta), rel=1e-9)


@given(
    share=st.floats(0.05, 1.0),
    radius=st.just(0) | st.floats(0.01, 0.3),
    angle=st.floats(-45, -5),
    excess=st.floats(0.3, 3),
)
def test_reentrant_fill_meets_its_closed_form(share, radius, angle, excess):
    theta = math.radians(angle)
    options = {"cell_angle_deg": angle, "height_ratio": -2 * math.sin(theta) + excess}
    pattern = find("reentrant")
    set_fill = 0.01 + share * (pattern.fill_range(WIDTH, radius * WIDTH, **options)[1] - 0.01)
    fill = fill_for(pattern, WIDTH, radius * WIDTH, set_fill=set_fill, **options)
    inclined, upright = fill.pitch, fill.pitch * options["height_ratio"]
    walls = (upright + 2 * inclined) * WIDTH
    cell = 2 * inclined * math.cos(theta) * (upright + inclined * math.sin(theta))
    assert fill.set_fill == pytest.approx(walls / cell, rel=1e-12)
    covered = exact.six_sided(WIDTH, inclined, upright, theta, radius * WIDTH)
    assert fill.geometric_fill == pytest.approx(covered, rel=1e-9)


@pytest.mark.parametrize(("steepness", "stretch"), exact.SINE_STRETCH.items())
def test_sine_lines_deposit_their_arc_length(steepness, stretch):
    options = {"amplitude_ratio": steepness / (2 * math.pi), "wavelength_ratio": 8}
    fill = fill_for(find("sinusoidal"), 0.4, 0.0, pitch=4.0, **options)
    assert fill.set_fill == pytest.approx(stretch * 0.1, abs=1e-9)
    assert fill.geometric_fill == fill.set_fill


@pytest.mark.parametrize("slug", ALL)
@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_fill_is_met_and_inverted(slug, data):
    pattern, radius = find(slug), default_corner_radius(WIDTH)
    low, high = pattern.fill_range(WIDTH, radius)
    target = data.draw(st.floats(low, high))
    fill = fill_for(pattern, WIDTH, radius, set_fill=target)
    assert fill.set_fill == pytest.approx(target, rel=1e-12)
    back = fill_for(pattern, WIDTH, radius, geometric_fill=fill.geometric_fill)
    assert back.geometric_fill == pytest.approx(fill.geometric_fill, rel=1e-11)
    assert back.pitch == pytest.approx(fill.pitch, rel=1e-9)
    assert fill_for(pattern, WIDTH, radius, pitch=fill.pitch) == fill


@pytest.mark.parametrize("slug", ALL)
def test_out_of_reach_is_refused_with_the_reach(slug):
    pattern, radius = find(slug), default_corner_radius(WIDTH)
    low, high = pattern.fill_range(WIDTH, radius)
    for target in {low / 2, min(1.0, high * 1.001)} - {high, 1.0}:
        with pytest.raises(
            InputError, match=rf"set fill {target:g} is out of reach: {slug} .* takes {low:g} to "
        ):
            fill_for(pattern, WIDTH, radius, set_fill=target)
    with pytest.raises(InputError, match=r"pitch .* is out of reach: .* takes .* to .* mm"):
        fill_for(pattern, WIDTH, radius, pitch=pattern.pitch(WIDTH, high) * 0.99)
    with pytest.raises(InputError, match=r"geometric fill 0\.001 is out of reach"):
        fill_for(pattern, WIDTH, radius, geometric_fill=0.001)


def test_the_reach_ends_where_rounded_voids_close():
    """Kagome triangles have the inradius h/6: h/6 >= w/2 + r and F = 3 w/h give F <= w / (w + 2 r)."""
    assert find("kagome").fill_range(0.4, 0.1)[1] == pytest.approx(0.4 / 0.6, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "remedy"),
    [
        (30, "write 0.3"),
        (100.0, "write 1"),
        (2.5, "write 0.025"),
        (450, "such as 0.30"),
        (0, "above 0"),
        (-0.3, "above 0"),
    ],
)
def test_a_percentage_is_refused_with_the_fraction_to_write(value, remedy):
    with pytest.raises(InputError, match=remedy):
        checked_fill(value)
    with pytest.raises(InputError, match=remedy):
        fill_for(find("square"), WIDTH, 0.0, geometric_fill=value)


@pytest.mark.parametrize("given", [{}, {"set_fill": 0.3, "pitch": 2.0}])
def test_fill_is_given_in_exactly_one_way(given):
    with pytest.raises(InputError, match="exactly one"):
        fill_for(find("square"), WIDTH, 0.0, **given)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
@pytest.mark.parametrize("slug", ALL)
def test_impossible_lengths_are_refused(slug, bad):
    pattern = find(slug)
    for call in (
        lambda: fill_for(pattern, bad, 0.1, set_fill=0.3),
        lambda: fill_for(pattern, WIDTH, 0.1, pitch=bad),
        lambda: fill_for(pattern, WIDTH, -abs(bad) if bad else -1.0, set_fill=0.3),
        lambda: pattern.geometric_fill(WIDTH, bad, 0.1),
        lambda: pattern.set_fill(bad, 2.0),
        lambda: pattern.pitch(WIDTH, bad),
    ):
        with pytest.raises(InputError):
            call()
