"""Estimates of settings, patterns compared at equal mass, and broken beams beside both."""

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from patterns.errors import DataError, InputError
from validation.design.compare_output import PatternComparison
from validation.design.comparison import compare_study
from validation.measured.measured import Measured, MeasuredBeam, read_specimens
from validation.notebook.study_of import Subject, study_of
from validation.results.beside import Results
from validation.study.estimates import estimate_all
from validation.study.study import Study
from validation.study.study_tables import MeasuredTable


def estimates(subject: Subject, quiet: bool = True) -> Results:
    """Return the estimates of all settings, solved cells being kept on disk.

    Parameters
    ----------
    subject : Study, str, Path, Setting or sequence of Setting
        A study, its file, one setting, or several.
    quiet : bool
        False tells progress on standard error.

    Returns
    -------
    Results
        A table in a notebook; ``to_rows()`` gives a dictionary per setting with units in the keys.

    Raises
    ------
    InputError
        If the study or a setting is impossible.
    SolverError
        If a mesh or a solver fails.

    Examples
    --------
    >>> from validation import beam, estimates
    >>> bars = [beam(width_mm=10.0, depth_mm=4.0, set_fill=0.3, pattern="square", walls=n) for n in (1, 3)]
    >>> thin, thick = estimates(bars).to_rows()
    >>> thin["setting"], thick["breaking_force_N"] > thin["breaking_force_N"]
    ('walls 1', True)
    """
    study = study_of(subject)
    return Results.of(study, estimate_all(study, quiet), None)


def compare(
    subject: Subject,
    patterns: Sequence[str] | None = None,
    mass_g: float | None = None,
    load_angles_deg: Sequence[float] = (0.0, 90.0),
    quiet: bool = True,
) -> PatternComparison:
    """Rank patterns at equal mass, and tell what one more wall, face layer or points of fill buy.

    Parameters
    ----------
    subject : Study, str, Path, Setting or sequence of Setting
        Its first setting gives walls, faces, test and material.
    patterns : sequence of str, optional
        To rank; those that the settings vary, or else the quick ones, if left out.
    mass_g : float, optional
        Common mass, g; that of the first setting if left out.
    load_angles_deg : sequence of float
        Load directions, turned from z about the beam's axis.
    quiet : bool
        False tells progress on standard error.

    Returns
    -------
    PatternComparison
        A table per load direction in a notebook; ``to_rows()`` gives a dictionary per pattern and direction.

    Raises
    ------
    InputError
        If a pattern is unknown or none can have the mass.

    Examples
    --------
    >>> from validation import beam, compare
    >>> bar = beam(width_mm=10.0, depth_mm=4.0, pattern="square", set_fill=0.4)
    >>> found = compare(bar, patterns=["square"], load_angles_deg=[0.0])
    >>> [row["pattern"] for row in found.to_rows()]
    ['square', 'walls only']
    """
    if mass_g is not None and not 0 < mass_g < math.inf:
        raise InputError(f"mass_g {mass_g:g}: a positive mass in g")
    return compare_study(study_of(subject), patterns, mass_g, load_angles_deg, quiet)


def reconcile(
    subject: Subject,
    beams: str | Path | None = None,
    *,
    breaking_force_N: Sequence[float] | None = None,
    stiffness_N_per_mm: Sequence[float] | None = None,
    mass_g: Sequence[float] | None = None,
    quiet: bool = True,
) -> Results:
    """Put broken beams beside the estimate and beam theory, setting by setting.

    Parameters
    ----------
    subject : Study, str, Path, Setting or sequence of Setting
        A study names its table of beams itself.
    beams : str or Path, optional
        Table of beams (text or workbook), in place of the study's own.
    breaking_force_N, stiffness_N_per_mm, mass_g : sequences of float, shape (n,), optional
        n beams of a single setting, in place of a table; N, N/mm, g.
    quiet : bool
        False tells progress on standard error.

    Returns
    -------
    Results
        With what was measured beside what is estimated; ``beam_rows()`` gives a dictionary per beam.

    Raises
    ------
    DataError
        If there is no table of beams, or anything in it is wrong.
    InputError
        If numbers are given for several settings, or a table besides.

    Examples
    --------
    >>> from validation import beam, reconcile
    >>> bar = beam(width_mm=10.0, depth_mm=4.0, pattern="square", set_fill=0.3)
    >>> (row,) = reconcile(bar, breaking_force_N=[61.0, 64.0, 59.5]).to_rows()    # invented beams
    >>> row["beams"], row["measured_breaking_force_N"]
    (3, 61.5)
    """
    study = study_of(subject)
    if breaking_force_N is not None:
        if beams is not None:
            raise InputError("beams and breaking_force_N are both given; keep one")
        measured = _typed(study, breaking_force_N, stiffness_N_per_mm, mass_g)
    else:
        measured = read_specimens(with_beams(study, beams))
    return Results.of(study, estimate_all(study, quiet), measured)


def with_beams(study: Study, beams: str | Path | None) -> Study:
    """Return the study with another table of beams, itself for None.

    Raises
    ------
    DataError
        If there is no table at all.
    """
    if beams is not None:
        own = MeasuredTable(specimens=str(Path(beams).absolute()))
        study = replace(study, table=study.table.model_copy(update={"measured": own}))
    elif study.table.measured is None:
        raise DataError(
            f"{study.path}: no measurements: name a table of beams, or give their breaking_force_N as a list"
        )
    return study


def _typed(
    study: Study,
    force: Sequence[float],
    stiffness: Sequence[float] | None,
    mass: Sequence[float] | None,
) -> Measured:
    """Return beams given as numbers, checked; all of one setting."""
    if len(study.settings) > 1:
        raise InputError(
            f"breaking_force_N belongs to a single setting, not to {len(study.settings)}: name a table of beams"
        )
    given = {"breaking_force_N": force, "stiffness_N_per_mm": stiffness, "mass_g": mass}
    for name, values in given.items():
        if values is None:
            continue
        if len(values) != len(force) or not len(force):
            raise InputError(f"{name}: {len(values)} numbers for {len(force)} beams; give one for each beam")
        for value in values:
            if not 0 < value < math.inf:
                raise InputError(f"{name}: {value} is no measured value; give positive numbers")
    rows = zip(*([None] * len(force) if values is None else values for values in given.values()), strict=True)
    found = [
        MeasuredBeam(
            number, f"beam {number}", 0, float(one), stiff and float(stiff), weighed and float(weighed)
        )
        for number, (one, stiff, weighed) in enumerate(rows, 1)
        if one is not None
    ]
    return Measured(study.path, tuple(found), ())
