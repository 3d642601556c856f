"""One pattern's cell, solved with the error of every constant."""

from collections.abc import Mapping, Sequence
from typing import Any

from patterns.catalogue import find
from validation.design.cells import SolvedCell, solve_cell


def cell(
    pattern: str,
    *,
    set_fill: float | None = None,
    geometric_fill: float | None = None,
    bead_width_mm: float = 0.45,
    layer_height_mm: float = 0.2,
    corner_radius_mm: float | None = None,
    young_mpa: float = 1.0,
    poisson: float = 0.35,
    angle_deg: float = 0.0,
    angles_deg: Sequence[float] | None = None,
    tolerance: float | None = None,
    options: Mapping[str, Any] | None = None,
) -> SolvedCell:
    """Solve one cell of a pattern.

    Parameters
    ----------
    pattern : str
        Name in the catalogue.
    set_fill, geometric_fill : float, optional
        One of them, 0 to 1.
    bead_width_mm, layer_height_mm, corner_radius_mm : float
        mm; the radius is a quarter of the bead width if left out.
    young_mpa, poisson : float
        Of the beads; with the modulus 1 the constants are shares of the bead's.
    angle_deg, angles_deg : float, sequence of float
        Turn of a pattern; line directions layer by layer of an alternating one, degrees.
    tolerance : float, optional
        Relative error asked for; `validation.design.cells.TOLERANCES` if left out.
    options : mapping, optional
        The pattern's own.

    Returns
    -------
    SolvedCell
        Its constants with their errors as a table in a notebook; ``to_rows()`` gives one row.

    Raises
    ------
    InputError
        For any impossible input, in one line.
    SolverError
        If the mesh or the solver fails.

    Examples
    --------
    The axial modulus of a prismatic cell is its covered share of the plan (Voigt): nothing moves across it unalike.

    >>> (row,) = cell("square", set_fill=0.4, tolerance=0.01).to_rows()
    >>> abs(row["E3_mpa"] - row["geometric_fill"]) < 1e-3
    True
    """
    return solve_cell(
        find(pattern),
        bead_width=bead_width_mm,
        set_fill=set_fill,
        geometric_fill=geometric_fill,
        layer_height=layer_height_mm,
        corner_radius=corner_radius_mm,
        young=young_mpa,
        poisson=poisson,
        angle_deg=angle_deg,
        angles_deg=angles_deg,
        tolerance=tolerance,
        own=options,
    )
