"""Tell a unit that nobody knows from a mere label, where a column's name ends in a word of its own."""

import re

from patterns.errors import DataError
from validation.rig.columns import Column, describe_column
from validation.rig.units import UNITS, find_unit

# (stone), [stone], "load in stone", "load/stone"; a word with a digit or a blank in it is a label such as (Ch 1).
_WORD_AT_END = re.compile(r".*(?:[(\[{<]\s*|\s+in\s+|/\s*)([A-Za-zµμ][A-Za-zµμ.·*^/-]{0,11})\s*[)\]}>]?\s*")
_LABELS = frozenset(
    "raw filtered filt unfiltered smoothed smooth corrected corr uncorrected tared zeroed offset abs absolute rel "
    "relative left right top bottom front rear back upper lower inner outer channel chan ch cell machine rig sensor "
    "transducer primary secondary main aux auxiliary axial lateral vertical horizontal total net gross measured "
    "recorded calculated calc computed signed tension compression comp bending flexure specimen sample run test "
    "calibrated cal uncalibrated adjusted adj scaled actual live motor encoder frame head tool clamp jaws nose support "
    "middle mid centre center "
    "beam digital analog analogue internal external input output signal value roh gefiltert korrigiert geglättet "
    "gemessen links rechts oben unten kanal brut voie canal gauche droite haut bas izquierda derecha".split()
)


def unknown_unit(name: str) -> str | None:
    """Return the word at the end of a column's name that is written as a unit and is none; None for labels.

    Examples
    --------
    >>> unknown_unit("load (stone)")
    'stone'
    >>> unknown_unit("load (Ch 1)"), unknown_unit("load (filtered)"), unknown_unit("load (kN)")
    (None, None, None)
    """
    match = _WORD_AT_END.fullmatch(name)
    if match is None:
        return None
    word = match.group(1)
    # Single letters are symbols of formulas, such as F or u; only the tonne is written so.
    label = word.lower() in _LABELS or (len(word) == 1 and word != "t")
    if label or find_unit(word) is not None or describe_column(0, word).role is not None:
        return None
    return word


def refuse_unknown_unit(column: Column, dimension: str) -> None:
    """Raise DataError if a column's name states a unit that is not known."""
    word = unknown_unit(column.name)
    if word is None:
        return
    known = dict.fromkeys(unit.symbol for unit in UNITS.values() if unit.dimension == dimension)
    symbol = "N" if dimension == "force" else "mm"
    raise DataError(
        f"column '{column.name}': '{word}' is no known unit of {dimension} ({', '.join(known)}); state it in a "
        f'--profile: [units] {dimension} = "{symbol}" and, if one {word} is not 1 {symbol}, [scale] {dimension} = '
        f"its size in {symbol}"
    )
