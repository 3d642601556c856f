"""More fill and less force: told once per series, with its reason, and only where that reason holds."""

from types import SimpleNamespace

import numpy as np
import pytest

from fem.material.bands import Band
from fem.strength.failure import Criterion, forces_by_mode
from tests.validation.report.invented import invented_study
from validation.measured.fill_notes import fill_notes

VALUES = {"bending_along_mpa": 60.0, "tension_along_mpa": 50.0}


def estimate_of(setting, share, core_stress):
    """A section whose skin alone has ``share`` of EI and breaks at 100 N whole, its core at 50 MPa over its stress."""
    criteria = [
        Criterion("face_tension", "a face", 0.6, (0.0, -4.0), "bending_along_mpa", "by hand"),
        Criterion(
            "strut_tension", "a line", core_stress, (0.0, -3.0), "tension_along_mpa", "by hand", rest=share
        ),
    ]
    draws = {name: np.array([value]) for name, value in VALUES.items()}
    force = min(float(forces[0]) for forces in forces_by_mode(criteria, draws).values() if forces is not None)
    return SimpleNamespace(
        set_fill=setting.core.set_fill,
        breaking_force=Band(force, force, force),
        criteria=criteria,
        values=VALUES,
    )


@pytest.fixture
def study(tmp_path):
    return invented_study(
        tmp_path / "study.toml", vary={"print.walls": [1, 3], "core.set_fill": [0.2, 0.4, 0.55]}
    )


def estimates(study, shares, core_stress):
    return [
        estimate_of(named.setting, shares[named.setting.core.set_fill], core_stress)
        for named in study.settings
    ]


def test_a_core_that_fails_first_is_told_once_per_series_with_the_share_left(study):
    # core at 50/2.5 = 20 N, skin alone at share x 60/0.6 = share x 100 N
    found = estimates(study, {0.2: 0.95, 0.4: 0.90, 0.55: 0.84}, core_stress=2.5)
    assert [one.breaking_force.best for one in found[:3]] == pytest.approx([95, 90, 84])
    first, second = fill_notes(study.settings, found)
    assert first.startswith(
        "from walls 1, set_fill 0.2 to walls 1, set_fill 0.55 the estimated force falls from 95.0 to 84.0 N"
    )
    assert first.endswith("with 95 % and 84 % of the section's EI")
    assert second.startswith("from walls 3, set_fill 0.2 to walls 3, set_fill 0.55 ")


def test_nothing_is_told_where_force_grows_or_the_core_holds(study):
    assert (
        fill_notes(study.settings, estimates(study, {0.2: 0.84, 0.4: 0.90, 0.55: 0.95}, core_stress=2.5))
        == []
    )
    # a core that would fail at 50/0.4 = 125 N, above the skin's 100 N
    assert (
        fill_notes(study.settings, estimates(study, {0.2: 0.95, 0.4: 0.90, 0.55: 0.84}, core_stress=0.4))
        == []
    )
