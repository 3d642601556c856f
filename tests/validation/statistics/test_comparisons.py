"""Comparisons of settings against published examples, independent routines and simulation."""

import itertools
import math

import numpy as np
import pytest
from scipy import integrate, stats

from patterns.errors import DataError, InputError
from validation.statistics import compare, holm, welch


def test_welch_reproduces_the_handbook_cars():
    # NIST e-Handbook 1.3.5.3, miles per gallon of US and Japanese cars; digits from published output of the same data
    test = welch((20.14458, 30.48101), (6.41470, 6.10771), (249, 79))
    assert test.t == pytest.approx(-12.94627, abs=5e-6)
    assert test.df == pytest.approx(136.87499, abs=5e-5)
    assert test.p == pytest.approx(1.5709e-25, rel=1e-4)


# Holm 1979 by its definition: reject while p_(i) <= level / (m - i + 1), in ascending order
def test_holm_rejects_the_same_as_the_step_down_rule():
    rng = np.random.default_rng(1)
    for _ in range(200):
        p, level = rng.uniform(0, 0.08, 6), 0.05
        rejected = np.zeros(6, bool)
        for place, index in enumerate(np.argsort(p)):
            if p[index] > level / (6 - place):
                break
            rejected[index] = True
        assert ((holm(p) <= level) == rejected).all()


# Blood counts of C. W. Dunnett, J. Amer. Statist. Assoc. 50 (1955) 1096-1121, as printed in the scipy manual; they are
# compared as they are there, so their exponentials are put in here
BLOOD = {
    "control": (7.40, 8.50, 7.20, 8.24, 9.84, 8.32),
    "drug A": (9.76, 8.80, 7.68, 9.36),
    "drug B": (12.80, 9.68, 12.16, 9.20, 10.55),
}


def chance_of_any_difference(t, sizes, control_size, df):
    """Return P(max |t_i| > t) of Dunnett's statistics by integrating over scatter and the control's mean."""

    def within(s, z):
        mean = z / math.sqrt(control_size)
        bounds = [t * s * math.sqrt(1 / n + 1 / control_size) for n in sizes]
        parts = [
            stats.norm.cdf((mean + bound) * math.sqrt(n)) - stats.norm.cdf((mean - bound) * math.sqrt(n))
            for n, bound in zip(sizes, bounds, strict=True)
        ]
        return np.prod(parts, axis=0)

    s, z = np.linspace(1e-6, 4, 801)[:, None], np.linspace(-8, 8, 801)[None, :]
    weight = stats.chi(df, scale=1 / math.sqrt(df)).pdf(s) * stats.norm.pdf(z)
    return 1 - integrate.simpson(integrate.simpson(within(s, z) * weight, x=z[0]), x=s[:, 0])


def test_dunnett_reproduces_the_published_p_values_and_an_exact_integral():
    found = compare({name: np.exp(values) for name, values in BLOOD.items()}, "dunnett", "control")
    # printed in the scipy manual: 0.62004941, 0.0059035; both are quasi Monte Carlo, good to about 2e-4
    assert [one.p_adjusted for one in found] == pytest.approx([0.62004941, 0.0059035], abs=4e-4)
    for one, name in zip(found, ("drug A", "drug B"), strict=True):
        t = stats.t.isf(one.p / 2, one.df)
        exact = chance_of_any_difference(t, (4, 5), 6, 12)
        assert one.p_adjusted == pytest.approx(exact, abs=4e-4), name
    assert [one.verdict for one in found] == ["not resolvable with this n", "greater"]


