"""Moments, apparent stress, strain and modulus against the worked numbers of the standards."""

import numpy as np
import pytest

from patterns.errors import DataError, InputError
from tests.closed_forms import bend_standards as standards
from validation.rig.geometry import Geometry
from validation.rig.slope import fit_slope
from validation.rig.spans import split_cantilever, split_three_point

BAR = Geometry("three_point", 64, shape="rectangle", width=10, depth=4)


def test_three_point_stress_is_iso_178():
    worked = standards.THREE_POINT_STRESS
    assert BAR.stress(worked.force) == pytest.approx(worked.result, rel=1e-12)
    assert BAR.moment_per_force == 16.0


def test_large_deflection_takes_the_factor_of_astm_d790_beyond_a_tenth_of_the_span():
    worked = standards.LARGE_DEFLECTION_STRESS
    assert BAR.stress(worked.force, worked.deflection) == pytest.approx(worked.result, rel=1e-12)
    assert BAR.stress(100.0, 6.3) == pytest.approx(60.0, rel=1e-12)


@pytest.mark.parametrize("worked", standards.FOUR_POINT_STRESSES)
def test_four_point_stress_is_astm_d6272(worked):
    bar = Geometry("four_point", worked.span, worked.load_span, "rectangle", worked.width, worked.depth)
    assert bar.stress(worked.force) == pytest.approx(worked.result, rel=1e-12)


@pytest.mark.parametrize("ratio", standards.FOUR_POINT_COEFFICIENTS)
def test_four_point_strain_and_modulus_are_astm_d6272(ratio):
    strain, modulus = standards.FOUR_POINT_COEFFICIENTS[ratio]
    bar = Geometry("four_point", 64, ratio * 64, "rectangle", 10, 4)
    assert bar.strain_per_travel(at_beam=True) == pytest.approx(strain * 4 / 64**2, rel=1e-4)
    assert bar.modulus(100.0, at_beam=True) == pytest.approx(modulus * 64**3 * 100 / (10 * 4**3), rel=1e-5)


def test_four_point_travel_of_the_rig_is_that_of_the_noses():
    # P a^2 (3 L - 4 a)/12 EI under a nose: L 64, a 16, EI of E 2500 and the bar gives 1.024 mm for 50 N.
    bar = Geometry("four_point", 64, 32, "rectangle", 10, 4)
    assert bar.modulus(50 / 1.024, at_beam=False) == pytest.approx(2500, rel=1e-12)
    assert bar.modulus(50 / 1.408, at_beam=True) == pytest.approx(2500, rel=1e-12)


def test_cantilever_stress_and_modulus():
    # P L^3/3 EI: 10 N at 60 mm bends the bar of 2500 MPa by 5.4 mm and strains it by 22.5 MPa/2500 MPa.
    bar = Geometry("cantilever", 60, shape="rectangle", width=10, depth=4)
    assert bar.stress(10.0) == pytest.approx(22.5, rel=1e-12)
    assert bar.modulus(10 / 5.4, at_beam=False) == pytest.approx(2500, rel=1e-12)
    assert bar.strain_per_travel(at_beam=False) * 5.4 == pytest.approx(22.5 / 2500, rel=1e-12)


def test_round_bar_has_the_section_modulus_of_a_circle():
    bar = Geometry("three_point", 100, shape="round", depth=10)
    assert bar.stress(40.0) == pytest.approx(40 * 25 / (np.pi * 10**3 / 32), rel=1e-12)


def test_deflections_of_the_chord_are_iso_178():
    strains = np.array(standards.CHORD_DEFLECTIONS) * BAR.strain_per_travel(at_beam=True)
    assert strains == pytest.approx([0.0005, 0.0025], rel=1e-9)
    assert BAR.conventional_deflection == standards.CONVENTIONAL_DEFLECTION
    strain = standards.CONVENTIONAL_DEFLECTION * BAR.strain_per_travel(at_beam=True)
    assert strain == pytest.approx(standards.CONVENTIONAL_STRAIN, rel=1e-12)
    assert Geometry("three_point", 100, shape="rectangle", width=10, depth=4).conventional_deflection is None


def test_chord_modulus_is_that_of_the_worked_example():
    # The example gives two readings; between and beyond them the record is straight, from a toe that shifts it.
    (s1, s2), (f1, f2) = standards.CHORD_DEFLECTIONS, standards.CHORD_FORCES
    k = (f2 - f1) / (s2 - s1)
    travel = np.array([s1 - f1 / k, s1, s2, 2 * s2])
    force = np.array([0.0, f1, f2, f2 + k * s2])
    slope = fit_slope(travel, force, force[-1], "strain", BAR.strain_per_travel(at_beam=True))
    assert slope is not None
    # The example rounds to the whole MPa.
    assert BAR.modulus(slope.value, at_beam=True) == pytest.approx(standards.CHORD_MODULUS, abs=0.5)


