"""Columns of the table of runs: names, units at the end of names, other words for the same."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from validation.rig.units import UNITS
from validation.study.study_tables import RECORDED

LENGTHS = {symbol: UNITS[symbol].factor for symbol in ("mm", "cm", "m", "in")}
FORCES = {symbol: UNITS[symbol].factor for symbol in ("N", "kN", "kgf", "lbf")}
# unit at the end of the name to factor; units are N, N/mm, g and mm inside
QUANTITIES = {
    "breaking_force": FORCES,
    "stiffness": {"N_per_mm": 1.0, "kN_per_mm": 1000.0},
    "mass": {"g": 1.0, "kg": 1000.0, "mg": 0.001},
    "width": LENGTHS,
    "depth": LENGTHS,
    "lever": LENGTHS,
    "span": LENGTHS,
    "load_span": LENGTHS,
}
# beyond any printed beam, in N, N/mm, g and mm
LARGEST = {"breaking_force": 1e7, "stiffness": 1e9, "mass": 1e6}
LARGEST |= dict.fromkeys(("width", "depth", "lever", "span", "load_span"), 5000.0)
TEXTS = (
    "series", "setting_id", "specimen", "build", "replicate", "test_order", "role", "file", "run", "mode", "valid",
    "exclude_reason", "note",
)  # fmt: skip
# what others call the same
ALIASES = {
    "force": "breaking_force", "b": "width", "h": "depth", "plate_id": "build", "plate": "build", "build_id": "build",
    "specimen_id": "specimen", "order": "test_order", "failure_mode": "mode", "exclusion_reason": "exclude_reason",
    "setting": "setting_id", "nozzle_C": "temperature_C", "nozzle_temperature_C": "temperature_C", "day": "date",
}  # fmt: skip


@dataclass(frozen=True)
class ManifestColumn:
    """What a column of the file is.

    Attributes
    ----------
    target : str
        Field of a run, or key of the study.
    kind : {"number", "text", "key", "unit missing", "asked"}
        How its cells are read; ``asked`` of a heading with more than one meaning.
    factor : float
        From the column's unit to N, N/mm, g, mm, or to the study's unit.
    note : str
        What was taken for granted, or what is asked.
    """

    target: str
    kind: Literal["number", "text", "key", "unit missing", "asked"]
    factor: float = 1.0
    note: str = ""


def column_of(name: str, keys: Sequence[str] = ()) -> ManifestColumn | None:
    """Return what a column is by its name, None if nobody knows.

    Examples
    --------
    >>> column_of("b_mm")
    ManifestColumn(target='width', kind='number', factor=1.0, note='')
    >>> column_of("breaking_force").kind
    'unit missing'
    """
    if name in keys:
        return ManifestColumn(name, "key")
    plain = ALIASES.get(name, name)
    if plain in TEXTS:
        return ManifestColumn(plain, "text")
    if plain in RECORDED:
        return ManifestColumn(plain, "key")
    # the longest quantity first: load_span_mm is no span
    for quantity in sorted((*QUANTITIES, *ALIASES), key=len, reverse=True):
        target = ALIASES.get(quantity, quantity)
        if target not in QUANTITIES or not (name == quantity or name.startswith(f"{quantity}_")):
            continue
        unit, units = name[len(quantity) + 1 :], QUANTITIES[target]
        if unit in units:
            return ManifestColumn(target, "number", units[unit])
        if len(quantity) > 1 or not unit:
            return ManifestColumn(target, "unit missing", note="name its unit")
    return None


def own_names(target: str) -> str:
    """Return the table's own names of a quantity, one for each unit.

    Examples
    --------
    >>> own_names("mass")
    'mass_g or _kg or _mg'
    """
    return f"{target}_{' or _'.join(QUANTITIES[target])}"


def known_columns(keys: Sequence[str] = ()) -> list[str]:
    """Return all names a column may have, for suggestions."""
    return [
        *keys,
        *TEXTS,
        *RECORDED,
        *(f"{name}_{unit}" for name, units in QUANTITIES.items() for unit in units),
    ]
