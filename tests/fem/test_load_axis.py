"""The load's direction: a beam printed flat and loaded across its width is one printed on edge and loaded on top."""

from dataclasses import replace

import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.errors import InputError
from patterns.setting import Core, Printing, Specimen


def beam(orientation: str, width: float, depth: float, test: BendTest) -> Setting:
    return Setting(
        Specimen("rectangle", width, depth, 120.0),
        Printing(orientation, Bead(0.5, 0.25), walls=2, bottom_layers=4, top_layers=4),
        Core("square", 0.3),
        test,
        shipped_card("PETG"),
    )


@pytest.mark.parametrize("test", [BendTest("cantilever", lever=70.0), BendTest("three_point", span=100.0)])
def test_turning_the_load_is_turning_the_beam(test):
    turned = estimate(beam("flat", 14.0, 10.0, replace(test, load_angle_deg=90.0)))
    on_edge = estimate(beam("on_edge", 10.0, 14.0, test))
    for name in ("stiffness", "EI", "GA", "GJ", "breaking_force", "mass", "print_time"):
        one, other = getattr(turned, name), getattr(on_edge, name)
        assert one.as_dict() == pytest.approx(other.as_dict(), rel=1e-6), name
    assert turned.mode == on_edge.mode
    assert turned.theory_stiffness == pytest.approx(on_edge.theory_stiffness)
    # The root turns the more the deeper the beam is along its load.
    along_depth = estimate(beam("flat", 14.0, 10.0, test))
    assert along_depth.response.depth == pytest.approx(10.0, abs=1e-6)
    assert turned.response.depth == pytest.approx(14.0, abs=1e-6)


def test_beam_theory_is_asked_for_along_the_load():
    short = BendTest("cantilever", lever=20.0)
    estimate(beam("flat", 14.0, 10.0, short))
    with pytest.raises(InputError, match="times the depth 14 mm"):
        estimate(beam("flat", 14.0, 10.0, replace(short, load_angle_deg=90.0)))
