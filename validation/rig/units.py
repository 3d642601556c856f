"""Units of force, travel and time as rigs write them, and where they hide in a column's name."""

import re
import unicodedata
from dataclasses import dataclass

FORCE, TRAVEL, TIME, OTHER = "force", "travel", "time", "other"

STANDARD_GRAVITY = 9.80665
"""m/s2, exact by definition (ISO 80000-3)."""

POUND = 0.45359237
"""kg, exact by definition (international avoirdupois pound, 1959)."""


@dataclass(frozen=True)
class Unit:
    """A unit and its size: one ``symbol`` is ``factor`` N, mm or s; ``guess`` says what was taken for granted."""

    symbol: str
    dimension: str
    factor: float
    guess: str = ""


def _table() -> dict[str, Unit]:
    """Return the units by exact spelling."""
    kgf, lbf = STANDARD_GRAVITY, POUND * STANDARD_GRAVITY
    mass = "a unit of mass is read as the weight of that mass"
    rows: list[tuple[str, str, float, str, str]] = [
        # symbol, dimension, factor, spellings, guess
        ("N", FORCE, 1.0, "N newton newtons Newton", ""),
        ("kN", FORCE, 1e3, "kN KN kn Kn kilonewton kilonewtons", ""),
        ("MN", FORCE, 1e6, "MN", ""),
        ("mN", FORCE, 1e-3, "mN millinewton", ""),
        ("daN", FORCE, 10.0, "daN", ""),
        ("cN", FORCE, 0.01, "cN", ""),
        ("kgf", FORCE, kgf, "kgf kgF Kgf KGF kp kG kilogram-force", ""),
        ("gf", FORCE, 1e-3 * kgf, "gf gF gram-force", ""),
        ("tf", FORCE, 1e3 * kgf, "tf", ""),
        ("kg", FORCE, kgf, "kg Kg KG kgs kilogram kilograms", mass),
        ("g", FORCE, 1e-3 * kgf, "g gram grams gr", mass),
        ("lbf", FORCE, lbf, "lbf lbF LBF Lbf pound-force", ""),
        ("lb", FORCE, lbf, "lb lbs LB LBS Lb pounds pound", mass),
        ("klbf", FORCE, 1e3 * lbf, "klbf kip kips", ""),
        ("ozf", FORCE, lbf / 16, "ozf ozF OZF", ""),
        ("oz", FORCE, lbf / 16, "oz OZ ounce ounces", mass),
        ("mm", TRAVEL, 1.0, "mm MM Mm millimeter millimetre millimeters millimetres", ""),
        ("um", TRAVEL, 1e-3, "um µm μm micrometer micrometre micron microns", ""),
        ("nm", TRAVEL, 1e-6, "nm", ""),
        ("cm", TRAVEL, 10.0, "cm CM", ""),
        ("m", TRAVEL, 1e3, "m meter metre meters metres", ""),
        ("in", TRAVEL, 25.4, "in IN In inch inches in.", ""),
        ("mil", TRAVEL, 0.0254, "mil mils thou", ""),
        ("ft", TRAVEL, 304.8, "ft", ""),
        ("s", TIME, 1.0, "s S sec Sec SEC secs second seconds sec. Sek sek sekunden", ""),
        ("ms", TIME, 1e-3, "ms msec mSec millis millisecond milliseconds", ""),
        ("us", TIME, 1e-6, "us µs μs micros", ""),
        ("min", TIME, 60.0, "min Min MIN minute minutes mins", ""),
        ("h", TIME, 3600.0, "h hr hrs hour hours", ""),
    ]
    table = {
        name: Unit(symbol, kind, size, note)
        for symbol, kind, size, names, note in rows
        for name in names.split()
    }
    others = (
        "% MPa GPa kPa Pa psi ksi N/mm2 N/mm² N/mm^2 °C C °F K degC mm/mm mm/m in/in µm/m m/m µε ue microstrain "
        "mm/s mm/min in/min N/s kN/s N/mm kN/mm J mJ Nm kNm kN-mm N·mm Nmm Hz V mV A mA ° deg rpm cycles counts raw "
        "bar %RH RH 1 - mm2 mm² mm^2 mm3 cycle segments segment kN*mm N*mm N*m [-]"
    )
    return table | {name: Unit(name, OTHER, 1.0) for name in others.split()}


UNITS = _table()
_FOLDED: dict[str, Unit] = {}
for _name, _unit in UNITS.items():
    if len(_name) > 2 or _unit.dimension == TRAVEL:
        _FOLDED.setdefault(_name.lower(), _unit)

# Spellings that are units even in the middle of a name, such as force_kN_filtered.
_UNMISTAKABLE = frozenset("kN KN mN kgf lbf mm um µm μm cm ms".split())
_BRACKETS = re.compile(r"[(\[{<]\s*([^()\[\]{}<>]{0,24}?)\s*[)\]}>]")


def find_unit(text: str, dimension: str | None = None) -> Unit | None:
    """Return the unit that a text is, or None.

    Parameters
    ----------
    text : str
        A whole cell, with or without brackets, such as ``"kN"`` or ``"[mm]"``.
    dimension : str, optional
        ``"force"``, ``"travel"`` or ``"time"``: settles two meanings (``"m"`` in a time column is a minute).

    Examples
    --------
    >>> find_unit("[kN]").factor
    1000.0
    >>> find_unit("m", "time").factor
    60.0
    """
    word = unicodedata.normalize("NFC", text).strip().strip("\"'").strip()
    if len(word) > 24:
        return None
    if word not in UNITS and len(word) > 2 and word[0] in "([{<" and word[-1] in ")]}>":
        word = word[1:-1].strip()
    if dimension == TIME and word == "m":
        return UNITS["min"]
    found = UNITS.get(word) or _FOLDED.get(word.lower())
    if found is None and dimension == FORCE and word == "n":
        found = UNITS["N"]
    if found is None or (dimension is not None and found.dimension != dimension):
        return None
    return found


def unit_in_name(name: str) -> tuple[str, Unit | None]:
    """Split a column's name into the bare name and the unit written in it.

    Understood are ``Load (N)``, ``Load [N]``, ``Load/N``, ``Load in N``, ``Load, N``, ``load_N`` and ``Load N``.

    Examples
    --------
    >>> name, unit = unit_in_name("Weg [mm]")
    >>> name, unit.symbol
    ('Weg', 'mm')
    """
    for bracket in reversed(list(_BRACKETS.finditer(name))):
        unit = find_unit(bracket.group(1))
        if unit is not None:
            return (name[: bracket.start()] + name[bracket.end() :]).strip(" _,;:/-"), unit
    match = re.fullmatch(
        r"(.*?\S)\s*(?:/|,|:|=|\||\bin\b|\ben\b|_|\.|-|\s)\s*([^\s/,:|_]{1,16})", name.strip()
    )
    if match is not None:
        unit = find_unit(match.group(2)) or (UNITS["N"] if match.group(2) == "n" and "_" in name else None)
        if unit is not None and unit.symbol not in {"1", "-"}:
            return match.group(1).strip(" _,;:/-"), unit
    words = re.split(r"[_\s]+", name.strip())
    inside = [unit for word in words if word in _UNMISTAKABLE and (unit := find_unit(word)) is not None]
    return name.strip(), inside[0] if len(inside) == 1 else None
