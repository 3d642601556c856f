"""Mass, print time, filament and the fill a weighed beam really has, all from the deposited paths."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from patterns.errors import DataError, InputError
from patterns.paths.deposit import Deposit, Role


@dataclass(frozen=True)
class Machine:
    """How fast a printer moves.

    The defaults are assumptions for a common desktop machine, not measurements; `calibrate_time` replaces
    them.

    Attributes
    ----------
    speed_wall, speed_face, speed_core : float
        Set speeds in mm/s.
    acceleration : float
        mm/s^2.
    layer_overhead : float
        Seconds a layer takes beside its moves: lift, travel, retraction.
    band : float
        Print times lie within 1 +- band of the estimate (assumption). Without calibration 0.3; after it 0.1:
        practitioners report that calibrated estimates are rarely within a tenth.
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


def calibrate_time(prints: Sequence[tuple[Deposit, float]], machine: Machine | None = None) -> Machine:
    """Return the machine that reproduces the times of two prints.

    Two unknowns: one factor on all speeds (with its square on the acceleration, so that every move shortens
    by the same factor) and the overhead per layer. ``prints`` are two pairs of deposit and measured minutes.

    Raises
    ------
    DataError
        If the two prints are too alike to tell both unknowns apart, or their times contradict the paths.
    """
    machine = machine or Machine()
    if len(prints) != 2:
        raise DataError(f"time calibration takes two prints, not {len(prints)}")
    A = np.array([[moving_seconds(deposit, machine), deposit.layers] for deposit, _ in prints])
    seconds = 60 * np.array([minutes for _, minutes in prints])
    if not (np.isfinite(seconds).all() and (seconds > 0).all()):
        raise DataError("time calibration: measured times must be positive minutes")
    balance = A / A.max(axis=0)
    if abs(np.linalg.det(balance)) < 0.05:
        raise DataError(
            "time calibration: the two prints have the same ratio of path to layers; "
            "take one with much longer layers than the other"
        )
    share, overhead = np.linalg.solve(A, seconds)
    if share <= 0 or overhead < 0:
        raise DataError(
            f"time calibration: the measured times would need a layer overhead of {overhead:.3g} s and "
            f"{share:.3g} times the moving time; check both times, and that both beams are as described"
        )
    return replace(
        machine,
        speed_wall=machine.speed_wall / share,
        speed_face=machine.speed_face / share,
        speed_core=machine.speed_core / share,
        acceleration=machine.acceleration / share**2,
        layer_overhead=float(overhead),
        band=0.1,
    )


def filament_length(volume: float, diameter: float = 1.75) -> float:
    """Return the filament in mm that holds ``volume`` (mm^3); ``diameter`` in mm."""
    return volume / (math.pi * diameter**2 / 4)


def filament_cost(mass: float, price_per_kg: float) -> float:
    """Return the price of ``mass`` (g) of filament, in the currency of ``price_per_kg``."""
    return mass / 1000 * price_per_kg


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
