"""Material cards: every value with its range, its basis and its evidence."""

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

import numpy as np

from patterns.errors import InputError

Basis = Literal["bead", "true_contact", "gross_print"]
BASES = ("bead", "true_contact", "gross_print")

# The basis on which the model uses each value: a gross value already holds voids and contact share, so using it where
# those are modelled would count them twice.
NEEDED_BASIS: dict[str, tuple[Basis, ...]] = {
    "young_mpa": ("bead",),
    "poisson": ("bead",),
    "across_bead_ratio": ("gross_print",),
    "density_g_cm3": ("bead",),
    "tension_along_mpa": ("bead", "gross_print"),
    "tension_across_mpa": ("gross_print",),
    "fracture_strain": ("bead", "gross_print"),
    "compression_mpa": ("bead",),
    "shear_mpa": ("bead",),
    "weld_tension_mpa": ("true_contact",),
    "weld_shear_mpa": ("true_contact",),
    "weld_toughness_n_per_mm": ("true_contact",),
    "groove_closing": ("bead",),
    "weibull_modulus": ("bead", "gross_print"),
}


@dataclass(frozen=True)
class Value:
    """A material value: best guess and the range it is believed in, with what it is measured on and why we think so.

    Attributes
    ----------
    best, low, high : float
        In the unit that the name of the card's field ends in; draws are triangular between low and high.
    basis : {"bead", "gross_print", "true_contact"}
        On what it is measured; `NEEDED_BASIS` says which a field may have.
    evidence : str
        Source, or that it is an assumption.
    """

    best: float
    low: float
    high: float
    basis: Basis
    evidence: str

    def sample(self, rng: np.random.Generator, n: int) -> np.ndarray:
        """Return ``n`` draws, shape (n,), triangular between low and high with the peak at best."""
        if self.high <= self.low:
            return np.full(n, self.best)
        return rng.triangular(self.low, self.best, self.high, n)


@dataclass(frozen=True)
class Card:
    """Values of one material on one printer; None where nothing is known, and what needs it is not evaluated.

    Units are in the names. Tensile and compressive strengths are plateaus: what a bead keeps from yield to its fracture
    strain. Outer-fibre stresses of bent bars follow from them and are no values of their own. ``across_bead_ratio`` is
    Young's modulus across over along the beads in a layer.
    """

    name: str
    young_mpa: Value
    poisson: Value
    across_bead_ratio: Value
    density_g_cm3: Value
    tension_along_mpa: Value | None = None
    tension_across_mpa: Value | None = None
    fracture_strain: Value | None = None
    compression_mpa: Value | None = None
    shear_mpa: Value | None = None
    weld_tension_mpa: Value | None = None
    weld_shear_mpa: Value | None = None
    weld_toughness_n_per_mm: Value | None = None
    groove_closing: Value | None = None
    weibull_modulus: Value | None = None

    def values(self) -> dict[str, Value]:
        """Return the known values by name."""
        return {name: getattr(self, name) for name in VALUE_NAMES if getattr(self, name) is not None}


# Values that cards once had, why they went and what to give instead.
_OUTER = "outer-fibre values now follow"
_GROOVE = "stress and energy at the groove decide now, not its peak stress"
_WITHDRAWN = {
    "bending_along_mpa": (_OUTER, "tension_along_mpa (pulled along the beads) and fracture_strain"),
    "bending_across_mpa": (_OUTER, "tension_across_mpa (pulled across the beads)"),
    "weld_bending_mpa": (_OUTER, "weld_tension_mpa (pulled across the layers, per welded area)"),
    "notch_radius_mm": (_GROOVE, "weld_toughness_n_per_mm or nothing"),
    "notch_sensitivity": (_GROOVE, "weld_toughness_n_per_mm or nothing"),
    "squeeze_mm": ("lines of one layer weld by their volume", "groove_closing (0 to 1) or nothing"),
}
VALUE_NAMES = tuple(item.name for item in fields(Card) if item.name != "name")
ELASTIC = ("young_mpa", "poisson", "across_bead_ratio", "density_g_cm3")


def shipped() -> list[str]:
    """Return the names of the shipped cards."""
    return sorted(path.stem.upper() for path in (Path(__file__).parent / "data").glob("*.toml"))


