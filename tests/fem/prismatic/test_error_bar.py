"""The extrapolation behind the error bars, on sequences whose limit is known."""

import numpy as np
import pytest

from fem.material.stiffness import about_axis_3, isotropic, rotate, stress_transformation
from fem.prismatic.error_bar import JUMP_RATE, SHARP_RATE, relative_errors, remaining

LIMIT = isotropic(1.0, 0.3)
UNKNOWNS = [(p + 1) * (p + 2) for p in (2, 3, 4)]


def sequence(errors, shape=None):
    """Three stiffness matrices that fall to the limit."""
    excess = np.diag([1.0, 2, 3, 1, 1, 4]) if shape is None else shape
    return [LIMIT + e * excess for e in errors]


@pytest.mark.parametrize("ratio", [0.02, 0.05, 0.1])
def test_smooth_cells_are_met_on_the_careful_side(ratio):
    """Geometric convergence: the estimate is the error or up to three times it."""
    errors = [1e-2 * ratio**k for k in range(3)]
    found = remaining(sequence(errors), UNKNOWNS, 4)[0, 0]
    assert 1 < found / errors[-1] < 3


def test_algebraic_convergence_is_met():
    errors = [1e-2 * (p**-4.0) for p in (2, 3, 4)]
    found = remaining(sequence(errors), [p**2 for p in (2, 3, 4)], 4)[0, 0]
    assert found == pytest.approx(errors[-1], rel=0.35)


@pytest.mark.parametrize("rate", [SHARP_RATE, JUMP_RATE])
def test_a_slow_part_behind_a_fast_one_is_not_overlooked(rate):
    slow = np.array([2, 3, 4.0]) ** -rate
    errors = 1e-2 * slow + 1e-2 * 0.02 ** np.arange(3)
    plain = remaining(sequence(errors), UNKNOWNS, 4)[0, 0]
    careful = remaining(sequence(errors), UNKNOWNS, 4, rate)[0, 0]
    assert plain < 0.5 * errors[-1]
    assert 0.9 < careful / errors[-1] < 3


def test_sequences_that_do_not_converge_get_a_large_error():
    found = remaining(sequence([3e-3, 2e-3, 1e-3]), UNKNOWNS, 4)[0, 0]
    assert found >= 0.9e-3 * 9


def test_the_estimate_turns_with_the_axes():
    rng = np.random.default_rng(3)
    a = rng.normal(size=(6, 6))
    shape = a @ a.T
    C = sequence([1e-2, 1e-3, 1e-4], shape)
    R = about_axis_3(0.6)
    turned = remaining([rotate(c, R) for c in C], UNKNOWNS, 4)
    assert np.allclose(turned, rotate(remaining(C, UNKNOWNS, 4), R), atol=1e-12)
    assert np.linalg.eigvalsh(remaining(C, UNKNOWNS, 4))[0] > -1e-12
    assert stress_transformation(R).shape == (6, 6)


def test_round_off_is_no_error():
    noise = 1e-16 * np.random.default_rng(1).normal(size=(6, 6))
    C = [LIMIT, LIMIT + noise + noise.T, LIMIT]
    assert max(relative_errors(LIMIT, remaining(C, UNKNOWNS, 4)).values()) < 1e-13


def test_constants_without_path_have_no_error():
    C = LIMIT.copy()
    C[[1, 3, 5]] = C[:, [1, 3, 5]] = 0
    errors = relative_errors(C, np.zeros((6, 6)))
    assert errors["E2"] is None
    assert errors["E1"] == 0
