"""Grubbs' test on published tables; flags that never drop a run."""

import numpy as np
import pytest

from patterns.errors import DataError
from validation.statistics import flag_runs, grubbs
from validation.statistics.outliers import grubbs_critical, grubbs_power

# Grubbs and Beck 1972 style table, 5 %; one-sided values from LibreTexts, Analytic References, appendix 7 (3 decimals)
CRITICAL = [
    (3, 1.1543, 1.1531), (4, 1.4813, 1.4625), (5, 1.7150, 1.6714), (6, 1.8871, 1.8221), (7, 2.0200, 1.9381),
    (8, 2.1266, 2.0317), (9, 2.2150, 2.1096), (10, 2.2900, 2.1761),
]  # fmt: skip


@pytest.mark.parametrize(("n", "two_sided", "one_sided"), CRITICAL)
def test_critical_values_equal_the_table(n, two_sided, one_sided):
    assert grubbs_critical(n) == pytest.approx(two_sided, abs=6e-5)
    assert grubbs_critical(n, two_sided=False) == pytest.approx(one_sided, abs=6e-5)


def test_handbook_mass_spectrometer_reading_is_suspect():
    # NIST e-Handbook 1.3.5.17.1: uranium readings with one outlier, G = 2.4687
    found = grubbs([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])
    assert found.G == pytest.approx(2.46876461, rel=1e-8)
    assert (found.index, found.suspect) == (7, True)


def test_three_beams_hardly_ever_show_an_outlier_and_the_text_says_so():
    assert grubbs_power(3) == pytest.approx(0.09, abs=0.01)
    assert grubbs_power(10) > 0.7
    text = str(grubbs([10.0, 10.1, 15.0]))
    # by hand: G = 3.3/2.858321 = 1.154524 is just above the table's 1.1543; with 10.3 in the middle it is 1.153047
    assert text.startswith("suspect")
    assert str(grubbs([10.0, 10.3, 15.0])).startswith("not suspect")
    assert text.endswith("in 9 of 100 cases")


def test_false_flags_come_in_5_of_100_samples():
    samples = np.random.default_rng(51).standard_normal((3000, 5))
    assert np.mean([grubbs(sample).suspect for sample in samples]) == pytest.approx(0.05, abs=0.012)


def test_pooled_flag_sees_what_three_beams_alone_cannot():
    rng = np.random.default_rng(52)
    seen = alone = 0
    for _ in range(120):
        groups = {str(k): list(np.exp(0.04 * rng.standard_normal(3))) for k in range(7)}
        groups["3"][1] *= np.exp(-5 * 0.04)
        flags = flag_runs(groups)
        seen += any((flag.setting, flag.index) == ("3", 1) for flag in flags)
        found = grubbs(np.log(groups["3"]))
        alone += found.suspect and found.index == 1
    assert seen > 0.6 * 120 > 3 * alone


def test_pooled_flags_of_clean_series_stay_below_5_in_100():
    rng = np.random.default_rng(53)
    alarms = [
        bool(flag_runs({str(k): np.exp(0.04 * rng.standard_normal(3)) for k in range(7)})) for _ in range(300)
    ]
    assert np.mean(alarms) <= 0.09


def test_what_cannot_be_tested_is_left_alone():
    assert grubbs([1.0, 2.0]) is None
    assert grubbs([3.0, 3.0, 3.0]) is None
    with pytest.raises(DataError, match="three values"):
        grubbs_critical(2)
