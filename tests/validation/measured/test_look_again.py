"""Beams to look at again: slips of the decimal point with and without repeats, no alarm on rounded repeats."""

from dataclasses import replace

import numpy as np
import pytest

from tests.validation.laboratory import FLAT, measure
from validation.measured.look_again import decimal_slips, look_again
from validation.measured.reconcile import Sample
from validation.measured.repeats import repeats_of


def with_values(rows, quantity, change):
    """Return rows whose beams' values are changed by ``change(value, row number, beam number)``."""
    sample = {"breaking_force": "force"}.get(quantity, quantity)
    found = []
    for k, row in enumerate(rows):
        beams = tuple(
            replace(beam, **{quantity: change(getattr(beam, quantity), k, j)})
            for j, beam in enumerate(row.beams)
        )
        values = Sample.of([getattr(beam, quantity) for beam in beams])
        found.append(replace(row, beams=beams, **{sample: values}))
    return found


@pytest.mark.parametrize("repeats", [1, 2, 3])
@pytest.mark.parametrize("factor", [10.0, 0.1, 1000.0])
@pytest.mark.parametrize("quantity", ["breaking_force", "stiffness", "mass"])
def test_a_slip_of_the_decimal_point_is_found_and_nothing_else(repeats, factor, quantity):
    rows = measure(FLAT, {}, np.random.default_rng(71), model_error=0.1, repeats=repeats)
    assert look_again(rows) == []
    slipped = with_values(rows, quantity, lambda value, k, j: value * (factor if (k, j) == (2, 0) else 1.0))
    assert [(beam.specimen, power) for beam, power in decimal_slips(slipped, quantity)] == [("2-0", factor)]
    (line,) = look_again(slipped)
    assert line.startswith(f"Look again at 2-0 (line {rows[2].beams[0].line}): {quantity.replace('_', ' ')}")
    assert "It is kept." in line


def test_a_beam_of_half_the_force_is_looked_at_again_by_its_repeats():
    rows = measure(FLAT, {}, np.random.default_rng(72))
    low = with_values(rows, "breaking_force", lambda value, k, j: value * (0.5 if (k, j) == (1, 1) else 1.0))
    (line,) = look_again(low)
    assert "1-1" in line
    assert "of its setting's mean" in line


def test_rounded_repeats_are_no_alarm():
    """Masses read to a tenth: 14.0, 13.9, 13.9 among settings whose repeats are alike to the last digit."""
    rows = measure(FLAT, {}, np.random.default_rng(73))
    rounded = with_values(rows, "mass", lambda value, k, j: 14.0 if (k, j) == (0, 0) else 13.9 + k)
    assert repeats_of(rounded, "mass").odd == ()
    # half a gram more is no rounding
    heavier = with_values(rows, "mass", lambda value, k, j: 14.4 if (k, j) == (0, 0) else 13.9 + k)
    assert [odd.beam.specimen for odd in repeats_of(heavier, "mass").odd] == ["0-0"]
