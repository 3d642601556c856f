"""Synthetic runs of known stiffness, slack, compliance, noise and sampling are recovered within the stated error."""

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from validation.rig.geometry import Geometry
from validation.rig.record import RawRun, Reading
from validation.rig.reduce import reduce_run
from validation.rig.run import Run
from validation.rig.units import UNITS
from validation.rig.work import Options

READING = Reading("made.csv", "0" * 64, "ascii", "made", ())


@dataclass(frozen=True)
class Truth:
    """A straight, brittle beam on a rig: N, mm; noise and steps of the channels as parts of the peak or in mm."""

    k: float = 60.0
    peak: float = 240.0
    lead: float = 0.8
    toe: float = 0.0
    compliance: float = 0.0
    samples: int = 800
    noise: float = 0.0
    offset: float = 0.0
    force_step: float = 0.0
    travel_step: float = 0.0
    signs: tuple[int, int] = (1, 1)
    seed: int = 0

    @property
    def force_per_sample(self) -> float:
        """Rise of force from sample to sample, N: so much may the last sample before the break miss."""
        rig = self.peak / self.k + self.toe / 2 + self.compliance * self.peak
        return self.k * (self.lead + 1.15 * rig) / (self.samples - 1)

    def record(self) -> RawRun:
        """Return what the rig writes: travel at constant speed, the beam seating over ``toe`` mm, a break, a tail."""
        # Seating is a parabola that runs into the straight line without a kink: it costs toe/2 of travel.
        beam = np.linspace(0, self.peak / self.k + self.toe / 2, 4000)
        force = np.where(
            beam < self.toe, self.k * beam**2 / (2 * max(self.toe, 1e-12)), self.k * (beam - self.toe / 2)
        )
        rig = beam + self.compliance * force
        travel = np.linspace(0, self.lead + 1.15 * rig[-1], self.samples)
        f = np.interp(travel - self.lead, rig, force, left=0.0, right=0.02 * self.peak)
        f = f + self.offset + np.random.default_rng(self.seed).normal(0, self.noise * self.peak, len(f))
        if self.force_step:
            f = np.round(f / (self.force_step * self.peak)) * self.force_step * self.peak
        if self.travel_step:
            travel = np.round(travel / self.travel_step) * self.travel_step
        lines = np.arange(len(f)) + 2
        a, b = self.signs
        return RawRun("", lines, a * f, b * travel - 3.0, None, UNITS["N"], UNITS["mm"])


def reduced(truth: Truth, **options) -> Run:
    """Return the reduced run, rig compliance known."""
    return reduce_run(truth.record(), READING, options=Options(compliance=truth.compliance, **options))


# Lead and offset are drawn in parts of travel and force to the peak. Without a lead an offset looks like a preload.
TRUTHS = st.builds(
    Truth,
    k=st.floats(5, 2000),
    peak=st.floats(20, 5000),
    lead=st.one_of(st.just(0.0), st.floats(0.1, 1.5)),
    compliance=st.floats(0, 2e-4),
    samples=st.integers(150, 4000),
    offset=st.floats(-0.2, 0.2),
    signs=st.tuples(st.sampled_from([1, -1]), st.sampled_from([1, -1])),
    seed=st.integers(0, 10_000),
)


def scaled(truth: Truth, toe: float, noise: float = 0.0) -> Truth:
    """Return a truth whose lead, toe and offset were drawn as parts of travel and force to the peak."""
    whole = truth.peak / truth.k
    offset = truth.offset * truth.peak if truth.lead else 0.0
    return replace(truth, lead=truth.lead * whole, toe=2 * toe * whole, noise=noise, offset=offset)


