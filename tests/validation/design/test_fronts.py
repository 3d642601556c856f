"""Pareto fronts and knees, against their definitions."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from validation.design.fronts import knee, pareto


def settings(masses, values):
    def band(value):
        return None if value is None else SimpleNamespace(best=value)

    return [
        SimpleNamespace(mass=SimpleNamespace(best=mass), stiffness=band(value))
        for mass, value in zip(masses, values, strict=True)
    ]


points = st.lists(
    st.tuples(st.integers(1, 8), st.one_of(st.none(), st.integers(1, 8))), min_size=0, max_size=20
)


@given(points)
def test_the_front_holds_what_no_other_beats_and_nothing_else(pairs):
    front = pareto(settings(*zip(*pairs, strict=True)) if pairs else [], "stiffness")
    known = [(i, pair) for i, pair in enumerate(pairs) if pair[1] is not None]
    for i, (mass, value) in known:
        beaten = any(m <= mass and v >= value and (m < mass or v > value) for _, (m, v) in known)
        twin = any(pairs[j] == (mass, value) for j in front)
        assert (i in front) or beaten or twin
        assert not (i in front and beaten)
    assert [pairs[i][0] for i in front] == sorted({pairs[i][0] for i in front})


@pytest.mark.parametrize(("scale", "shift"), [(1.0, 0.0), (250.0, 40.0)])
def test_the_knee_of_a_saturating_front_is_where_its_slope_is_that_of_its_chord(scale, shift):
    """1 - exp(-5 x) on 0..1 has the slope of its chord, 1 - exp(-5), at x = ln(5/(1 - exp(-5)))/5."""
    x = np.linspace(0, 1, 201)
    found = settings(10 + 3 * x, shift + scale * (1 - np.exp(-5 * x)) + 1)
    bend = knee(found, pareto(found, "stiffness"), "stiffness")
    assert x[bend] == pytest.approx(math.log(5 / (1 - math.exp(-5))) / 5, abs=0.005)


@pytest.mark.parametrize("values", [[1.0, 2.0, 3.0, 4.0], [1.0, 1.2, 1.9, 4.0], [1.0, 2.0], []])
def test_straight_hollow_and_short_fronts_have_no_knee(values):
    found = settings(range(1, len(values) + 1), values)
    assert knee(found, pareto(found, "stiffness"), "stiffness") is None
