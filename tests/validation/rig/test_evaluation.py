"""Evaluation of a run: drops, onset of yield, energies, the rig's travel from a blank run, large deflection."""

import numpy as np
import pytest

from fem.bending.bending import elastica_shortening
from validation.rig.blank import blank_curve
from validation.rig.geometry import Geometry
from validation.rig.record import RawRun, Reading
from validation.rig.reduce import reduce_file, reduce_run
from validation.rig.run import Run
from validation.rig.units import UNITS
from validation.rig.work import Options

READING = Reading("made.csv", "0" * 64, "ascii", "made", ())
RNG = np.random.default_rng(11)


def reduced(travel, force, geometry=None, **options) -> Run:
    """Return the reduced run of two channels in mm and N."""
    raw = RawRun(
        "", np.arange(len(force)) + 2, np.asarray(force), np.asarray(travel), None, UNITS["N"], UNITS["mm"]
    )
    return reduce_run(raw, READING, geometry=geometry, options=Options(compliance=0.0, **options))


def softening(n: int = 800, noise: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Return a curve that rises ever less and turns over smoothly, as a ductile beam does."""
    travel = np.linspace(0, 10, n)
    force = 300 * np.sin(np.pi / 2 * travel / 8)
    return travel, force + RNG.normal(0, noise * 300, n)


@pytest.mark.parametrize("noise", [0.0, 0.002, 0.01])
@pytest.mark.parametrize("n", [60, 800, 6000])
def test_a_smooth_curve_has_no_first_drop(n, noise):
    assert reduced(*softening(n, noise)).first_drop is None


def test_noise_that_is_like_to_last_a_few_samples_is_no_drop():
    travel, force = softening(2000)
    wobble = np.convolve(RNG.normal(0, 1, 2000 + 8), np.ones(9) / 3, mode="valid")
    run = reduced(travel, force + 1.5 * wobble)
    assert run.first_drop is None


@pytest.mark.parametrize("share", [0.05, 0.2])
def test_a_crack_on_the_way_up_is_one(share):
    travel = np.linspace(0, 6, 1200)
    force = 50 * travel
    force[travel > 3] -= share * 150
    assert reduced(travel, force).first_drop == pytest.approx(150, rel=0.01)


def test_onset_of_yield_is_where_the_secant_has_lost_five_percent():
    # A straight line to 100 N at 2 mm, then half as stiff: the secant is 95 % of 50 N/mm at 2.222 mm, 105.6 N.
    travel = np.linspace(0, 6, 3000)
    force = np.where(travel < 2, 50 * travel, 100 + 25 * (travel - 2))
    run = reduced(travel, force)
    assert run.onset_of_yield == pytest.approx(0.95 * 50 * 2 / 0.9, rel=5e-3)
    brittle = np.where(travel < 5, 50 * travel, 2.0)
    assert reduced(travel, brittle).onset_of_yield is None


def test_energy_to_break_goes_on_beyond_the_peak():
    # To 200 N at 4 mm, on at 150 N to 6 mm, then broken: triangle and rectangle.
    travel = np.linspace(0, 7, 7001)
    force = np.where(travel <= 4, 50 * travel, np.where(travel <= 6, 150.0, 1.0))
    run = reduced(travel, force)
    assert run.energy == pytest.approx(0.4, rel=2e-3)
    assert run.energy_to_break == pytest.approx(0.7, rel=2e-3)
    assert reduced(travel[:4000], force[:4000]).energy_to_break is None


def test_few_points_give_a_slope_without_an_error():
    travel = np.linspace(0, 4, 20)
    run = reduced(travel, 50 * travel)
    assert run.slope is not None
    assert run.slope.points < 10
    assert run.slope.error is None
    assert run.to_dict()["slope_error_N_per_mm"] is None
    assert "few_points" in run.flags


def test_travel_that_goes_back_where_the_slope_is_taken_gives_none():
    up = np.linspace(0, 1.0, 300)
    back = np.linspace(1.0, 0.5, 150)
    travel = np.concatenate([up, back, np.linspace(0.5, 4, 900)])
    force = np.concatenate([50 * up, 50 + 0 * back, 50 * np.maximum(np.linspace(0.5, 4, 900), 1.0)])
    run = reduced(travel, force)
    assert run.slope is None
    assert "travel_reverses" in run.flags


def test_a_blank_run_takes_off_the_travel_of_a_rig_that_stiffens(tmp_path):
    # The rig gives 0.2 (1 - exp(-F/30)) + F/2000 mm; the beam 50 N/mm and breaks at 200 N.
    def rig(force):
        return 0.2 * (1 - np.exp(-force / 30)) + force / 2000

    def write(name, travel, force):
        path = tmp_path / name
        rows = "".join(f"{u:.6f},{f:.4f}\n" for u, f in zip(travel, force, strict=True))
        path.write_text("Travel (mm),Load (N)\n" + rows, encoding="utf-8")
        return path

    load = np.linspace(0, 260, 1500)
    blank = write(
        "blank.csv",
        np.concatenate([np.linspace(-0.1, 0, 50), rig(load)]),
        np.concatenate([np.zeros(50), load]),
    )
    force = np.linspace(0, 200, 1200)
    travel = force / 50 + rig(force)
    after = travel[-1] + np.linspace(0.01, 0.3, 20)
    run_file = write(
        "run.csv",
        np.concatenate([np.linspace(-0.2, 0, 50), travel, after]),
        np.concatenate([np.zeros(50), force, np.full(20, 2.0)]),
    )
    curve = blank_curve(blank)
    assert curve.at(np.array([60.0, 200.0])) == pytest.approx(rig(np.array([60.0, 200.0])), abs=4e-3)
    (plain,) = reduce_file(run_file)
    (run,) = reduce_file(run_file, options=Options(compliance=curve))
    assert run.slope is not None
    assert plain.slope is not None
    assert run.slope.value == pytest.approx(50, rel=0.01)
    assert plain.slope.value < 48
    assert run.travel_at_peak == pytest.approx(4.0, rel=0.01)
    assert "beyond_blank" not in run.flags


def test_shortening_of_a_bent_cantilever_is_that_of_the_tables():
    # Bisshopp and Drucker 1945; Mattiasson 1981, table 1
    for alpha, ratio in {1.0: 0.05643, 2.0: 0.16064, 5.0: 0.38763, 10.0: 0.55500}.items():
        assert elastica_shortening(alpha) == pytest.approx(ratio, abs=6e-6)
    assert elastica_shortening(1e-3) == pytest.approx(elastica_shortening(0.999e-3), rel=5e-3)


def test_strength_of_a_bent_cantilever_takes_the_shrunk_lever():
    # alpha = P L^2/EI = 1: tip at 0.30172 L, lever 0.94357 L
    lever = Geometry("cantilever", 50.0, shape="rectangle", width=10.0, depth=2.0)
    plain = 12.0 * 50 * 6 / (10 * 2**2)
    assert lever.stress(12.0, 0.301720774 * 50) == pytest.approx(plain * (1 - 0.056433236), rel=1e-6)
    assert lever.moment(12.0, 0.301720774 * 50) == pytest.approx(600 * (1 - 0.056433236), rel=1e-6)
    # outer-fibre strain of the moment: h/2 M/EI = h/2L alpha (1 - u/L)
    assert lever.strain(0.301720774 * 50, False) == pytest.approx(2 / 2 / 50 * (1 - 0.056433236), rel=1e-6)
    assert lever.stress(12.0, 4.9) == pytest.approx(plain, rel=1e-12)
