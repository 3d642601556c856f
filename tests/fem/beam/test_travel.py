"""Force and deflection beyond yield: elastic ends, the plastic hinge of a bar, and brute integration."""

from dataclasses import replace

import numpy as np
import pytest

from fem.beam.travel import travel
from fem.bending.bending import BendTest
from fem.estimation import estimate
from tests.fem.test_estimate import BAR, exactly, solid

TESTS = {
    "cantilever": BendTest("cantilever", lever=80.0),
    "three_point": BendTest("three_point", span=100.0),
    "four_point": BendTest("four_point", span=100.0, load_span=30.0),
}


@pytest.mark.parametrize("kind", TESTS)
def test_a_beam_starts_with_its_stiffness_and_ends_with_its_largest_force(kind):
    found = estimate(replace(BAR, test=TESTS[kind]))
    went = travel(found.response, found.curve)
    assert went.force[1] / went.deflection[1] == pytest.approx(found.stiffness.best, rel=1e-4)
    assert went.force[-1] == pytest.approx(found.curve.moment.max() / found.response.test.moment_per_force)
    assert np.all(np.diff(went.deflection) > 0)
    secant = went.force[1:] / went.deflection[1:]
    assert np.all(np.diff(secant) < 1e-6 * found.stiffness.best)


@pytest.mark.parametrize("kind", TESTS)
def test_deflection_of_a_yielding_bar_is_the_integral_of_its_curvature(kind):
    # kappa of an elastic-plastic rectangle at moment m first-yield moments: kappa_y / sqrt(3 - 2 m) (textbooks)
    test = TESTS[kind]
    setting = exactly(solid(replace(BAR, test=test)), young_mpa=3000.0, tension_along_mpa=50.0,
                      compression_mpa=50.0, fracture_strain=3 * 50 / 3000)  # fmt: skip
    found = estimate(setting)
    went = travel(found.response, found.curve, points=40)
    yields = found.response.bent.first_damage(found.response.at({}), np.ones(1))[0][0]
    x = np.linspace(0, test.lever if kind == "cantilever" else test.span / 2, 40001)
    unit = x if kind == "cantilever" else x / 2
    for place in (20, 40):
        moment = went.force[place] * np.minimum(unit, test.moment_per_force) / yields
        slack = np.where(moment > 1, np.sqrt(3 - 2 * np.maximum(moment, 1)), 1.0)
        curvature = yields / found.EI.best * np.where(moment > 1, 1 / slack, moment)
        bending = np.trapezoid(curvature * unit, x) * (1 if kind == "cantilever" else 2)
        elastic = went.force[place] * (1 / found.stiffness.best - test.bending_compliance(found.EI.best))
        assert went.deflection[place] == pytest.approx(bending + elastic, rel=2e-3)
