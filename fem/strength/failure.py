"""Failure modes, what begins locally, and the ways to break that were looked at."""

from collections.abc import Container, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from fem.bending.bending import BendTest

MODES = (
    "face_tension",
    "wall_tension",
    "weld_tension",
    "strut_tension",
    "core_shear",
    "wrinkling",
    "dimpling",
    "crush",
)

Draws = Mapping[str, np.ndarray]


@dataclass(frozen=True)
class Event:
    """Something local that begins at a load and lets it shift to the rest of the section.

    Attributes
    ----------
    mode, what : str
        Slug, one of `MODES`, and a few words.
    load : ndarray, shape (n,)
        At which it begins in each draw: moment in N mm where sections speak, force in N where beams do.
    place : tuple of float
        (y, z), mm.
    card_value : str
        Value that decides.
    source : str
        Where the formula comes from.
    """

    mode: str
    what: str
    load: np.ndarray
    place: tuple[float, float]
    card_value: str
    source: str


@dataclass(frozen=True)
class Way:
    """A way to break that was looked at, at the best values.

    Attributes
    ----------
    mode, what : str
    force : float or None
        N; None where a value is unknown, or where it never comes.
    place : tuple of float
        (y, z), mm.
    card_value : str
        Strength that decides.
    unknown : tuple of str
        Card values that are lacking.
    source : str
    ends : bool
        Whether it ends the rise of the load, or only lets it shift.
    """

    mode: str
    what: str
    force: float | None
    place: tuple[float, float]
    card_value: str
    unknown: tuple[str, ...]
    source: str
    ends: bool = True


class Criterion(Protocol):
    """A mode that ends the beam by a load of its own, apart from moment and shear: `fem.strength.crush.Crush`."""

    @property
    def mode(self) -> str:
        """Slug, one of `MODES`."""

    @property
    def strength(self) -> str:
        """Card value that decides."""

    @property
    def what(self) -> str:
        """Words for what gives way."""

    @property
    def source(self) -> str:
        """Where the formula comes from."""

    @property
    def first_source(self) -> str:
        """Where the formula of its beginning comes from."""

    @property
    def place(self) -> tuple[float, float]:
        """Where it gives way (y, z), mm."""

    def missing(self, known: Container[str]) -> list[str]:
        """Return the names of card values that are needed and that ``known`` lacks."""

    def moved(self, test: BendTest) -> "Criterion":
        """Return the same of another test of the same kind."""

    def forces(self, draws: Draws) -> np.ndarray | None:
        """Return the force (n,) that it ends, N; None if the strength is unknown."""

    def first(self, draws: Draws) -> np.ndarray | None:
        """Return the force (n,) at which it begins and the load shifts, N; None where it does not begin before."""
