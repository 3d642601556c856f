"""Pulled beams against E A, classical laminates and the weld's share, and against beams of unlike parts in series."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Polygon

from fem.beam.response import Size
from fem.bending.bending import BendTest
from fem.bending.volume_effect import effective_volume, stressed_length
from fem.estimation import estimate
from fem.material.cards import Value, shipped_card
from fem.material.stiffness import isotropic
from fem.printed.section_lines import SectionLines
from fem.section.mesh import section_mesh
from fem.section.solve import solve_section
from fem.setting import Setting
from fem.strength.fibres import Fibres, Laws
from fem.strength.tension import Pulled
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

PULL = BendTest("tension", gauge=50.0)
BAR = Setting(
    specimen=Specimen("rectangle", 10.0, 4.0, 120.0),
    printing=Printing("flat", Bead(0.5, 0.2), walls=10, bottom_layers=0, top_layers=0),
    core=Core("square", 0.3),
    test=PULL,
    card=shipped_card("PLA"),
)
CORED = replace(BAR, printing=replace(BAR.printing, walls=2, bottom_layers=2, top_layers=2))


def exactly(setting, **values):
    card = replace(
        setting.card, **{k: Value(v, v, v, getattr(setting.card, k).basis, "test") for k, v in values.items()}
    )
    return replace(setting, card=card)


@pytest.fixture(scope="module")
def solid():
    return estimate(exactly(BAR, young_mpa=3000.0, tension_along_mpa=50.0))


@pytest.fixture(scope="module")
def cored():
    return estimate(CORED)


def test_a_bar_of_beads_along_stretches_by_E_A_and_breaks_at_strength_times_area(solid):
    assert solid.EA.best == pytest.approx(3000 * 40, rel=1e-9)
    assert solid.stiffness.best == pytest.approx(3000 * 40 / 50, rel=1e-9)
    assert solid.breaking_force.best == pytest.approx(50 * 40, rel=1e-9)
    assert solid.mode == "wall_tension"
    assert solid.theory_force == pytest.approx(50 * 40)
    assert solid.theory_stiffness == pytest.approx(3000 * 40 / 50)


def test_the_rig_gives_way_in_series():
    soft = estimate(exactly(replace(BAR, test=replace(PULL, compliance=1e-4)), young_mpa=3000.0))
    assert soft.stiffness.best == pytest.approx(1 / (50 / (3000 * 40) + 1e-4), rel=1e-9)


def test_nothing_bends_shears_wrinkles_or_crushes(cored):
    reached = {mode for mode, band in cored.modes.items() if band}
    assert reached == {"face_tension", "wall_tension", "strut_tension"}
    assert cored.criteria == ()
    assert cored.curve is None
    assert cored.joint is None
    assert not any(
        remark.code in ("large_deflection", "unknown_jaws", "short_beam") for remark in cored.warnings
    )


def test_parts_stretch_alike(cored):
    """Between free contraction of every part (springs in parallel) and none at all, 1/(1 - nu^2) (plate theory)."""
    free = cored.theory["transformed section"].EA
    assert free <= cored.EA.best <= free / (1 - 0.33**2)


def test_a_raster_at_45_degrees_is_the_classical_laminate():
    """Plane-stress laminate of two angles, balanced (Jones, Mechanics of Composite Materials, chapter 4)."""
    raster = replace(BAR, printing=replace(BAR.printing, walls=0, bottom_layers=10, top_layers=10))
    found = estimate(exactly(raster, young_mpa=3000.0, across_bead_ratio=0.7, poisson=0.35))
    E1, E2, nu = 3000.0, 2100.0, 0.35
    nu12, G = nu * np.sqrt(E1 / E2), np.sqrt(E1 * E2) / (2 * (1 + nu))
    part = 1 - nu12**2 * E2 / E1
    Q11, Q22, Q12 = E1 / part, E2 / part, nu12 * E2 / part
    Axx = (Q11 + Q22 + 2 * Q12 + 4 * G) / 4
    Axy = (Q11 + Q22 + 2 * Q12 - 4 * G) / 4
    Ex = (Axx**2 - Axy**2) / Axx
    assert found.EA.best == pytest.approx(Ex * 40, rel=2e-3)


def test_an_upright_bar_breaks_where_its_layers_are_welded():
    upright = replace(BAR, printing=replace(BAR.printing, orientation="upright", walls=4))
    # alike in the plane, so that beads around a corner stretch as those beside it do
    setting = exactly(upright, weld_tension_mpa=30.0, weld_toughness_n_per_mm=1e6, across_bead_ratio=1.0)
    found = estimate(setting)
    assert found.mode == "weld_tension"
    welded = SectionLines(found.layout, straight=False).wall_share
    assert 0.6 < welded < 1
    # welds too tough for their grooves to matter: strength on what is welded
    assert found.breaking_force.best == pytest.approx(30 * 40 * welded, rel=1e-3)


def test_the_stronger_kind_carries_on_where_the_weaker_breaks_and_the_largest_force_counts():
    # by hand: 10 mm2 of E 1000, 20 MPa, breaks at 0.03; 5 mm2 of E 2000, 60 MPa, at 0.05. At 0.03: 200 + 300 N;
    # at 0.05 the first is gone: 300 N.
    fibres = Fibres(np.array([0.0, 1.0]), np.array([[10.0], [5.0]]), np.array([1000.0, 2000.0]))
    columns = (np.array([[value], [other]]) for value, other in ((20.0, 60.0), (20.0, 60.0), (0.03, 0.05)))
    strain, force = Pulled(fibres, ()).at_breaks(Laws(*columns, np.ones(1)))
    assert strain[:, 0] == pytest.approx([0.03, 0.05])
    assert force[:, 0] == pytest.approx([500.0, 300.0])


def test_a_pull_along_the_centroid_stresses_an_angle_section_evenly():
    outline = Polygon([(0, 0), (20, 0), (20, 3), (3, 3), (3, 12), (0, 12)])
    section = solve_section(section_mesh([outline], 1.5).mesh, isotropic(2000.0, 0.35))
    stress = section.stresses(section.unit_tension, "nodes").reshape(-1, 6)
    assert np.allclose(stress[:, 0], 1 / outline.area, rtol=1e-8)
    assert np.abs(stress[:, 1:]).max() < 1e-8 / outline.area
    assert pytest.approx(2000 * outline.area, rel=1e-9) == section.EA


def test_another_gauge_length_changes_the_travel_alone(cored):
    longer = cored.response.at_free_length(100.0)
    at_best = longer.at({})
    assert longer.stiffness(at_best)[0] == pytest.approx(cored.stiffness.best / 2, rel=1e-12)
    assert longer.force(at_best)[0] == pytest.approx(cored.breaking_force.best, rel=1e-12)


def test_a_wider_and_deeper_beam_carries_by_its_area(cored):
    at_best = cored.response.at({})
    size = Size(width=1.1, depth=1.2)
    for name in ("force", "stiffness"):
        same, larger = (getattr(cored.response, name)(at_best, one)[0] for one in (Size(), size))
        assert larger / same == pytest.approx(1.1 * 1.2, rel=1e-12)


def test_a_pulled_beam_is_stressed_in_all_its_volume():
    assert stressed_length(PULL, 9) == 50
    assert effective_volume(PULL, 10, 4, 9) == pytest.approx(2000)


@pytest.mark.parametrize("name", ["EA", "breaking_force", "stiffness"])
def test_bands_hold_their_best(cored, name):
    band = getattr(cored, name)
    assert 0 < band.low < band.best < band.high
