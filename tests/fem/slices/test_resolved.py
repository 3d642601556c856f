"""Lines drawn against lines homogenised: they meet with many cells, and differ as much as the band then says."""

from dataclasses import replace

import numpy as np
import pytest

from fem.beam.section_model import beads_of
from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.printed.core import core_cell
from fem.printed.weld_plane import weld_plane
from fem.setting import Setting
from fem.slices.resolved import can_resolve, model_error, model_limits, solve_resolved
from fem.strength.criteria import Beam
from patterns.bead import Bead
from patterns.errors import InputError
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen


def setting(width: float, fill: float, pattern: str = "square") -> Setting:
    return Setting(
        Specimen("rectangle", width, width, 100.0),
        Printing("upright", Bead(0.8, 0.3), walls=2),
        Core(pattern, fill),
        BendTest("cantilever", lever=60.0),
        shipped_card("PLA"),
    )


def beam_of(one: Setting) -> tuple[Beam, dict[str, float]]:
    layout = lay_out(one.specimen, one.printing, one.core)
    values = {name: value.best for name, value in one.card.values().items()}
    core = core_cell(layout.infill, values["poisson"])
    weld = weld_plane(layout, core, one.card)
    beads = beads_of(values, weld.modulus_ratio)
    return Beam(
        layout,
        one.test,
        beads,
        values["young_mpa"],
        values["poisson"],
        core.stacked(weld.modulus_ratio),
        weld,
    ), values


def test_drawn_lines_carry_their_area_along_the_beam():
    # Tension across the layers of a section of one modulus: EA = E A whatever the drawing (equal strain).
    beam, values = beam_of(setting(12.0, 0.3))
    found = solve_resolved(beam, values)
    mesh = found.section.fields.mesh
    area = float(found.section.fields.areas.sum())
    assert found.section.EA == pytest.approx(beam.weld.modulus_ratio * values["young_mpa"] * area, rel=1e-4)
    assert mesh.nelements == found.elements


@pytest.mark.slow
def test_the_mean_over_phases_meets_the_homogenised_section_as_cells_grow_in_number():
    spread = []
    # Lines 3.2 mm apart between walls 1.6 mm thick; half a cell over, so that the cut lines compare from size to size.
    for cells in (4.5, 7.5, 10.5):
        error = model_error(*beam_of(setting(3.2 + 3.2 * cells, 0.5)))
        mean = {name: float(np.mean(error.resolved[name])) for name in ("EI", "GA")}
        assert mean["EI"] == pytest.approx(1, abs=0.02)  # asked for from six cells on
        assert mean["GA"] == pytest.approx(1, abs=0.02)
        spread.append(np.ptp(error.resolved["EI"]))
    assert mean["GA"] == pytest.approx(1, abs=0.003)
    assert spread[0] > spread[1] > spread[2]


def test_an_open_joint_leaves_bending_and_takes_shear():
    error = model_error(*beam_of(setting(12.0, 0.4)), phases=(0.5,))
    assert error.unbonded["EI"] == pytest.approx(1, abs=1e-3)  # both bend about the same axis
    assert 0.3 < error.unbonded["GA"] < 1
    low, high = model_limits(error)["GA"]
    assert low <= error.unbonded["GA"]
    assert high >= 1


def test_the_resolved_model_widens_the_band():
    one = setting(12.0, 0.4)
    plain, resolved = estimate(one), estimate(one, resolve=True)
    assert resolved.GA.low < plain.GA.low
    assert resolved.GA.best == plain.GA.best
    assert resolved.response.model


def test_sections_that_change_with_height_are_refused():
    beam, values = beam_of(setting(12.0, 0.4))
    flat = replace(beam.layout, printing=replace(beam.layout.printing, orientation="flat"))
    assert not can_resolve(flat)
    with pytest.raises(InputError, match="layers are all alike"):
        solve_resolved(replace(beam, layout=flat), values)
