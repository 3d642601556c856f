"""Lines and parabolas on certified data; lack of fit; bands."""

import numpy as np
import pytest
from scipy import stats

from patterns.errors import DataError
from tests.closed_forms.certified import norris, pontius
from validation.statistics import fit_polynomial, lack_of_fit


def test_straight_line_reproduces_norris():
    fit = fit_polynomial(norris.X, norris.Y)
    assert fit.coefficients == pytest.approx(norris.COEFFICIENTS, rel=1e-10)
    assert fit.errors == pytest.approx(norris.ERRORS, rel=1e-10)
    assert fit.residual_sd == pytest.approx(norris.RESIDUAL_SD, rel=1e-10)
    assert fit.sse == pytest.approx(norris.SSE, rel=1e-10)
    assert fit.r_squared == pytest.approx(norris.R_SQUARED, rel=1e-12)
    assert fit.F == pytest.approx(norris.F, rel=1e-9)
    assert fit.df == 34


def test_parabola_reproduces_pontius():
    fit = fit_polynomial(pontius.X, pontius.Y, degree=2)
    assert fit.coefficients == pytest.approx(pontius.COEFFICIENTS, rel=1e-9)
    assert fit.errors == pytest.approx(pontius.ERRORS, rel=1e-9)
    assert fit.residual_sd == pytest.approx(pontius.RESIDUAL_SD, rel=1e-9)
    assert fit.r_squared == pytest.approx(pontius.R_SQUARED, rel=1e-12)


def test_lack_of_fit_rejects_the_line_through_pontius_and_keeps_the_parabola():
    line = fit_polynomial(pontius.X, pontius.Y)
    found = lack_of_fit(pontius.X, pontius.Y, line.sse, 2)
    assert found.pure_error_ss == pytest.approx(pontius.PURE_ERROR_SS, rel=1e-6)
    assert found.df == pontius.LINE_LACK_OF_FIT["df"]
    assert found.F == pytest.approx(pontius.LINE_LACK_OF_FIT["F"], rel=1e-6)
    assert found.p < 1e-17
    parabola = fit_polynomial(pontius.X, pontius.Y, degree=2)
    found = lack_of_fit(pontius.X, pontius.Y, parabola.sse, 3)
    assert found.df == pontius.PARABOLA_LACK_OF_FIT["df"]
    assert found.F == pytest.approx(pontius.PARABOLA_LACK_OF_FIT["F"], rel=1e-6)
    assert found.p == pytest.approx(pontius.PARABOLA_LACK_OF_FIT["p"], abs=5e-6)


def test_line_agrees_with_the_independent_routine():
    judge = stats.linregress(norris.X, norris.Y)
    fit = fit_polynomial(norris.X, norris.Y)
    assert fit.coefficients == pytest.approx((judge.intercept, judge.slope), rel=1e-12)
    assert fit.errors == pytest.approx((judge.intercept_stderr, judge.stderr), rel=1e-12)


@pytest.mark.parametrize(("next_value", "extra"), [(False, 0.0), (True, 1.0)])
def test_bands_hold_their_share(next_value, extra):
    rng, x, held = np.random.default_rng(31), np.linspace(0, 1, 7), []
    for _ in range(2000):
        fit = fit_polynomial(x, 2 + 3 * x + 0.1 * rng.standard_normal(7))
        truth = 2 + 3 * 1.2 + 0.1 * rng.standard_normal() * extra
        band = fit.at(1.2, next_value=next_value)
        held.append(band.low <= truth <= band.high)
    assert np.mean(held) == pytest.approx(0.95, abs=0.02)


def test_lack_of_fit_needs_repeats():
    assert lack_of_fit([1, 2, 3], [1, 2, 4], 0.1, 2) is None


def test_too_few_places_are_refused():
    with pytest.raises(DataError, match="degree 2 needs more than 3 values"):
        fit_polynomial([1, 1, 2, 2], [1, 2, 3, 4], degree=2)