@lru_cache
def shipped_card(name: str) -> Card:
    """Return a shipped card.

    Parameters
    ----------
    name : str
        Any case.

    Raises
    ------
    InputError
        If there is none; the message offers the nearest name.

    Examples
    --------
    >>> young = shipped_card("pla").young_mpa
    >>> young.low < young.best < young.high    # MPa
    True
    """
    path = Path(__file__).parent / "data" / f"{name.lower()}.toml"
    if name.upper() not in shipped():
        near = difflib.get_close_matches(name.upper(), shipped(), 1, 0.4)
        hint = f"; did you mean {near[0]}?" if near else f"; shipped are {', '.join(shipped())}"
        raise InputError(f"no card named '{name}'{hint}", key="card")
    return card_from(tomllib.loads(path.read_text(encoding="utf-8")), path.name)


def card_from(
    table: Mapping[str, Any], where: str, base: Card | None = None, evidence: str = "stated"
) -> Card:
    """Return a card from a table of values, on top of ``base`` if one is given.

    A value is a number (taken without a range and said so), or a table of best, low, high, basis, evidence. Values that
    name no evidence have ``evidence``.
    All problems are collected into one InputError that names ``where``.
    """
    problems: list[str] = []
    found: dict[str, Value] = dict(base.values()) if base else {}
    for key, raw in table.items():
        if key in ("name", "card"):
            continue
        if key in _WITHDRAWN:
            why, instead = _WITHDRAWN[key]
            problems.append(f"{key}: no longer taken, since {why}; give {instead}")
            continue
        if key not in VALUE_NAMES:
            near = difflib.get_close_matches(key, VALUE_NAMES, 1)
            hint = f"did you mean {near[0]}?" if near else f"known are {', '.join(VALUE_NAMES)}"
            problems.append(f"{key}: unknown value; {hint}")
            continue
        try:
            found[key] = _value(key, raw, evidence)
        except (TypeError, ValueError) as error:
            problems.append(f"{key}: {error}")
    problems += [f"{key}: missing, needed for every estimate" for key in ELASTIC if key not in found]
    if problems:
        raise InputError(f"{where}: " + f"; {where}: ".join(problems))
    name = str(
        table.get("name")
        or (f"{base.name}, own values" if base and len(table) > 1 else base.name if base else "own")
    )
    return Card(name=name, **found)


def _value(key: str, raw: Any, evidence: str) -> Value:
    if isinstance(raw, bool) or not isinstance(raw, (int, float, Mapping)):
        raise TypeError(f"{raw!r} is neither a number nor a table of best, low, high, basis, evidence")
    table = {"best": raw, "evidence": f"{evidence}, no range"} if isinstance(raw, (int, float)) else dict(raw)
    unknown = set(table) - {"best", "low", "high", "basis", "evidence"}
    if unknown or "best" not in table:
        raise ValueError(f"a table takes best, low, high, basis, evidence (got {', '.join(map(str, table))})")
    best = float(table["best"])
    low, high = float(table.get("low", best)), float(table.get("high", best))
    basis = table.get("basis", NEEDED_BASIS[key][0])
    if basis not in BASES:
        raise ValueError(f"basis '{basis}' is none of {', '.join(BASES)}")
    if basis not in NEEDED_BASIS[key]:
        raise ValueError(
            f"a {basis} value cannot be used where voids and contact are modelled; "
            f"give it as {' or '.join(NEEDED_BASIS[key])}"
        )
    if not low <= best <= high:
        raise ValueError(f"low {low:g}, best {best:g}, high {high:g} are not in rising order")
    limits = {
        "poisson": (-1.0, 0.5),
        "groove_closing": (0.0, 1.0),
        "weibull_modulus": (1.0, np.inf),
    }
    floor, ceiling = limits.get(key, (0.0, np.inf))
    closed = key == "groove_closing"
    inside = floor <= low and high <= ceiling if closed else floor < low and high < ceiling
    if not inside:
        why = "; beyond it the stiffness matrix of a bead is not positive" if key == "poisson" else ""
        raise ValueError(f"{low:g} to {high:g} leaves the possible range {floor:g} to {ceiling:g}{why}")
    return Value(best, low, high, basis, str(table.get("evidence", evidence)))
