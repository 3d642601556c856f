"""Every key of a study: where it stands, its default and its meaning, read off the tables themselves."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel

from fem.material.cards import VALUE_NAMES, shipped
from validation.study.study_tables import StudyTable

# last parts of names and what people read for them
_UNITS = {
    "mm_per_N": "mm/N", "n_per_mm": "N/mm", "mm_s2": "mm/s2", "mm_s": "mm/s", "g_cm3": "g/cm3", "mm": "mm",
    "deg": "deg", "mpa": "MPa", "N": "N", "s": "s", "C": "deg C",
}  # fmt: skip
# meanings of the values of a material card, which are no fields of the tables
MATERIAL_MEANINGS = {
    "young_mpa": "Young's modulus along the beads",
    "poisson": "Poisson's ratio",
    "across_bead_ratio": "Young's modulus across over along the beads of a layer",
    "density_g_cm3": "density of the polymer",
    "tension_along_mpa": "tensile strength along the beads",
    "tension_across_mpa": "tensile strength across the beads of a layer",
    "fracture_strain": "strain at which a pulled bead breaks",
    "compression_mpa": "compressive strength of the polymer",
    "shear_mpa": "shear strength of the polymer",
    "weld_tension_mpa": "strength across the layers per welded area",
    "weld_toughness_n_per_mm": "energy that parts a weld, per welded area",
    "weld_shear_mpa": "shear strength between the layers per welded area",
    "groove_closing": "part of the groove between two layers that fills, 0 to 1",
    "weibull_modulus": "scatter of strength: large is even",
}


@dataclass(frozen=True)
class StudyKey:
    """One key: dotted name, unit ("" without), default as TOML ("" where it must be given or is none), meaning."""

    name: str
    unit: str
    default: str
    meaning: str

    @property
    def table(self) -> str:
        """Name of the table it stands in; "" at the top of the file."""
        return self.name.rpartition(".")[0]


@cache
def all_keys() -> tuple[str, ...]:
    """Return the dotted names of all keys but those of material values and of patterns' own options."""
    return tuple(name for name, _ in _fields(StudyTable))


def known(key: str) -> bool:
    """Return whether a study may have a key."""
    return key in all_keys() or key.startswith(("material.", "core.options."))


def default_of(key: str) -> Any:
    """Return the default of a key, None where it has none."""
    return next((field.get_default() for name, field in _fields(StudyTable) if name == key), None)


def study_keys() -> list[StudyKey]:
    """Return every key in the order of the tables, material values too."""
    found = []
    for name, field in _fields(StudyTable):
        default = field.get_default(call_default_factory=True)
        if name == "material":
            found += _material_keys()
            continue
        told = "" if field.is_required() or default is None else _toml(default)
        meaning = [field.description or "", _choices(field.annotation)]
        if field.is_required():
            meaning.append("must be given")
        found.append(StudyKey(name, unit_of(name), told, "; ".join(part for part in meaning if part)))
    return found


def _material_keys() -> list[StudyKey]:
    own = (StudyKey("material.card", "", '"PLA"', f"a shipped card: {' | '.join(shipped())}"),
           StudyKey("material.name", "", "", "name of the material with own values on top"))  # fmt: skip
    return [*own, *(
        StudyKey(f"material.{value}", unit_of(value), "the card's", MATERIAL_MEANINGS.get(value, ""))
        for value in VALUE_NAMES
    )]  # fmt: skip


def unit_of(name: str) -> str:
    """Return the unit that a key's name ends in, "" for none.

    Examples
    --------
    >>> unit_of("test.compliance_mm_per_N"), unit_of("print.walls")
    ('mm/N', '')
    """
    return next((unit for ending, unit in _UNITS.items() if name.endswith(f"_{ending}")), "")


def _fields(model: type[BaseModel], prefix: str = "") -> Iterator[tuple[str, Any]]:
    """Yield dotted name and field of every key of a table and of the tables in it."""
    for name, field in model.model_fields.items():
        inner = [kind for kind in (field.annotation, *get_args(field.annotation)) if _is_table(kind)]
        if inner:
            yield from _fields(inner[0], f"{prefix}{name}.")
        else:
            yield prefix + name, field


def _is_table(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _choices(kind: Any) -> str:
    return " | ".join(map(str, get_args(kind))) if get_origin(kind) is Literal else ""


def _toml(value: Any) -> str:
    """Return a default as it is written in the file."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, (tuple, list)):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, dict):
        return (
            f"{{ {', '.join(f'{key} = {_toml(item)}' for key, item in value.items())} }}" if value else "{}"
        )
    return str(value)
