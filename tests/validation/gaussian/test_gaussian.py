"""The Gaussian model of logarithms against closed forms: each names its formula, and most hold the grid at one node."""

import numpy as np
import pytest
from scipy import stats

from validation.gaussian import HalfT, Place, Reading, Scales, fit, hide_in_turn
from validation.gaussian.fit import Informed, weigh
from validation.gaussian.grid import Grid
from validation.gaussian.kernel import Metric, Shape
from validation.gaussian.places import Cells

FLAT = 30.0  # standard deviation of a prior that says nothing on the log scale
ROUGH, FAR = Shape(0.5, 1.0), 1e-3


def place(at: float, loadings: list[float], mean: float = 0.0, category: str = "") -> Place:
    return Place({"force": mean}, {"force": np.array(loadings)}, (at,), (category,))


def at_one_node(readings, discrepancy: float, scatter: float, group: float = 0.0, shape: Shape = ROUGH):
    """Return the force's model with its standard deviations held."""
    node = Grid(*(np.array([x]) for x in (0, discrepancy, group, scatter, 0.0)), shapes=(shape,))
    cells = Cells.of(readings, "force")
    metric = Metric.of([one.place for one in readings])
    return weigh("force", cells, metric, node, Informed.by_nothing(cells.loadings("force").shape[1]))


def test_independent_discrepancies_give_the_one_way_random_effects_model():
    """S. R. Searle, G. Casella, C. E. McCulloch, Variance Components, 1992: GLS mean and BLUP (from memory)."""
    rng = np.random.default_rng(1)
    counts, tau, s = [1, 2, 3, 7, 4], 0.2, 0.1
    # correlation lengths far below the spacing: every place by itself, with one common unknown mean
    places = [place(k, [FLAT]) for k in range(len(counts))]
    readings = [
        Reading(one, "force", 5 + rng.standard_normal())
        for one, n in zip(places, counts, strict=True)
        for _ in range(n)
    ]
    means = np.array([np.mean([r.value for r in readings if r.place is one]) for one in places])
    weight = 1 / (tau**2 + s**2 / np.array(counts))
    common = weight @ means / weight.sum()
    shrunk = common + tau**2 * weight * (means - common)
    model = at_one_node(readings, tau, s, shape=Shape(0.5, FAR))
    assert [model.predict(one).best for one in places] == pytest.approx(shrunk, abs=1e-3)
    # a new place: variance of the common mean and its own discrepancy
    new = model.predict(place(50, [FLAT]))
    assert new.best == pytest.approx(common, abs=1e-3)
    assert new.log_sd == pytest.approx(np.sqrt(1 / weight.sum() + tau**2), rel=1e-3)


def test_without_discrepancy_it_is_bayesian_linear_regression():
    """C. M. Bishop, Pattern Recognition and Machine Learning, 2006, equations 3.53 and 3.54 (from memory)."""
    rng = np.random.default_rng(2)
    X, s = rng.standard_normal((6, 2)), 0.3
    places = [place(k, list(row), mean=1.0) for k, row in enumerate(X)]
    y = 1 + X @ [0.4, -0.7] + s * rng.standard_normal(6)
    covariance = np.linalg.inv(np.eye(2) + X.T @ X / s**2)
    weights = covariance @ X.T @ (y - 1) / s**2
    model = at_one_node([Reading(p, "force", v) for p, v in zip(places, y, strict=True)], 0.0, s)
    new = np.array([0.3, 2.0])
    found = model.predict(place(9, list(new), mean=1.0))
    assert found.best == pytest.approx(1 + new @ weights, abs=1e-9)
    assert found.log_sd == pytest.approx(np.sqrt(new @ covariance @ new), rel=1e-9)


def test_rough_discrepancy_between_two_places_is_the_bridge_of_an_ornstein_uhlenbeck_process():
    """Simple kriging with exponential covariance: weights sinh(b) / sinh(a + b), other places are screened off."""
    a, b, length, tau = 0.5, 1.5, 2.0, 0.3
    places = [place(x, [0.0]) for x in (0.0, 2.0, 4.0)]
    readings = [Reading(p, "force", v) for p, v in zip(places, (0.4, -0.2, 5.0), strict=True)]
    shape = Shape(0.5, length / 4.0)  # lengths count in spans, the span is 4
    found = at_one_node(readings, tau, 0.0, shape=shape).predict(place(a, [0.0]))
    near, far, both = (np.sinh(x / length) for x in (b, a, a + b))
    assert found.best == pytest.approx((0.4 * near - 0.2 * far) / both, abs=1e-6)
    spread = 2 * np.sinh(a / length) * np.sinh(b / length) / both
    assert found.log_sd == pytest.approx(tau * np.sqrt(spread), rel=1e-5)


def test_very_many_readings_at_a_place_are_its_mean_and_far_away_the_prior_is_left():
    here = place(0.0, [0.3])
    readings = [Reading(here, "force", 2.0 + d) for d in (-0.05, 0.05) * 5000]
    readings += [Reading(place(1.0, [0.3]), "force", 0.1)]
    model = at_one_node(readings, 0.1, 0.05)
    assert model.predict(here).best == pytest.approx(2.0, abs=1e-3)
    assert model.predict(here).log_sd == pytest.approx(0.05 / 100, rel=0.01)
    own = Place({"force": 7.0}, {"force": np.array([0.0])}, (1e4,), ("",))
    assert model.predict(own).best == pytest.approx(7.0)
    assert model.predict(own).log_sd == pytest.approx(0.1)


