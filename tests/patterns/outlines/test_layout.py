"""Expected areas are derived by hand beside each check; w = 0.5 mm, t = 0.2 mm throughout."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, intersection, union_all

from patterns.bead import Bead
from patterns.errors import InputError
from patterns.outlines.layout import from_stack, lay_out, to_stack
from patterns.remark import Remark
from patterns.setting import Core, Printing, Specimen

BEAD = Bead(0.5, 0.2)
CORE = Core("square", 0.3)
BAR = Specimen("rectangle", width=16, depth=10, length=80)
ROD = Specimen("round", width=20, depth=20, length=80)


def polygon(points, holes=()):
    width, depth = np.ptp(np.array(points), axis=0)
    return Specimen("polygon", width, depth, 80, points=tuple(points), holes=tuple(holes))


def printing(orientation, walls=2, bottom=4, top=4, bead=BEAD):
    return Printing(orientation, bead, walls, bottom, top)


def areas(layout):
    return {zone.role: zone.area.area for zone in layout.zones}


def lens(radius, distance):
    """Area common to two circles whose centres lie ``distance`` apart (school geometry)."""
    half = distance / 2
    return 2 * radius**2 * math.acos(half / radius) - distance * math.sqrt(radius**2 - half**2)


def test_upright_bar_has_wall_rings_and_no_face():
    layout = lay_out(BAR, printing("upright"), CORE)
    # Two rings of 0.5 mm leave (16 - 2) x (10 - 2) = 112 of 160 mm^2.
    assert areas(layout) == pytest.approx({"wall": 48, "core": 112})
    # Centre-lines 0.25 and 0.75 mm inside: 2 (15.5 + 9.5) + 2 (14.5 + 8.5) = 50 + 46 mm, x 0.5 mm = 48 mm^2.
    assert [ring.length for ring in layout.wall_rings] == pytest.approx([50, 46])
    assert {zone.role: zone.direction for zone in layout.zones} == {"wall": "around", "core": "core"}
    assert layout.layers == 400
    assert layout.notes == ()


def test_flat_bar_has_walls_at_both_ends_of_its_layers_and_faces_between():
    layout = lay_out(BAR, printing("flat", bottom=3, top=5), CORE)
    # Walls 2 x 1 mm over the full depth; faces 3 and 5 layers over 16 - 2 mm; core (16 - 2) (10 - 1.6).
    assert areas(layout) == pytest.approx({"wall": 20, "face": 14 * 1.6, "core": 14 * 8.4})
    assert layout.area("core").bounds == pytest.approx((-7, -5 + 0.6, 7, 5 - 1.0))
    assert {zone.role: zone.direction for zone in layout.zones}["wall"] == "along"
    assert layout.layers == 50


def test_bar_on_edge_has_its_walls_above_and_below_in_the_beam():
    layout = lay_out(BAR, printing("on_edge", bottom=3, top=5), CORE)
    # In the layer lies z (10 mm), layers stack along -y: walls 2 x 1 x 16, faces (10 - 2) x 1.6.
    assert areas(layout) == pytest.approx({"wall": 32, "face": 12.8, "core": 8 * 14.4})
    # The bottom of the build is the beam's +y side: 3 layers there, 5 on the other.
    assert layout.area("core").bounds == pytest.approx((-8 + 1.0, -4, 8 - 0.6, 4))
    assert layout.layers == 80


@pytest.mark.parametrize("orientation", ["flat", "on_edge", "upright"])
def test_round_rod_walls_follow_circle_geometry(orientation):
    walls = areas(lay_out(ROD, printing(orientation, walls=3), CORE))["wall"]
    # Upright: a ring pi (10^2 - 8.5^2). Flat, on edge: what lies within 1.5 mm of the border along the layer,
    # that is outside the lens of two circles 3 mm apart.
    ring = math.pi * (100 - 8.5**2)
    assert walls == pytest.approx(ring if orientation == "upright" else math.pi * 100 - lens(10, 3), rel=3e-4)


def test_round_rod_faces_follow_circle_geometry():
    layout = lay_out(ROD, printing("flat", walls=0, bottom=5, top=10), CORE)
    # Without walls the core is what has 1 mm below and 2 mm above it: the lens of two circles 3 mm apart.
    assert areas(layout) == pytest.approx(
        {"face": math.pi * 100 - lens(10, 3), "core": lens(10, 3)}, rel=3e-4
    )
    low, high = layout.area("core").bounds[1::2]
    assert (low, high) == pytest.approx((-10 + 1, 10 - 2))


def test_tube_walls_line_both_borders():
    tube = Specimen("tube", 20, 20, 80, inner=10)
    upright = lay_out(tube, printing("upright"), CORE)
    assert areas(upright) == pytest.approx(
        {"wall": math.pi * (100 - 81 + 36 - 25), "core": math.pi * (81 - 36)}, rel=1e-4
    )
    assert len(upright.wall_rings) == 4
    flat = lay_out(tube, printing("flat", walls=2, bottom=0, top=0), CORE)
    # Walls lie outside the outer lens and in the sweep of the inner circle (its area + 2 r times the sweep).
    swept = math.pi * 25 + 10 * 2
    assert areas(flat) == pytest.approx(
        {"wall": math.pi * 75 - (lens(10, 2) - swept), "core": lens(10, 2) - swept}, rel=3e-4
    )


def test_box_beam_gets_faces_above_and_below_its_hole():
    box_beam = polygon([(0, 0), (12, 0), (12, 10), (0, 10)], [((3, 3), (9, 3), (9, 7), (3, 7))])
    layout = lay_out(box_beam, printing("flat", walls=1, bottom=2, top=3), CORE)
    # Walls: 0.5 mm at both ends of each slice: 2 x 0.5 x 10, and 2 x 0.5 x 4 beside the hole.
    # Faces, 0.4 mm over and 0.6 mm under nothing: (12 - 1) x 1 at the outer border; over the hole 6 x 0.4 and
    # under it 6 x 0.6 (between the hole's edges: beside it the material goes on).
    assert areas(layout) == pytest.approx({"wall": 14, "face": 11 + 6, "core": 120 - 24 - 14 - 17})


def test_walls_line_a_slit_narrower_than_themselves():
    slit = polygon([(0, 0), (12, 0), (12, 10), (0, 10)], [((6, 2), (6.1, 2), (6.1, 8), (6, 8))])
    layout = lay_out(slit, printing("flat", walls=2, bottom=0, top=0), CORE)
    # 2 x 1 x 10 outside and 2 x 1 x 6 along the slit.
    assert areas(layout)["wall"] == pytest.approx(20 + 12)


def test_reentrant_corner_is_mitred():
    angle = polygon([(0, 0), (20, 0), (20, 6), (6, 6), (6, 20), (0, 20)])
    layout = lay_out(angle, printing("upright", walls=1), CORE)
    # An angle with legs 20 x 6 (area 204); 0.5 mm inside it has legs 19 x 5 (area 165).
    assert areas(layout) == pytest.approx({"wall": 204 - 165, "core": 165})
    assert layout.wall_rings[0].length * BEAD.width == pytest.approx(39)


def test_walls_may_fill_a_section_exactly():
    bar = Specimen("rectangle", width=16, depth=4, length=80)
    for layout in (
        lay_out(bar, printing("upright", walls=4), CORE),
        lay_out(bar, printing("on_edge", 4), CORE),
    ):
        assert areas(layout) == pytest.approx({"wall": 64})
        assert layout.notes == (Remark.of("no_core_left"),)
    # Rings of the upright bar: 2 (15.5 + 3.5) + 2 (14.5 + 2.5) + ... = 38 + 34 + 30 + 26 mm.
    assert sum(
        ring.length for ring in lay_out(bar, printing("upright", 4), CORE).wall_rings
    ) == pytest.approx(128)


def test_more_face_layers_than_the_beam_has_are_told_with_their_numbers():
    told = lay_out(BAR, printing("flat", bottom=30, top=40), CORE).notes
    # By hand: 70 layers of 0.2 mm.
    assert (told[0].code, told[0]["bottom"], told[0]["top"]) == ("faces_throughout", 30, 40)
    assert (told[0]["asked"], told[0]["height"]) == (pytest.approx(14), 10)
    exact = lay_out(BAR, printing("flat", bottom=25, top=25), CORE).notes
    assert exact == (Remark.of("no_core_left"),)


@pytest.mark.parametrize("orientation", ["flat", "on_edge", "upright"])
def test_an_outline_smaller_than_two_beads_is_told_by_key_and_value(orientation):
    with pytest.raises(InputError, match=r"0\.012 mm wide and 10 mm deep, is ") as refused:
        lay_out(Specimen("rectangle", width=0.012, depth=10, length=80), printing(orientation), CORE)
    assert refused.value.key == "specimen"


def test_gap_narrower_than_a_bead_is_told_and_left_empty():
    bar = Specimen("rectangle", width=16, depth=4.3, length=80)
    upright = lay_out(bar, printing("upright", walls=4), CORE)
    # 4.3 - 8 x 0.5 = 0.3 mm is left over 16 - 4 = 12 mm.
    assert areas(upright) == pytest.approx({"remnant": 3.6, "wall": 16 * 4.3 - 3.6})
    assert upright.notes[0] == Remark.of("narrow_gap", area=pytest.approx(3.6), bead_width=0.5)
    on_edge = lay_out(bar, printing("on_edge", walls=4), CORE)
    assert areas(on_edge) == pytest.approx({"remnant": 0.3 * 16, "wall": 64})


def test_gap_in_one_leg_leaves_core_in_the_other():
    angle = polygon([(0, 0), (20, 0), (20, 2.2), (8, 2.2), (8, 20), (0, 20)])
    layout = lay_out(angle, printing("upright", walls=2), CORE)
    # The thin leg, 2.2 mm, keeps 0.2 mm between its two rings from y = 7 to 19; the thick one keeps 6 mm.
    assert areas(layout)["remnant"] == pytest.approx(0.2 * 12)
    assert areas(layout)["core"] == pytest.approx(6 * 18)


def test_core_lines_reach_into_the_walls_by_the_overlap():
    core = Core("square", 0.3, wall_overlap=0.1)
    assert lay_out(BAR, printing("upright"), core).traced_core.area == pytest.approx(14.2 * 8.2)
    # Without walls there is nothing to reach into.
    assert lay_out(BAR, printing("upright", walls=0), core).traced_core.area == pytest.approx(160)


def test_infill_carries_the_line_angles():
    def infill(core):
        return lay_out(BAR, printing("flat"), core).infill

    assert infill(Core("alternating", 0.3, angles_deg=(0, 90))).angles_deg == (0, 90)
    assert infill(Core("square", 0.3, angle_deg=30)).angles_deg == (30,)
    assert infill(Core("square", 0.0)) is None


def test_height_of_no_whole_number_of_layers_is_told():
    bar = Specimen("rectangle", width=16, depth=10.1, length=80)
    layout = lay_out(bar, printing("flat"), CORE)
    assert layout.layers == 50
    assert layout.notes == (Remark.of("part_of_a_layer", height=10.1, layer_height=0.2, layers=50),)


@pytest.mark.parametrize(
    ("specimen", "print_", "core", "words"),
    [
        (BAR, printing("upright", walls=11), CORE, "walls 11: only 10 of 0.5 mm fit"),
        (BAR, printing("on_edge", walls=11), CORE, "walls 11: only 10 of 0.5 mm fit"),
        (BAR, printing("flat", walls=20), CORE, "walls 20: only 16 of 0.5 mm fit"),
        (BAR, printing("upright", walls=-1), CORE, "walls -1"),
        (BAR, Printing("flat", BEAD, 2, 1.5, 4), CORE, "bottom_layers 1.5"),
        (BAR, Printing("flat", BEAD, face_angles_deg=()), CORE, "face_angles_deg is empty"),
        (BAR, printing("upright"), Core("square", 0.3, wall_overlap=0.6), "wall_overlap 0.6 mm"),
        (Specimen("rectangle", 0.9, 10, 80), printing("upright", 0), CORE, "thinner than two beads"),
        (Specimen("rectangle", 0.9, 10, 80), printing("flat", 0), CORE, "smaller than two beads"),
        (Specimen("rectangle", 10, 0.3, 80), printing("flat", 0), CORE, "two layers"),
    ],
)
def test_impossible_layouts_are_refused_in_one_line(specimen, print_, core, words):
    with pytest.raises(InputError, match=words) as error:
        lay_out(specimen, print_, core)
    assert "\n" not in str(error.value)


@st.composite
def specimens(draw):
    shape = draw(st.sampled_from(["rectangle", "round", "tube", "polygon"]))
    width = draw(st.floats(6, 25))
    if shape == "polygon":
        # A star-shaped outline about the origin with a hole, itself a small star: never self-crossing.
        n = draw(st.integers(4, 9))
        angles = np.linspace(0, 2 * np.pi, n, endpoint=False)
        radii = np.array(draw(st.lists(st.floats(5, 12), min_size=n, max_size=n)))
        rays = np.column_stack([np.cos(angles), np.sin(angles)])
        return polygon(
            [tuple(p) for p in radii[:, None] * rays], [tuple(map(tuple, draw(st.floats(0.3, 1.5)) * rays))]
        )
    inner = width * draw(st.floats(0.2, 0.6)) if shape == "tube" else 0.0
    depth = draw(st.floats(6, 25)) if shape == "rectangle" else width
    return Specimen(shape, width, depth, 80, inner=inner)


@settings(max_examples=60, deadline=None)
@given(
    specimens(),
    st.sampled_from(["flat", "on_edge", "upright"]),
    st.integers(0, 3),
    st.tuples(st.integers(0, 12), st.integers(0, 12)),
)
def test_zones_tile_the_outline(specimen, orientation, walls, faces):
    try:
        layout = lay_out(specimen, printing(orientation, walls, *faces), CORE)
    except InputError:
        return  # a thin place; its refusal has tests of its own
    whole = layout.outline.area
    assert sum(areas(layout).values()) == pytest.approx(whole, rel=1e-9)
    # On a grid, since overlays in floating point err by whole strips where corners differ in their last digit.
    grid = 1e-11
    joint = union_all([zone.area for zone in layout.zones], grid_size=grid)
    assert joint.area == pytest.approx(whole, rel=1e-9)
    for one, other in itertools.combinations(layout.zones, 2):
        assert intersection(one.area, other.area, grid_size=grid).area < 1e-9 * whole
    assert all(zone.area.is_valid for zone in layout.zones)
    if orientation == "upright":
        deposited = sum(ring.length for ring in layout.wall_rings) * BEAD.width
        assert deposited == pytest.approx(layout.area("wall").area, rel=0.02, abs=0.1)


@settings(max_examples=30, deadline=None)
@given(st.floats(5, 20), st.floats(5, 20), st.integers(0, 4), st.integers(0, 8), st.integers(0, 8))
def test_a_bar_on_edge_is_the_same_bar_flat_turned_by_ninety_degrees(width, depth, walls, bottom, top):
    on_edge = lay_out(Specimen("rectangle", width, depth, 80), printing("on_edge", walls, bottom, top), CORE)
    flat = lay_out(Specimen("rectangle", depth, width, 80), printing("flat", walls, bottom, top), CORE)
    for role in ("wall", "face", "core"):
        turned = to_stack(on_edge.area(role), "on_edge")
        assert turned.symmetric_difference(flat.area(role)).area < 1e-9


def test_stack_frame_follows_the_axis_map():
    # on_edge: axis 2 = z, axis 3 = -y, so the corner (y, z) = (3, 1) goes to (1, -3).
    corner = Polygon([(3, 1), (4, 1), (4, 2)])
    assert to_stack(corner, "on_edge").exterior.coords[0] == (1, -3)
    assert from_stack(to_stack(corner, "on_edge"), "on_edge").equals(corner)
    assert to_stack(corner, "flat").equals(corner)


def test_a_turned_core_turns_the_directions_of_its_layers():
    specimen, printing = Specimen("rectangle", 16, 10, 60), Printing("flat", Bead(0.45, 0.2))
    turned = lay_out(specimen, printing, Core("alternating", 0.3, angle_deg=30.0, angles_deg=(45.0, -45.0)))
    assert turned.infill.angles_deg == (75.0, -15.0)


@pytest.mark.parametrize("orientation", ["flat", "upright"])
def test_a_layout_around_another_core_is_that_core_laid_out(orientation):
    printing = Printing(orientation, Bead(0.45, 0.2))
    first = lay_out(BAR, printing, Core("square", 0.3))
    other = Core("gyroid", 0.2, phase=0.1)
    assert first.with_core(other).infill == lay_out(BAR, printing, other).infill
    assert first.shifted(0.7).infill == lay_out(BAR, printing, Core("square", 0.3, phase=0.7)).infill
    assert first.with_core(Core("square", 0.0)).infill is None
