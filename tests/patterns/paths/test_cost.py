import math

import numpy as np
import pytest

from patterns.bead import Bead
from patterns.errors import DataError, InputError
from patterns.outlines.layout import lay_out
from patterns.paths.cost import (
    Machine,
    gravimetric_fill,
    moving_seconds,
    print_time,
)
from patterns.paths.deposit import Deposit, Moves, deposit
from patterns.setting import Core, Printing, Specimen


def laid(lengths, layers=1, role="core", bead_area=0.1):
    """A build of straight moves of one role."""
    moves = {role: Moves(np.array(lengths, dtype=float), np.ones(len(lengths)))}
    return Deposit({role: float(sum(lengths))}, moves, bead_area, layers, 0.0)


def beam(orientation="flat", fill=0.3, length=80.0):
    core = Core("square", fill)
    return deposit(
        lay_out(Specimen("rectangle", 16, 10, length), Printing(orientation, Bead(0.45, 0.2)), core)
    )


def test_ten_metres_of_bead():
    # A stadium 0.45 mm wide in full and 0.2 mm high has t (w - t) + pi t^2/4 = 0.0814159265 mm^2 (geometry);
    # so 10 m hold 814.159265 mm^3 and weigh 1.00955749 g at 1.24 g/cm^3.
    bead = Bead.from_full_width(0.45, 0.2)
    made = laid([10_000], bead_area=bead.area)
    assert made.volume["core"] == pytest.approx(814.159265)
    assert made.mass(1.24) == pytest.approx(1.00955749)
    # 50 mm/s: 200 s and 50 ms to get under way and stop at 1000 mm/s^2.
    machine = Machine(speed_core=50, acceleration=1000)
    assert moving_seconds(made, machine) == pytest.approx(200.05)


def test_a_short_move_never_reaches_its_speed():
    # Half of 1 mm speeding up at 1000 mm/s^2, half slowing down: 2 sqrt(1/1000) s.
    assert moving_seconds(laid([1.0]), Machine(speed_core=50, acceleration=1000)) == pytest.approx(
        2 * math.sqrt(1e-3)
    )


def test_both_formulas_meet_where_the_speed_is_just_reached():
    machine = Machine(speed_core=50, acceleration=1000)
    below, above = (moving_seconds(laid([2.5 * f]), machine) for f in (1 - 1e-9, 1 + 1e-9))
    assert below == pytest.approx(above, rel=1e-8)
    assert above == pytest.approx(0.1)


def test_each_role_moves_at_its_own_speed_and_layers_cost():
    machine = Machine(speed_wall=10, speed_face=20, speed_core=40, acceleration=1e12, layer_overhead=3)
    for role, speed in (("wall", 10), ("face", 20), ("core", 40)):
        time = print_time(laid([1200], layers=7, role=role), machine)
        assert time.best == pytest.approx((1200 / speed + 21) / 60)
        assert (time.low, time.high) == pytest.approx((0.7 * time.best, 1.3 * time.best))


def test_shorter_moves_take_longer_for_the_same_length():
    assert moving_seconds(laid([1.0] * 100), Machine()) > 2 * moving_seconds(laid([100.0]), Machine())


@pytest.mark.parametrize(
    "wrong", [{"speed_wall": 0}, {"acceleration": math.nan}, {"layer_overhead": -1}, {"band": 1.0}]
)
def test_machine_refuses_what_cannot_be(wrong):
    with pytest.raises(InputError, match=f"machine {next(iter(wrong))}"):
        Machine(**wrong)


def test_gravimetric_fill_of_a_weighed_beam():
    made = beam(fill=0.3)
    # A beam that weighs what is deposited has the deposited core volume over the core's space.
    expected = made.volume["core"] / made.core_space
    assert gravimetric_fill(made.mass(1.24), 1.24, made) == pytest.approx(expected)
    # One more gram in the core is 1000/1.24 mm^3.
    more = gravimetric_fill(made.mass(1.24) + 1, 1.24, made)
    assert more - expected == pytest.approx(1000 / 1.24 / made.core_space)


def test_gravimetric_fill_refuses_what_cannot_be():
    made = beam()
    with pytest.raises(DataError, match="less than walls and faces alone weigh"):
        gravimetric_fill(0.5, 1.24, made)
    bar = Specimen("rectangle", 16, 10, 80)
    solid = deposit(lay_out(bar, Printing("flat", Bead(0.45, 0.2), 2, 50, 50), Core("square", 0.3)))
    with pytest.raises(InputError, match="no core"):
        gravimetric_fill(20, 1.24, solid)