@pytest.mark.parametrize("n", [4, 10, 40])
def test_one_place_gives_the_tolerance_bound_of_the_noncentral_t(n):
    """ISO 16269-6:2014; a prior flat in the standard deviation takes one degree of freedom more than 1/s would."""
    values = 1.0 + 0.04 * np.random.default_rng(3).standard_normal(n)
    here = place(0.0, [FLAT])
    flat = Scales(HalfT(1e-6, 50), HalfT(1e-6), HalfT(10.0, 50))
    found = fit([Reading(here, "force", v) for v in values], {"force": flat}).predict(here, "force")
    df, sd = n - 2, np.sqrt(((values - values.mean()) ** 2).sum() / (n - 2))
    k = stats.nct.ppf(0.95, df, stats.norm.ppf(0.9) * np.sqrt(n)) / np.sqrt(n)
    assert (values.mean() - found.lower_bound(0.9, 0.95)) / sd == pytest.approx(
        k, rel=0.04 if n > 4 else 0.15
    )
    # Student's t for the mean and the next reading
    for share, m in ((0.975, np.inf), (0.975, 1)):
        half = stats.t.ppf(share, df) * sd * np.sqrt(1 / n + 1 / m)
        assert found.quantile(share, m) - values.mean() == pytest.approx(half, rel=0.03 if n > 4 else 0.15)


def test_a_quantity_learns_from_another_by_their_covariance():
    """Conditional normal distribution: the other quantity was read exactly."""
    load = {"force": np.array([0.3, 0.1]), "stiffness": np.array([0.2, 0.0])}
    here = Place({"force": 5.0, "stiffness": 3.0}, load, (0.0,))
    exact = Scales(HalfT(1e-6), HalfT(1e-6), HalfT(1e-6))
    found = fit([Reading(here, "stiffness", 3.2)], {"force": exact, "stiffness": exact}).predict(
        here, "force"
    )
    assert found.best == pytest.approx(5.3, abs=1e-4)
    assert found.log_sd == pytest.approx(0.1, rel=1e-3)


def test_a_quantity_that_was_not_read_keeps_prior_and_discrepancy():
    scales = Scales(HalfT(0.1), HalfT(0.1), HalfT(0.05))
    here = Place(
        {"force": 4.0, "mass": 1.0}, {"force": np.array([0.2, 0.0]), "mass": np.array([0.0, 0.02])}, (0.0,)
    )
    found = fit([Reading(here, "mass", 1.1)], {"force": scales, "mass": scales}).predict(here, "force")
    assert found.best == pytest.approx(4.0)
    # half-t with 4 degrees of freedom: its mean square is twice the squared scale; the grid cuts the tail
    assert 0.2 < found.log_sd < np.sqrt(0.2**2 + 2 * 0.1**2)


def test_groups_widen_the_next_reading_and_are_told_from_scatter():
    rng = np.random.default_rng(4)
    shift = dict(zip("ABCDEFGH", 0.1 * rng.standard_normal(8), strict=True))
    places = [place(k, [FLAT]) for k in range(4)]
    readings = [
        Reading(p, "force", shift[g] + 0.02 * rng.standard_normal(), g)
        for p in places
        for g in shift
        for _ in range(2)
    ]
    scales = Scales(HalfT(0.05), HalfT(0.05), HalfT(0.05))
    model = fit(readings, {"force": scales}).quantities["force"]
    _, _, group, scatter = model.middle()
    assert scatter == pytest.approx(0.02, rel=0.25)
    assert group == pytest.approx(np.std(list(shift.values()), ddof=1), rel=0.5)
    # without names the same readings scatter by both
    blind = fit([Reading(r.place, "force", r.value) for r in readings], {"force": scales}).quantities["force"]
    assert blind.middle()[2] == 0.0
    assert blind.middle()[3] == pytest.approx(np.hypot(group, scatter), rel=0.3)


def test_unlike_categories_share_half_of_the_discrepancy():
    """Simple kriging of one exact datum: covariance over variance."""
    one, other = (place(0.0, [0.0], category=c) for c in "ab")
    model = at_one_node([Reading(one, "force", 0.4)], 0.2, 0.0)
    assert model.predict(other).best == pytest.approx(0.2, abs=1e-6)
    assert model.predict(other).log_sd == pytest.approx(0.2 * np.sqrt(0.75), rel=1e-6)


def test_a_hidden_place_is_predicted_from_the_others_alone():
    rng = np.random.default_rng(5)
    places = [place(k, [0.2, 0.05 * k]) for k in range(5)]
    scales = {"force": Scales(HalfT(0.1), HalfT(0.05), HalfT(0.05))}
    readings = [Reading(p, "force", 0.03 * rng.standard_normal()) for p in places for _ in range(3)]
    labels = [str(r.place.numbers) for r in readings]
    found = hide_in_turn(readings, labels, scales)
    assert [one.place for one in found] == places
    # what was read at the hidden place changes nothing
    changed = [Reading(r.place, "force", r.value + (r.place is places[2])) for r in readings]
    again = hide_in_turn(changed, labels, scales)
    assert again[2].predicted.best == pytest.approx(found[2].predicted.best, abs=1e-12)
    assert again[2].error == pytest.approx(found[2].error + 1)
    assert found[2].inside()
    assert not again[2].inside()
    assert hide_in_turn(readings[:3], labels[:3], scales) == []
