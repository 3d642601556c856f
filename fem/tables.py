"""Results as plain rows whose keys end in units, and as the table that a notebook shows."""

import math
from collections.abc import Iterable, Sequence
from html import escape

UNITS = {
    "stiffness": "N_per_mm",
    "breaking_force": "N",
    "mass": "g",
    "print_time": "min",
    "EI": "N_mm2",
    "GA": "N",
    "GJ": "N_mm2",
    "EA": "N",
}


def column(quantity: str, end: str = "", measured: bool = False) -> str:
    """Return the column of a quantity, as in ``measured_breaking_force_low_N``; ``end`` is low or high.

    Raises
    ------
    KeyError
        For a quantity that is none of `UNITS`.

    Examples
    --------
    >>> column("stiffness", "low")
    'stiffness_low_N_per_mm'
    """
    parts = ("measured" if measured else "", quantity, end, UNITS[quantity])
    return "_".join(part for part in parts if part)


def significant(value: float | None, digits: int = 3) -> str:
    """Return ``value`` with so many significant digits and without an exponent where it can be read without.

    Examples
    --------
    >>> significant(1234.5), significant(0.0456), significant(None)
    ('1230', '0.0456', '-')
    """
    if value is None or not math.isfinite(value):
        return "-"
    if value == 0:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    places = digits - 1 - math.floor(math.log10(abs(rounded)))
    if not -4 <= places <= 8:
        return f"{value:.{digits - 1}e}"
    return f"{rounded:.{max(places, 0)}f}"


def ranged(best: float | None, low: float | None, high: float | None) -> str:
    """Return "best (low to high)", a dash without a best value.

    Examples
    --------
    >>> ranged(12.34, 10.0, 15.0), ranged(None, None, None)
    ('12.3 (10.0 to 15.0)', '-')
    """
    return "-" if best is None else f"{significant(best)} ({significant(low)} to {significant(high)})"


def html_table(
    headings: Sequence[str], rows: Iterable[Sequence[str]], title: str = "", notes: Iterable[str] = ()
) -> str:
    """Return a table in HTML, every text escaped.

    Parameters
    ----------
    headings : sequence of str
        n texts.
    rows : iterable of sequence of str
        n texts each.
    title : str
        Above the table.
    notes : iterable of str
        Below it, a line each.

    Examples
    --------
    >>> html_table(["a"], [["<b>"]])
    '<table><thead><tr><th>a</th></tr></thead><tbody><tr><td>&lt;b&gt;</td></tr></tbody></table>'
    """
    caption = f"<caption>{escape(title)}</caption>" if title else ""
    head = "".join(f"<th>{escape(text)}</th>" for text in headings)
    body = "".join(f"<tr>{''.join(f'<td>{escape(text)}</td>' for text in row)}</tr>" for row in rows)
    return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>{html_lines(notes)}"


def html_lines(lines: Iterable[str]) -> str:
    """Return lines of text in HTML, a paragraph each, escaped.

    Examples
    --------
    >>> html_lines(["a < b"])
    '<p>a &lt; b</p>'
    """
    return "".join(f"<p>{escape(line)}</p>" for line in lines)
