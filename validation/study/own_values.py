"""A study's own card values: a range where none is given, and limits beyond which a value is a slip of unit."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from fem.material.cards import Card, Value
from patterns.errors import InputError

# Half ranges taken for a bare number, as shares of it: practice with data sheets against prints, assumed.
_ASSUMED = {"young_mpa": 0.10, "across_bead_ratio": 0.05, "density_g_cm3": 0.02, "poisson": 0.10}
_ASSUMED_STRENGTH = 0.20
_MEGA, _KILO = 1e6, 1e3
# lowest and highest believable value of a print's polymer, and the factor to our unit by the unit it was probably in
_LIMITS: dict[str, tuple[float, float, tuple[tuple[float, str], ...]]] = {
    "young_mpa": (20.0, 2e5, ((_MEGA, "Pa"), (_KILO, "kPa"), (1 / _KILO, "GPa"))),
    "density_g_cm3": (0.2, 20.0, ((_KILO, "kg/m3"),)),
}
_STRENGTH = (0.5, 2000.0, ((_MEGA, "Pa"), (_KILO, "kPa"), (1 / _KILO, "GPa")))


def with_own_ranges(card: Card, table: Mapping[str, Any]) -> Card:
    """Return a card whose values given in ``table`` without a range have one, its evidence saying that it is assumed.

    A range of no width stays where low and high are written out.

    Raises
    ------
    InputError
        If a value lies beyond belief: with the unit it was probably meant in.
    """
    problems: list[str] = []
    changed: dict[str, Any] = {}
    for name, value in card.values().items():
        raw = table.get(name)
        if raw is None:
            continue
        problems += _beyond_belief(name, value)
        bare = not isinstance(raw, Mapping) or not {"low", "high"} & set(raw)
        share = _ASSUMED.get(name, _ASSUMED_STRENGTH if name.endswith("_mpa") else 0.0)
        if bare and share:
            evidence = value.evidence.removesuffix(", no range")
            changed[name] = replace(
                value,
                low=value.best * (1 - share),
                high=min(value.best * (1 + share), 0.499) if name == "poisson" else value.best * (1 + share),
                evidence=f"{evidence}; range of ±{100 * share:.0f} % assumed",
            )
    if problems:
        raise InputError("\n".join(problems))
    return replace(card, **changed) if changed else card


def _beyond_belief(name: str, value: Value) -> list[str]:
    """Return the problem of a value that no polymer has, with the likely unit."""
    limits = _LIMITS.get(name, _STRENGTH if name.endswith("_mpa") else None)
    if limits is None or limits[0] <= value.best <= limits[1]:
        return []
    low, high, units = limits
    for factor, unit in units:
        if low <= value.best / factor <= high:
            return [
                f"material.{name}: {value.best:g} looks like {unit}; if it is, write {value.best / factor:g}"
            ]
    return [f"material.{name}: {value.best:g} is beyond what a print's material has ({low:g} to {high:g})"]
