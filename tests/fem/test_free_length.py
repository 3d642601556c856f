"""A solved section at another lever or span: the closed form against the estimate made anew."""

from dataclasses import replace

import numpy as np
import pytest

from fem.beam.response import Size
from fem.bending.bending import BendTest
from fem.draws import draw_values
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

ARM = Setting(
    Specimen("rectangle", 12.0, 10.0, 200.0),
    Printing("flat", Bead(0.5, 0.25), walls=1, bottom_layers=3, top_layers=3),
    Core("square", 0.15, angle_deg=45.0),
    BendTest("three_point", span=100.0),
    shipped_card("PLA"),
)


@pytest.mark.parametrize(
    ("test", "length"),
    [
        (BendTest("three_point", span=100.0), 60.0),
        (BendTest("four_point", span=110.0, load_span=40.0), 150.0),
        (BendTest("cantilever", lever=50.0, clamp_length=25.0), 90.0),
    ],
)
def test_every_mode_at_another_length_is_that_of_an_estimate_made_there(test, length):
    one = estimate(replace(ARM, test=test))
    other = estimate(replace(ARM, test=test.with_free_length(length)))
    draws = draw_values(ARM)
    moved, anew = one.response.at_free_length(length).by_mode(draws), other.response.by_mode(draws)
    known = [mode for mode, forces in anew.items() if forces is not None]
    assert {"face_tension", "core_shear", "crush", "strut_tension"} <= set(known)
    for mode in known:
        np.testing.assert_allclose(moved[mode], anew[mode], rtol=1e-6, err_msg=mode)
    np.testing.assert_allclose(
        one.response.force(draws, Size(free_length=length)), other.response.force(draws), rtol=1e-6
    )


def test_shear_does_not_feel_the_lever_and_bending_falls_with_it():
    response = estimate(ARM).response
    best = response.at({})
    near, far = (response.at_free_length(span).by_mode(best) for span in (60.0, 120.0))
    assert far["core_shear"] == pytest.approx(near["core_shear"])
    assert 2 * far["face_tension"] == pytest.approx(near["face_tension"])
    assert far["crush"] < near["crush"]
