"""Panels that buckle: a side wall is as wide as the core is deep, a face as wide as the core is wide."""

import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from fem.strength.failure import dimpling_stress
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen


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
    young, poisson = found.values["young_mpa"], found.values["poisson"]
    core = found.layout.area("core")
    left, low, right, high = core.bounds
    # thickness and width of the panels above and below, and at the sides
    level, side = (("face", 1.0), ("wall", 0.4)) if orientation == "flat" else (("wall", 0.4), ("face", 1.0))
    for (role, thickness), width in ((level, right - left), (side, high - low)):
        (criterion,) = [one for one in found.criteria if one.mode == "dimpling" and one.what.startswith(role)]
        expected = dimpling_stress(young, poisson, thickness, width)
        assert criterion.share * young == pytest.approx(expected, rel=1e-6)
