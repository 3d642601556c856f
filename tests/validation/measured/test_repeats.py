"""What the repeats say: odd beams kept and told, builds found, verdicts in words; invented beams of known truth."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from validation.measured.measured import MeasuredBeam
from validation.measured.repeats import repeats_lines, repeats_of
from validation.results.repeats import repeats_dict


def rows_of(forces: dict[str, list[float]], builds: list[str] | None = None):
    """Return rows with a beam per force; the builds run through the repeats of each setting."""
    rows, line = [], 1
    for place, (label, values) in enumerate(forces.items()):
        beams = []
        for k, force in enumerate(values):
            line += 1
            build = builds[k % len(builds)] if builds else ""
            beams.append(MeasuredBeam(line, f"{label}{k + 1}", place, force, mass=0.1 * force, build=build))
        rows.append(SimpleNamespace(named=SimpleNamespace(label=label), beams=tuple(beams)))
    return rows


def scattered(rng, means, sd=0.04, n=3):
    return {label: (mean * np.exp(sd * rng.standard_normal(n))).tolist() for label, mean in means.items()}


MEANS = {"A": 100.0, "B": 101.0, "C": 150.0, "D": 220.0}


def test_settings_that_differ_are_told_and_those_that_may_not_are_told_too():
    found = repeats_of(rows_of(scattered(np.random.default_rng(1), MEANS)))
    verdicts = {(one.setting, one.reference): one.verdict for one in found.comparisons}
    assert len(verdicts) == 6
    assert verdicts["B", "A"] == "not resolvable with this n"
    assert all(verdict == "greater" for pair, verdict in verdicts.items() if pair != ("B", "A"))
    text = "\n".join(repeats_lines(found))
    assert "5 of 6 pairs of settings differ in breaking force" in text
    assert "B against A: ratio" in text


def test_an_odd_beam_is_told_with_the_power_of_its_test_and_kept():
    forces = scattered(np.random.default_rng(2), {str(k): 100.0 + 20 * k for k in range(8)})
    forces["3"][1] *= 0.6
    found = repeats_of(rows_of(forces))
    (odd,) = found.odd
    assert odd.beam.specimen == "32"
    assert found.settings["3"].n == 3
    text = "\n".join(repeats_lines(found))
    assert "Look again at 32" in text
    assert "it is kept" in text
    assert "in 9 of 100 cases" in text


def test_builds_that_differ_are_found_where_every_build_holds_every_setting():
    rng = np.random.default_rng(3)
    forces = scattered(rng, MEANS, sd=0.02)
    for values in forces.values():
        values[1] *= 1.2
    found = repeats_of(rows_of(forces, ["P1", "P2", "P3"]))
    assert found.builds.p < 0.01
    # one build of three 20 % above: its log lies ln(1.2) 2/3 above their mean
    assert found.builds.ratios["P2"].best == pytest.approx(math.exp(math.log(1.2) * 2 / 3), rel=0.03)
    assert "builds differ" in "\n".join(repeats_lines(found))


def test_without_builds_the_text_says_what_that_means():
    found = repeats_of(rows_of(scattered(np.random.default_rng(4), MEANS)))
    assert found.builds is None
    assert any("builds are not told apart" in note for note in found.notes)


def test_each_setting_in_a_build_of_its_own_cannot_be_judged():
    rows = rows_of(scattered(np.random.default_rng(5), MEANS))
    for row in rows:
        row.beams = tuple(
            MeasuredBeam(b.line, b.specimen, b.setting, b.breaking_force, build=row.named.label)
            for b in row.beams
        )
    assert any("mixed up" in note for note in repeats_of(rows).notes)


def test_many_settings_are_compared_with_their_neighbours():
    means = {f"s{k:02d}": 100.0 * 1.05**k for k in range(14)}
    found = repeats_of(rows_of(scattered(np.random.default_rng(6), means)))
    assert [(one.setting, one.reference) for one in found.comparisons[:2]] == [("s01", "s00"), ("s02", "s01")]
    assert len(found.comparisons) == 13
    assert any("only neighbours" in note for note in found.notes)


def test_the_json_holds_the_intervals_of_every_setting():
    found = repeats_dict(repeats_of(rows_of(scattered(np.random.default_rng(7), MEANS)), "mass"))
    assert found["unit"] == "g"
    for one in found["settings"].values():
        (low, high), (next_low, next_high) = one["mean_interval_95"], one["next_beam_95"]
        assert next_low < low < one["geometric_mean"] < high < next_high
        assert one["lower_bound"] < low


def test_quantities_without_repeats_are_left_out():
    assert repeats_of(rows_of({"A": [100.0], "B": [120.0]})) is None
    assert repeats_of(rows_of({"A": [100.0, 101.0]}), "stiffness") is None


def test_equal_readings_are_not_compared():
    found = repeats_of(rows_of({"A": [100.0, 100.0], "B": [120.0, 120.0]}))
    assert found.comparisons == ()
    assert any("equal to the last digit" in note for note in found.notes)
