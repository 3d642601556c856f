"""Force and deflection beyond yield: curvature along the beam, integrated under the moments of its test."""

from dataclasses import dataclass

import numpy as np

from fem.beam.response import ROOT_RANGE, Response
from fem.strength.moment_curvature import Curve

_POINTS = 80


@dataclass(frozen=True)
class Travel:
    """Force over deflection at the load (mid-span of four points), up to the largest force; read-only.

    Attributes
    ----------
    force, deflection : ndarray, shape (n,)
        N and mm, both rising.
    """

    force: np.ndarray
    deflection: np.ndarray

    def __post_init__(self) -> None:
        for array in (self.force, self.deflection):
            array.setflags(write=False)


def travel(response: Response, curve: Curve, points: int = _POINTS) -> Travel:
    """Return force and deflection of a test at the best values.

    By unit loads the deflection is a multiple of G/F^2 with G the integral of curvature x moment up to the largest
    moment: 1 for a cantilever, 4 between supports; between four-point noses the curvature is the largest all along.
    A part that breaks before the largest force lets the curvature jump at that moment. Shear, root and rig are
    elastic; large deflection is left out.
    """
    reached = np.maximum.accumulate(curve.moment[: curve.peak + 1])
    rising = np.concatenate([[True], np.diff(reached) > 0])
    most = np.linspace(0, reached[-1], points + 1)[1:]
    moment = np.union1d(reached[rising], most)
    curvature = np.interp(moment, reached[rising], curve.curvature[: curve.peak + 1][rising])
    # exact for curvatures that are straight in the moment
    before, behind = slice(None, -1), slice(1, None)
    ends = curvature[behind] * (2 * moment[behind] + moment[before])
    starts = curvature[before] * (moment[behind] + 2 * moment[before])
    work = np.concatenate([[0.0], np.cumsum((ends + starts) / 6 * np.diff(moment))])
    G, at = (np.interp(most, moment, values) for values in (work, curvature))
    test = response.test
    force = most / test.moment_per_force
    bending = G / force**2 * (1.0 if test.kind == "cantilever" else 4.0)
    if test.kind == "four_point":
        bending += at * (test.span**2 / 4 - test.reach**2) / 2
    rest = (
        test.shear_compliance(response.best["GA"])
        + test.root_compliance(response.best["EI"], response.root_depth, ROOT_RANGE[1])
        + test.compliance
    )
    deflection = bending + rest * force
    return Travel(np.concatenate([[0.0], force]), np.concatenate([[0.0], deflection]))
