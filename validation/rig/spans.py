"""Two spans or levers take bending and shear apart: EI and GA, or EI and one lumped term of the root."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from patterns.errors import DataError

WELL_CONDITIONED = 30.0
"""Condition number of the scaled design above which the two terms are hardly told apart."""


@dataclass(frozen=True)
class Split:
    """Two parts of a beam's compliance.

    Parameters
    ----------
    test : str
        ``"three_point"`` or ``"cantilever"``.
    EI : float
        Bending stiffness, N mm2, with standard error ``EI_error`` (None if it cannot be known).
    GA : float or None
        Shear stiffness with its shear coefficient, N, of three-point tests; None where the data do not resolve it.
    root : float or None
        Lumped root and shear term of a cantilever: rotation per moment, 1/(N mm).
    second_error : float or None
        Standard error of ``GA`` or ``root``.
    condition : float
        Condition number of the scaled design: how well the lengths tell the two terms apart.
    correlation : float
        Between the two fitted terms.
    EI_range : tuple of float
        EI under other forms of the second term (cantilever only; else twice the same): the model's own error.
    remarks : tuple of str
        What limits the result.
    """

    test: Literal["three_point", "cantilever"]
    EI: float
    EI_error: float | None
    GA: float | None
    root: float | None
    second_error: float | None
    condition: float
    correlation: float
    EI_range: tuple[float, float]
    remarks: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return plain data with units in the names."""
        return {
            "test": self.test,
            "EI_N_mm2": self.EI,
            "EI_error_N_mm2": self.EI_error,
            "EI_range_N_mm2": list(self.EI_range),
            "GA_N": self.GA,
            "GA_error_N": self.second_error if self.test == "three_point" else None,
            "root_rotation_per_N_mm": self.root,
            "root_error_per_N_mm": self.second_error if self.test == "cantilever" else None,
            "condition": self.condition,
            "correlation": self.correlation,
            "remarks": list(self.remarks),
        }


def split_three_point(
    spans: Sequence[float], slopes: Sequence[float], slope_errors: Sequence[float] | None = None
) -> Split:
    """Return EI and GA from three-point slopes at two or more spans.

    The compliance over the span is linear in its square: 1/(k L) = L^2/(48 EI) + 1/(4 GA).

    Parameters
    ----------
    spans : sequence of float
        Span of each run, mm; runs may share one.
    slopes : sequence of float
        Slope of each run, N/mm, rig compliance taken off.
    slope_errors : sequence of float, optional
        Standard errors of the slopes; used where there are no more runs than unknowns.

    Raises
    ------
    DataError
        If there are fewer than two different spans, or bending comes out negative.

    Notes
    -----
    The same form serves sandwich beams in ASTM D7250. Runs are weighted by slope, that is by constant relative scatter.
    """
    L, k = _checked(spans, slopes, "span")
    fit = _fit(np.column_stack([L**3 / 48, L / 4]), k, slope_errors)
    EI, EI_error = _stiffness(fit, 0, "EI")
    remarks = _conditioning(fit, L, "spans")
    b, error = fit.terms[1], fit.errors[1] if fit.errors is not None else None
    if b <= 0 or (error is not None and b < 2 * error):
        remarks.append(
            "shear is not resolved: its part of the compliance does not stand out from the scatter"
        )
        GA, GA_error = None, None
    else:
        GA, GA_error = 1 / b, None if error is None else error / b**2
    return Split(
        "three_point",
        EI,
        EI_error,
        GA,
        None,
        GA_error,
        fit.condition,
        fit.correlation,
        (EI, EI),
        tuple(remarks),
    )


