"""The rig's own travel as a curve: from a blank run, the rig loaded without a beam, on a stiff block."""

from pathlib import Path

import numpy as np

from patterns.errors import DataError
from validation.rig.profile import Profile
from validation.rig.reduce import reduce_file
from validation.rig.signals import noise_of
from validation.rig.work import Options, RigCurve

_POINTS = 200


def blank_curve(path: Path | str, profile: Profile | None = None, strict: bool = False) -> RigCurve:
    """Return the rig's own travel over force from a blank run.

    The rise from contact to the largest force counts, smoothed to a travel that never falls as the force grows: a rig
    seats softly and stiffens, which one number of compliance cannot say.

    Parameters
    ----------
    path : Path or str
        Record of the rig pressing on something that hardly gives.
    profile : Profile, optional
        What is known of the rig's files; its compliance is left out of account here.
    strict : bool
        Refuse guesses.

    Raises
    ------
    DataError
        If the file is refused, holds several runs, or no travel over a rise of force.
    """
    runs = reduce_file(path, profile, None, Options(compliance=0.0), strict)
    if len(runs) != 1:
        raise DataError(f"{path}: a blank run is wanted, this file holds {len(runs)} runs")
    curve = runs[0].curve
    if curve is None or curve.peak - curve.contact < 5:
        raise DataError(f"{path}: this blank run has no travel over a rise of force")
    # A rig gives most at its first newtons: the curve begins where the force leaves its noise, before contact is told.
    idle = np.flatnonzero(curve.force[: curve.peak + 1] <= 3 * noise_of(curve.force))
    start = int(idle[-1]) if len(idle) else curve.contact
    part = slice(start, curve.peak + 1)
    force = np.maximum(curve.force[part], 0.0)
    travel = np.maximum.accumulate(curve.travel[part] - curve.travel[start])
    # Means over equal parts of the force: noise of neither channel turns into steps of the curve.
    which = np.clip((force / force[-1] * _POINTS).astype(int), 0, _POINTS - 1)
    count = np.bincount(which, minlength=_POINTS)
    filled = count > 0
    at = np.bincount(which, force, _POINTS)[filled] / count[filled]
    gives = np.maximum.accumulate(np.bincount(which, travel, _POINTS)[filled] / count[filled])
    at, gives = np.concatenate([[0.0], at, force[-1:]]), np.concatenate([[0.0], gives, travel[-1:]])
    rising = np.concatenate([[True], np.diff(np.maximum.accumulate(at)) > 0])
    return RigCurve(at[rising], np.maximum.accumulate(gives[rising]), runs[0].name)
