"""Measured values that lie off the estimate by the size of a unit: told as a doubt, never changed."""

from collections.abc import Sequence

import numpy as np

from validation.measured.reconcile import Row
from validation.text.numbers import significant

_KILO, _GRAVITY = 1000.0, 9.80665
# what is mistaken for what by each factor
_SLIPS = {
    "breaking force": ((_KILO, "N and kN"), (_GRAVITY, "N and kgf")),
    "stiffness": ((_KILO, "N/mm and N/m or kN/mm"), (_GRAVITY, "N/mm and kgf/mm")),
    "mass": ((_KILO, "g and kg or mg"),),
}
# about so large is the estimator's own error at worst
_NEAR = 1.5


def unit_doubts(rows: Sequence[Row]) -> list[str]:
    """Return a line for each quantity whose median measured/estimated ratio is about that of two units."""
    ratios = {
        "breaking force": [row.force_ratio for row in rows],
        "stiffness": [row.stiffness_ratio for row in rows],
        "mass": [row.mass_ratio for row in rows],
    }
    told = []
    for quantity, found in ratios.items():
        known = [ratio for ratio in found if ratio]
        if not known:
            continue
        median = float(np.median(known))
        for factor, units in _SLIPS[quantity]:
            for size, name in ((factor, f"{factor:.4g}"), (1 / factor, f"1/{factor:.4g}")):
                if 1 / _NEAR < median / size < _NEAR:
                    told.append(
                        f"measured {quantity} is {significant(median)} times the estimate, near the {name} of two "
                        f"units: are {units} taken for each other in its column? Nothing was changed"
                    )
    return told