def split_cantilever(
    levers: Sequence[float], slopes: Sequence[float], slope_errors: Sequence[float] | None = None
) -> Split:
    """Return EI and one lumped root term from cantilever slopes at two or more levers.

    1/k = L^3/(3 EI) + root L^2. Rotation of the root goes with L^2 and shear with L; over the levers of one rig the
    two look so much alike that fitting both is ill-conditioned, so one term stands for both. What that costs is
    shown: ``EI_range`` spans the fits with the term as L^2, as L, and as a longer lever (L + c)^3.

    Parameters
    ----------
    levers, slopes, slope_errors : sequence of float
        As in `split_three_point`, mm and N/mm.

    Raises
    ------
    DataError
        If there are fewer than two different levers, or bending comes out negative.
    """
    L, k = _checked(levers, slopes, "lever")
    fit = _fit(np.column_stack([L**3 / 3, L**2]), k, slope_errors)
    EI, EI_error = _stiffness(fit, 0, "EI")
    others = [EI]
    straight = _fit(np.column_stack([L**3 / 3, L]), k, None)
    if straight.terms[0] > 0:
        others.append(1 / straight.terms[0])
    cube = np.polynomial.polynomial.polyfit(L, (1 / k) ** (1 / 3), 1)
    if cube[1] > 0:
        others.append(float(1 / (3 * cube[1] ** 3)))
    remarks = _conditioning(fit, L, "levers")
    if len(np.unique(L)) > 2:
        three = np.column_stack([L**3 / 3, L**2, L])
        worse = float(np.linalg.cond(three / np.linalg.norm(three, axis=0)))
        remarks.append(f"root and shear apart would need a fit of condition {worse:.0f}: not done")
    root = fit.terms[1]
    if root < 0:
        remarks.append("the root term came out negative: scatter, slip of the clamp or a wrong lever")
    error = None if fit.errors is None else fit.errors[1]
    ends = (min(others), max(others))
    return Split(
        "cantilever", EI, EI_error, None, root, error, fit.condition, fit.correlation, ends, tuple(remarks)
    )


@dataclass(frozen=True)
class _Fit:
    terms: tuple[float, float]
    errors: tuple[float, float] | None
    condition: float
    correlation: float


def _checked(lengths: Sequence[float], slopes: Sequence[float], what: str) -> tuple[np.ndarray, np.ndarray]:
    """Return lengths and slopes as arrays."""
    L, k = np.asarray(lengths, dtype=float), np.asarray(slopes, dtype=float)
    if len(L) != len(k) or not (
        np.isfinite(L).all() and np.isfinite(k).all() and (L > 0).all() and (k > 0).all()
    ):
        raise DataError(f"each run needs a {what} and a slope above zero")
    if len(np.unique(L)) < 2:
        raise DataError(f"bending and the second term need two different {what}s; all runs have {L[0]:g} mm")
    return L, k


def _fit(design: np.ndarray, slopes: np.ndarray, slope_errors: Sequence[float] | None) -> _Fit:
    """Fit compliances with constant relative scatter; errors from the residuals, else from those of the slopes."""
    # Rows times k: the right-hand side becomes 1 and its scatter the relative one.
    A = design * slopes[:, None]
    size = np.linalg.norm(A, axis=0)
    terms, *_ = np.linalg.lstsq(A / size, np.ones(len(slopes)), rcond=None)
    inverse = np.linalg.inv((A / size).T @ (A / size))
    rest = A / size @ terms - 1
    spare = len(slopes) - 2
    relative: float | None = None
    if slope_errors is not None:
        relative = float(np.sqrt(np.mean((np.asarray(slope_errors) / slopes) ** 2)))
    if spare > 0:
        relative = max(float(np.sqrt(rest @ rest / spare)), relative or 0.0)
    errors = None
    if relative is not None:
        sigma = relative * np.sqrt(np.diag(inverse)) / size
        errors = float(sigma[0]), float(sigma[1])
    correlation = float(inverse[0, 1] / np.sqrt(inverse[0, 0] * inverse[1, 1]))
    both = terms / size
    return _Fit((float(both[0]), float(both[1])), errors, float(np.linalg.cond(A / size)), correlation)


def _stiffness(fit: _Fit, term: int, name: str) -> tuple[float, float | None]:
    """Return the inverse of a fitted term with its error."""
    value = fit.terms[term]
    if value <= 0:
        raise DataError(f"{name} comes out negative: the longer runs are not softer; check lengths and files")
    return 1 / value, None if fit.errors is None else fit.errors[term] / value**2


def _conditioning(fit: _Fit, lengths: np.ndarray, what: str) -> list[str]:
    """Return remarks on how well the lengths tell the terms apart."""
    remarks = []
    if fit.condition > WELL_CONDITIONED:
        remarks.append(
            f"{what} {lengths.min():g} to {lengths.max():g} mm tell the two terms poorly apart "
            f"(condition {fit.condition:.0f}); a ratio of 2 or more is better"
        )
    if fit.errors is None:
        remarks.append("no errors: as many runs as unknowns and no errors of the slopes")
    return remarks
