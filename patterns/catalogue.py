"""The catalogue of line patterns: what each is called, what it takes, and where its geometry comes from.

A pattern is one file in ``patterns/lattices`` that calls `register` when it is imported. Everything else
(command line, study files, solvers) reaches patterns only through `find` and `CATALOGUE`.
"""

import difflib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from patterns.errors import InputError

Kind = Literal["prismatic", "alternating", "varying", "section only"]
Symmetry = Literal["isotropic", "square", "orthotropic", "monoclinic", "none"]


@dataclass(frozen=True)
class Option:
    """A pattern's own number.

    Attributes
    ----------
    name : str
        Identifier with its unit where it has one, as in ``opening_angle_deg``.
    default : float or None
        Value without the option; None where the pattern derives it from the bead.
    low, high : float
        Closed range allowed.
    unit : str
        "deg", "mm" or "" for pure numbers.
    help : str
        One line.
    integer : bool
        Whether only whole numbers are allowed.
    """

    name: str
    default: float | None
    low: float
    high: float
    unit: str
    help: str
    integer: bool = False

    @property
    def flag(self) -> str:
        """Command line spelling, the unit left to the metavar: ``--opening-angle``."""
        return "--" + self.name.removesuffix(f"_{self.unit}").replace("_", "-")

    def checked(self, value: Any, slug: str) -> float:
        """Return ``value`` as a number in range, or raise `InputError`."""
        unit = f" {self.unit}" if self.unit else ""
        try:
            number = float(value)
        except (TypeError, ValueError):
            number = math.nan
        if not self.low <= number <= self.high:
            raise InputError(
                f"{slug}: {self.name} is {value!r}; it must lie between {self.low:g} and {self.high:g}{unit}"
            )
        if self.integer and number != int(number):
            raise InputError(f"{slug}: {self.name} is {value!r}; it must be a whole number")
        return int(number) if self.integer else number


@dataclass(frozen=True)
class Pattern:
    """One line pattern. Lengths in mm, angles in degrees, fills as fractions of one.

    Attributes
    ----------
    slug, kind, summary, pitch_means, axis_1
        Name on the command line; what dimension its cell has; one line each on the pattern, its pitch and the
        direction of axis 1 at angle 0.
    symmetry
        Class of the stiffness at angle 0: "isotropic" in the plan (three- or sixfold), "square" (fourfold),
        "orthotropic" (mirror planes normal to axes 1, 2 and 3), "monoclinic" (only the layer plane is a
        mirror, as in any prismatic cell), "none".
    options : tuple of Option
        The pattern's own numbers; all callables below take them by name and fill in defaults.
    set_fill : ``(width, pitch, **options) -> float``
        Deposited line length x width per plan area (of one layer where layers differ).
    pitch : ``(width, set_fill, **options) -> float``
        Inverse of ``set_fill``; no check of reach (that is `patterns.fill`).
    geometric_fill : ``(width, pitch, corner_radius, **options) -> float``
        Plan area really covered / plan area.
    fill_range : ``(width, corner_radius, **options) -> (low, high)``
        Set fills that can be built, both ends included.
    cell : ``(bead, pitch, corner_radius, angle_deg, **options) -> PlanCell, LayeredCell or StackedCell`` or None
        Cell of a prismatic, alternating or varying pattern; alternating ones also take ``angles_deg``.
    lines : ``(box, pitch, angle_deg, phase, **options) -> list of shapely LineString`` or None
        Centre-lines of one layer that reach the box (xmin, ymin, xmax, ymax); they may stick out of it. In
        alternating patterns the angle is the layer's own; varying ones take ``height`` (mm, middle of the
        layer) as well.
    fill_area : ``(area, pitch, phase, **options) -> list of shapely LineString`` or None
        Only where the lines follow the outline of the filled area itself; replaces ``lines``.
    """

    slug: str
    kind: Kind
    summary: str
    pitch_means: str
    axis_1: str
    symmetry: Symmetry
    set_fill: Callable[..., float]
    pitch: Callable[..., float]
    geometric_fill: Callable[..., float]
    fill_range: Callable[..., tuple[float, float]]
    options: tuple[Option, ...] = ()
    cell: Callable[..., Any] | None = None
    lines: Callable[..., list] | None = None
    fill_area: Callable[..., list] | None = None

    def settle(self, given: Mapping[str, Any]) -> dict[str, float]:
        """Return all options of the pattern, the given ones checked; see `settle`."""
        return settle(self.slug, self.options, given)


CATALOGUE: dict[str, Pattern] = {}


def register(pattern: Pattern) -> Pattern:
    """Enter a pattern into the catalogue and return it."""
    if pattern.slug in CATALOGUE:
        raise ValueError(f"pattern {pattern.slug!r} is registered twice")
    CATALOGUE[pattern.slug] = pattern
    return pattern


def find(slug: str) -> Pattern:
    """Return the pattern of that name.

    Raises
    ------
    InputError
        If there is none; the message offers the nearest known name.
    """
    try:
        return CATALOGUE[slug]
    except (KeyError, TypeError):
        raise InputError(
            f"unknown pattern {slug!r}{nearest(str(slug), CATALOGUE)}; known: {', '.join(sorted(CATALOGUE))}"
        ) from None


def settle(slug: str, options: tuple[Option, ...], given: Mapping[str, Any]) -> dict[str, float]:
    """Return every option by name, checked, with the defaults there are for those not given.

    Raises
    ------
    InputError
        For an unknown name (the nearest known one is offered) or a value out of range.
    """
    known = {option.name: option for option in options}
    for name in given:
        if name not in known:
            has = f"it takes {', '.join(known)}" if known else "it takes none of its own"
            raise InputError(f"{slug}: unknown option {name!r}{nearest(name, known)}; {has}")
    return {
        name: option.checked(given.get(name, option.default), slug)
        for name, option in known.items()
        if name in given or option.default is not None
    }


def nearest(name: str, known: Mapping[str, Any]) -> str:
    """Return ``"; did you mean 'x'?"`` for the nearest known name, or an empty string."""
    close = difflib.get_close_matches(name.lower(), list(known), n=1)
    return f"; did you mean {close[0]!r}?" if close else ""


# Importing the catalogue fills it; this comes last because the lattices need the names above.
import patterns.lattices  # noqa: E402, F401
