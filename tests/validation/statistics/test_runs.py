"""Runs of signs: exact chances against enumeration of all orders."""

import itertools

import pytest

from validation.statistics import runs_test


@pytest.mark.parametrize(("up", "down"), [(4, 4), (5, 2), (3, 6), (1, 3)])
def test_chance_of_so_few_runs_equals_enumeration(up, down):
    orders = [
        [1 if place in chosen else -1 for place in range(up + down)]
        for chosen in itertools.combinations(range(up + down), up)
    ]
    counts = [runs_test(order).count for order in orders]
    for order, count in zip(orders, counts, strict=True):
        expected = sum(other <= count for other in counts) / len(orders)
        assert runs_test(order).p == pytest.approx(expected, rel=1e-12)


def test_zeros_are_left_out_and_the_longest_run_is_told():
    found = runs_test([1, 0, 2, 3, -1, -1, 4])
    assert (found.positive, found.negative, found.count, found.longest) == (4, 2, 3, 3)
    assert runs_test([0, 0]).p == 1.0