def test_elastica_excess_is_that_of_the_tables():
    lever = Geometry("cantilever", 50)
    for alpha, ratio in standards.ELASTICA.items():
        assert lever.elastica_excess(50 * ratio) == pytest.approx(alpha / 3 / ratio - 1, rel=1e-6)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("three_point", -64.0), "span -64 mm"),
        (("four_point", 64.0, 70.0), "load span 70 mm"),
        (("three_point", 64.0, 20.0), "goes with four_point"),
        (("cantilever", 50.0, 0.0, "rectangle", 0.0, 4.0), "width 0 mm"),
        (("cantilever", 50.0, 0.0, "round", 8.0, 10.0), "one diameter"),
    ],
)
def test_impossible_geometry_is_refused(arguments, words):
    with pytest.raises(InputError, match=words):
        Geometry(*arguments)


def test_two_spans_of_a_sandwich_give_back_its_bending_and_shear_stiffness():
    split = split_three_point(standards.SANDWICH_SPANS, [1 / c for c in standards.SANDWICH_COMPLIANCES])
    assert split.EI == pytest.approx(standards.SANDWICH_EI, rel=1e-7)
    assert split.GA == pytest.approx(standards.SANDWICH_GA, rel=1e-6)
    assert split.EI_error is None
    assert "no errors" in " ".join(split.remarks)


def test_scatter_of_repeats_covers_the_truth_and_close_spans_say_so():
    EI, GA = 2e6, 4e4
    hits = 0
    for seed in range(200):
        spans = np.repeat([60.0, 100.0, 160.0], 3)
        noise = np.random.default_rng(seed).normal(0, 0.02, 9)
        slopes = [
            np.exp(e) / standards.three_point_compliance(L, EI, GA) for L, e in zip(spans, noise, strict=True)
        ]
        split = split_three_point(spans, slopes)
        assert split.EI_error is not None
        hits += abs(split.EI - EI) < 2.365 * split.EI_error  # t(0.975) at 7 degrees of freedom
    # Binomial of 200 at 0.95: below 181 in less than one case of a hundred.
    assert hits >= 181
    near = split_three_point(
        [95.0, 100.0], [1 / standards.three_point_compliance(L, EI, GA) for L in (95.0, 100.0)]
    )
    assert near.condition > 30
    assert "poorly apart" in near.remarks[0]


def test_shear_that_scatter_hides_is_not_given():
    slopes = [1 / standards.three_point_compliance(L, 2e6, 1e9) for L in (60.0, 120.0)]
    split = split_three_point([60.0, 120.0], slopes, [0.02 * k for k in slopes])
    assert split.GA is None
    assert "not resolved" in " ".join(split.remarks)


def test_levers_give_back_bending_and_the_lumped_root():
    EI, rotation = 1.5e6, 2e-7
    levers = [40.0, 60.0, 90.0]
    slopes = [1 / standards.cantilever_compliance(L, EI, rotation, 1e12) for L in levers]
    split = split_cantilever(levers, slopes)
    assert split.EI == pytest.approx(EI, rel=1e-6)
    assert split.root == pytest.approx(rotation, rel=1e-4)
    assert split.EI_range[0] <= EI <= split.EI_range[1] * (1 + 1e-9)
    assert "not done" in " ".join(split.remarks)


def test_bending_lies_in_the_stated_range_when_root_and_shear_mix():
    EI, rotation, GA = 1.5e6, 1.5e-7, 5e4
    levers = [40.0, 60.0, 90.0, 120.0]
    slopes = [1 / standards.cantilever_compliance(L, EI, rotation, GA) for L in levers]
    split = split_cantilever(levers, slopes)
    assert split.EI_range[0] < EI < split.EI_range[1]


def test_one_span_or_softer_short_runs_are_refused():
    with pytest.raises(DataError, match="two different spans"):
        split_three_point([60.0, 60.0], [100.0, 101.0])
    with pytest.raises(DataError, match="negative"):
        split_three_point([60.0, 120.0], [100.0, 100.0])
    with pytest.raises(DataError, match="slope above zero"):
        split_cantilever([60.0, 120.0], [100.0, -1.0])
