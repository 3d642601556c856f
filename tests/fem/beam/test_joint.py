"""Open and bonded joint of core and skin: sandwich by hand, sections that an open joint leaves as they are."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from skfem import MeshTri

from fem.beam.joint import open_over_bonded, separated
from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.material.stiffness import isotropic
from fem.section.mesh import section_mesh
from fem.section.solve import solve_section
from fem.setting import Setting
from patterns.bead import Bead
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen

SANDWICH = Setting(
    Specimen("rectangle", 12.0, 10.0, 120.0),
    Printing("flat", Bead(0.5, 0.25), walls=0, bottom_layers=4, top_layers=4, face_angles_deg=(0.0,)),
    Core("square", 0.3),
    BendTest("three_point", span=100.0),
    shipped_card("PLA"),
)


def test_two_faces_and_a_core_slide_along_each_other():
    # Faces b t with E, core b c with E/50, no Poisson effect: bonded E b (h^3 - c^3)/12 + E_c b c^3/12, open
    # E b (2 t^3)/12 + E_c b c^3/12 (each about its own axis).
    b, t, c, E, soft = 10.0, 1.0, 6.0, 3000.0, 60.0
    zones = [
        shapely.box(-b / 2, c / 2, b / 2, c / 2 + t).union(shapely.box(-b / 2, -c / 2 - t, b / 2, -c / 2)),
        shapely.box(-b / 2, -c / 2, b / 2, c / 2),
    ]
    mesh = section_mesh(zones, 1.0)
    C = np.array([isotropic(E, 0.0), isotropic(soft, 0.0)])[mesh.zone]
    bonded = solve_section(mesh.mesh, C).bending_stiffness()
    opened = solve_section(separated(mesh.mesh, mesh.zone == 1), C)
    core = soft * b * c**3 / 12
    assert bonded == pytest.approx(E * b * ((c + 2 * t) ** 3 - c**3) / 12 + core, rel=1e-4)
    assert opened.parts == 3
    assert opened.bending_stiffness() == pytest.approx(E * b * 2 * t**3 / 12 + core, rel=1e-4)


@pytest.mark.parametrize("apart", [False, True])
def test_parted_meshes_keep_area_and_places(apart):
    ring = shapely.Point(0, 0).buffer(5, 64) - shapely.Point(0, 0).buffer(4, 64)
    mesh = section_mesh([ring, shapely.Point(0, 0).buffer(4, 64)], 2.0)  # curved elements
    inside = (mesh.zone == 1) & apart
    parted = separated(mesh.mesh, inside)
    section, whole = (solve_section(one, isotropic(1.0, 0.3)) for one in (parted, mesh.mesh))
    assert section.parts == (2 if apart else 1)
    assert section.EA == pytest.approx(whole.EA, rel=1e-9)
    np.testing.assert_allclose(parted.doflocs[:, parted.t], mesh.mesh.doflocs[:, mesh.mesh.t])


def test_straight_meshes_are_parted_too():
    mesh = MeshTri.init_tensor(np.linspace(0, 1, 3), np.linspace(0, 1, 3))
    upper = mesh.p[1, mesh.t].mean(axis=0) > 0.5
    assert separated(mesh, upper).p.shape[1] == mesh.p.shape[1] + 3


def test_an_open_sandwich_loses_most_and_says_so():
    found = estimate(SANDWICH)
    joint = found.joint
    moduli = {
        "face": 3400.0,
        "core": found.theory["transformed section"].EI,
    }  # the core's does not matter here
    assert 0 < open_over_bonded(found.layout, {**moduli, "core": 1.0}, 0.0) < 0.1
    assert joint.EI < 0.2 * found.EI.best
    assert joint.stiffness < 0.2 * found.stiffness.best
    assert joint.breaking_force < found.breaking_force.best
    assert [remark.code for remark in found.warnings].count("joint_carries_shear") == 1


@pytest.mark.parametrize("walls", [1, 2])
def test_walls_around_a_core_bend_about_one_axis_bonded_or_not(walls):
    even = replace(SANDWICH, printing=replace(SANDWICH.printing, walls=walls))
    layout = lay_out(even.specimen, even.printing, even.core)
    assert open_over_bonded(layout, {"wall": 3400.0, "face": 3400.0, "core": 300.0}, 0.0) == pytest.approx(1)
    assert estimate(even).joint is None


def test_an_uneven_skin_slides_against_its_core():
    # By hand: a T of faces above only, core below; parallel axes z1 = 4.5 and z2 = -0.5 with E A of 12000 and 2400.
    bare = replace(SANDWICH.printing, bottom_layers=0)
    layout = lay_out(SANDWICH.specimen, bare, SANDWICH.core)
    E, Ec = 1000.0, 12000.0 / 108 * 0.2
    own = E * 12 * 1**3 / 12 + Ec * 12 * 9**3 / 12
    steiner = 5.0**2 / (1 / (E * 12) + 1 / (Ec * 108))
    assert open_over_bonded(layout, {"face": E, "core": Ec}, 0.0) == pytest.approx(own / (own + steiner))


def test_zones_that_only_touch_a_piece_are_left_out_of_it():
    # One wall between faces: skin is one piece, and rounding leaves lines where zones meet its border.
    layout = lay_out(
        Specimen("rectangle", 10.0, 4.0, 80.0),
        Printing("flat", Bead(0.44, 0.22), 1, 5, 5),
        Core("square", 0.3),
    )
    ratio = open_over_bonded(layout, {"wall": 3000.0, "face": 3000.0, "core": 300.0}, 0.0)
    assert 0 < ratio <= 1