@settings(max_examples=80, deadline=None)
@given(truth=TRUTHS, toe=st.floats(0, 0.1))
def test_clean_runs_are_recovered_exactly(truth, toe):
    truth = scaled(truth, toe)
    run = reduced(truth)
    assert run.slope is not None
    assert run.slope.value == pytest.approx(truth.k, rel=0.01 if toe < 0.05 else 0.12)
    assert abs(run.slope.value - truth.k) <= run.slope.error + 2e-3 * truth.k
    # The peak is a sample short of the break; travel at the peak counts from the toe.
    assert run.peak_error is not None
    assert run.peak_force == pytest.approx(truth.peak, abs=truth.force_per_sample + run.peak_error)
    assert run.first_drop == run.peak_force


@settings(max_examples=80, deadline=None)
@given(truth=TRUTHS, noise=st.floats(0, 0.01), toe=st.floats(0, 0.04))
def test_noisy_runs_are_recovered_within_twice_the_stated_error(truth, noise, toe):
    # The stated error is about two standard deviations; twice that is passed once in some ten thousand draws.
    truth = scaled(truth, toe, noise)
    run = reduced(truth)
    assert run.slope is not None
    assert abs(run.slope.value - truth.k) <= 2 * run.slope.error + 3e-3 * truth.k
    assert run.peak_force is not None
    assert run.peak_error is not None
    assert abs(run.peak_force - truth.peak) <= 2 * run.peak_error + truth.force_per_sample
    assert run.travel_at_peak is not None
    assert run.travel_error is not None
    # Near the peak the noise picks the sample that is counted: within six standard deviations of the last one.
    picked = 6 * truth.noise * truth.peak + truth.force_per_sample
    allowed = 2 * run.travel_error + picked / truth.k + 3e-3 * truth.peak / truth.k
    assert abs(run.travel_at_peak - truth.peak / truth.k) <= allowed


def test_stated_error_of_the_slope_covers_nineteen_of_twenty():
    hits = 0
    for seed in range(150):
        truth = Truth(noise=0.005, toe=0.3, samples=600, seed=seed, compliance=5e-4, force_step=1e-3)
        run = reduced(truth)
        assert run.slope is not None
        hits += abs(run.slope.value - truth.k) <= run.slope.error
    # Binomial of 150 at 0.95: below 135 in less than one case of a hundred.
    assert hits >= 135


@pytest.mark.parametrize("method", ["fraction", "steepest"])
def test_slack_and_toe_are_counted_off_the_travel(method):
    truth = Truth(toe=0.6, lead=1.7, samples=3000)
    run = reduced(truth, slope=method)
    assert run.slope is not None
    assert run.slope.value == pytest.approx(truth.k, rel=2e-3)
    # Toe compensation of ASTM D790: the straight part extended to zero force is the origin.
    assert run.travel_at_peak == pytest.approx(truth.peak / truth.k, rel=2e-3)


def test_energy_to_peak_is_half_force_times_travel():
    truth = Truth(samples=4000)
    run = reduced(truth)
    assert run.energy == pytest.approx(0.5 * truth.peak**2 / truth.k / 1000, rel=3e-3)


def test_rig_compliance_is_taken_off():
    truth = Truth(compliance=4e-3, samples=3000)
    known = reduced(truth)
    unknown = reduce_run(truth.record(), READING)
    assert known.slope is not None
    assert unknown.slope is not None
    assert known.slope.value == pytest.approx(truth.k, rel=1e-3)
    # Springs in series: 1/k + C.
    assert unknown.slope.value == pytest.approx(1 / (1 / truth.k + truth.compliance), rel=1e-3)
    assert "crosshead_without_compliance" in unknown.flags
    assert "crosshead_without_compliance" not in known.flags


def test_a_compliance_beyond_the_travel_gives_no_slope_and_says_so():
    run = reduce_run(Truth().record(), READING, options=Options(compliance=0.02))
    assert run.slope is None
    assert "no_slope" in run.flags
    assert any("may exceed the whole travel" in doubt.text for doubt in run.warnings)


