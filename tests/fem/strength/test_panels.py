"""Panels that buckle: where they are, what the beam carries then, and that more wall or face is never weaker."""

from dataclasses import replace

import numpy as np
import pytest

from fem.bending.bending import BendTest
from fem.bending.plates import effective_share, plate_strain
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from fem.strength.bent import Bent
from fem.strength.fibres import Fibres
from fem.strength.kinds import Kind, Raster
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from tests.fem.bending.test_plates import panel

BAR = Setting(
    specimen=Specimen("rectangle", 10.0, 8.0, 120.0),
    printing=Printing("flat", Bead(0.45, 0.2), walls=2, bottom_layers=4, top_layers=4),
    core=Core("square", 0.15),
    test=BendTest("three_point", span=100.0),
    card=shipped_card("PLA"),
)


def printed(setting, **changed):
    return replace(setting, printing=replace(setting.printing, **changed))


def force(setting):
    return estimate(setting).breaking_force.best


@pytest.mark.parametrize("orientation", ["flat", "on_edge"])
def test_a_hollow_bars_panels_span_the_core_along_themselves(orientation):
    bead = Bead(0.4, 0.2)
    bar = Setting(
        specimen=Specimen("rectangle", 10.0, 4.0, 80.0),
        printing=Printing(orientation, bead, walls=1, bottom_layers=5, top_layers=5, face_angles_deg=(0.0,)),
        core=Core("square", 0.0),
        test=BendTest("three_point", span=64.0),
        card=shipped_card("ABS"),
    )
    found = estimate(bar)
    left, low, right, high = found.layout.area("core").bounds
    # thickness and width of the pressed panel on top, in pure compression, and of those at the sides, in pure bending
    level, side = (("face", 1.0), ("wall", 0.4)) if orientation == "flat" else (("wall", 0.4), ("face", 1.0))
    kinds = {kind.role: kind for kind in found.response.bent.kinds}
    (top,), sides = kinds[level[0]].panels, kinds[side[0]].panels
    nu = found.values["poisson"]
    assert top.alone == pytest.approx(plate_strain(level[1], right - left, nu), rel=1e-3)
    assert len(sides) == 2
    for one in sides:
        assert one.psi == pytest.approx(-1.0, abs=1e-3)
        assert one.alone == pytest.approx(plate_strain(side[1], high - low, nu, -1.0), rel=1e-3)


def test_a_box_with_a_slender_face_carries_its_effective_width_by_hand():
    # Two faces 20 x 0.4 mm, 10 mm apart, yield strain 0.02, nothing else: the pressed one carries rho s_y. A face alone
    # in tension never breaks, so the couple is rho s_y t b over 10 mm as the strain grows.
    strain = plate_strain(0.4, 20.0, 0.35)
    rho = float(effective_share(np.sqrt(0.02 / strain)))
    fibres = Fibres(np.array([-5.2, -4.8, 4.8, 5.2]), np.array([[20.0, 0.0, 20.0]]), np.array([2000.0]))
    kind = Kind("face", "face", "face_tension", 2000.0, Raster(1, 0, 0), (panel(alone=strain, gap=strain),))
    bent = Bent(fibres, (kind,))
    draws = {name: np.array([value]) for name, value in (
        ("tension_along_mpa", 40.0), ("compression_mpa", 40.0), ("fracture_strain", 1.0))}  # fmt: skip
    moment = float(bent.carried(draws, np.ones(1)).largest[0])
    assert 0.1 < rho < 0.3
    assert moment == pytest.approx(rho * 40 * 0.4 * 20 * 10, rel=0.05)


def test_a_beam_carries_on_after_its_face_buckles_and_says_so():
    thin = printed(replace(BAR, core=Core("square", 0.0)), top_layers=2, bottom_layers=2)
    found = estimate(thin)
    begins = min(float(event.load[0]) for event in found.response.events(found.response.at({})))
    assert begins < 0.5 * found.breaking_force.best
    told = [remark for remark in found.warnings if remark.code == "local_event"]
    assert told[0]["mode"] == "dimpling"
    assert told[0]["force"] == pytest.approx(begins)
    # what buckling takes off is what the mode says
    stocky = replace(found.response, bent=found.response.bent.without_buckling())
    without = float(stocky.force(stocky.at({}))[0])
    assert found.mode == "dimpling"
    assert found.modes["dimpling"].best == pytest.approx(found.breaking_force.best)
    assert found.breaking_force.best < 0.95 * without
    assert begins < found.modes["dimpling"].best


def test_a_core_however_soft_never_makes_a_hollow_beam_weaker():
    thin = printed(BAR, top_layers=2, bottom_layers=2)
    forces = [force(replace(thin, core=Core("square", fill))) for fill in (0.0, 0.05, 0.15)]
    assert (np.diff(forces) > 0).all()


@pytest.mark.parametrize(("orientation", "fill"), [("flat", 0.0), ("flat", 0.15), ("on_edge", 0.15)])
def test_one_more_wall_or_face_layer_is_never_weaker(orientation, fill):
    bar = printed(
        replace(BAR, core=Core("square", fill), test=BendTest("three_point", span=45.0)),
        orientation=orientation,
    )
    walls = [force(printed(bar, walls=count)) for count in (1, 2, 4)]
    faces = [force(printed(bar, bottom_layers=count, top_layers=count)) for count in (0, 1, 2, 5)]
    for forces in (walls, faces):
        assert (np.diff(forces) > -1e-3 * np.array(forces[1:])).all(), forces


def angles(first, last):
    bar = replace(BAR, test=BendTest("three_point", span=45.0))
    return [
        force(replace(bar, test=replace(bar.test, load_angle_deg=float(angle))))
        for angle in range(first, last + 1)
    ]


def test_the_force_does_not_jump_with_the_first_hundredth_of_a_degree():
    turned = replace(BAR, test=BendTest("three_point", span=45.0, load_angle_deg=0.01))
    assert force(turned) == pytest.approx(
        force(replace(turned, test=BendTest("three_point", span=45.0))), rel=1e-3
    )


def test_force_is_continuous_over_the_first_load_angles():
    assert np.abs(np.diff(np.log(angles(0, 4)))).max() < 0.025


@pytest.mark.slow
def test_force_is_continuous_over_every_load_angle():
    assert np.abs(np.diff(np.log(angles(0, 90)))).max() < 0.025
