"""The picture of moment and curvature: the largest moment, the force it makes, and the name of what breaks."""

from dataclasses import replace

import pytest

from fem.estimation import estimate
from patterns.errors import InputError
from tests.fem.test_estimate import BAR
from validation.report.moment_curve import moment_curve


def test_the_curve_of_a_real_beam_shows_its_largest_moment_and_names_what_breaks():
    found = estimate(BAR)
    picture = moment_curve(found, "a bar", invented=True)
    left, right = picture.fig.axes
    line = next(one for one in left.get_lines() if one.get_label() == "moment, best values")
    assert line.get_ydata().max() * 1e3 == pytest.approx(found.curve.moment.max())
    assert right.get_lines()[0].get_ydata().max() == pytest.approx(
        found.curve.moment.max() / BAR.test.moment_per_force
    )
    named = " ".join(text.get_text() for text in left.texts)
    for kind, _ in found.curve.breaks:
        assert found.response.bent.kinds[kind].what in named
    assert picture.title.endswith("(invented data)")
    bare = replace(BAR, card=replace(BAR.card, tension_along_mpa=None))
    with pytest.raises(InputError, match="lacks the strengths"):
        moment_curve(estimate(bare), "a bar")
