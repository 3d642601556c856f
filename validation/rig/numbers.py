"""What one cell of a rig file is: a number, a placeholder, a unit, a time of day or text."""

import datetime
import re
from dataclasses import dataclass
from functools import lru_cache

from validation.rig.units import Unit, find_unit

OVERLOADS = frozenset("ovl ol o.l o.l. ovld over overload overrange over-range inf +inf -inf".split())
PLACEHOLDERS = OVERLOADS | frozenset(
    "- -- --- ---- ----- – — nan n/a na #n/a #na #nv n.a. null none nil ? * ** *** **** ***** ****** . .. ... "
    "#div/0! #value! #wert! #num! #ref! #name? #### ##### ###### ####### ######## missing".split()
)

_GROUP = "['’ \u00a0\u202f\u2009"
_BODY = {
    ".": rf"(?:[1-9]\d{{0,2}}(?P<sep>{_GROUP},])\d{{3}}(?:(?P=sep)\d{{3}})*(?:\.\d*)?|\d+(?:\.\d*)?|\.\d+)",
    ",": rf"(?:[1-9]\d{{0,2}}(?P<sep>{_GROUP}.])\d{{3}}(?:(?P=sep)\d{{3}})*(?:,\d*)?|\d+(?:,\d*)?|,\d+)",
}
_NUMBER = {
    decimal: re.compile(
        rf"(?P<lead>[+-]?)\s?(?P<body>{body})(?P<exp>[eEdD][+-]?\d{{1,3}})?(?P<trail>-?)", re.ASCII
    )
    for decimal, body in _BODY.items()
}
_CLOCK = r"(?:(?P<h>\d{1,4}):)?(?P<m>\d{1,2}):(?P<s>\d{1,2}(?:[.,]\d+)?)\s*(?P<half>[AaPp]\.?[Mm]\.?)?"
_DATE = r"(?:(?P<iso>\d{4}[-/.]\d{1,2}[-/.]\d{1,2})|(?P<other>\d{1,2}[-/.]\d{1,2}[-/.]\d{2,4}))"
_TIME = re.compile(rf"(?:{_DATE}(?:[T ]\s*|$))?(?:{_CLOCK})?\s*(?:Z|UTC|[+-]\d{{2}}:?\d{{2}})?", re.ASCII)


@dataclass(frozen=True)
class Cell:
    """One cell: ``kind`` is ``number``, ``placeholder``, ``empty``, ``unit``, ``time`` or ``text``.

    ``value`` is the number (NaN if none; seconds for a time). ``unit`` stands behind the number (``"12.5 N"``) or is
    the cell. ``fraction`` and ``grouped`` say whether a decimal sign and thousands separators were seen.
    """

    kind: str
    value: float = float("nan")
    unit: Unit | None = None
    fraction: bool = False
    grouped: bool = False


_EMPTY = Cell("empty")
_TEXT = Cell("text")


def parse_number(text: str, decimal: str) -> Cell | None:
    """Return the number that a whole text is, or None.

    Examples
    --------
    >>> parse_number("1.234,5-", ",").value
    -1234.5
    >>> parse_number("0,123", ".") is None
    True
    """
    match = _NUMBER[decimal].fullmatch(text)
    if match is None or (match["lead"] and match["trail"]):
        return None
    body, sep = match["body"], match["sep"]
    digits = body.replace(sep, "") if sep else body
    value = float(digits.replace(decimal, ".") + (match["exp"] or "").replace("D", "e").replace("d", "e"))
    if not abs(value) < 1e30:
        return None
    negative = match["lead"] == "-" or match["trail"] == "-"
    return Cell("number", -value if negative else value, None, decimal in body, bool(sep))


def parse_time(text: str) -> float | None:
    """Return seconds for a time of day or a date with time, or None.

    Dates written year first count in days since year 1; others cannot be told apart (day or month first) and only
    their time of day is used. A bare date is no time.

    Examples
    --------
    >>> parse_time("01:02:03.5")
    3723.5
    """
    if ":" not in text:
        return None
    match = _TIME.fullmatch(text)
    if match is None or match["s"] is None:
        return None
    seconds = 3600.0 * int(match["h"] or 0) + 60.0 * int(match["m"]) + float(match["s"].replace(",", "."))
    if match["half"]:
        seconds += 43200.0 * (match["half"][0] in "pP") - 43200.0 * (int(match["h"] or 0) == 12)
    if match["iso"]:
        year, month, day = (int(part) for part in re.split(r"[-/.]", match["iso"]))
        try:
            seconds += 86400.0 * datetime.date(year, month, day).toordinal()
        except ValueError:
            return None
    return seconds


def is_date(text: str) -> bool:
    """Say whether a text is a date without a time."""
    match = _TIME.fullmatch(text)
    return match is not None and match["s"] is None and bool(match["iso"] or match["other"])


@lru_cache(maxsize=65536)
def read_cell(text: str, decimal: str) -> Cell:
    """Return what a cell is under a decimal sign (``"."`` or ``","``)."""
    text = text.strip().strip("\ufeff\u200b").strip()
    if not text:
        return _EMPTY
    if len(text) > 64:
        return _TEXT
    text = text.replace("\u2212", "-")
    number = parse_number(text, decimal)
    if number is not None:
        return number
    if text.lower() in PLACEHOLDERS:
        return Cell("placeholder")
    unit = find_unit(text)
    if unit is not None:
        return Cell("unit", unit=unit)
    seconds = parse_time(text)
    if seconds is not None:
        return Cell("time", seconds)
    if is_date(text):
        return Cell("time")
    match = re.fullmatch(r"(.*?[\d.,-])\s*([^\d\s.,+-][^\d\s]{0,11})", text)
    if match is not None:
        number, unit = parse_number(match.group(1), decimal), find_unit(match.group(2))
        if number is not None and unit is not None:
            return Cell("number", number.value, unit, number.fraction, number.grouped)
    return _TEXT
