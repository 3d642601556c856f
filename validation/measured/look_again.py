"""Beams whose value does not fit the others, or fits them but for a factor of ten: told, never dropped or changed."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from validation.measured.measured import MeasuredBeam
from validation.measured.reconcile import Row
from validation.measured.repeats import UNITS, Quantity, odd_beams
from validation.text.numbers import significant

# so near to a power of ten is a slip of the decimal point, given what an estimate misses from setting to setting
_NEAR = 1.6
_POWERS = (0.001, 0.01, 0.1, 10.0, 100.0, 1000.0)


def look_again(rows: Sequence[Row]) -> list[str]:
    """Return a line per beam to look at again: slips of the decimal point, and values far from their repeats."""
    lines = []
    for quantity in UNITS:
        slips = decimal_slips(rows, quantity)
        for beam, factor in slips:
            times = f"{factor:g} times" if factor > 1 else f"a {1 / factor:g}th of"
            value = significant(getattr(beam, quantity))
            lines.append(
                f"Look again at {place_of(beam)}: {_words(quantity)} {value} is about {times} what the other beams "
                "lead one to expect; a slip of the decimal point or the unit? It is kept."
            )
        slipped = {id(beam) for beam, _ in slips}
        # repeats are held against each other without the slips, which would throw doubt on their neighbours
        rest = [replace(row, beams=tuple(one for one in row.beams if id(one) not in slipped)) for row in rows]
        lines += [
            f"Look again at {place_of(odd.beam)}: {_words(quantity)} {odd.ratio:.2f} of its setting's mean "
            f"(p {odd.p:.2g}); it is kept."
            for odd in odd_beams(rest, quantity)
        ]
    return lines


def decimal_slips(rows: Sequence[Row], quantity: Quantity) -> list[tuple[MeasuredBeam, float]]:
    """Return beams off by about a power of ten, with the factor.

    Each beam's value over its setting's estimate is held against the median of that ratio over all other beams, which
    also serves one beam per setting.
    """
    ratios: list[tuple[MeasuredBeam, float]] = []
    for row in rows:
        expected = getattr(row.estimate, quantity)
        for beam in row.beams:
            value = getattr(beam, quantity)
            if value and expected:
                ratios.append((beam, math.log(value / expected.best)))
    logs = np.array([log for _, log in ratios])
    found = []
    for k, (beam, log) in enumerate(ratios):
        others = np.delete(logs, k)
        if others.size < 2:
            continue
        off = math.exp(log - float(np.median(others)))
        found += [(beam, power) for power in _POWERS if 1 / _NEAR < off / power < _NEAR]
    return found


def place_of(beam: MeasuredBeam) -> str:
    """Return how a beam is named to people: its specimen with the line, since names may repeat."""
    return f"{beam.specimen} (line {beam.line})" if beam.specimen else f"line {beam.line}"


def _words(quantity: str) -> str:
    return quantity.replace("_", " ")
