"""The same solid is the same beam, whatever lays it down; near it nothing jumps."""

from dataclasses import replace

import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

BAR = Specimen("rectangle", 12.0, 8.0, 100.0)


def made(orientation, core, walls=2, specimen=BAR):
    printing = Printing(orientation, Bead(0.5, 0.2), walls, 0, 0)
    return estimate(
        Setting(specimen, printing, core, BendTest("cantilever", lever=60.0), shipped_card("PLA"))
    )


@pytest.mark.parametrize("orientation", ["flat", "on_edge"])
@pytest.mark.parametrize(
    "core", [Core(slug, 1.0) for slug in ("alternating", "solid", "concentric", "parallel")]
)
def test_full_cores_bend_like_the_solid_bar(orientation, core):
    """EI = E b h^3 / 12 of the bead's modulus along the beam; mass = density x volume."""
    full = made(orientation, core)
    assert full.EI.best == pytest.approx(full.values["young_mpa"] * 12 * 8**3 / 12, rel=0.01)
    assert full.mass.best == pytest.approx(full.values["density_g_cm3"] * 12 * 8 * 100 / 1000, rel=0.01)


@pytest.mark.parametrize("core", [Core("concentric", 1.0), Core("parallel", 1.0)])
def test_upright_lines_stacked_bead_on_bead_are_walls_to_the_centre(core):
    walls, full = made("upright", Core("square", 0.3), walls=8), made("upright", core)
    assert full.EI.best == pytest.approx(walls.EI.best, rel=0.01)
    assert full.mass.best == pytest.approx(walls.mass.best, rel=0.01)


@pytest.mark.parametrize("orientation", ["flat", "upright"])
def test_a_full_raster_is_an_alternating_core_at_full_fill(orientation):
    alternating, solid = (made(orientation, Core(slug, 1.0)) for slug in ("alternating", "solid"))
    for quantity in ("EI", "GA", "GJ", "mass", "breaking_force"):
        assert getattr(solid, quantity).best == pytest.approx(getattr(alternating, quantity).best, rel=1e-9)


@pytest.mark.parametrize("orientation", ["flat", "upright"])
def test_a_core_all_but_full_is_all_but_the_full_beam(orientation):
    near, full = (made(orientation, Core("alternating", fill)) for fill in (0.999, 1.0))
    for quantity in ("EI", "GA", "GJ", "mass"):
        assert getattr(near, quantity).best == pytest.approx(getattr(full, quantity).best, rel=0.01)
    assert near.breaking_force.best == pytest.approx(full.breaking_force.best, rel=0.01)
    assert near.EI.best < full.EI.best


def test_rings_bend_together_about_the_axis_they_share():
    """Coaxial tubes curved alike carry E times the second moment of what they cover: a thin pitch makes it smooth.

    Of an upright rod of diameter D with walls to d, EI = ratio E pi/64 (D^4 - d^4 + F d^4).
    """
    fill, D, wall = 0.4, 20.0, 1.0
    rod = Specimen("round", D, D, 100.0)
    rings, walls = (made("upright", Core("concentric", share), specimen=rod) for share in (fill, 0.0))
    d4, D4 = (D - 2 * wall) ** 4, D**4
    assert rings.EI.best / walls.EI.best == pytest.approx(1 + fill * d4 / (D4 - d4), rel=0.01)
    assert rings.GA.best > walls.GA.best


def test_loose_lines_along_the_outline_need_faces_in_a_flat_beam():
    setting = made("flat", Core("alternating", 0.3)).setting
    printing = replace(setting.printing, bottom_layers=4, top_layers=4)
    rings, rows = (
        estimate(replace(setting, printing=printing, core=Core(slug, 0.3)))
        for slug in ("concentric", "parallel")
    )
    assert rings.EI.best == pytest.approx(rows.EI.best, rel=1e-6)  # both run along the beam
    assert rings.breaking_force.best == pytest.approx(rows.breaking_force.best, rel=1e-6)


@pytest.mark.parametrize("slug", ["square", "hexagonal"])
def test_a_corner_of_a_few_micrometres_breaks_like_a_sharp_one(slug):
    sharp, rounded, usual = (
        made("on_edge", Core(slug, 0.3, corner_radius=radius)) for radius in (0.0, 0.002, None)
    )
    assert rounded.mode == sharp.mode == usual.mode
    assert rounded.breaking_force.best == pytest.approx(sharp.breaking_force.best, rel=1e-3)
    assert usual.breaking_force.best == pytest.approx(sharp.breaking_force.best, rel=0.02)
