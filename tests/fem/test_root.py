"""A stated clamp: rigid, elastic, or any other coefficient, has no part in the bands."""

from dataclasses import replace

import numpy as np
import pytest

from fem.bending.bending import ELASTIC_ROOT, BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

LEVER, DEPTH = 60.0, 8.0
CARD = shipped_card("PLA")
EXACT = replace(CARD, **{name: replace(v, low=v.best, high=v.best) for name, v in CARD.values().items()})
CLAMPED = Setting(
    specimen=Specimen("rectangle", 10.0, DEPTH, 90.0),
    printing=Printing("flat", Bead(0.5, 0.2), walls=10, bottom_layers=0, top_layers=0),
    core=Core("square", 0.3),
    test=BendTest("cantilever", lever=LEVER),
    card=EXACT,
)


def clamped(root, card=EXACT):
    return estimate(replace(CLAMPED, card=card, test=replace(CLAMPED.test, root=root)))


@pytest.mark.parametrize("root", [0.0, 2.0, ELASTIC_ROOT])
def test_the_stiffness_is_that_of_the_stated_root_without_a_band(root):
    """1/(L^3/3EI + L/GA + C h L^2/12EI), the last for a rotation C M/(E h^2 b) with EI = E b h^3/12."""
    found = clamped(root)
    EI, GA = found.EI.best, found.GA.best
    assert EI == pytest.approx(3400 * 10 * DEPTH**3 / 12, rel=1e-4)
    exact = 1 / (LEVER**3 / 3 / EI + LEVER / GA + root * DEPTH * LEVER**2 / 12 / EI)
    assert found.stiffness.best == pytest.approx(exact, rel=1e-12)
    # the flow of the printer is left, in proportion: the root adds nothing
    for end in ("low", "high"):
        assert getattr(found.stiffness, end) / exact == pytest.approx(getattr(found.EI, end) / EI, rel=1e-12)


def test_the_band_stays_where_nothing_is_stated_and_lies_between_rigid_and_elastic():
    unstated, rigid, elastic = (clamped(root) for root in (None, 0.0, ELASTIC_ROOT))
    assert elastic.stiffness.best < unstated.stiffness.low < unstated.stiffness.high < rigid.stiffness.best
    # at lever/depth 7.5 the elastic half-plane takes 4.9956/4/7.5 of the bending deflection
    bending = LEVER**3 / 3 / rigid.EI.best
    softened = 1 / elastic.stiffness.best - 1 / rigid.stiffness.best
    assert softened / bending == pytest.approx(4.9956 / 4 / 7.5, rel=1e-9)


def test_the_material_keeps_its_part_of_the_band():
    stiffness = clamped(0.0, card=CARD).stiffness
    unstated = clamped(None, card=CARD).stiffness
    assert stiffness.low < 0.97 * stiffness.best
    assert stiffness.high / stiffness.low < unstated.high / unstated.low


def test_a_drawn_or_fitted_root_does_not_move_a_stated_one():
    response = clamped(0.0).response
    draws = {**response.at({}), "root": np.array([3.0])}
    assert response.stiffness(draws)[0] == response.stiffness(response.at({}))[0]


def test_forces_do_not_depend_on_the_root():
    assert clamped(0.0).breaking_force == clamped(ELASTIC_ROOT).breaking_force