def test_strain_window_chord_needs_the_section_and_gives_the_modulus():
    # Ten by four, span 64: E = L^3 k/4 b h^3.
    bar = Geometry("three_point", 64, shape="rectangle", width=10, depth=4)
    truth = Truth(k=24.4140625, peak=100.0, samples=4000)
    run = reduce_run(truth.record(), READING, geometry=bar, options=Options("strain", compliance=0.0))
    assert run.slope is not None
    assert run.slope.method == "strain"
    assert run.apparent_modulus == pytest.approx(2500, rel=2e-3)
    ends = [run.slope.start[0] - run.slope.origin, run.slope.stop[0] - run.slope.origin]
    assert ends == pytest.approx([0.0853, 0.4267], abs=0.003)


def test_steps_come_in_the_agreed_order():
    run = reduced(Truth())
    order = "tare sign units contact end compliance toe slope first_drop peak energy".split()
    order += ["onset_of_yield", "energy_to_break"]
    assert [step.name.replace(" ", "_") for step in run.steps] == order


def test_slip_on_the_way_up_is_told():
    raw = Truth(samples=2000, noise=0.0005).record()
    travel = raw.travel
    assert travel is not None
    # Half a millimetre of slip near 100 N: the force waits while the rig goes on.
    at = int(np.argmax(raw.force > 100))
    start = travel[at]
    slipped = np.where(travel > start + 0.5, travel - 0.5, np.minimum(travel, start))
    force = np.interp(slipped, travel, raw.force)
    run = reduce_run(replace(raw, force=force), READING)
    assert "slip" in run.flags
    assert "slip" not in reduce_run(raw, READING).flags


def test_a_stop_met_after_the_break_is_not_the_peak():
    truth = Truth(samples=1000)
    raw = truth.record()
    assert raw.travel is not None
    more = np.arange(1, 1001) * 0.005
    stop = np.where(more > 3.5, 400 * (more - 3.5), 0.0)
    lines = np.arange(2000) + 2
    travel = np.concatenate([raw.travel, raw.travel[-1] + more])
    run = reduce_run(
        replace(raw, lines=lines, travel=travel, force=np.concatenate([raw.force, stop])), READING
    )
    assert run.peak_force == pytest.approx(truth.peak, rel=0.01)
    assert "loaded_again" in run.flags


def test_recovery_after_a_crack_is_part_of_the_test():
    truth = Truth(samples=1500)
    raw = truth.record()
    assert raw.travel is not None
    at = int(np.argmax(raw.force > 100))
    cracked = raw.force.copy()
    cracked[at:] = np.maximum(raw.force[at:] - 60 * np.exp(-(raw.travel[at:] - raw.travel[at]) / 0.5), 0)
    run = reduce_run(replace(raw, force=cracked), READING)
    assert run.first_drop == pytest.approx(100, rel=0.02)
    assert run.peak_force == pytest.approx(truth.peak, rel=0.02)
    assert "loaded_again" not in run.flags


def test_softening_is_no_drop_and_the_strain_window_counts_from_its_own_toe():
    # A curve that bends over and softens by a tenth without a crack; the chord starts where its own line meets zero.
    travel = np.linspace(0, 12, 1200)
    x = np.maximum(travel - 1.0, 0)
    force = 220 * (1 - np.exp(-x / 2.2)) * (1 - 0.02 * np.maximum(x - 6, 0))
    raw = RawRun("", np.arange(1200) + 2, force, travel, None, UNITS["N"], UNITS["mm"], at_beam=True)
    bar = Geometry("three_point", 64, shape="rectangle", width=10, depth=4)
    run = reduce_run(raw, READING, geometry=bar, options=Options("strain"))
    assert run.first_drop is None
    assert "no_break" in run.flags
    assert run.slope is not None
    ends = np.array([run.slope.start[0], run.slope.stop[0]]) - run.slope.origin
    # ISO 178: 0.0853 and 0.4267 mm; the window holds whole samples of 0.01 mm.
    assert ends == pytest.approx([0.0853, 0.4267], abs=0.011)


def test_drop_share_is_that_of_the_whole_fall():
    run = reduced(Truth(samples=3000))
    (found,) = (step.found for step in run.steps if step.name == "first drop")
    # The record falls to 2 % of the peak.
    assert found.startswith("98 % from")
