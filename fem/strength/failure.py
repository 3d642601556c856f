"""Failure modes, what begins locally, and the ways to break that were looked at."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

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
