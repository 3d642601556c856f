"""Print time and the fill a weighed beam really has, both from the deposited paths."""

import math
from dataclasses import dataclass

import numpy as np

from patterns.errors import DataError, InputError
from patterns.paths.deposit import Deposit, Role


@dataclass(frozen=True)
class Machine:
    """How fast a printer moves.

    The defaults are assumptions for a common desktop machine, not measurements; who knows the machine gives its own.

    Attributes
    ----------
    speed_wall, speed_face, speed_core : float
        Set speeds in mm/s.
    acceleration : float
        mm/s^2.
    layer_overhead : float
        Seconds a layer takes beside its moves: lift, travel, retraction.
    band : float
        Print times lie within 1 +- band of the estimate (assumption).
    """

    speed_wall: float = 45.0
    speed_face: float = 60.0
    speed_core: float = 80.0
    acceleration: float = 2000.0
    layer_overhead: float = 1.0
    band: float = 0.3

    def __post_init__(self) -> None:
        for name in ("speed_wall", "speed_face", "speed_core", "acceleration"):
            if not (math.isfinite(getattr(self, name)) and getattr(self, name) > 0):
                raise InputError(f"machine {name} {getattr(self, name)}: it must be positive")
        if not (math.isfinite(self.layer_overhead) and self.layer_overhead >= 0):
            raise InputError(f"machine layer_overhead {self.layer_overhead} s: it must be zero or more")
        if not 0 <= self.band < 1:
            raise InputError(f"machine band {self.band}: it must lie between 0 and 1")

    def speed(self, role: Role) -> float:
        """Return the set speed of a role in mm/s."""
        return {"wall": self.speed_wall, "face": self.speed_face, "core": self.speed_core}[role]


@dataclass(frozen=True)
class PrintTime:
    """Minutes, with the band of `Machine.band`."""

    low: float
    best: float
    high: float


def print_time(deposit: Deposit, machine: Machine | None = None) -> PrintTime:
    """Return the print time in minutes: moves from rest to rest at each corner, and an overhead per layer."""
    machine = machine or Machine()
    best = (moving_seconds(deposit, machine) + machine.layer_overhead * deposit.layers) / 60
    return PrintTime(best * (1 - machine.band), best, best * (1 + machine.band))


def moving_seconds(deposit: Deposit, machine: Machine) -> float:
    """Return the seconds spent moving.

    A move of length l from rest to rest takes l/v + v/a where it reaches the set speed v (l >= v^2/a), and
    2 sqrt(l/a) where it does not.
    """
    total = 0.0
    for role, moves in deposit.moves.items():
        speed, acceleration = machine.speed(role), machine.acceleration
        reached = moves.lengths >= speed**2 / acceleration
        seconds = np.where(
            reached, moves.lengths / speed + speed / acceleration, 2 * np.sqrt(moves.lengths / acceleration)
        )
        total += float(seconds @ moves.counts)
    return total


def gravimetric_fill(mass: float, density: float, deposit: Deposit) -> float:
    """Return the fill a weighed beam has: (mass / density - walls and faces) / core volume.

    Parameters
    ----------
    mass : float
        Weighed, g.
    density : float
        Of the bead material, g/cm^3.
    deposit : Deposit
        What the beam's walls and faces should hold, and its core volume.

    Raises
    ------
    InputError
        If the beam has no core.
    DataError
        If it weighs less than its walls and faces alone.
    """
    if deposit.core_space <= 0:
        raise InputError("gravimetric fill: this beam has no core")
    solid = deposit.volume["wall"] + deposit.volume["face"]
    left = 1000 * mass / density - solid
    if left < 0:
        raise DataError(
            f"{mass:g} g is less than walls and faces alone weigh, {solid * density / 1000:.4g} g at "
            f"{density:g} g/cm3: check the mass, the density, and the counts of walls and faces"
        )
    return left / deposit.core_space
