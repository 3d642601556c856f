"""The page's first words: measured before tuned before estimated, ties called ties, trust told in numbers."""

import numpy as np
import pytest

from patterns.remark import Remark
from validation.report.bulk import bulk_table
from validation.report.merged_remarks import merged_remarks
from validation.report.standing import FORCE, FORCE_PER_GRAM, Standing, standings
from validation.report.tuned import judge, tune
from validation.report.verdict import verdict

from .invented import invented_results, invented_study


def standing(value, log_sd=None, basis="measured", draws=()):
    return Standing(
        "a", value, 0.9 * value, 1.1 * value, 3, basis, False, log_sd, np.asarray(draws, dtype=float)
    )


def test_two_means_are_told_apart_from_1_96_standard_errors_of_their_difference_on():
    # By hand: both 5 %, so the difference's error is 7.07 % and its 95 % interval 13.9 % on the logarithm.
    assert standing(114.9, 0.05).ahead_of(standing(100.0, 0.05))
    assert not standing(114.8, 0.05).ahead_of(standing(100.0, 0.05))


def test_what_estimates_share_cancels_and_a_few_percent_are_a_tie():
    common = np.linspace(50.0, 150.0, 100)

    def estimated(factor, draws):
        return standing(100.0 * factor, None, "estimated", factor * draws)

    assert estimated(1.05, common).ahead_of(estimated(1.0, common))
    assert not estimated(1.02, common).ahead_of(estimated(1.0, common))
    # Draws that share nothing: 5 % ahead drown in them.
    assert not estimated(1.05, common[::-1]).ahead_of(estimated(1.0, common))


def test_without_beams_the_verdict_says_so_and_names_estimates(tmp_path):
    study = invented_study(tmp_path / "kite.toml")
    results, _ = invented_results(study)
    found = verdict(results.rows, judge(results.rows, None), None)
    strongest = found.findings[0]
    # Invented rule: 100 (1 + 0.4 walls + fill) N, kagome 1.1 times: 3 walls at 0.55 give 302.5 N.
    assert (strongest.question, strongest.value) == ("Strongest", "302 N")
    assert strongest.setting == "pattern kagome, walls 3, set fill 0.55"
    assert strongest.basis.startswith("Not broken yet: estimate, ")
    assert "nothing was broken" in found.trust[0]


def test_measured_means_stand_first_where_beams_were_broken_and_tuned_ones_elsewhere(tmp_path):
    study = invented_study(tmp_path / "kite.toml", vary={"core.set_fill": [0.2, 0.3, 0.4, 0.55]})
    results, _ = invented_results(study, 3, tmp_path / "beams.csv")
    rows = list(results.rows)
    rows[3] = type(rows[3])(rows[3].named, rows[3].estimate, (), None, None, None)
    calibrated = tune(study, rows)
    found = {one.label: one for one in standings(rows, judge(rows, calibrated), FORCE)}
    assert [found[f"set fill {fill:g}"].basis for fill in (0.2, 0.3, 0.4, 0.55)] == ["measured"] * 3 + [
        "tuned"
    ]
    own = [beam.breaking_force for beam in rows[1].beams]
    assert found["set fill 0.3"].value == pytest.approx(np.mean(own))
    assert found["set fill 0.55"].beyond
    masses = [beam.mass for beam in rows[1].beams]
    per_gram = {one.label: one for one in standings(rows, judge(rows, calibrated), FORCE_PER_GRAM)}
    assert per_gram["set fill 0.3"].value == pytest.approx(np.mean(own) / np.mean(masses))
    told = verdict(rows, judge(rows, calibrated), calibrated).trust[0]
    assert "9 beams" not in told  # one of them was excluded
    assert "8 beams of 3 settings were broken" in told
    assert "Tuned to the beams and asked for a setting hidden from it" in told


def test_a_bulk_bar_is_not_ranked_and_its_shares_are_told(tmp_path):
    settings = [{"core.set_fill": 0.2}, {"core.set_fill": 0.4}, {"specimen.made": "bulk", "print.walls": 5}]
    study = invented_study(tmp_path / "kite.toml", vary={}, setting=settings)
    results, _ = invented_results(study)
    found = verdict(results.rows, judge(results.rows, None), None)
    # Invented rule: 100 (1 + 0.4 walls + fill) N gives 200, 220 and, for the bar with fill 0.3, 330 N.
    assert found.findings[0].value == "220 N"
    assert found.findings[0].rivals == "Ahead of every other print."
    (line,) = [line for line in found.trust if "bulk bars" in line]
    assert "67 % of bulk strength" in line
    assert "set fill 0.4" in line
    assert line.endswith("(estimated).")
    table = bulk_table(results.rows)
    assert table.columns[1] == "strength estimated"
    assert [row[1].text for row in table.rows] == ["61 %", "67 %"]
    assert bulk_table(results.rows[:2]) is None


def test_remarks_that_differ_in_numbers_alone_become_one_line_with_its_settings():
    remarks = [
        (f"set_fill {fill}", (Remark.of("few_cells", cells=cells),))
        for fill, cells in ((0.1, 1.2), (0.2, 2.4))
    ]
    (line,) = merged_remarks([*remarks, ("set_fill 0.5", ())])
    assert line.startswith("only 1.2 to 2.4 line distances span the core")
    assert line.endswith("(set fill 0.1; set fill 0.2)")
    (line,) = merged_remarks(remarks)
    assert line.endswith("(all settings)")