def test_tukey_agrees_with_the_independent_routine_for_unequal_numbers():
    groups = {name: np.exp(np.array(values) / 20) for name, values in BLOOD.items()}
    judge = stats.tukey_hsd(*(np.log(values) for values in groups.values()))
    span = judge.confidence_interval(0.95)
    for one, (i, j) in zip(compare(groups, "tukey"), itertools.combinations(range(3), 2), strict=True):
        assert one.p_adjusted == pytest.approx(judge.pvalue[j, i], rel=1e-6)
        ends = (math.log(one.ratio.low), math.log(one.ratio.high))
        assert ends == pytest.approx((span.low[j, i], span.high[j, i]), rel=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize("method", ["tukey", "dunnett", "welch"])
def test_false_alarms_of_the_whole_family_stay_below_the_level(method):
    rng, alarms = np.random.default_rng(11), 0
    reference = "0" if method == "dunnett" else None
    for _ in range(80):
        groups = {str(k): np.exp(5 + 0.05 * rng.standard_normal(4)) for k in range(3)}
        alarms += any(one.verdict in ("greater", "smaller") for one in compare(groups, method, reference))
    # 80 trials at 5 %: more than 11 has a chance below 1 in 1000
    assert alarms <= 11


def test_detectable_ratio_is_found_in_80_of_100_single_comparisons():
    rng, n, sd = np.random.default_rng(12), 3, 0.05
    groups = {name: np.exp(sd * rng.standard_normal(n)) for name in "ab"}
    detectable = compare(groups)[0].detectable_ratio
    own_sd = math.sqrt(np.mean([np.log(values).var(ddof=1) for values in groups.values()]))
    step = math.log(detectable) * sd / own_sd
    a, b = sd * rng.standard_normal((2, 20_000, n))
    found = stats.ttest_ind(a, b + step, axis=1).pvalue < 0.05
    assert found.mean() == pytest.approx(0.80, abs=0.012)


def test_verdicts_say_what_the_intervals_allow():
    base = np.array([0.98, 1.0, 1.02, 1.01])
    groups = {"a": 100 * base, "b": 101 * base, "c": 150 * base}
    verdicts = {(one.setting, one.reference): one.verdict for one in compare(groups, margin=0.10)}
    assert verdicts == {("b", "a"): "alike", ("c", "a"): "greater", ("c", "b"): "greater"}
    assert compare(groups)[0].verdict == "not resolvable with this n"
    assert compare({"c": groups["c"], "a": groups["a"]})[0].verdict == "smaller"


def test_a_single_beam_is_compared_by_pooled_scatter_but_not_by_welch():
    groups = {"a": [100.0, 103.0, 99.0], "b": [130.0]}
    assert compare(groups, "tukey")[0].n == (1, 3)
    with pytest.raises(DataError, match="'b' has one beam"):
        compare(groups, "welch")


def test_wrong_requests_are_refused():
    groups = {"a": [1.0, 1.1], "b": [1.2, 1.3]}
    with pytest.raises(InputError, match="'c' is not among"):
        compare(groups, reference="c")
    with pytest.raises(InputError, match="needs the reference"):
        compare(groups, "dunnett")
    with pytest.raises(DataError, match="at least two settings"):
        compare({"a": [1.0, 2.0]})
    with pytest.raises(DataError, match="equal to the last digit"):
        compare({"a": [1.0, 1.0], "b": [1.2, 1.2]})


def test_no_design_gives_a_number_that_is_none():
    rng = np.random.default_rng(5)
    judged = 0
    for _ in range(40):
        sizes = rng.integers(2, 5, size=rng.integers(2, 5))
        groups = {
            f"s{k}": np.round(100 * np.exp(rng.normal(0, rng.choice([0, 0.03]), n)), 1).tolist()
            for k, n in enumerate(sizes)
        }
        if all(len(set(values)) == 1 for values in groups.values()):
            continue
        for one in compare(groups, "welch"):
            told = [one.ratio.low, one.ratio.best, one.ratio.high, one.p, one.p_adjusted, one.df]
            assert np.isfinite([*told, one.detectable_ratio]).all()
            judged += 1
    assert judged > 80


def test_a_pair_without_scatter_of_its_own_takes_that_of_all():
    groups = {"a": [10.0, 10.0], "b": [12.0, 12.0], "c": [5.0, 6.0, 5.5]}
    pair = compare(groups, "welch")[0]
    assert pair.df == 4  # 1 + 1 + 2 pooled, not the pair's 2
    assert pair.ratio.low < 1.2 < pair.ratio.high


@pytest.mark.parametrize("method", ["tukey", "dunnett"])
def test_two_beams_against_one_are_compared(method):
    (one,) = compare({"a": [10.0, 11.0], "b": [12.0]}, method, reference="a" if method == "dunnett" else None)
    # one degree of freedom: Student's t limit 12.706
    half = 12.7062 * np.std(np.log([10, 11]), ddof=1) * np.sqrt(1.5)
    assert np.log(one.ratio.high / one.ratio.best) == pytest.approx(half, rel=2e-2)
    assert np.isfinite(one.detectable_ratio)
