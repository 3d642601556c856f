"""More fill and less force: told once per series, with its reason, and only where that reason holds."""

from types import SimpleNamespace

import numpy as np
import pytest

from fem.material.bands import Band
from fem.strength.bent import Bent
from fem.strength.fibres import Fibres
from fem.strength.kinds import Kind, Lines, Raster
from tests.validation.report.invented import invented_study
from validation.measured.fill_notes import fill_notes

LIMITS = {"tension_along_mpa": 60.0, "compression_mpa": 1000.0, "fracture_strain": 0.02}


class Section:
    """A response with fibres and nothing else."""

    def __init__(self, bent):
        self.bent = bent

    def at(self, changed):
        return {name: np.array([value]) for name, value in {**LIMITS, **changed}.items()}

    def growth(self, draws):
        return np.ones(1)


def estimate_of(setting, skin, core_strain):
    """Faces of 60 MPa, ``skin`` mm thick with 0.02 of strain, over a core whose lines break at ``core_strain``."""
    heights = np.array([-4.0, -4.0 + skin, 4.0 - skin, 4.0])
    widths = np.array([[10.0, 0.0, 10.0], [0.0, 10.0, 0.0]])
    kinds = (
        Kind("face", "a face", "face_tension", 3000.0, Raster(1.0, 0.0, 0.0)),
        Kind(
            "core", "core lines", "strut_tension", 3000.0, Lines(0.1, LIMITS["fracture_strain"] / core_strain)
        ),
    )
    response = Section(Bent(Fibres(heights, widths, np.array([3000.0, 3000.0])), kinds))
    force = float(response.bent.carried(response.at({}), np.ones(1)).largest[0])
    return SimpleNamespace(
        set_fill=setting.core.set_fill,
        breaking_force=Band(force, force, force),
        response=response,
        shares={"EI": {"face": skin, "core": 1 - skin}},
    )


@pytest.fixture
def study(tmp_path):
    return invented_study(
        tmp_path / "study.toml", vary={"print.walls": [1, 3], "core.set_fill": [0.2, 0.4, 0.55]}
    )


def estimates(study, skins, core_strain):
    return [
        estimate_of(named.setting, skins[named.setting.core.set_fill], core_strain)
        for named in study.settings
    ]


def test_a_core_that_breaks_first_is_told_once_per_series_with_the_share_left(study):
    # core lines break at 0.01 of strain, long before the faces' 0.02
    found = estimates(study, {0.2: 0.95, 0.4: 0.90, 0.55: 0.84}, core_strain=0.01)
    force = [one.breaking_force.best for one in found[:3]]
    assert force == sorted(force, reverse=True)
    first, second = fill_notes(study.settings, found)
    assert first.startswith(
        "from walls 1, set_fill 0.2 to walls 1, set_fill 0.55 the estimated force falls from "
    )
    assert first.endswith("with 95 % and 84 % of the section's EI")
    assert second.startswith("from walls 3, set_fill 0.2 to walls 3, set_fill 0.55 ")


def test_nothing_is_told_where_force_grows_or_the_core_holds(study):
    assert fill_notes(study.settings, estimates(study, {0.2: 0.84, 0.4: 0.90, 0.55: 0.95}, 0.01)) == []
    assert fill_notes(study.settings, estimates(study, {0.2: 0.95, 0.4: 0.90, 0.55: 0.84}, 1.0)) == []
