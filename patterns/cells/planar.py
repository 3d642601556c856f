"""Planar maps: regions bounded by lines, arcs and splines, the language between geometry and mesh."""

from dataclasses import dataclass
from typing import Literal

import numpy as np


@dataclass(frozen=True)
class Curve:
    """One piece of an outline.

    Attributes
    ----------
    kind : {"line", "arc", "spline"}
        Shape of the piece.
    points : ndarray, shape (n, 2)
        mm. ``line``: start, end. ``arc``: start, centre, end, turning by less than half a turn the short way.
        ``spline``: three or more points passed through, from start to end.
    size : float or None
        Wanted element length along the curve in mm, None for the mesher's choice.
    """

    kind: Literal["line", "arc", "spline"]
    points: np.ndarray
    size: float | None = None


@dataclass(frozen=True)
class Region:
    """A connected piece of the plan.

    Attributes
    ----------
    outer : tuple of int
        Signed, one-based curve numbers running anticlockwise: ``+k`` takes ``curves[k - 1]`` forward, ``-k`` backward.
    holes : tuple of tuple of int
        Loops of the same kind, in either sense.
    tag : int
        A number of the caller's, handed on to every element of the region.
    """

    outer: tuple[int, ...]
    holes: tuple[tuple[int, ...], ...] = ()
    tag: int = 0


@dataclass(frozen=True)
class Planar:
    """Regions that share their curves: a curve used by two regions is one curve, so the mesh is joined there."""

    curves: tuple[Curve, ...]
    regions: tuple[Region, ...]


@dataclass(frozen=True)
class PeriodicPair:
    """Curve ``curve`` is curve ``partner`` moved by ``shift`` (mm), run in the same sense; both one-based."""

    curve: int
    partner: int
    shift: tuple[float, float]
