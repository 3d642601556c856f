"""What was read from a rig file, before any reduction: plain frozen data in the file's own units."""

from dataclasses import dataclass

import numpy as np

from validation.rig.units import Unit


@dataclass(frozen=True)
class Dropped:
    """A line that looked like data and was not kept."""

    line: int
    reason: str


@dataclass(frozen=True)
class RawRun:
    """One run as recorded.

    Parameters
    ----------
    label : str
        Specimen label found in the file, or empty.
    lines : ndarray, shape (n,)
        Line number of each row.
    force : ndarray, shape (n,)
        In ``force_unit``, sign as recorded.
    travel : ndarray, shape (n,), or None
        In ``travel_unit``, sign as recorded; None if the file has force only.
    time : ndarray, shape (n,), or None
        Seconds; may hold NaN.
    force_unit, travel_unit : Unit
        As read.
    force_name, travel_name, time_name : str
        Names of the columns in the file.
    at_beam : bool
        Whether the travel was measured at the beam (deflectometer) and not by the rig.
    header_peak : float or None
        Largest force stated in the file outside the record, in N.
    dropped : tuple of Dropped
        Lines not kept.
    guesses : tuple of str
        What was taken for granted; strict reading refuses these.
    flags : tuple of str
        Quality flags known from reading.
    force_column : int
        Position of the force in a row, from 0.
    """

    label: str
    lines: np.ndarray
    force: np.ndarray
    travel: np.ndarray | None
    time: np.ndarray | None
    force_unit: Unit
    travel_unit: Unit | None
    force_name: str = ""
    travel_name: str = ""
    time_name: str = ""
    at_beam: bool = False
    header_peak: float | None = None
    dropped: tuple[Dropped, ...] = ()
    guesses: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()
    force_column: int = -1


@dataclass(frozen=True)
class Reading:
    """A file as understood: its fingerprint, how it was read and the runs in it."""

    file: str
    sha256: str
    encoding: str
    dialect: str
    runs: tuple[RawRun, ...]
